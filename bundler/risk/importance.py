"""How much each member counts for the failure of the whole: the exact measures in use."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import numpy as np

from bundler.life.curves import FloatArray
from bundler.risk.cut_sets import CutSets, exact_chance, set_chances

#: chance that the whole has failed from the chances of its members [m]
Top = Callable[[FloatArray], float]


@dataclass(frozen=True)
class Importance:
    """Measures of each member [m].

    birnbaum: rise of the top chance from a working to a failed member; criticality: chance that
    a failure of the whole is this member's; achievement: top chance with it failed over that
    now (risk achievement worth); reduction: top chance now over that with it never failing (risk
    reduction worth, infinite where nothing else can fail the whole).
    """

    birnbaum: FloatArray
    criticality: FloatArray
    achievement: FloatArray
    reduction: FloatArray


def top_of(is_failed: Callable[[tuple[bool, ...]], bool]) -> Top:
    """Return the top chance of a structure, by the chances of all its 2^m states."""

    def top(q: FloatArray) -> float:
        total = 0.0
        for state in product((False, True), repeat=len(q)):
            if is_failed(state):
                total += float(np.prod(np.where(state, q, 1 - q)))
        return total

    return top


def top_by(sets: CutSets) -> Top:
    """Return the exact top chance of minimal cut sets."""
    return lambda q: float(exact_chance(sets, q))


def importance(top: Top, q: FloatArray) -> Importance:
    """Return the measures of independent members that have failed with chance q [m].

    With h the top chance, h1 and h0 where the member has failed or works: h1 - h0,
    (h1 - h0) q / h, h1 / h, h / h0. Raises ValueError where the whole cannot fail.
    """
    q = np.asarray(q, dtype=float)
    now = top(q)
    if now <= 0:
        raise ValueError("The whole never fails at these chances; no member has an importance.")
    failed, works = (
        np.array([top(np.where(np.arange(len(q)) == i, chance, q)) for i in range(len(q))])
        for chance in (1.0, 0.0)
    )
    rise = failed - works
    reduction = np.divide(now, works, out=np.full_like(works, np.inf), where=works > 0)
    return Importance(rise, rise * q / now, failed / now, reduction)


def fussell_vesely(sets: CutSets, q: FloatArray) -> FloatArray:
    """Return the chance that a cut set with the member has failed if the whole has [m].

    Exact: the union of these cut sets over that of all.
    """
    own = [tuple(each for each in sets if member in each) for member in range(len(q))]
    result: FloatArray = np.array([exact_chance(each, q) for each in own]) / exact_chance(sets, q)
    return result


def fussell_vesely_rare(sets: CutSets, q: FloatArray) -> FloatArray:
    """Return the same with sums of the chances of cut sets in place of unions [m]."""
    chances = set_chances(sets, q)
    has = np.array([[member in each for each in sets] for member in range(len(q))])
    result: FloatArray = has @ chances / chances.sum()
    return result
