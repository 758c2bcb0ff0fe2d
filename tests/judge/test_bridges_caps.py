"""The judge on half measures, on the cap over partial renewals, and on like work for dates."""

import pytest

from bundler.judge import judge
from bundler.judge.capped import worst_year
from bundler.judge.lives import steps_of
from bundler.judge.reading import read_plan
from tests.judge.small import END, O1, added, broken, edited, plan, small

Y = 365.25
THIRD = {"outage": "O3", "unit": "U1", "kind": "planned", "start_date": "2035-01-01",
         "days": 40.0, "freeze_date": "2034-01-01"}  # fmt: skip
PATCH = {"family": "PUMP", "action": "patch", "cost": 1.0, "days": 10.0, "conditions": "D",
         "restoration_share": 0.2}  # fmt: skip
CHECK = {**PATCH, "action": "check", "restoration_share": 0.0}
PATCHED, REPLACED = ("P1", "patch", "O1"), ("P1", "replace", "O3")


def test_whole_work_follows_a_half_measure() -> None:
    """Patched by day 746 of 2029, whole work is done by 2035-01-16, 6.0 years after: day 2937."""
    years = (2937 - 746) / Y
    tables = {"outages": added("outages", THIRD)}
    for bridge, wanted in ((years + 0.001, []), (years - 0.001, ["bridge"])):
        held = small(**tables, actions=added("actions", PATCH | {"bridge_years": bridge}))
        assert broken(held, PATCHED, REPLACED) == wanted
    held = small(**tables, actions=added("actions", PATCH | {"bridge_years": 6.5}))
    [breach] = judge(held, plan(held, PATCHED))
    assert breach.rule == "bridge"
    assert breach.amount == pytest.approx(END - 746 - 6.5 * Y)
    assert breach.text == (
        "P1 (patch) in O1: it bridges 6.5 years, to 2035-07-18; no whole work follows for "
        f"{END - 746 - 6.5 * Y:.0f} days more."
    )


def test_only_work_that_restores_ends_a_half_measure() -> None:
    tables = {"outages": added("outages", THIRD)}
    actions = [*added("actions", PATCH | {"bridge_years": 6.5}), CHECK]
    assert broken(small(**tables, actions=actions), PATCHED, ("P1", "check", "O3")) == ["bridge"]
    again = small(**tables, actions=actions)
    assert broken(again, PATCHED, ("P1", "patch", "O3")) == ["bridge"]


def test_a_half_measure_may_outlast_the_plan() -> None:
    held = small(actions=added("actions", PATCH | {"bridge_years": (END - 746) / Y}))
    assert broken(held, PATCHED) == []


def test_work_like_the_one_asked_for_meets_a_date() -> None:
    due = [{"component": "P1", "action": "replace", "due_date": "2029-06-01"}]
    like = small(mandates=due, actions=added("actions", PATCH | {"like": "replace"}))
    assert broken(like, PATCHED) == []
    assert broken(small(mandates=due, actions=added("actions", PATCH)), PATCHED) == ["mandate"]


@pytest.mark.parametrize("mode", ["repair", "renew"])
def test_the_worst_year_in_closed_form(mode: str) -> None:
    """A constant rate is the same however failures renew; half a year less where less is left."""
    one = [{"component": "P1", "unit": "U1", "family": "PUMP", "train": "A"}]
    held = small(components=one, families=edited("families", 0, on_failure=mode))
    reading = read_plan(held, plan(held, PATCHED[:1] + ("replace", "O1")))
    part, steps = reading.site.components["P1"], steps_of(reading.site)
    found, _ = worst_year(reading, part, list(reading.works), steps, O1)
    assert found == pytest.approx(0.05, rel=1e-3)
    late, start = worst_year(reading, part, list(reading.works), steps, END - Y / 2)
    assert late == pytest.approx(0.025, rel=1e-3) and start == pytest.approx(END - Y / 2)


def test_the_worst_year_of_a_wearing_pump() -> None:
    """Weibull by hand: 20 years old, renewed on day 771; before O1's end nothing could be done."""
    families = edited("families", 0, curve="weibull", life_years=30.0, shape_ratio=3.0)
    one = [{"component": "P1", "unit": "U1", "family": "PUMP", "train": "A"}]
    held = small(components=one, families=families)
    reading = read_plan(held, plan(held, ("P1", "replace", "O1")))
    part, steps = reading.site.components["P1"], steps_of(reading.site)
    found, start = worst_year(reading, part, list(reading.works), steps, 771.0)
    last = (END - 771) / Y
    assert found == pytest.approx((last**3 - (last - 1) ** 3) / 30**3, rel=1e-4)
    assert start == pytest.approx(END - Y)
    idle = read_plan(held, plan(held))
    found, _ = worst_year(idle, part, [], steps, 771.0)
    age = (7305 + END) / Y  # first sync 2007-01-01, 7305 days before planning
    assert found == pytest.approx((age**3 - (age - 1) ** 3) / 30**3, rel=1e-4)
