"""Every break-even of the demo station, asked again of the integer program on both sides.

Run: python tests/benchmarks/break_evens.py [FOLDER]. Plans the station, finds the life at which each
decision turns, and lets the program decide just short of it and just past it, all other
components held. Prints how many agree, and the time the life tests took beside the plan's.
"""

import sys
import time
from pathlib import Path

from bundler.confirm import again_at_life
from bundler.explain.alone import all_alone
from bundler.explain.decision import decisions
from bundler.explain.inspection import inspections
from bundler.explain.life_tests import life_tests, life_turns
from bundler.run import plan_folder

DEMO = Path(__file__).parents[2] / "asset_data"


def main(folder: Path) -> None:
    """Plan a station and ask every turn again."""
    run = plan_folder(folder)
    case, choices, picked = run.case, run.choices, run.picked
    began = time.perf_counter()
    told = decisions(case, choices)
    costing = run.courses.costing
    all_own = list(all_alone(case, choices, costing, picked, told))
    tests = life_tests(case, all_own, told)
    looks = inspections(case, choices, all_own, told)
    took = time.perf_counter() - began
    print(
        f"{len(tests)} components with a choice, {int(looks['is_worth_buying'].sum())} inspections"
    )
    print(f"worth buying; break-evens, chances and values of knowing in {took:.1f} s")
    courses, asked, wrong = tuple(picked.courses["course"]), 0, []
    for own in all_own:
        for turn in life_turns(own):
            if turn.code < 0:
                continue
            again, asked = again_at_life(choices, courses, own, turn), asked + 1
            if (again.before, again.after) != (own.words[own.now], own.words[turn.code]):
                wrong.append((own.part["component"], turn.at, again))
    print(f"{asked - len(wrong)} of {asked} break-even lives confirmed by the integer program")
    for component, ratio, again in wrong:
        print(f"  {component} at {ratio:.4f}: before {again.before}, after {again.after}")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else DEMO)
