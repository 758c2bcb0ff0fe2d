"""The first plan: whoever loses most by idling takes its cheapest priced course first."""

import numpy as np

from bundler.choice import FloatArray
from bundler.solve.arrays import Arrays
from bundler.solve.compiled.chance import seeded
from bundler.solve.compiled.moves import settle
from bundler.solve.compiled.problem import IntArray, Problem, State, empty_state
from bundler.solve.compiled.rebuild import Guide, Table, first_fit
from bundler.solve.compiled.state import BROKEN, put_in
from bundler.solve.plan_state import Plan, is_sound, near_count, state_of

#: courses within this share of the bound of a component's cheapest at the prices are near; our
#: choice, by trial: three times the mean hundredth
NEAR_SHARE = 0.03
#: a regret as large as that of this part of the components is always taken up
FAR_PART = 0.95
#: passes in which every component takes the cheapest course that the others leave; our choice
SETTLE_PASSES = 20
#: a move counts when it saves this share of the plan's cost
LEAST_SHARE = 1e-9


def guide_of(arrays: Arrays, regret: FloatArray, bound: float, chosen: IntArray | None) -> Guide:
    """Return what leads a search, from what each course costs more at the prices [Q]."""
    order = np.lexsort((regret, arrays.component)).astype(np.int32)
    most = NEAR_SHARE * abs(bound) / arrays.components_count
    near = near_count(arrays.start, regret, order, most)
    far = 0.0 if chosen is None else float(np.quantile(regret[chosen], FAR_PART))
    return Guide(order, regret, near, max(far, 1e-9))


def table_of(problem: Problem, most_out: int, seed: int, own: IntArray | None = None) -> Table:
    """Return the scratch of a search in which only some components move (`own`; all by default)."""
    whole, components = np.int64, len(problem.start) - 1
    own = np.arange(components) if own is None else own
    is_out = np.ones(components, dtype=np.int32)
    is_out[own] = 0
    return Table(
        own, np.zeros(most_out, dtype=whole), np.zeros(most_out, dtype=whole), is_out,
        np.zeros(len(problem.period), dtype=np.int32), np.zeros(1, dtype=whole), seeded(seed),
        np.zeros(components, dtype=whole),
    )  # fmt: skip


def _order(arrays: Arrays, guide: Guide) -> IntArray:
    """Return the components: those that have to work first, then by what idling loses [N]."""
    is_idle = (arrays.works == len(arrays.placements)).all(axis=1)
    idle = np.maximum.reduceat(np.where(is_idle, guide.regret, -1.0), arrays.start[:-1])
    result: IntArray = np.lexsort((-idle, idle >= 0))
    return result


def fewest_plan(problem: Problem, arrays: Arrays) -> Plan | None:
    """Return the plan of fewest works, settled; None where it does not hold.

    Law and pins ask for little, so it mostly holds where a fuller plan finds no room.
    """
    count = (arrays.works < len(arrays.placements)).sum(axis=1)
    order = np.lexsort((arrays.cost, count, arrays.component))
    state = state_of(problem, order[arrays.start[:-1]])
    return _settled(problem, arrays, state) if is_sound(problem, state) else None


def _settled(problem: Problem, arrays: Arrays, state: State) -> Plan | None:
    """Return a plan in which no component alone has a cheaper course left; None if it is broken."""
    least = LEAST_SHARE * abs(state.cost[0])
    settle(problem, state, np.arange(arrays.components_count), SETTLE_PASSES, least)
    return Plan(state.chosen, float(state.cost[0])) if is_sound(problem, state) else None


def first_plan(problem: Problem, arrays: Arrays, guide: Guide) -> Plan | None:
    """Return the plan by priced regret, settled; None where some component finds no course."""
    state = empty_state(problem)
    table = table_of(problem, 2, 1)
    for component in _order(arrays, guide):
        state.counts[BROKEN] = 0
        course = first_fit(problem, state, guide, int(component), table, 0.0)
        if course < 0:
            return None
        put_in(problem, state, int(component), course)
    return _settled(problem, arrays, state)
