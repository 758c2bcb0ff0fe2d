"""Which life assumptions would turn a decision, how likely that is, and what it would cost."""

from collections.abc import Iterable

import numpy as np
import pandas as pd
from scipy import special

from bundler.calendar import dates_at
from bundler.case import Case
from bundler.choice import FloatArray, IntArray
from bundler.explain.alone import Alone
from bundler.explain.decision import Decisions
from bundler.explain.turning import NEVER, Turn, first_turn
from bundler.risk.information import normal_states, perfect_information

#: life ratios at which a turn is looked for, even in their logarithm; our choice
LADDER = np.geomspace(0.4, 2.5, 121)
#: years by which an age is moved to look for a turn; our choice
AGE_STEPS = np.array([1.0, 2.0, 4.0, 6.0, 9.0, 12.0, 16.0, 20.0, 25.0, 30.0])
#: chance of turning below which a decision is firm, and from which it is too close to call;
#: our choice
FIRM_CHANCE, OPEN_CHANCE = 0.1, 0.3
#: how firm a decision is, in words
MARKS = ("firm", "leaning", "too close to call")


NAMES = (
    "component", "decision", "mark", "flip_chance", "regret_pv_cost", "impact_pv_cost",
    "perfect_pv_cost", "life_years", "life_sigma_ratio", "shorter_ratio", "if_shorter",
    "longer_ratio", "if_longer", "age_years", "younger_age_years", "if_younger",
    "older_age_years", "if_older", "last_days", "evidence",
)  # fmt: skip
#: digits after the point that are told
ROUNDED = {
    "flip_chance": 3, "regret_pv_cost": 1, "impact_pv_cost": 1, "perfect_pv_cost": 1,
    "life_years": 2, "life_sigma_ratio": 3, "shorter_ratio": 4, "longer_ratio": 4,
    "age_years": 2, "younger_age_years": 2, "older_age_years": 2,
}  # fmt: skip


def mark(flip_chance: float) -> str:
    """Return how firm a decision is that turns with this chance."""
    return MARKS[int(np.searchsorted([FIRM_CHANCE, OPEN_CHANCE], flip_chance, side="right"))]


def life_turns(own: Alone) -> tuple[Turn, Turn]:
    """Return the nearest shorter and longer life ratio at which the decision turns."""
    found = []
    for ladder in (LADDER[LADDER < 1 - 1e-9][::-1], LADDER[LADDER > 1 + 1e-9]):
        coarse = own.at_lives(ladder)
        found.append(first_turn(own.at_life, 1.0, ladder, coarse, own.code, own.now))
    return found[0], found[1]


def _leaders(own: Alone) -> IntArray:
    """Return the courses that are the cheapest of their decision at some life."""
    cost = own.risks + own.fixed_pv_cost[:, None]
    rows = [np.flatnonzero(own.code == code) for code in range(len(own.words))]
    return np.unique(np.concatenate([some[cost[some].argmin(axis=0)] for some in rows]))


def _turn_at_age(own: Alone, age_years: float, ages: FloatArray, some: IntArray) -> Turn:
    """Return the first of some ages, in order, at which the decision turns, among some courses."""
    coarse = np.column_stack([own.at_age(float(age), some) for age in ages])

    def exact(age: float, rows: IntArray) -> FloatArray:
        return own.at_age(age, some[rows])

    return first_turn(exact, age_years, ages, coarse, own.code[some], own.now)


def _age_turn(own: Alone, age_years: float, sign: float) -> Turn:
    """Return the nearest age on one side at which the decision turns.

    Looked for among the courses that lead at some life; if another one leads just before the
    turn, among all.
    """
    ages = np.unique(np.maximum(age_years + sign * AGE_STEPS, 0.0))[:: int(sign)]
    ages = ages[np.abs(ages - age_years) > 1e-9]
    if len(ages) == 0:
        return NEVER
    turn = _turn_at_age(own, age_years, ages, _leaders(own))
    every: IntArray = np.arange(len(own.rows), dtype=np.int64)
    before = float(ages[-1]) if turn.code < 0 else turn.at + 1e-4 * (age_years - turn.at)
    if own.code[int(own.at_age(before, every).argmin())] != own.now:
        turn = _turn_at_age(own, age_years, ages, every)
    return turn


def age_turns(own: Alone) -> tuple[Turn, Turn]:
    """Return the nearest younger and older age [years] at which the decision turns."""
    age = float(own.part["age_years"])
    return _age_turn(own, age, -1.0), _age_turn(own, age, 1.0)


