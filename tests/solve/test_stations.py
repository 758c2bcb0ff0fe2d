"""Invented stations are the same for the same seed, can be planned, and are truly short."""

import dataclasses

import numpy as np
import pandas as pd
import pytest

from bundler.choice import Choices
from bundler.program.limits import most_used
from bundler.solve.find import find_plan
from bundler.solve.highs import Options
from bundler.solve.rank_fill import fewest_works
from bundler.standing.whole import holds
from tests.benchmarks.stations import station

OPTIONS = Options(time_limit_seconds=20.0, gap_share=0.3, way="whole")


@pytest.fixture(scope="module")
def small() -> Choices:
    return station(60, 1)


@pytest.fixture(scope="module")
def large() -> Choices:
    return station(3000, 1)


def tables(choices: Choices) -> dict[str, pd.DataFrame]:
    found = {field.name: getattr(choices, field.name) for field in dataclasses.fields(choices)}
    return {name: table for name, table in found.items() if isinstance(table, pd.DataFrame)}


def test_the_same_seed_gives_the_same_station(small: Choices) -> None:
    again, other = tables(station(60, 1)), tables(station(60, 2))
    for name, table in tables(small).items():
        pd.testing.assert_frame_equal(table, again[name])
    assert not small.courses["pv_cost"].equals(other["courses"]["pv_cost"])


def test_doing_what_must_be_done_and_nothing_else_holds(large: Choices) -> None:
    fewest = fewest_works(large)
    assert len(large.works[large.works["course"].isin(fewest)]) > 10, "nothing must be done"
    assert holds(large, tuple(int(q) for q in fewest))


def test_a_plan_is_found_and_holds(small: Choices) -> None:
    solved = find_plan(small, OPTIONS, lambda stage, share: None)
    assert holds(small, solved.courses)
    assert small.courses.groupby("component")["pv_cost"].min().sum() < solved.bound_pv_cost


def wanted_of(choices: Choices) -> pd.Series:
    """Return what the cheapest courses, each by itself, take of each limit, with their access."""
    best = choices.courses.sort_values(["component", "pv_cost", "course"]).groupby("component")
    done = choices.works.loc[choices.works["course"].isin(best["course"].first()), "placement"]
    uses = choices.uses[choices.uses["placement"].isin(done)]
    members = choices.access_members
    opened = members.loc[members["placement"].isin(done), "access"]
    more = choices.access_uses[choices.access_uses["access"].isin(opened)]
    return pd.concat([uses, more]).groupby("limit")["amount"].sum()


def test_limits_hold_about_half_of_what_is_wanted(large: Choices) -> None:
    limits = large.limits.set_index("limit")
    wanted = wanted_of(large).reindex(limits.index).fillna(0.0)
    wide = wanted >= wanted.groupby(limits["measure"]).transform("quantile", 0.5)
    share = limits["amount"][wide].sum() / wanted[wide].sum()
    assert 0.4 < share < 0.6
    for measure, own in limits[wide].groupby("measure"):
        held = own["amount"].sum() / wanted[own.index].sum()
        assert 0.4 < held < 0.6, measure


def test_every_work_fits_its_rows_alone(small: Choices) -> None:
    fits = small.placements.loc[small.placements["extension_days"] == 0, "placement"]
    uses = small.uses[small.uses["placement"].isin(fits)]
    amount = uses["limit"].map(small.limits.set_index("limit")["amount"])
    assert (uses["amount"] <= amount).all()


def test_courses_are_at_most_two_works_the_second_later(large: Choices) -> None:
    placed = large.placements.set_index("placement")
    works = large.works.assign(start=large.works["placement"].map(placed["start_days"]))
    works["component"] = works["placement"].map(placed["component"])
    first, last = works.groupby("course")["start"].min(), works.groupby("course")["start"].max()
    counts = works.groupby("course").size()
    assert counts.max() == 2
    assert (last[counts == 2] > first[counts == 2]).all()
    owner = large.courses["component"].to_numpy()[works["course"]]
    assert (owner == works["component"]).all()
    assert large.courses["course"].tolist() == list(range(len(large.courses)))
    assert large.courses["component"].is_monotonic_increasing


def test_rows_can_be_overfull(large: Choices) -> None:
    most = large.limits["limit"].map(most_used(large))
    assert (most > large.limits["amount"]).mean() > 0.9


def simulated_risk(
    shape: float, scale: float, age: float, ends: list[float], left: list[float]
) -> float:
    """Return discounted failures over the horizon by a fine sum instead of incomplete gammas."""
    from tests.benchmarks.station_plant import HORIZON_YEARS, REAL_RATE

    steps = 200_000
    time = (np.arange(steps) + 0.5) * HORIZON_YEARS / steps
    own = np.full(steps, age) + time
    for end, share in zip(ends, left, strict=True):
        after = time >= end
        before = own[after][0]
        own[after] += share * before - before
    hazard = shape / scale * (own / scale) ** (shape - 1)
    return float((hazard * np.exp(-REAL_RATE * time)).sum() * HORIZON_YEARS / steps)


def test_risk_is_the_discounted_hazard_summed(small: Choices) -> None:
    from tests.benchmarks.station_plant import AGE_LEFT, YEAR_DAYS, fleet, plant

    rng = np.random.default_rng([60, 1])
    parts = fleet(60, plant(60, rng), rng)
    slot = dict(zip(("replace", "overhaul", "replace_joined"), AGE_LEFT, strict=True))
    placed = small.placements.set_index("placement")
    for course in (0, 5, 150, 3000, 9000):
        row = small.courses.iloc[course]
        number = int(row["component"][1:])
        works = small.works.loc[small.works["course"] == course, "placement"]
        own = placed.loc[works].sort_values("end_days")
        told = simulated_risk(
            parts.shape[number], parts.scale_years[number], parts.age_years[number],
            list(own["end_days"] / YEAR_DAYS), [slot[a] for a in own["action"]],
        )  # fmt: skip
        assert row["risk_pv_cost"] == pytest.approx(parts.loss_cost[number] * told, rel=1e-3)
