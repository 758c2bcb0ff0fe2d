"""What the base plan, as it is, would cost in a changed case."""

from bundler.around_plan import around_plan, keys, works_of
from bundler.case import Case
from bundler.rounds import Rounds
from bundler.standing.settle import as_it_stands
from bundler.standing.whole import holds, same_plan
from bundler.sweep.done import Work


def kept_pv_cost(case: Case, rounds: Rounds, works: frozenset[Work]) -> float | None:
    """Return the true cost of the same works in a planned case; None where they break something.

    None too where a component has no such course in the case any more. Days and overtime are taken
    as the works need them; losses and hours that components share are those of these works.
    """
    plan = same_plan(rounds.choices, works)
    if keys(works_of(rounds.choices, plan)) != works:
        return None
    choices, _, again = around_plan(case, rounds.shared, rounds.choices, rounds.courses, plan)
    if again is None or not holds(choices, again):
        return None
    return float(as_it_stands(choices, again).pv_cost)
