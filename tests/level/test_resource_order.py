"""How crews pass from task to task: flows that are flows, and loads that never exceed what there is."""

import numpy as np
import pandas as pd
import pytest

from bundler.choice import FloatArray
from bundler.errors import DataError
from bundler.level.paths import Network, Wiring, forward, resource_flows, resource_order
from bundler.plan.network import FOLLOWS


def series(**values: float) -> pd.Series:
    return pd.Series(values, dtype="float64")


def needs(*rows: tuple[str, str, int]) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=["task", "resource", "amount"])


def test_crews_pass_on_by_hand() -> None:
    """Three fitters. A to day 2 and B to day 3 hold one each; C from day 3 takes the one nobody
    held; D from day 3 takes A's, free longest; if D follows B anyway, B's. E needs all three."""
    starts = series(A=0, B=0, C=3, D=3, E=6)
    ends = series(A=2, B=3, C=5, D=6, E=7)
    own = needs(
        ("A", "fitter", 1),
        ("B", "fitter", 1),
        ("C", "fitter", 1),
        ("D", "fitter", 1),
        ("E", "fitter", 3),
    )
    crew = pd.Series({"fitter": 3})
    pairs = resource_order(starts, ends, own, crew)[["first", "second"]].to_numpy().tolist()
    assert pairs == [["A", "D"], ["B", "E"], ["C", "E"], ["D", "E"]]
    known = pd.DataFrame([("B", "D", 0.0)], columns=FOLLOWS)
    tied = resource_order(starts, ends, own, crew, known)[["first", "second"]].to_numpy().tolist()
    assert tied == [["A", "E"], ["B", "D"], ["C", "E"], ["D", "E"]]


def test_who_follows_anyway_takes_over_before_anybody_new() -> None:
    """Two fitters; C follows B, which follows A, whose fitter it takes over: no new wait. D, from
    the same day, takes the one nobody held, and waits for nobody."""
    starts, ends = series(A=0, B=1, C=2, D=2), series(A=1, B=2, C=3, D=3)
    own, crew = needs(("A", "f", 1), ("C", "f", 1), ("D", "f", 1)), pd.Series({"f": 2})
    known = pd.DataFrame([("A", "B", 0.0), ("B", "C", 0.0)], columns=FOLLOWS)
    flows = resource_flows(starts, ends, own, crew, known)
    assert flows[["first", "second"]].to_numpy().tolist() == [["", "A"], ["A", "C"], ["", "D"]]


def schedule(seed: int) -> tuple[pd.Series, pd.Series, pd.DataFrame, pd.Series]:
    """Return starts, ends, needs and amounts of 25 tasks of two crews, each as soon as both allow."""
    rng = np.random.default_rng(seed)
    amounts = pd.Series({"fitter": 5, "welder": 3})
    load = {name: np.zeros(400) for name in amounts.index}
    starts, ends, rows = {}, {}, []
    for number in range(25):
        name, days = f"T{number:02d}", int(rng.integers(1, 6))
        wants = {"fitter": int(rng.integers(0, 4)), "welder": int(rng.integers(0, 3))}
        start = 0
        while any(
            load[key][start : start + days].max() + wants[key] > amounts[key] for key in wants
        ):
            start += 1
        for key, amount in wants.items():
            load[key][start : start + days] += amount
            rows.append((name, key, amount))
        starts[name], ends[name] = float(start), float(start + days)
    return pd.Series(starts), pd.Series(ends), needs(*rows), amounts


@pytest.mark.parametrize("seed", range(5))
def test_flows_bring_each_task_what_it_needs(seed: int) -> None:
    """A flow (Artigues, Michelon and Reusser 2003): as much comes to a task as it needs, from tasks
    that have ended; no more leaves it than it held; no more than there is comes from nobody."""
    starts, ends, own, amounts = schedule(seed)
    flows = resource_flows(starts, ends, own, amounts)
    wanted = own[own["amount"] > 0].set_index(["resource", "task"])["amount"].sort_index()
    came = flows.groupby(["resource", "second"])["amount"].sum()
    assert came.to_dict() == wanted.to_dict()
    inner = flows[flows["first"] != ""]
    assert (inner["first"].map(ends) <= inner["second"].map(starts)).all()
    left = inner.groupby(["resource", "first"])["amount"].sum()
    assert (left <= wanted.reindex(left.index)).all()
    fresh = flows[flows["first"] == ""].groupby("resource")["amount"].sum()
    assert (fresh <= amounts.reindex(fresh.index)).all()


def most_held(starts: FloatArray, ends: FloatArray, amounts: FloatArray) -> float:
    """Return the most that is held at once; it rises at starts only."""
    return max(float(amounts[(starts <= now) & (now < ends)].sum()) for now in starts)


@pytest.mark.parametrize("seed", range(5))
def test_whatever_the_durations_no_more_is_held_than_there_is(seed: int) -> None:
    starts, ends, own, amounts = schedule(seed)
    rng = np.random.default_rng(seed)
    days = (ends - starts).to_numpy() * rng.uniform(0.5, 3.0, (20, len(starts)))
    order = resource_order(starts, ends, own, amounts)
    tasks = pd.DataFrame({"task": starts.index, "duration_days": 1.0, "earliest_days": 0.0})
    tasks = tasks.assign(start_days=0.0, latest_days=np.nan)
    for arcs, is_kept in ((order, True), (order.iloc[:0], False)):
        held = Network(tasks, arcs)
        begun = forward(Wiring.of(held), days, np.tile(starts.to_numpy(), (20, 1)))
        for resource, most in amounts.items():
            wanted = own[own["resource"] == resource].set_index("task")["amount"]
            amount = wanted.reindex(starts.index).to_numpy()
            peak = max(most_held(begun[run], begun[run] + days[run], amount) for run in range(20))
            assert (peak <= most) is is_kept, (resource, peak)


def test_a_schedule_that_takes_too_much_is_told() -> None:
    own, crew = needs(("A", "fitter", 1), ("B", "fitter", 1)), pd.Series({"fitter": 1})
    with pytest.raises(DataError, match="B finds too little of fitter at 1"):
        resource_order(series(A=0, B=1), series(A=2, B=2), own, crew)
    assert resource_order(series(A=0, B=2), series(A=2, B=4), own, crew)["first"].tolist() == ["A"]
