"""Chances of finishing against closed forms, exact discrete laws and printed tails of cost."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from bundler.errors import DataError
from bundler.level import confidence as module
from bundler.level.confidence import Confidence, confidence, variance_shares
from bundler.level.draws import DOUBTS, Doubt, no_doubt
from bundler.level.paths import Network, come_forward
from bundler.level.three_points import Triangular, from_band
from bundler.plan.network import FOLLOWS

#: a band of 80 % from 2 days less to 3 days more, of 10
BAND = (-0.2, 0.3)


def outage(
    days: dict[str, float], *arcs: tuple[str, str], latest: float = np.nan, start: float = 0.0
) -> Network:
    tasks = pd.DataFrame({"task": list(days), "duration_days": list(days.values())})
    tasks = tasks.assign(earliest_days=0.0, start_days=start, latest_days=latest)
    return Network(tasks, pd.DataFrame([(*arc, 0.0) for arc in arcs], columns=FOLLOWS))


def doubt(
    names: Iterable[str], band: tuple[float, float] = BAND, system: str = "", cost: float = 0.0
) -> Doubt:
    tasks = pd.DataFrame({"task": list(names), "low_share": band[0], "high_share": band[1]})
    tasks = tasks.assign(system=system, common_cause="", cost=cost)
    return Doubt(tasks, no_doubt("discoveries"), no_doubt("deliveries"), shape=Triangular)


def found(*rows: tuple[str, str, float, float, float, str]) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=DOUBTS["discoveries"])


def told(own: Network, what: Doubt, runs_count: int = 10_000, seed: int = 5) -> Confidence:
    return confidence(own, what, rng=np.random.default_rng(seed), runs_count=runs_count)


def test_a_discovery_at_a_quarter_is_not_in_p75_and_is_in_p80() -> None:
    """100 days without band, 28 more with 0.25 and 2,900 to pay: P50 and P75 fit, P80 does not."""
    own = replace(
        doubt("A", (0.0, 0.0), cost=100.0), discoveries=found(("D", "A", 0.25, 28.0, 2900.0, ""))
    )
    result = told(outage({"A": 100.0}), own)
    assert [result.finish.at(chance) for chance in (0.5, 0.75, 0.7501, 0.8)] == [100, 100, 128, 128]
    assert result.finish.mean() == pytest.approx(107)
    assert result.planned_days == 100
    assert result.margin_days(100.0, 0.8) == 28
    assert result.margin_days(130.0, 0.8) == -2
    assert result.cost.at(0.8) == 3000
    assert result.cost.mean() == pytest.approx(100 + 0.25 * 2900)
    assert result.cost.worst_mean() == pytest.approx(3000)
    assert result.cost.worst_mean(0.5) == pytest.approx(1550)


def test_two_discoveries_on_chains_side_by_side() -> None:
    """Each of two chains of 10 days is 5 longer with 0.2: alone, neither is with 0.64; in one group,
    with 0.8. So P70 is 15 or 10: what meets is late more often than each."""
    own = outage({"A": 10.0, "B": 10.0})
    alone = found(("D", "A", 0.2, 5.0, 0.0, ""), ("E", "B", 0.2, 5.0, 0.0, ""))
    both = told(own, replace(doubt("AB", (0.0, 0.0)), discoveries=alone))
    tied = told(own, replace(doubt("AB", (0.0, 0.0)), discoveries=alone.assign(group="g")))
    assert both.finish.chance_by(10) == pytest.approx(0.64, abs=0.016)
    assert tied.finish.chance_by(10) == 0.8
    assert (both.finish.at(0.7), tied.finish.at(0.7)) == (15, 10)
    assert both.merge_bias_days == pytest.approx(0.36 * 5 - 1, abs=0.08)
    assert tied.merge_bias_days == pytest.approx(0, abs=1e-9)


def test_two_tasks_side_by_side_in_closed_form() -> None:
    """The greater of two alike that do not hang together has the chance F^2: its P80 is the quantile
    of each at sqrt(0.8). Within the error told (95 %) widened by a half."""
    result = told(outage({"A": 10.0, "B": 10.0}), doubt("AB"), 40_000)
    law = from_band(Triangular, *BAND)
    for row in result.levels((0.5, 0.8, 0.9)).itertuples(index=False):
        true = 10 * float(law.quantile(np.sqrt(row.chance)))
        room = 0.75 * (row.finish_high_days - row.finish_low_days)
        assert row.finish_days == pytest.approx(true, abs=room)
        assert row.finish_low_days < row.finish_days < row.finish_high_days
    assert result.tasks["longest_chance"].to_numpy() == pytest.approx([0.5, 0.5], abs=0.01)
    assert result.merge_bias_days > 0.5


def test_a_chain_has_no_merge_bias() -> None:
    result = told(outage({"A": 10.0, "B": 5.0}, ("A", "B")), doubt("AB"))
    assert result.merge_bias_days == pytest.approx(0, abs=1e-9)
    assert result.finish.mean() == pytest.approx(15 * float(from_band(Triangular, *BAND).mean()))
    assert result.planned_days == 15
    assert result.tasks["longest_chance"].tolist() == [1, 1]


def test_merge_bias_is_never_below_nothing() -> None:
    """The finish is convex in durations (Jensen 1906): the mean of the greatest is not below the
    greatest of the means, run by run of any sample."""
    for seed in range(8):
        rng = np.random.default_rng(seed)
        arcs = [(a, b) for a in "ABCDEF" for b in "ABCDEF" if a < b and rng.random() < 0.3]
        own = outage(dict(zip("ABCDEF", rng.uniform(1, 9, 6), strict=True)), *arcs)
        assert told(own, doubt("ABCDEF"), 50).merge_bias_days >= -1e-9


def test_p80s_are_not_added_up() -> None:
    """Ten tasks in a row: alone, the P80 of the sum lies below the sum of the P80s and near the
    normal one, mean + 0.8416 sd; all as one (correlation 1), it is the sum of the P80s."""
    names = "ABCDEFGHIJ"
    own = outage(dict.fromkeys(names, 10.0), *zip(names[:-1], names[1:], strict=True))
    law = from_band(Triangular, *BAND)
    added = 100 * float(law.quantile(0.8))
    alone, some = told(own, doubt(names)), told(own, doubt(names, system="S"))
    as_one = told(own, replace(doubt(names, system="S"), system_correlation=1.0))
    mean, variance = 100 * float(law.mean()), 1000 * float(law.variance())
    normal = mean + float(stats.norm.ppf(0.8)) * np.sqrt(variance)
    assert alone.finish.at(0.8) == pytest.approx(normal, abs=0.3)
    assert alone.finish.at(0.8) + 2 < some.finish.at(0.8) < added - 2
    assert as_one.finish.at(0.8) == pytest.approx(added, abs=0.01)


def test_drivers_of_a_chain_are_parts_of_its_variance() -> None:
    """In a row without correlation each task's part is its variance over the sum: 9 : 4 : 1 for days
    3 : 2 : 1 with one band. A discovery's is p (1 - p) days^2. Four standard errors: 0.02."""
    own = outage({"A": 30.0, "B": 20.0, "C": 10.0, "D": 5.0}, ("A", "B"), ("B", "C"))
    what = replace(doubt("ABCD"), discoveries=found(("X", "C", 0.2, 10.0, 0.0, "")))
    result = told(own, what, 40_000)
    unit = 100 * float(from_band(Triangular, *BAND).variance())
    parts = {"A": 9 * unit, "B": 4 * unit, "C": unit, "D": 0.0, "X": 0.16 * 100}
    shares = result.drivers.set_index("name")["variance_share"]
    for name, part in parts.items():
        assert shares[name] == pytest.approx(part / sum(parts.values()), abs=0.02)
    assert result.explained_share == pytest.approx(1, abs=1e-9)
    assert shares.sum() == pytest.approx(1)
    assert shares.is_monotonic_decreasing
    assert result.drivers.set_index("name").loc["X", ["kind", "task"]].tolist() == [
        "discovery",
        "C",
    ]


