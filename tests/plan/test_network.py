"""Networks of activities against textbooks, enumeration and an independent library."""

import random
from itertools import permutations

import pandas as pd
import pytest
from scipy import stats

from bundler.plan.network import FOLLOWS, critical_chain, from_the_end, passes
from bundler.risk.three_point import (
    beta_pert_variance,
    chance_by,
    pert_mean,
    pert_variance,
    triangular_mean,
    triangular_quantile,
    triangular_variance,
)

#: activity: least, most likely, greatest [weeks], what comes before it. Heizer & Render,
#: Operations Management, chapter on projects (from memory)
EIGHT = {
    "A": (1, 2, 3, ""), "B": (2, 3, 4, ""), "C": (1, 2, 3, "A"), "D": (2, 4, 6, "AB"),
    "E": (1, 4, 7, "C"), "F": (1, 2, 9, "C"), "G": (3, 4, 11, "DE"), "H": (1, 2, 3, "FG"),
}  # fmt: skip
#: the same from a public course text, its answers computed by hand
OTHER = {
    "A": (2, 5, 6, ""), "B": (1, 5, 11, ""), "C": (4, 6, 10, "A"), "D": (2, 2, 2, "B"),
    "E": (1, 2, 9, "A"), "F": (2, 4, 5, "CD"), "G": (3, 8, 11, "CE"), "H": (1, 2, 4, "FG"),
}  # fmt: skip


def follows(*pairs: tuple[str, str, float]) -> pd.DataFrame:
    return pd.DataFrame(pairs, columns=FOLLOWS)


def network(told: dict[str, tuple[int, int, int, str]]) -> tuple[pd.Series, pd.DataFrame]:
    days = pd.Series({name: float(pert_mean(a, m, b)) for name, (a, m, b, _) in told.items()})
    return days, follows(*((one, name, 0.0) for name, row in told.items() for one in row[3]))


def path_variance(told: dict[str, tuple[int, int, int, str]], chain: list[str]) -> float:
    return sum(float(pert_variance(told[name][0], told[name][2])) for name in chain)


def test_the_classic_network_of_eight_activities() -> None:
    """Means 2 3 2 4 4 3 5 2; A-C-E-G-H is critical: 15 weeks, variance 3.111111; floats B 1, D 1,
    F 6; by week 16 with 0.714625, and with 99 % by 19.1033. The normal chance is that of the
    critical path alone: 1e6 simulated runs give 0.690, since other paths may end later."""
    days, after = network(EIGHT)
    assert days.tolist() == [2, 3, 2, 4, 4, 3, 5, 2]
    starts, floats = passes(days, after)
    assert starts.tolist() == [0, 0, 2, 3, 4, 4, 8, 13]
    assert floats.tolist() == [0, 1, 0, 1, 0, 6, 0, 0]
    chain = critical_chain(days, after)
    assert chain == list("ACEGH")
    variance = path_variance(EIGHT, chain)
    assert days[chain].sum() == 15
    assert variance == pytest.approx(28 / 9)
    assert chance_by(16, 15, variance) == pytest.approx(0.714625, abs=1e-6)
    assert chance_by(16, 15, variance) == pytest.approx(0.7157, abs=2e-3)
    assert chance_by(19.1033, 15, variance) == pytest.approx(0.99, abs=1e-5)
    assert chance_by(16, 15, variance) > 0.690 + 0.02


def test_another_network_of_eight_activities() -> None:
    days, after = network(OTHER)
    chain = critical_chain(days, after)
    variance = path_variance(OTHER, chain)
    assert chain == list("ACGH")
    assert days[chain].sum() == pytest.approx(20.8333, abs=1e-4)
    assert variance == pytest.approx(3.472222, abs=1e-6)
    assert chance_by(22, float(days[chain].sum()), variance) == pytest.approx(0.734375, abs=2e-5)
    assert days["H"] == pytest.approx(2.166667, abs=1e-6)
    assert pert_variance(1, 4) == pytest.approx(0.25)


def test_a_path_of_four() -> None:
    """Mean 24, variance 5, by 28 with 0.963181; printed 0.9633. Taylor, Management Science."""
    told = [(5, 8, 17), (3, 5, 7), (4, 6, 8), (3, 4, 5)]
    mean = sum(float(pert_mean(*row)) for row in told)
    variance = sum(float(pert_variance(a, b)) for a, _, b in told)
    assert (mean, variance) == pytest.approx((24, 5))
    assert chance_by(28, mean, variance) == pytest.approx(0.963181, abs=1e-6)


def test_three_points_of_one_activity() -> None:
    """3, 4, 11: the PERT formula gives 1.777778, the beta-PERT's own variance is 1.714286."""
    beta = stats.beta(1 + 4 * (4 - 3) / 8, 1 + 4 * (11 - 4) / 8, loc=3, scale=8)
    triangle = stats.triang((4 - 3) / 8, loc=3, scale=8)
    assert pert_mean(3, 4, 11) == pytest.approx(5) == pytest.approx(beta.mean())
    assert pert_variance(3, 11) == pytest.approx(1.777778, rel=1e-6)
    assert beta_pert_variance(3, 4, 11) == pytest.approx(1.714286, rel=1e-6)
    assert beta_pert_variance(3, 4, 11) == pytest.approx(beta.var())
    assert triangular_mean(3, 4, 11) == pytest.approx(6) == pytest.approx(triangle.mean())
    assert triangular_variance(3, 4, 11) == pytest.approx(3.166667, rel=1e-6)
    assert triangular_variance(3, 4, 11) == pytest.approx(triangle.var())
    assert triangular_quantile(0.5, 3, 4, 11) == pytest.approx(5.708497, rel=1e-6)
    assert triangular_quantile(0.8, 3, 4, 11) == pytest.approx(7.653360, rel=1e-6)
    for chance in (0.0, 0.05, 0.125, 0.5, 1.0):
        assert triangular_quantile(chance, 3, 4, 11) == pytest.approx(triangle.ppf(chance))


