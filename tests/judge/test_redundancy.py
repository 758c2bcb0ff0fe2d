"""Output lost by groups, by hand and by integrals."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from bundler.case import Case
from bundler.judge import PlanFacts, judge, recomputed
from bundler.judge.reading import Reading, read_plan
from bundler.judge.redundancy import group_loss_pv, groups_of
from bundler.judge.risk import risk_pv
from bundler.judge.site import site_of
from bundler.risk.redundancy import expected_lost
from tests.judge.small import END, O1, P1, Rows, added, edited, outage, plan, small

RATE = {"discount_share_per_year": 0.05}
Y = 365.25
#: days on line of U1 without and with another outage of 30 days for all
ON_LINE = END - 40
PUMPS: Rows = [
    {"component": f"P{number}", "unit": "U1", "family": "PUMP", "train": "AB"[number % 2],
     "position_count": number}
    for number in (1, 2, 3)
]  # fmt: skip
#: both units' capacity; a MW is worth 0.1 of the money of U1 a day
UNITS: Rows = [
    {"unit": "U1", "capacity_mw": 1000.0, "day_value_cost_per_day": 100.0, "first_sync_date": "2007-01-01"},
    {"unit": "U2", "capacity_mw": 500.0, "day_value_cost_per_day": 200.0, "first_sync_date": "2007-01-01"},
]  # fmt: skip


def group(*members: tuple[str, str], **cells: Any) -> dict[str, Rows]:
    """Return the tables of one group; members are family and train."""
    return {
        "groups": [
            {"group": "G", "match": "unit", "line_by": "component", "repair_days": 20.0} | cells
        ],
        "group_members": [
            {"group": "G", "family": family, "train": train}
            for family, train in members or [("PUMP", "")]
        ],
    }


def states(*lost: tuple[int, float, float]) -> Rows:
    """Return states: lines out, MW lost in summer and in winter."""
    return [
        {"group": "G", "out_count": count, "summer_lost_mw": summer, "winter_lost_mw": winter}
        for count, summer, winter in lost
    ]


def station(count: int, *lost: tuple[int, float, float], **more: Any) -> Case:
    """Return a station with so many pumps in U1 as a group; more: tables, and settings."""
    single = more.pop("settings", {})
    tables: dict[str, Any] = {"units": UNITS, "components": PUMPS[:count]} | group()
    return small(single, **(tables | {"group_states": states(*lost)} | more))


def reading(case: Case, *works: tuple[str, str, str]) -> Reading:
    return read_plan(case, plan(case, *works))


def loss(case: Case, *works: tuple[str, str, str]) -> float:
    return group_loss_pv(reading(case, *works))


#: chance that a pump is out: once in 20 years for 20 days
U = 20 / (20 * Y)


def test_a_pair_in_closed_form() -> None:
    """Both out loses 800 MW, one 100 MW, a MW-day is worth 0.1; nothing while U1 is shut."""
    case = station(2, (1, 100.0, 100.0), (2, 800.0, 800.0))
    mw = 2 * U * (1 - U) * 100 + U**2 * 800
    assert loss(case) == pytest.approx(mw * 0.1 * ON_LINE, rel=1e-9)
    case = station(2, (1, 100.0, 100.0), (2, 800.0, 800.0), settings=RATE)
    k = np.log(1.05) / Y
    lived = (1 - np.exp(-k * O1) + np.exp(-k * (O1 + 40)) - np.exp(-k * END)) / k
    assert loss(case) == pytest.approx(mw * 0.1 * lived, rel=1e-6)


def test_counts_without_a_row_lose_as_the_next_lower() -> None:
    case = station(3, (2, 500.0, 500.0))
    mw = 500 * (3 * U**2 * (1 - U) + U**3)
    assert loss(case) == pytest.approx(mw * 0.1 * ON_LINE, rel=1e-9)
    assert loss(station(3)) == 0


def test_a_share_of_the_failures_takes_all() -> None:
    """Two lines, beta 0.1: (0.9 u)^2 + 0.1 u."""
    case = station(2, (2, 800.0, 800.0), **group(beta_share=0.1))
    hand = ((0.9 * U) ** 2 + 0.1 * U) * 800 * 0.1 * ON_LINE
    assert loss(case) == pytest.approx(hand, rel=1e-9)


def test_seasons() -> None:
    """Twenty summers of 122 days, whatever the cells; winter is the rest."""
    always = loss(station(2, (1, 100.0, 100.0)))
    summer = loss(station(2, (1, 100.0, 0.0)))
    assert summer / always == pytest.approx(122 * 20 / ON_LINE, rel=1e-9)
    assert summer + loss(station(2, (1, 0.0, 100.0))) == pytest.approx(always, rel=1e-9)
    one = {"summer_from_month": 7, "summer_to_month": 7}
    july = loss(station(2, (1, 100.0, 0.0), settings=one))
    assert july / always == pytest.approx(31 * 20 / ON_LINE, rel=1e-9)


def test_seasons_over_the_new_year_and_all_year() -> None:
    """November to February, five times with a leap day, without 2046-12-31, on which the plan
    ends, and the 40 days from 2029-01-01."""
    always = loss(station(2, (1, 100.0, 100.0)))
    months = {"summer_from_month": 11, "summer_to_month": 2}
    wrapped = loss(station(2, (1, 100.0, 0.0), settings=months))
    assert wrapped / always == pytest.approx((120 * 20 + 5 - 1 - 40) / ON_LINE, rel=1e-9)
    whole = {"summer_from_month": 1, "summer_to_month": 12}
    assert loss(station(2, (1, 100.0, 0.0), settings=whole)) == pytest.approx(always, rel=1e-9)


def test_a_line_is_out_when_any_of_its_members_is() -> None:
    """Pump and valve of a position make a line: u = 1 - (1 - 20/20 y)(1 - 20/50 y)."""
    valves = [
        {"component": f"V{n}", "unit": "U1", "family": "VALVE", "position_count": n} for n in (1, 2)
    ]
    tables = group(("PUMP", ""), ("VALVE", ""), line_by="position")
    case = station(2, (2, 800.0, 800.0), components=[*PUMPS[:2], *valves], **tables)
    line = 1 - (1 - U) * (1 - 20 / (50 * Y))
    assert loss(case) == pytest.approx(line**2 * 80 * ON_LINE, rel=1e-9)


def test_lines_by_train_and_members_of_one_train_only() -> None:
    """P1 and P3 are of train B and fail together, P2 of train A."""
    case = station(3, (2, 800.0, 800.0), **group(line_by="train"))
    assert loss(case) == pytest.approx((1 - (1 - U) ** 2) * U * 80 * ON_LINE, rel=1e-9)
    case = station(3, (2, 800.0, 800.0), **group(("PUMP", "B")))
    assert loss(case) == pytest.approx(U**2 * 80 * ON_LINE, rel=1e-9)
    # asked for twice, counted once
    case = station(3, (2, 800.0, 800.0), **group(("PUMP", "B"), ("PUMP", ""), ("PUMP", "A")))
    assert loss(case) == pytest.approx((3 * U**2 - 2 * U**3) * 80 * ON_LINE, rel=1e-9)


def test_one_group_a_unit_a_train_or_the_station() -> None:
    more = [own | {"component": f"Q{own['position_count']}", "unit": "U2"} for own in PUMPS]
    found = {}
    for match in ("unit", "train", "station"):
        case = station(3, (1, 10.0, 10.0), components=[*PUMPS, *more], **group(match=match))
        held = [
            (one.owner, sorted(own.component for line in one.lines for own in line))
            for one in groups_of(site_of(case))
        ]
        found[match] = held
    assert found["unit"] == [("U1", ["P1", "P2", "P3"]), ("U2", ["Q1", "Q2", "Q3"])]
    assert found["train"] == [
        ("U1", ["P2"]), ("U1", ["P1", "P3"]), ("U2", ["Q2"]), ("U2", ["Q1", "Q3"]),
    ]  # fmt: skip
    assert found["station"] == [("station", ["P1", "P2", "P3", "Q1", "Q2", "Q3"])]


def test_a_station_group_counts_by_the_average_unit_and_not_while_all_are_shut() -> None:
    """A station's day is worth 300, its average unit has 750 MW; S1 shuts all for 30 days."""
    common = [{"component": f"C{number}", "unit": "station", "family": "PUMP"} for number in (1, 2)]
    shared = outage("S1", "station", "2040-01-01", 30.0)
    case = station(2, (2, 600.0, 600.0), components=common, outages=added("outages", shared))
    assert loss(case) == pytest.approx(U**2 * 600 * 300 / 750 * (END - 30), rel=1e-9)


