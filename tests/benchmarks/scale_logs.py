"""What a solver's log says of its way: seconds, plan and bound whenever one of them was better."""

import re
from collections.abc import Iterable, Iterator

#: seconds since the method began, cost of the best plan, proven bound
Trace = list[tuple[float, float, float]]

HIGHS_HEAD = "Src  Proc. InQueue"
CPSAT_LINE = re.compile(
    r"^#(?:Bound|Model|Done|\d+)\s+([\d.]+)s(?:.*best:([-\d.e+]+|inf))?(?:.*next:\[([-\d.e+]+),)?"
)


def highs_trace(lines: Iterable[str], begun: float) -> Trace:
    """Return the way of an integer program in HiGHS, which began so many seconds in."""
    found: Trace = []
    is_there = False
    for line in lines:
        is_there = is_there or line.startswith(HIGHS_HEAD)
        words = line.split()
        words = words[1:] if words and len(words[0]) == 1 and words[0].isalpha() else words
        if is_there and len(words) == 12 and words[-1].endswith("s"):
            found.append((begun + float(words[-1][:-1]), float(words[5]), float(words[4])))
    return found


def _cpsat_lines(lines: Iterable[str]) -> Iterator[tuple[float, str | None, str | None]]:
    for line in lines:
        told = CPSAT_LINE.match(line)
        if told:
            yield float(told[1]), told[2], told[3]


def cpsat_trace(lines: Iterable[str], begun: float) -> Trace:
    """Return the way of CP-SAT, which began so many seconds in."""
    found: Trace = []
    plan, bound = float("inf"), float("-inf")
    for seconds, best, next_bound in _cpsat_lines(lines):
        plan = plan if best is None else float(best)
        bound = bound if next_bound is None else float(next_bound)
        found.append((begun + seconds, plan, bound))
    return found


def seconds_to_gap(
    trace: Trace, gap_share: float, known_bound: float | None = None
) -> float | None:
    """Return when the plan was first within the gap of its own bound; None if it never was.

    Or of a `known_bound`, proven by whomsoever.
    """
    plan, bound = float("inf"), float("-inf")
    for seconds, better, proven in trace:
        plan, bound = min(plan, better), max(bound, proven)
        least = bound if known_bound is None else known_bound
        if plan < float("inf") and plan - least <= gap_share * abs(plan):
            return seconds
    return None