def test_a_task_beside_the_chain_drives_nothing_though_it_hangs_together() -> None:
    own = outage({"A": 30.0, "B": 3.0})
    result = told(own, doubt("AB", system="S"))
    assert result.drivers["variance_share"].tolist() == pytest.approx([1, 0], abs=1e-9)
    assert np.isclose(result.tasks["longest_chance"], [1, 0]).all()


def test_shares_of_variance_of_two_alike() -> None:
    """y = x1 + x2 with correlation 0.5: each half, all explained; y = x1 = x2: half each too."""
    cov = np.array([[1, 0.5, 1.5], [0.5, 1, 1.5], [1.5, 1.5, 3]])
    shares, explained = variance_shares(cov)
    assert (*shares, explained) == pytest.approx((0.5, 0.5, 1))
    shares, explained = variance_shares(np.ones((3, 3)))
    assert (*shares, explained) == pytest.approx((0.5, 0.5, 1))
    shares, explained = variance_shares(np.zeros((3, 3)))
    assert (*shares, explained) == (0, 0, 0)


def test_a_late_delivery_and_its_driver() -> None:
    """B of 4 days starts on day 6 at the earliest, 8 days later with 0.3: ends by 10 or 18; A of 12
    beside it. Finish 12 with 0.7, else 18; A on the longest chain in 0.7, B in 0.3."""
    own = outage({"A": 12.0, "B": 4.0})
    own = replace(own, tasks=own.tasks.assign(earliest_days=[0.0, 6.0]))
    late = pd.DataFrame([("parts", "B", 0.3, 8.0, "")], columns=DOUBTS["deliveries"])
    result = told(own, replace(doubt("AB", (0.0, 0.0)), deliveries=late))
    assert [result.finish.at(chance) for chance in (0.7, 0.71)] == [12, 18]
    assert result.tasks["longest_chance"].tolist() == pytest.approx([0.7, 0.3])
    assert result.tasks["end_days"].tolist() == pytest.approx([12, 12.4])
    assert result.drivers.iloc[0].tolist() == ["delivery", "parts", "B", pytest.approx(1)]


