"""An answer to a published instance: its value, its bound, and what an independent check says."""

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from bundler.choice import Choices, IntArray
from bundler.program.model import Program
from bundler.solve.answer import Solved
from bundler.solve.find import find_plan
from bundler.solve.highs import Options, relax
from bundler.solve.search import best_plan
from tests.published.folder import Known

#: what may lie between two readings of the same money, as a share (the solver's own is 1e-6)
TOLERANCE_SHARE = 2e-6


@dataclass(frozen=True)
class Checked:
    """The value of a plan, recomputed from the raw instance, and what is wrong with it."""

    value: float
    faults: tuple[str, ...]


@dataclass(frozen=True)
class Answer:
    """Value and bound in the sense of the instance, and the faults that the check found."""

    known: Known
    value: float
    bound: float
    seconds: float
    status: str
    faults: tuple[str, ...]

    @property
    def allowed(self) -> float:
        """Return how far two equal values may lie apart."""
        return TOLERANCE_SHARE * max(abs(self.known.value), 1.0)

    @property
    def is_right_side(self) -> bool:
        """Say that neither bound nor value contradicts what is known, or each other."""
        sign, known = self.known.sign, self.known.sign * self.known.value
        value, bound = sign * self.value, sign * self.bound
        beats = self.known.is_optimal and value < known - self.allowed
        return not beats and bound <= min(known, value) + self.allowed

    @property
    def from_known_share(self) -> float:
        """Return by what share the plan is worse than the known value; below 0 where it is better."""
        return self.known.sign * (self.value - self.known.value) / abs(self.known.value) + 0.0

    @property
    def gap_share(self) -> float:
        """Return what lies between plan and bound, as a share of the plan's value."""
        missing = self.known.sign * (self.value - self.bound)
        return missing / abs(self.value) if missing > 0 else 0.0

    @property
    def is_proved(self) -> bool:
        """Say that the plan is proved to be the best."""
        return self.gap_share <= TOLERANCE_SHARE


def rounded_bound(bound: float, costs: np.ndarray) -> float:
    """Return the bound rounded up where every cost is whole: then so is the cost of every plan."""
    is_whole = bool((costs == np.round(costs)).all())
    return float(np.ceil(bound - 1e-6)) if is_whole else bound


def _quiet(stage: str, share: float) -> None:
    """Say nothing."""


def _objective_fault(objective: float, value: float, allowed: float) -> tuple[str, ...]:
    if abs(objective - value) <= allowed:
        return ()
    return (f"the plan says {objective:.9g}, its courses add up to {value:.9g}",)


def answer_from(known: Known, figures: tuple[float, float], seconds: float, status: str,
                checked: Checked) -> Answer:  # fmt: skip
    """Return the answer; `figures` are the plan's objective and its bound, both to be minimised."""
    objective, bound = (known.sign * figure for figure in figures)
    allowed = TOLERANCE_SHARE * max(abs(objective), 1.0)
    faults = checked.faults + _objective_fault(objective, checked.value, allowed)
    return Answer(known, checked.value, bound, seconds, status, faults)


def solve(
    known: Known, choices: Choices, options: Options, check: Callable[[IntArray], Checked]
) -> Answer:
    """Return the answer of find_plan; `check` takes the numbers of the chosen courses."""
    began = time.perf_counter()
    solved: Solved = find_plan(choices, options, _quiet)
    seconds = time.perf_counter() - began
    assert (choices.access["pv_cost"] == 0).all(), "only courses cost something here"
    bound = rounded_bound(solved.bound_pv_cost, choices.courses["pv_cost"].to_numpy())
    checked = check(np.asarray(solved.courses, dtype=np.int64))
    return answer_from(known, (solved.objective_pv_cost, bound), seconds, solved.status, checked)


def solve_program(program: Program, options: Options) -> tuple[float, float, str]:
    """Solve a changed program whole; return objective, bound and status (values stand in it)."""
    relaxed = relax(program, options)
    status, objective, bound = best_plan(program, options, None)
    return objective, max(relaxed.bound_pv_cost, bound), status