def beyond(turns: tuple[Turn, Turn], sigma: float) -> float:
    """Return the chance that the true life lies beyond one of its turns.

    ln(life ratio) is normal with mean 0 and standard deviation `sigma`.
    """
    with np.errstate(divide="ignore"):
        low, high = (np.log(turn.at) / sigma for turn in turns)
    short = 0.0 if np.isnan(low) else float(special.ndtr(low))
    return short + (0.0 if np.isnan(high) else float(special.ndtr(-high)))


def by_decision(own: Alone, cost: FloatArray) -> FloatArray:
    """Return the cost of each decision: of its cheapest course in each state [D, m].

    Works that come later than the decision can still follow what will be known then.
    """
    order = np.argsort(own.code, kind="stable")
    starts = np.searchsorted(own.code[order], np.arange(len(own.words)))
    result: FloatArray = np.minimum.reduceat(cost[order], starts, axis=0)
    return result


def states(own: Alone) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return ln life ratios, their chances, and the cost of each decision at each [D, S].

    Of a life that is known to be there, for the value of knowing it.
    """
    z, chance = normal_states()
    logs = z * float(own.part["life_sigma_ratio"])
    return logs, chance, by_decision(own, own.at_known_lives(np.exp(logs)))


def _told(own: Alone, turn: Turn) -> str:
    """Return what a decision turns to, and who makes room for it."""
    if turn.code < 0:
        return ""
    partner = own.partners.get(turn.code, "")
    return own.words[turn.code] + (f", room made by {partner}" if partner else "")


def _money(own: Alone, flip_chance: float) -> dict[str, float]:
    """Return the money at stake: lost by keeping the decision, and saved by knowing the life.

    What is lost on average beyond a turn times the chance of lying there is the expected loss.
    """
    logs, chance, known = states(own)
    cost = by_decision(own, own.at_lives(np.exp(logs)))
    impact = float((cost[own.now] - cost.min(axis=0)) @ chance)
    return {
        "regret_pv_cost": impact / flip_chance if flip_chance > 0 else 0.0,
        "impact_pv_cost": impact,
        "perfect_pv_cost": perfect_information(known, chance),
    }


def _last_days(
    own: Alone, told: Decisions, lives: tuple[Turn, Turn], ages: tuple[Turn, Turn]
) -> float:
    """Return the last day on which the likeliest turn can still be followed [days]; NaN: none.

    The nearer turn by its life; where there is none, the first by its age.
    """
    here, name = own.words[own.now], str(own.part["component"])
    near = sorted((turn for turn in lives if turn.code >= 0), key=lambda turn: abs(np.log(turn.at)))
    some = near[:1] or [turn for turn in ages if turn.code >= 0]
    days = [told.parting_days(name, here, own.words[turn.code]) for turn in some]
    return min(days, default=np.nan)


def _row(own: Alone, told: Decisions) -> dict[str, object]:
    """Return the row of one component."""
    lives, sigma = life_turns(own), float(own.part["life_sigma_ratio"])
    ages = age_turns(own)
    chance = beyond(lives, sigma)
    return {
        "component": own.part["component"],
        "decision": own.words[own.now],
        "mark": mark(chance),
        "flip_chance": chance,
        **_money(own, chance),
        "life_years": float(own.part["life_years"]),
        "life_sigma_ratio": sigma,
        "shorter_ratio": lives[0].at,
        "if_shorter": _told(own, lives[0]),
        "longer_ratio": lives[1].at,
        "if_longer": _told(own, lives[1]),
        "age_years": float(own.part["age_years"]),
        "younger_age_years": ages[0].at,
        "if_younger": _told(own, ages[0]),
        "older_age_years": ages[1].at,
        "if_older": _told(own, ages[1]),
        "last_days": _last_days(own, told, lives, ages),
        "evidence": own.part["evidence"],
    }


def life_tests(case: Case, all_own: Iterable[Alone], told: Decisions) -> pd.DataFrame:
    """Return one row a component that has a decision to make, those with most at stake first."""
    table = pd.DataFrame([_row(own, told) for own in all_own], columns=NAMES)
    table["last_days"] = dates_at(case, table["last_days"].astype("float64"))
    table = table.rename(columns={"last_days": "last_date"})
    order = ["impact_pv_cost", "component"]
    table = table.sort_values(order, ascending=[False, True], ignore_index=True)
    return table.round(ROUNDED)
