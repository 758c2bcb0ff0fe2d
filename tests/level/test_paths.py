"""Passes in many runs against textbooks, a general graph library and every path enumerated."""

from collections.abc import Iterable
from itertools import pairwise

import networkx as nx
import numpy as np
import pandas as pd
import pytest

from bundler.choice import FloatArray
from bundler.errors import DataError
from bundler.level.draws import correlated_ranks, strata
from bundler.level.paths import (
    COLUMNS,
    Network,
    Wiring,
    come_forward,
    finish,
    floats,
    forward,
    held_to_plan,
    late_share,
    on_longest,
)
from bundler.level.three_points import Pert
from bundler.plan.network import FOLLOWS
from bundler.risk.three_point import chance_by, pert_variance

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
#: one after the other. Taylor, Introduction to Management Science
FOUR = {"A": (5, 8, 17, ""), "B": (3, 5, 7, "A"), "C": (4, 6, 8, "B"), "D": (3, 4, 5, "C")}
Told = dict[str, tuple[int, int, int, str]]


def network(names: Iterable[str], *arcs: tuple[str, str, float]) -> Network:
    tasks = pd.DataFrame({"task": list(names)})
    tasks = tasks.assign(duration_days=1.0, earliest_days=0.0, start_days=0.0, latest_days=np.nan)
    return Network(tasks, pd.DataFrame(arcs, columns=FOLLOWS))


def wired(told: Told) -> Wiring:
    return Wiring.of(network(told, *((one, name, 0.0) for name in told for one in told[name][3])))


def law(told: Told) -> Pert:
    return Pert.of(*np.array([row[:3] for row in told.values()], dtype=float).T)


def planned(told: Told) -> tuple[float, FloatArray, float]:
    """Return finish and floats at the mean durations, and the classic variance of the longest chain."""
    wiring, days = wired(told), law(told).mean()[None, :]
    starts = forward(wiring, days, np.zeros_like(days))
    ends = finish(starts, days)
    slack = floats(wiring, days, starts, ends)[0]
    variances = np.array([float(pert_variance(low, high)) for low, _, high, _ in told.values()])
    return float(ends[0]), slack, float(variances @ (slack < 1e-9))


def simulated(told: Told, runs_count: int = 200_000) -> FloatArray:
    wiring, alone = wired(told), pd.DataFrame({"system": [""] * len(told)})
    places = correlated_ranks(alone, {}, rng=np.random.default_rng(4), runs_count=runs_count)
    days = law(told).quantile(strata(runs_count)[places.T])
    return finish(forward(wiring, days, np.zeros_like(days)), days)


def test_the_classic_network_of_eight_activities() -> None:
    """Means 2 3 2 4 4 3 5 2; A-C-E-G-H 15 weeks, variance 3.111111; floats B 1, D 1, F 6; by week
    16 with 0.714625 (printed 0.7157 from a rounded z), and with 99 % by 19.1033."""
    assert law(EIGHT).mean().tolist() == [2, 3, 2, 4, 4, 3, 5, 2]
    weeks, slack, variance = planned(EIGHT)
    assert weeks == 15
    assert slack.tolist() == [0, 1, 0, 1, 0, 6, 0, 0]
    assert variance == pytest.approx(3.111111, abs=1e-6)
    assert np.sqrt(variance) == pytest.approx(1.763834, abs=1e-6)
    assert chance_by(16, weeks, variance) == pytest.approx(0.714625, abs=1e-6)
    assert chance_by(16, weeks, variance) == pytest.approx(0.7157, abs=2e-3)
    assert chance_by(19.1033, weeks, variance) == pytest.approx(0.99, abs=1e-5)


def test_merge_bias_of_the_classic_network() -> None:
    """Simulated by others with 1e6 runs of beta-PERT activities: mean 15.234, standard deviation
    1.712, by week 16 with 0.690. So the textbook's 0.7146 of one path alone is too high, since
    other paths may end later. Four standard errors of 200,000 runs: 0.016 weeks, 0.004."""
    weeks = simulated(EIGHT)
    assert weeks.mean() == pytest.approx(15.234, abs=0.016)
    assert weeks.std() == pytest.approx(1.712, abs=0.012)
    assert (weeks <= 16).mean() == pytest.approx(0.690, abs=0.004)
    assert weeks.mean() > planned(EIGHT)[0] + 0.2
    assert (weeks <= 16).mean() < 0.7146 - 0.02


def test_another_network_of_eight_activities() -> None:
    """A-C-G-H 20.8333, variance 3.472222, by 22 with 0.734375; H mean 2.166667, variance 0.25."""
    weeks, slack, variance = planned(OTHER)
    assert weeks == pytest.approx(20.8333, abs=1e-4)
    assert [name for name, own in zip(OTHER, slack, strict=True) if own < 1e-9] == list("ACGH")
    assert variance == pytest.approx(3.472222, abs=1e-6)
    assert chance_by(22, weeks, variance) == pytest.approx(0.734375, abs=2e-5)
    assert law(OTHER).mean()[-1] == pytest.approx(2.166667, abs=1e-6)
    assert pert_variance(1, 4) == pytest.approx(0.25)


def test_a_path_of_four() -> None:
    """Mean 24, variance 5 by the rule of thumb, by 28 with 0.963181 (printed 0.9633). A single path
    has no merge bias: the simulated mean is 24, its variance the sum of the betas' own."""
    weeks, _, variance = planned(FOUR)
    assert (weeks, variance) == pytest.approx((24, 5))
    assert chance_by(28, weeks, variance) == pytest.approx(0.963181, abs=1e-6)
    drawn = simulated(FOUR)
    assert drawn.mean() == pytest.approx(24, abs=1e-4)
    assert drawn.var() == pytest.approx(float(law(FOUR).variance().sum()), rel=0.015)