def test_the_end_of_a_unit_ends_its_groups() -> None:
    units = [UNITS[0] | {"end_date": "2033-01-01"}, UNITS[1]]
    case = station(2, (2, 800.0, 800.0), units=units)
    assert loss(case) == pytest.approx(U**2 * 80 * (2192 - 40), rel=1e-9)


def product_of(*rates: Callable[[float], float]) -> Callable[[float], float]:
    return lambda t: float(np.prod([rate(t) * 20 / Y for rate in rates])) * 1.05**-t


def test_ageing_pumps_of_which_one_is_renewed() -> None:
    """The chance that both are out, by an integral; P1 is new after O1."""
    pump = edited("families", 0, curve="weibull", life_years=30.0, shape_ratio=3.0)
    case = station(2, (2, 800.0, 800.0), families=pump, settings=RATE)
    done = (O1 + 40) / Y

    def aged(since: float) -> Callable[[float], float]:
        return lambda t: 3 / 30 * ((t - since) / 30) ** 2

    def integral(both: Callable[[float], float], low: float, high: float) -> float:
        return float(quad(both, low, high, epsabs=1e-14)[0]) * 80 * Y

    old, new = product_of(aged(-20), aged(-20)), product_of(aged(-20), aged(done))
    before = integral(old, 0.0, O1 / Y)
    assert loss(case) == pytest.approx(before + integral(old, done, END / Y), rel=1e-5)
    assert loss(case, P1) == pytest.approx(before + integral(new, done, END / Y), rel=1e-4)