def test_three_points_have_to_rise() -> None:
    with pytest.raises(ValueError, match="have to rise"):
        pert_mean(5, 4, 11)


def test_lags_are_waited_for() -> None:
    """A 4 d, 3 d to cure, B 2 d; C 8 d beside: B ends on day 9, C may slip by 1 d."""
    days = pd.Series({"A": 4.0, "B": 2.0, "C": 8.0})
    starts, floats = passes(days, follows(("A", "B", 3.0)))
    assert starts.tolist() == [0, 7, 0]
    assert floats.tolist() == [0, 0, 1]
    assert critical_chain(days, follows(("A", "B", 3.0))) == ["A", "B"]
    assert critical_chain(days, follows(("A", "B", 1.0))) == ["C"]


def test_a_ring_is_told_in_words() -> None:
    days = pd.Series(1.0, index=list("ABCDE"))
    ring = follows(
        ("A", "B", 0.0), ("B", "C", 0.0), ("C", "D", 0.0), ("D", "B", 0.0), ("D", "E", 0.0)
    )
    with pytest.raises(ValueError, match="ring: B before C before D before B. Take"):
        passes(days, ring)
    with pytest.raises(ValueError, match="ring: A before A"):
        passes(days, follows(("A", "A", 0.0)))


@pytest.mark.parametrize(
    ("days", "sentence"),
    [
        (pd.Series({"A": 1.0}), "B follows or is followed but has no days"),
        (pd.Series([1.0, 2.0, 2.0], index=["A", "B", "B"]), "B is there twice"),
        (pd.Series({"A": 1.0, "B": -2.0}), "B takes -2 days"),
        (pd.Series({"A": 1.0, "B": float("nan")}), "B takes nan days"),
    ],
)
def test_what_is_wrong_is_told(days: pd.Series, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        passes(days, follows(("A", "B", 0.0)))


def test_nothing_takes_no_time() -> None:
    starts, floats = passes(pd.Series(dtype="float64"), follows())
    assert starts.empty and floats.empty


def drawn(seed: int, count: int) -> tuple[pd.Series, pd.DataFrame]:
    """Return a drawn network whose names say nothing of its order."""
    rng = random.Random(seed)
    names = [f"N{number}" for number in range(count)]
    rng.shuffle(names)
    days = pd.Series({name: float(rng.randint(0, 9)) for name in sorted(names)})
    pairs = [
        (names[i], names[j], float(rng.randint(0, 4)))
        for i in range(count)
        for j in range(i + 1, count)
        if rng.random() < 0.3
    ]
    return days, follows(*pairs)


@pytest.mark.parametrize("seed", range(20))
def test_starts_and_floats_are_what_all_paths_say(seed: int) -> None:
    """Every path through a small network, listed: the longest to, from and through each node."""
    days, after = drawn(seed, 7)
    lag = {(one, two): own for one, two, own in after.itertuples(index=False)}
    paths = [
        path
        for n in range(1, 8)
        for path in permutations(days.index, n)
        if all(pair in lag for pair in zip(path, path[1:], strict=False))
    ]
    long = {p: sum(days[n] for n in p) + sum(lag[q] for q in zip(p, p[1:], strict=False)) for p in paths}  # fmt: skip
    last = max(long.values())
    starts, floats = passes(days, after)
    for name in days.index:
        assert starts[name] == max(long[p] - days[name] for p in paths if p[-1] == name)
        assert floats[name] == last - max(long[p] for p in paths if name in p)
    assert long[tuple(critical_chain(days, after))] == last


@pytest.mark.parametrize("seed", range(5))
def test_an_independent_library_finds_the_same(seed: int) -> None:
    networkx = pytest.importorskip("networkx")
    days, after = drawn(seed + 100, 60)
    graph = networkx.DiGraph()
    for name, length in days.items():
        graph.add_edge("start", (name, "in"), weight=0.0)
        graph.add_edge((name, "in"), (name, "out"), weight=length)
    for one, two, lag in after.itertuples(index=False):
        graph.add_edge((one, "out"), (two, "in"), weight=lag)
    starts, _ = passes(days, after)
    assert (starts + days).max() == networkx.dag_longest_path_length(graph)


@pytest.mark.parametrize("seed", range(20))
def test_the_order_from_the_end_is_late_least(seed: int) -> None:
    """One after the other with due days, every order tried: none has a smaller greatest lateness."""
    rng = random.Random(seed)
    days, after = drawn(seed, 6)
    due = {name: rng.randint(0, 40) for name in days.index}

    def late(order: tuple[str, ...]) -> float:
        ends = pd.Series([days[name] for name in order]).cumsum()
        return max(end - due[name] for end, name in zip(ends, order, strict=True))

    pairs = list(zip(after["first"], after["second"], strict=True))
    allowed = [
        order
        for order in permutations(days.index)
        if all(order.index(one) < order.index(two) for one, two in pairs)
    ]
    order = tuple(from_the_end(days.index, after, lambda name: (due[name], name)))
    assert order in allowed
    assert late(order) == min(late(other) for other in allowed)
