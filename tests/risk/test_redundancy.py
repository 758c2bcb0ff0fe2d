"""Output lost by groups: all states, published values, finite differences, simulations."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from bundler.life.curves import FloatArray, IntArray
from bundler.risk.cut_sets import cut_sets_of_lines, exact_chance
from bundler.risk.redundancy import (
    capacity_states,
    expected_lost,
    line_outage,
    lost_by_count,
    marginal_lost,
    mean_unavailability,
    out_chances,
    unavailability,
)

#: three lines: pump and motor, pump and motor, a pump alone
LINES = np.array([0, 0, 1, 1, 2])
LOST = np.array([[0.0], [10.0], [120.0], [500.0]])


def by_states(u: FloatArray, lines: IntArray, lost: FloatArray) -> float:
    """Return the expected output lost by trying all 2^m states of the members."""
    total = 0.0
    for state in product((0, 1), repeat=len(u)):
        chance = float(np.prod([p if out else 1 - p for out, p in zip(state, u, strict=True)]))
        total += chance * lost[len({line for line, out in zip(lines, state, strict=True) if out})]
    return total


def parts(count: int) -> list[float]:
    """Return outputs lost that are made so that only fewer than all lines out count."""
    return [0.0] * (count - 1) + [1.0]


@pytest.mark.parametrize(
    ("lines", "needed", "each", "works"),
    [(3, 2, 0.9, 0.972), (3, 2, 0.95, 0.99275), (4, 3, 0.9, 0.9477), (4, 2, 0.9, 0.9963),
     (2, 1, 0.9, 0.99)],
)  # fmt: skip
def test_lines_of_which_some_are_needed(lines: int, needed: int, each: float, works: float) -> None:
    chances = out_chances(np.full((lines, 1), 1 - each))
    assert chances[: lines - needed + 1].sum() == pytest.approx(works, rel=1e-12)


def test_two_trains_with_a_common_cause() -> None:
    """Each out 1 % of the time, beta 0.1: 0.009^2 + 0.001 in place of 1e-4 (beta factor)."""
    u, lines, lost = np.full((2, 1), 0.01), np.array([0, 1]), np.array([[0.0], [0.0], [1.0]])
    assert expected_lost(u, lines, lost, 0.1)[0] == pytest.approx(1.081e-3, rel=1e-14)
    assert expected_lost(u, lines, lost)[0] == pytest.approx(1e-4, rel=1e-14)


def test_public_beta_of_motor_pumps() -> None:
    """Fails to start 5.88e-4, beta 3.65e-2: a pair 2.17830e-5 (INL/EXT-21-62940)."""
    u, lost = np.full((2, 1), 5.88e-4), np.array([[0.0], [0.0], [1.0]])
    assert expected_lost(u, np.array([0, 1]), lost, 3.65e-2)[0] == pytest.approx(
        2.1783e-5, rel=1e-5
    )


@settings(max_examples=60, deadline=None)
@given(
    arrays.arrays(float, (5, 3), elements=st.floats(0, 1)),
    st.floats(0, 1),
    arrays.arrays(float, 4, elements=st.floats(0, 900)),
)
def test_all_states_give_the_same(u: FloatArray, beta: float, mw: FloatArray) -> None:
    lost = mw[:, None]
    found = expected_lost(u, LINES, lost, beta)
    for cell in range(3):
        hand = by_states((1 - beta) * u[:, cell], LINES, mw) + beta * u[:, cell].sum() / 3 * mw[3]
        assert found[cell] == pytest.approx(hand, rel=1e-12, abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(arrays.arrays(float, (5, 2), elements=st.floats(0, 1)), st.floats(0, 1))
def test_marginals_are_differences(u: FloatArray, beta: float) -> None:
    """E is linear in each u: any difference is exact, also from always working to always out."""
    found, now = marginal_lost(u, LINES, LOST, beta), expected_lost(u, LINES, LOST, beta)
    for member in range(5):
        always, never, some = u.copy(), u.copy(), u.copy()
        always[member], never[member] = 1.0, 0.0
        some[member] = u[member] / 2 + 0.25
        whole = expected_lost(always, LINES, LOST, beta) - expected_lost(never, LINES, LOST, beta)
        assert found[member] == pytest.approx(whole, rel=1e-9, abs=1e-9)
        step = expected_lost(some, LINES, LOST, beta) - now
        assert found[member] * (some - u)[member] == pytest.approx(step, rel=1e-9, abs=1e-9)


def test_what_failures_add_is_the_marginal_times_the_repair() -> None:
    """MW-days lost in cells of 30 and 91 days rise by marginal x repair days for each failure."""
    failures = np.array([[0.01, 0.2], [0.002, 0.1], [0.04, 0.3], [0.0, 0.01], [0.5, 0.02]])
    days, repair = np.array([30.0, 91.0]), 12.0

    def mw_days(failed: FloatArray) -> FloatArray:
        return expected_lost(unavailability(failed, days, repair), LINES, LOST, 0.05) * days

    rise = marginal_lost(unavailability(failures, days, repair), LINES, LOST, 0.05) * repair
    for member in range(5):
        more = failures.copy()
        more[member] += 1e-3
        step = (mw_days(more) - mw_days(failures)) / 1e-3
        assert step == pytest.approx(rise[member], rel=1e-9)


def test_unavailability_is_failures_by_repair_days_up_to_all_days() -> None:
    found = unavailability(np.array([[0.1, 0.1, 9.0]]), np.array([100.0, 50.0, 100.0]), 20.0)
    assert found == pytest.approx(np.array([[0.02, 0.04, 1.0]]))


def test_marginal_of_eight_lines_all_of_which_may_be_out() -> None:
    """Also at u = 1, where dividing by 1 - u would not do: only the eighth line is left."""
    u = np.ones((8, 1))
    u[7] = 0.3
    lost = np.array([parts(9)]).T
    found = marginal_lost(u, np.arange(8), lost)
    assert found[:, 0] == pytest.approx([0.3] * 7 + [1.0])


def test_missing_counts_take_the_next_lower() -> None:
    assert lost_by_count({2: 50.0, 4: 300.0}, 5).tolist() == [0, 0, 50, 50, 300, 300]
    assert lost_by_count({}, 2).tolist() == [0, 0, 0]
    assert lost_by_count({1: 7.0}, 2).tolist() == [0, 7, 7]


def test_the_same_as_the_minimal_cut_sets() -> None:
    u = np.array([[0.1], [0.2], [0.05], [0.3], [0.15]])
    own = [(0, 1), (2, 3), (4,)]
    chances = out_chances(line_outage(u, LINES, 3))[:, 0]
    for needed in (1, 2, 3):
        top = exact_chance(cut_sets_of_lines(own, needed), u[:, 0])
        assert chances[3 - needed + 1 :].sum() == pytest.approx(float(top), rel=1e-12)


def test_a_million_trials_agree() -> None:
    rng, u, trials = np.random.default_rng(20270101), np.array([0.05, 0.1, 0.2, 0.02, 0.3]), 10**6
    is_out = rng.random((trials, 5)) < u
    counts = (is_out[:, :2].any(1).astype(int) + is_out[:, 2:4].any(1) + is_out[:, 4]).astype(int)
    lost = LOST[counts, 0]
    error = lost.std() / np.sqrt(trials)
    assert abs(lost.mean() - expected_lost(u[:, None], LINES, LOST)[0]) < 4 * error


def down_at_the_end(
    rng: np.random.Generator, rate: float, repair: float, years: float
) -> FloatArray:
    """Return which of two million histories of failure and repair are down after so many years."""
    since, is_down = np.zeros(2_000_000), np.zeros(2_000_000, dtype=bool)
    while (since <= years).any():
        failed = since + rng.exponential(1 / rate, len(since))
        is_down |= (failed <= years) & (years < failed + repair)
        since = failed + repair
    return is_down


def test_histories_of_failure_and_repair() -> None:
    """Two lines that fail once in 2 and in 3 years of work and take 0.06 years to mend.

    The histories give the steady state r d / (1 + r d); r d is above it by its own share and no
    more, and so the output lost is above by the sum of both shares in the first order.
    """
    rng, rates, repair = np.random.default_rng(36), np.array([1 / 2, 1 / 3]), 0.06
    down = np.array([down_at_the_end(rng, rate, repair, 2.0) for rate in rates])
    first = rates * repair
    steady = first / (1 + first)
    error = np.sqrt(steady * (1 - steady) / down.shape[1])
    assert (np.abs(down.mean(axis=1) - steady) < 4 * error).all()
    cells = unavailability(rates[:, None] * 0.25, np.array([0.25]), repair)
    assert cells[:, 0] == pytest.approx(first, rel=1e-12)
    lost = np.array([0.0, 100.0, 1000.0])
    seen = lost[down.sum(axis=0)]
    told = expected_lost(cells, np.array([0, 1]), lost[:, None])[0]
    noise = 4 * seen.std() / np.sqrt(len(seen))
    stands = expected_lost(steady[:, None], np.array([0, 1]), lost[:, None])[0]
    assert abs(seen.mean() - stands) < noise
    assert seen.mean() - noise < told < seen.mean() * (1 + first.sum()) + noise


def test_output_out_of_three_unequal_units() -> None:
    """3, 3 and 5 MW, each out 2 % of the time (Billinton and Allan, chapter 2, from memory)."""
    found = capacity_states([3, 3, 5], [0.02] * 3)
    known = {0: 0.941192, 3: 0.038416, 5: 0.019208, 6: 0.000392, 8: 0.000784, 11: 0.000008}
    assert list(found) == list(known)
    assert list(found.values()) == pytest.approx(list(known.values()), rel=1e-12)
    equal = capacity_states([1] * 4, [0.1, 0.2, 0.3, 0.4])
    chances = out_chances(np.array([[0.1], [0.2], [0.3], [0.4]]))[:, 0]
    assert list(equal.values()) == pytest.approx(list(chances), rel=1e-12)


@pytest.mark.parametrize(
    ("needed", "lines", "beta", "known"),
    [(1, 1, 0.1, 0.0219), (1, 1, 0.0, 0.0219), (1, 2, 0.0, 6.3948e-4),
     (1, 2, 0.1, 2.7079788e-3), (2, 3, 0.1, 3.7439364e-3), (1, 3, 0.1, 2.2053140e-3)],
)  # fmt: skip
def test_mean_between_tests(needed: int, lines: int, beta: float, known: float) -> None:
    """Rate 5e-6/h, test each 8760 h (the form of IEC 61508-6, with (1 - beta) to the power of the
    lines out)."""
    found = mean_unavailability(5e-6, 8760.0, needed, lines, beta)
    assert found == pytest.approx(known, rel=3e-8)  # eight digits are printed


@pytest.mark.parametrize(("lines", "known"), [(1, 0.0215837307), (2, 6.188958326e-4)])
def test_exact_mean_between_tests(lines: int, known: float) -> None:
    """The mean over the interval of all lines out, each by 1 - exp(-rate t)."""
    points, weights = np.polynomial.legendre.leggauss(20)
    each = -np.expm1(-5e-6 * 8760 * (points + 1) / 2)
    chances = out_chances(np.tile(each, (lines, 1)))[-1]
    assert chances @ weights / 2 == pytest.approx(known, rel=1e-9)
    # the closed form is the first order, and above
    assert known < mean_unavailability(5e-6, 8760.0, 1, lines, 0.0) < known * 1.04


def test_more_lines_needed_than_there_are() -> None:
    with pytest.raises(ValueError, match="need 1 to 2"):
        mean_unavailability(1e-6, 1.0, 3, 2, 0.0)