def test_a_window_is_overrun_with_the_chance_above_its_band() -> None:
    """P90 of 10 days is 13: a window to day 13 is overrun in a tenth of the runs."""
    result = told(outage({"A": 10.0}, latest=13.0), doubt("A"))
    assert result.tasks["overrun_chance"].tolist() == [pytest.approx(0.1, abs=1e-4)]


def test_coming_forward_is_never_later_than_the_railway_rule() -> None:
    """B planned on day 12 after A of 10: held, the outage never ends before 12 and B's least."""
    own = outage({"A": 10.0, "B": 5.0}, ("A", "B"))
    own = replace(own, tasks=own.tasks.assign(start_days=[0.0, 12.0]))
    held = told(own, doubt("AB"))
    free = confidence(own, doubt("AB"), rng=np.random.default_rng(5), rule=come_forward)
    assert (free.finish.values <= held.finish.values).all()
    assert (held.planned_days, free.planned_days) == (17, 15)
    assert held.finish.values.min() > 12 + 5 * float(from_band(Triangular, *BAND).low)
    assert free.finish.values.min() < 12


def test_days_after_the_due_day_cost_money() -> None:
    """100 a day after day 105, of 100 or 128 days: 0 or 2,300, beside 50 for the work."""
    own = replace(outage({"A": 100.0}), day_cost=100.0, due_days=105.0)
    what = replace(
        doubt("A", (0.0, 0.0), cost=50.0), discoveries=found(("D", "A", 0.25, 28.0, 0.0, ""))
    )
    result = told(own, what)
    assert np.unique(result.cost.values).tolist() == [50, 2350]
    levels = result.levels((0.5, 0.9))
    assert levels["cost"].tolist() == [50, 2350]
    assert levels["finish_days"].tolist() == [100, 128]


def test_same_seed_same_bytes_in_any_order_of_rows() -> None:
    own, what = (
        outage({"A": 10.0, "B": 9.0, "C": 4.0}, ("A", "C"), ("B", "C")),
        doubt("ABC", system="S"),
    )
    first, again = told(own, what, 500), told(own, what, 500)
    turned = told(
        Network(own.tasks.iloc[::-1], own.arcs.iloc[::-1]),
        replace(what, tasks=what.tasks.iloc[[1, 2, 0]]),
        500,
    )
    for other in (again, turned):
        assert other.finish.values.tobytes() == first.finish.values.tobytes()
        pd.testing.assert_frame_equal(other.drivers, first.drivers)
        pd.testing.assert_frame_equal(other.tasks, first.tasks)
    assert told(own, what, 500, seed=6).finish.values.tobytes() != first.finish.values.tobytes()


def test_runs_in_blocks_tell_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """In 7 blocks: as many runs, and each quantile inside the error told of the whole."""
    own, what = outage({"A": 10.0, "B": 9.0}), doubt("AB")
    whole = told(own, what, 4_001)
    monkeypatch.setattr(module, "MOST_CELLS", 1_200)
    parts = told(own, what, 4_001)
    assert len(parts.finish.values) == 4_001
    assert parts.finish.values.tobytes() != whole.finish.values.tobytes()
    for chance in (0.5, 0.8, 0.9):
        low, high = whole.finish.error(chance)
        assert low < parts.finish.at(chance) < high
    shares = [own.drivers.set_index("name")["variance_share"] for own in (parts, whole)]
    assert shares[0]["A"] == pytest.approx(shares[1]["A"], abs=0.05)
    assert parts.tasks["longest_chance"].sum() == pytest.approx(1, abs=1e-9)


def test_the_ten_that_move_the_finish_most() -> None:
    names = "ABCDEFGHIJKL"
    own = outage(dict.fromkeys(names, 10.0), *zip(names[:-1], names[1:], strict=True))
    result = told(own, doubt(names), 1000)
    assert len(result.top_drivers) == 10
    assert (
        result.top_drivers["variance_share"].min()
        >= result.drivers["variance_share"].iloc[10:].max()
    )


def test_tables_that_do_not_fit_are_told() -> None:
    own = outage({"A": 1.0, "B": 2.0})
    with pytest.raises(DataError, match="tasks, task: B has no doubt of its own; one row a task"):
        told(own, doubt("A"))
    with pytest.raises(DataError, match="discoveries row 1, task: Z is no task"):
        told(own, replace(doubt("AB"), discoveries=found(("D", "Z", 0.2, 1.0, 0.0, ""))))
