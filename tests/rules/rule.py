"""What every test of a rule of the station needs: a plan of a small case, and its stored LP text."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from bundler.case import Case
from bundler.choice import Choices, lean
from bundler.compose import choices_of
from bundler.judge import Breach, judge
from bundler.plan.chosen import Chosen, chosen
from bundler.program.build import build_program
from bundler.rounds import plan_in_rounds
from bundler.run import facts_of
from bundler.solve.answer import Solved
from bundler.solve.highs import Options
from bundler.solve.search import search
from bundler.tailed import settled

GOLDEN = Path(__file__).parent / "golden"
EXACT = Options(time_limit_seconds=60, gap_share=0.0)


@dataclass(frozen=True)
class Planned:
    """A plan of a small case: what could be chosen, what was, and what it costs."""

    case: Case
    choices: Choices
    solved: Solved
    picked: Chosen

    @property
    def pv_cost(self) -> float:
        return self.solved.objective_pv_cost

    @property
    def works(self) -> set[tuple[str, str, str]]:
        """Each work as (component, action, period)."""
        names = ["component", "action", "period"]
        return set(self.picked.works[names].itertuples(index=False, name=None))

    @property
    def breaches(self) -> list[Breach]:
        """What the judge says of the plan."""
        return judge(self.case, facts_of(self.choices, self.picked))


def planned(case: Case) -> Planned:
    """Return the best plan of a small case; raises NoPlanError where there is none."""
    choices, _ = choices_of(case)
    found = search(build_program(lean(choices)), EXACT, lambda stage, share: None)
    solved = settled(choices, found)
    picked = chosen(
        choices, solved.courses, solved.access, solved.extension_days, solved.overtime_hours
    )
    return Planned(case, choices, solved, picked)


def planned_in_rounds(case: Case) -> Planned:
    """Return the plan of a small case in which components share losses or learn."""
    with_rounds = plan_in_rounds(case, EXACT, lambda stage, share: None)
    solved, choices = with_rounds.solved, with_rounds.choices
    picked = chosen(
        choices, solved.courses, solved.access, solved.extension_days, solved.overtime_hours
    )
    return Planned(case, choices, solved, picked)


def has_stored_lp(name: str, case: Case, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """Hold the LP text of a case against the stored one; --update writes it anew for review.

    `name` is the number of the rule with two digits, an underscore and a word.
    """
    has_stored_lp_of(name, choices_of(case)[0], tmp_path, request)


def has_stored_lp_of(
    name: str, choices: Choices, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """Hold the LP text of choices against the stored one."""
    program = build_program(lean(choices))
    path = tmp_path / "rule.lp"
    program.problem.writeLP(str(path))
    text, stored = path.read_text(encoding="utf-8"), GOLDEN / f"{name}.lp"
    if request.config.getoption("--update"):
        stored.write_text(text, encoding="utf-8")
    assert text == stored.read_text(encoding="utf-8")
