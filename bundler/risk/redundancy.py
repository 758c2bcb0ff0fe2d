"""Output lost by a group of lines of which some stand in for others, and what a failure adds."""

from collections.abc import Mapping, Sequence
from math import comb

import numpy as np

from bundler.life.curves import FloatArray, IntArray


def unavailability(failures: FloatArray, cell_days: FloatArray, repair_days: float) -> FloatArray:
    """Return the mean chance in each cell that a member is out of service [m, K].

    u = min(1, r d): r = failures / cell_days [1/day], d = repair_days. So u is linear in the
    failures, the days down add up to failures x d over any cells, and the rise of u by one
    failure is d / cell_days exactly, until every day is a day down. The steady state of a member
    that does not fail while it is down, r d / (1 + r d), is lower by the share r d: the form
    taken here is that much on the safe side (0.3 % at one failure in ten years and 10 days).

    Parameters
    ----------
    failures : expected failures of each member in each cell [m, K].
    cell_days : width of each cell [K, days].
    repair_days : days that a failed member is out [days].
    """
    result: FloatArray = np.minimum(1.0, np.asarray(failures) / cell_days * repair_days)
    return result


def lost_by_count(lost_mw: Mapping[int, float], lines_count: int) -> FloatArray:
    """Return the output lost with 0 to n lines out [n + 1, MW] from some of the counts.

    A count that is not given loses as much as the next lower one that is; below the first, 0.
    """
    found = np.zeros(lines_count + 1)
    for count in sorted(lost_mw):
        found[count:] = lost_mw[count]
    return found


def line_outage(u: FloatArray, lines: IntArray, lines_count: int) -> FloatArray:
    """Return the chance that each line is out [n, K]: 1 - product of (1 - u) over its members."""
    held = np.ones((lines_count, u.shape[1]))
    for line, own in zip(lines, u, strict=True):
        held[line] *= 1 - own
    return 1 - held


def out_chances(line_u: FloatArray) -> FloatArray:
    """Return the chance of exactly 0 to n lines out [n + 1, K] for independent lines, exactly.

    One line after the other: P'(j) = P(j) (1 - q) + P(j - 1) q; line_u [n, K] holds q.
    """
    chances = np.zeros((len(line_u) + 1, line_u.shape[1]))
    chances[0] = 1.0
    for own in line_u:
        moved = chances[:-1] * own
        chances *= 1 - own
        chances[1:] += moved
    return chances


def expected_lost(
    u: FloatArray, lines: IntArray, lost: FloatArray, beta_share: float = 0.0
) -> FloatArray:
    """Return the expected output lost at a time in each cell [K, unit of `lost`].

    E = sum over j of P(j) lost(j) + beta (sum of u) / n lost(n), P(j) the chance of j lines out
    with (1 - beta) u for each member. A line is out when any of its members is; a share beta of
    what takes a member out takes all n lines at once (beta factor), counted as a rare event: the
    mean over the lines of the sum over each line's members. Two equal lines of 0.01, both lost,
    beta 0.1: 0.009^2 + 0.1 x 0.01. E is linear in each u while the others stand.

    Parameters
    ----------
    u : chance that each member is out [m, K], from `unavailability`.
    lines : line of each member, 0 to n - 1 [m].
    lost : output lost with 0 to n lines out [n + 1, K], or [n + 1, 1] for all cells alike.
    beta_share : share of the unavailability that all lines have in common [-].
    """
    count = len(lost) - 1
    chances = out_chances(line_outage((1 - beta_share) * u, lines, count))
    common = beta_share / count * u.sum(axis=0) * lost[-1]
    result: FloatArray = (chances * lost).sum(axis=0) + common
    return result


def _others(u: FloatArray, lines: IntArray, member: int) -> FloatArray:
    """Return the chance that all other members of a member's line work [K]."""
    own = lines == lines[member]
    own[member] = False
    result: FloatArray = np.prod(1 - u[own], axis=0)
    return result


def marginal_lost(
    u: FloatArray, lines: IntArray, lost: FloatArray, beta_share: float = 0.0
) -> FloatArray:
    """Return by how much each member's u raises the expected output lost [m, K].

    The exact partial derivative of `expected_lost`, which is also its difference between u = 1
    and u = 0 (Birnbaum importance, in output): (1 - beta) x chance that the rest of the line
    works x sum over j of P(j of the other lines) (lost(j + 1) - lost(j)) + beta lost(n) / n.
    A failure takes `repair_days` times as much [MW-days], as long as u is below 1.
    """
    count = len(lost) - 1
    alone = (1 - beta_share) * u
    line_u = line_outage(alone, lines, count)
    step = np.diff(lost, axis=0)
    by_line = [(out_chances(np.delete(line_u, k, 0)) * step).sum(axis=0) for k in range(count)]
    common = beta_share / count * lost[-1]
    found = [
        (1 - beta_share) * _others(alone, lines, i) * by_line[line] + common
        for i, line in enumerate(lines)
    ]
    return np.array(found)


def capacity_states(mw: Sequence[float], outage_share: Sequence[float]) -> dict[float, float]:
    """Return the chance of each output that can be out [MW -> -], lines of unequal size.

    The convolution of `out_chances` over output instead of counts (recursive unit addition,
    Billinton and Allan, Reliability Evaluation of Power Systems, chapter 2, from memory).
    """
    states = {0.0: 1.0}
    for size, share in zip(mw, outage_share, strict=True):
        added: dict[float, float] = {}
        for out, chance in states.items():
            added[out] = added.get(out, 0.0) + chance * (1 - share)
            added[out + size] = added.get(out + size, 0.0) + chance * share
        states = added
    return dict(sorted(states.items()))


def mean_unavailability(
    failure_rate: float, test_interval: float, needed_count: int, lines_count: int, beta: float
) -> float:
    """Return the mean chance that fewer lines work than needed, failures found by test only [-].

    C(n, r) ((1 - b) x)^r / (r + 1) + b x / 2: x = failure rate x test interval, both in one unit
    of time, r = n - needed + 1 lines out; the first order in x, with (1 - b) to the power r.
    """
    out, x = lines_count - needed_count + 1, failure_rate * test_interval
    if not 1 <= out <= lines_count:
        raise ValueError(f"{needed_count} of {lines_count} lines needed; need 1 to {lines_count}.")
    return comb(lines_count, out) * ((1 - beta) * x) ** out / (out + 1) + beta * x / 2