def random_case(seed: int) -> tuple[Network, FloatArray, FloatArray]:
    """Return a network of 9 tasks with lags, durations and earliest starts of 12 runs."""
    rng = np.random.default_rng(seed)
    names = list("ABCDEFGHI")
    arcs = [
        (first, second, float(rng.integers(0, 3)))
        for place, first in enumerate(names)
        for second in names[place + 1 :]
        if rng.random() < 0.3
    ]
    days = rng.integers(1, 9, (12, 9)).astype(float)
    return network(names, *arcs), days, rng.integers(0, 12, (12, 9)).astype(float)


@pytest.mark.parametrize("seed", range(6))
def test_starts_and_longest_chains_by_every_path(seed: int) -> None:
    """From a source whose arcs are the earliest starts: a start is the longest of all paths, and a
    task is on a longest chain if one of the paths of greatest length passes through it."""
    own, durations, earliest = random_case(seed)
    wiring = Wiring.of(own)
    starts = forward(wiring, durations, earliest)
    ends = finish(starts, durations)
    slack = floats(wiring, durations, starts, ends)
    seen = np.zeros_like(slack)
    for run, days in enumerate(durations):
        graph = nx.DiGraph()
        for place, name in enumerate(wiring.names):
            graph.add_edge("source", name, weight=earliest[run, place])
            graph.add_edge(name, "end", weight=days[place])
        for first, second, lag in own.arcs.itertuples(index=False):
            graph.add_edge(first, second, weight=days[wiring.names.index(first)] + lag)
        assert ends[run] == nx.dag_longest_path_length(graph)
        lengths = {
            tuple(path): sum(graph.edges[pair]["weight"] for pair in pairwise(path))
            for path in nx.all_simple_paths(graph, "source", "end")
        }
        on_one = {name for path in lengths if lengths[path] == ends[run] for name in path}
        seen[run] = [name in on_one for name in wiring.names]
    assert on_longest(slack).tolist() == seen.mean(axis=0).tolist()
    assert ((slack == 0) == (seen == 1)).all()


@pytest.mark.parametrize("seed", range(6))
def test_a_float_is_what_a_task_may_slip(seed: int) -> None:
    """A task held back by its float leaves the finish as it is, by one day more moves it by one."""
    own, durations, earliest = random_case(seed)
    wiring = Wiring.of(own)
    starts = forward(wiring, durations, earliest)
    ends = finish(starts, durations)
    slack = floats(wiring, durations, starts, ends)
    for place in range(starts.shape[1]):
        for more in (0.0, 1.0):
            held = earliest.copy()
            held[:, place] = starts[:, place] + slack[:, place] + more
            slipped = finish(forward(wiring, durations, held), durations)
            assert slipped.tolist() == (ends + more).tolist()


def test_the_railway_rule_and_coming_forward() -> None:
    """A planned 5 d and B planned on day 5; A takes 3 d: B waits for day 5, or comes on day 3, but
    never before its own earliest start."""
    wiring = Wiring.of(network("AB", ("A", "B", 0.0)))
    days, earliest, start = np.array([[3.0, 2.0]]), np.array([[0.0, 1.0]]), np.array([0.0, 5.0])
    assert forward(wiring, days, held_to_plan(earliest, start)).tolist() == [[0.0, 5.0]]
    assert forward(wiring, days, come_forward(earliest, start)).tolist() == [[0.0, 3.0]]
    late = np.array([[0.0, 7.0]])
    assert held_to_plan(late, start).tolist() == come_forward(late, start).tolist() == late.tolist()


def test_windows_close_after_their_last_moment() -> None:
    """Half-open: a task that ends at 5 keeps a window to 5; one without a window is never late."""
    ends = np.array([[5.0, 9.0, 9.0], [6.0, 9.0, 4.0]])
    assert late_share(ends, [5.0, np.nan, 8.0]).tolist() == [0.5, 0.0, 0.5]


@pytest.mark.parametrize(
    ("tasks", "arcs", "told"),
    [
        ({"duration_days": -1.0}, [], "tasks row 1, duration_days: -1; days are 0 or more"),
        ({"start_days": np.nan}, [], "tasks row 1, start_days: nan; days are a number"),
        ({}, [("A", "C", 0.0)], "arcs row 1, second: C is no task"),
        ({}, [("A", "B", 0.0), ("B", "A", 0.0)], "ring: A before B before A"),
    ],
)
def test_networks_that_cannot_be(
    tasks: dict[str, float], arcs: list[tuple[str, str, float]], told: str
) -> None:
    with pytest.raises(DataError, match=told):
        Network(network("AB").tasks.assign(**tasks), pd.DataFrame(arcs, columns=FOLLOWS))


def test_columns_and_names_are_looked_at() -> None:
    own = network("AB")
    with pytest.raises(DataError, match="tasks row 2, task: A is there twice"):
        Network(own.tasks.assign(task="A"), own.arcs)
    for name, columns in COLUMNS.items():
        for column in columns:
            less = {"tasks": own.tasks, "arcs": own.arcs}
            less[name] = less[name].drop(columns=column)
            with pytest.raises(DataError, match=f"{name}, {column}: no such column"):
                Network(**less)