def test_lives_stretched_by_component() -> None:
    case = station(2, (2, 800.0, 800.0))
    found = group_loss_pv(reading(case), {"P1": 2.0})
    assert found == pytest.approx(loss(case) / 2, rel=1e-9)


def test_a_failure_rate_beyond_all_days_is_always_out() -> None:
    case = station(2, (2, 800.0, 800.0), **group(repair_days=10000.0))
    assert loss(case) == pytest.approx(80 * ON_LINE, rel=1e-9)


def test_members_lose_no_output_of_their_own_and_cost_their_repair() -> None:
    """Of 200 + 5 x 100 + 0.3 x 1000 only the output goes; the group's loss comes to it."""
    pump = edited("families", 0, forced_outage_chance=0.3, derate_share=0.1)
    single = {"settings": {"forced_outage_cost": 1000.0}}
    case = station(2, (2, 800.0, 800.0), families=pump, **single)
    own = 2 * (200 + 300) / 20 * ON_LINE / Y
    assert risk_pv(reading(case)) == pytest.approx(own, rel=1e-9)
    total = recomputed(case, plan(case))["risk_pv_cost"]
    assert total == pytest.approx(own + U**2 * 80 * ON_LINE, rel=1e-9)
    # P1 and P3 are in the group, P2 is not; a group without states changes nothing
    case = station(3, (2, 800.0, 800.0), **group(("PUMP", "B")))
    own = (2 * 200 + 700) / 20 * ON_LINE / Y
    assert risk_pv(reading(case)) == pytest.approx(own, rel=1e-9)
    assert risk_pv(reading(station(3))) == pytest.approx(3 * 700 / 20 * ON_LINE / Y, rel=1e-9)


def test_the_other_reading_gives_the_same() -> None:
    """Lines of pump and valve with a common cause, against the convolution of the plan's side."""
    valves = [
        {"component": f"V{n}", "unit": "U1", "family": "VALVE", "position_count": n}
        for n in (1, 2, 3)
    ]
    tables = group(
        ("PUMP", ""), ("VALVE", ""), line_by="position", beta_share=0.07, repair_days=500.0
    )
    lost = ((1, 50.0, 50.0), (2, 300.0, 300.0), (3, 900.0, 900.0))
    case = station(3, *lost, components=[*PUMPS, *valves], **tables)
    u = np.array([[500 / (20 * Y)]] * 3 + [[500 / (50 * Y)]] * 3)
    mw = expected_lost(u, np.array([0, 1, 2] * 2), np.array([[0.0], [50], [300], [900]]), 0.07)
    assert loss(case) == pytest.approx(mw[0] * 0.1 * ON_LINE, rel=1e-9)


def test_a_wrong_claim_of_the_loss_is_named() -> None:
    case = station(2, (1, 500.0, 500.0))
    right = plan(case)
    assert recomputed(case, right) == right.claimed
    low = right.claimed["risk_pv_cost"] - loss(case)
    costs = {**right.claimed, "risk_pv_cost": low}
    facts = PlanFacts(right.works, right.access, {}, {}, costs)
    assert [(one.rule, one.place) for one in judge(case, facts)] == [("cost", "risk_pv_cost")]
