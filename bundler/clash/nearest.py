"""The nearest plan: the least breach of limits that somebody may move, then the least cost."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import Choices, only
from bundler.clash.movers import breakable
from bundler.errors import NoPlanError, SolverError
from bundler.program.build import ask_cheapest, build_elastic
from bundler.program.limits import binding_limits
from bundler.program.model import Program
from bundler.solve.highs import Options, reduced_costs, run

EXACT = Options(time_limit_seconds=60.0, gap_share=0.0)
#: the nearest plan's cost is only told to a share of itself, and looked for so long
CLOSE = Options(time_limit_seconds=60.0, gap_share=0.02)
#: courses that cost at most this share of the bound more, at the relaxed prices, are looked at;
#: by trial on the demo: ten times this takes about twice as long for a plan 0.2 % cheaper
NEAR_SHARE = 1e-5
#: what counts as missing, as a share of the limit; what is let through for rounding is below
LEAST_SHARE = 1e-5


@dataclass(frozen=True)
class Nearest:
    """A plan that is not allowed: what each limit lacks, in all in shares, and its cost.

    pv_cost and bound_pv_cost are None where the time gave no plan; nobody does better than the
    bound at that breach.
    """

    missing: dict[str, float]
    shares: float
    pv_cost: float | None = None
    bound_pv_cost: float | None = None

    def worst_first(self, limits: Mapping[str, pd.Series]) -> list[tuple[str, float]]:
        """Return each limit that lacks something and how much, the largest share first."""

        def order(item: tuple[str, float]) -> tuple[float, str]:
            return -round(item[1] / max(float(limits[item[0]]["amount"]), 1.0), 6), item[0]

        return sorted(self.missing.items(), key=order)


def lacks(program: Program) -> dict[str, float]:
    """Return what each limit of an elastic program lacks, where it lacks something."""
    limits = program.choices.limits
    amounts = dict(zip(limits["limit"], limits["amount"].clip(lower=1.0), strict=True))
    found = {name: float(s.varValue or 0.0) for name, s in program.s.items()}
    return {name: amount for name, amount in found.items() if amount > LEAST_SHARE * amounts[name]}


def least_breach(choices: Choices, names: Collection[str]) -> Nearest | None:
    """Return the least that the limits `names` lack in all; None if they are not what clashes."""
    program = build_elastic(choices, names)
    try:
        stats = run(program, EXACT, is_integer=True)
    except NoPlanError:
        return None
    return Nearest(lacks(program), float(stats.objective or 0.0))


def _elastic(choices: Choices, names: Collection[str], shares: float) -> Program:
    """Return the program of the least cost at a breach; the solver's rounding is let through."""
    program = build_elastic(choices, names)
    ask_cheapest(program, shares * (1 + 1e-6) + 1e-7)
    return program


def _near(whole: Choices, program: Program, bound: float, involved: Collection[str]) -> Choices:
    """Return the choices with the courses that are near, of those involved, and without work."""
    courses = whole.courses
    is_kept = reduced_costs(program) <= NEAR_SHARE * abs(bound)
    is_kept |= np.array([(x.varValue or 0.0) > 1e-6 for x in program.x.values()])
    is_kept |= courses["component"].isin(involved).to_numpy()
    is_kept |= ~courses["course"].isin(set(whole.works["course"])).to_numpy()
    return only(whole, pd.Series(is_kept, index=courses.index))


def nearest(whole: Choices, few: Choices) -> Nearest | None:
    """Return the plan with the least breach, and of these one that costs little; None if none.

    `few` are the choices involved, which alone settle the breach: every plan of all components
    has, limit by limit, at least the breach of what is involved, so at the least breach only
    limits that these alone can reach lack anything. The cost is that of a plan over courses near
    the relaxed best; the bound holds for all.
    """
    limits = binding_limits(few)
    names = breakable(limits)
    found = least_breach(few, names)
    if found is None:
        return None
    try:
        program = _elastic(whole, names, found.shares)
        bound = float(run(program, CLOSE, is_integer=False).objective or 0.0)
        near = _near(whole, program, bound, set(few.courses["component"]))
        program = _elastic(near, names, found.shares)
        cost = float(run(program, CLOSE, is_integer=True).objective or 0.0)
    except (NoPlanError, SolverError):
        return found
    return Nearest(lacks(program), found.shares, cost, bound)
