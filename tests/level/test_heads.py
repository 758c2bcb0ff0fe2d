"""What there is in each slot of an outage, each amount worked by hand.

One head of the small station gives 50 h / 7 x 0.5 = 3.571 direct hours a day.
"""

import numpy as np
import pandas as pd
import pytest

from bundler.level.heads import Outage, bands, base_profile, heads_of, outage_of, pools, runs
from tests.cases import case, one_unit, settings
from tests.level.laid import everything, laid

P1 = ("PUMP-1", "replace", "P1")
OUTAGE = Outage("P1", "U1", "planned", 100.0, 10.0, 2.0, 8.0, 2)


def held_in(resource: str, table: pd.DataFrame) -> list[tuple[int, int, int]]:
    own = table[table["resource"] == resource].sort_values("start")
    return list(own[["start", "end", "amount"]].itertuples(index=False, name=None))


def test_days_become_slots_that_never_promise_more() -> None:
    assert OUTAGE.slots == 20
    assert [OUTAGE.first_slot(day) for day in (100.0, 100.5, 100.6, 101.0)] == [0, 1, 2, 2]
    assert [OUTAGE.last_slot(day) for day in (100.0, 100.5, 100.9, 110.0)] == [0, 1, 1, 20]
    assert [OUTAGE.length(days) for days in (0.0, 0.3, 0.5, 2.6)] == [0, 1, 1, 6]


def test_short_outages_have_half_days_and_added_days_are_whole() -> None:
    periods = everything(case(**one_unit())).periods
    short = outage_of(periods, "P1", {"P1": 1.2})
    assert (short.slots_per_day, short.days, short.slots) == (2, 42.0, 84)
    long = outage_of(periods.assign(days=60.0), "P1", {})
    assert (long.slots_per_day, long.slots) == (1, 60)


def test_base_scope_is_spread_over_crew_days() -> None:
    """500 h over 28 crew days: 140 head days, 5 heads from day 4 to day 32."""
    kinds = [
        {"kind": "planned", "max_extension_days": 10.0, "crew_from_days": 4.0, "crew_to_days": 8.0},
        {"kind": "on_line"},
    ]
    base = [{"kind": "planned", "resource": "M", "work_hours": 500.0}]
    own = laid(case(**one_unit(outage_kinds=kinds, base_scope=base)), P1)
    assert own.heads["base_heads_count"].tolist() == pytest.approx([5.0])
    assert held_in("M", own.problem.taken) == [(8, 64, 500)]
    assert own.problem.resources.set_index("resource").at["M", "amount"] == 1000


def test_a_slot_held_in_part_counts_in_part_and_runs_round_up() -> None:
    table = pd.DataFrame({"start_days": [100.25], "end_days": [101.5], "heads_count": [0.105]})
    profile = OUTAGE.profile(table)
    assert profile[:4].tolist() == pytest.approx([0.0525, 0.105, 0.105, 0.0])
    assert runs("M", profile) == [("M", 0, 1, 6), ("M", 1, 3, 11)]
    assert base_profile(OUTAGE, 3.0).sum() == pytest.approx(3.0 * 12)


def test_overtime_is_by_weeks_of_crew_days() -> None:
    """6 crew days are one band; 15 % of 10 heads are 1.5."""
    station = case(settings(overtime_share=0.15, overtime_weeks=2.0), **one_unit())
    weeks, most = bands(station, OUTAGE, heads_of(station, OUTAGE))
    assert list(weeks.itertuples(index=False, name=None)) == [("M", 4, 16, 150)]
    assert list(most.itertuples(index=False, name=None)) == [("M", 2)]
    own = laid(station, P1).problem
    assert held_in("M", own.bands)[:2] == [(0, 14, 150), (14, 28, 150)]
    assert len(own.bands) == 6  # 40 days: five weeks and five days


def two_units(pool: float) -> dict[str, list[dict[str, object]]]:
    """P1 of U1 from 2029-01-01 for 40 days, and Q1 of U2 ten days later, five heads of base."""
    units = [
        {
            "unit": name,
            "capacity_mw": 800.0,
            "day_value_cost_per_day": 100.0,
            "first_sync_date": "2007-01-01",
        }
        for name in ("U1", "U2")
    ]
    outages = [
        {
            "outage": "P1",
            "unit": "U1",
            "kind": "planned",
            "start_date": "2029-01-01",
            "days": 40.0,
            "freeze_date": "2028-01-01",
        },
        {
            "outage": "Q1",
            "unit": "U2",
            "kind": "planned",
            "start_date": "2029-01-11",
            "days": 40.0,
            "freeze_date": "2028-01-01",
        },
    ]
    # 500 h x 10 / 7: 200 head days in 40
    base = [{"kind": "planned", "resource": "M", "work_hours": 200 * 50 / 7 * 0.5}]
    resources = [
        {"resource": "M", "name": "millwright", "cost_per_hour": 0.1, "pool_heads_count": pool}
    ]
    return dict(one_unit(units=units, outages=outages, base_scope=base, resources=resources))  # type: ignore[arg-type]


def test_a_pool_binds_only_while_other_crews_are_there() -> None:
    """Pool 12, base 5 and 5, held 1 from day 20 to 22: of 12, ten are taken from day 10 on."""
    station = case(**two_units(12.0))
    held = pd.DataFrame(
        {
            "period": ["Q1"],
            "resource": ["M"],
            "start_days": [731.0 + 20],
            "end_days": [731.0 + 22],
            "heads_count": [1.0],
        }
    )
    own = laid(station, P1, held=held).problem
    assert own.resources.set_index("resource").at["site.M", "amount"] == 1200
    assert held_in("site.M", own.taken) == [(20, 40, 1000), (40, 44, 1100), (44, 80, 1000)]


def test_a_pool_binds_while_tasks_of_another_outage_go_on() -> None:
    """Q1 ends on day 20 of P1, a task of it, of six heads, on day 22: six and five of base."""
    tables = two_units(12.0)
    tables["outages"][1]["days"] = 10.0
    held = pd.DataFrame(
        {
            "period": ["Q1"],
            "resource": ["M"],
            "start_days": [731.0 + 20],
            "end_days": [731.0 + 22],
            "heads_count": [6.0],
        }
    )
    own = laid(case(**tables), P1, held=held).problem
    assert held_in("site.M", own.taken)[-1] == (40, 44, 1100)


def test_a_pool_smaller_than_the_crew_still_lets_it_work_alone() -> None:
    """Pool 8 against a crew of 10: outside the overlap nothing is taken of ten, in it 2 + 10."""
    station = case(**two_units(8.0))
    own = laid(station, P1).problem
    assert own.resources.set_index("resource").at["site.M", "amount"] == 1000
    assert held_in("site.M", own.taken) == [(20, 80, 1200)]


def test_without_a_pool_or_without_others_nothing_binds() -> None:
    plain = case(**one_unit())
    periods = everything(plain).periods
    assert pools(plain, periods, OUTAGE, heads_of(plain, OUTAGE), pd.DataFrame()) == ([], [])
    alone = case(**two_units(8.0) | {"outages": two_units(8.0)["outages"][:1]})
    assert "site.M" not in set(laid(alone, P1).problem.resources["resource"])


def test_profiles_add_up() -> None:
    table = pd.DataFrame(
        {"start_days": [100.0, 105.0], "end_days": [110.0, 120.0], "heads_count": [1.0, 2.0]}
    )
    assert OUTAGE.profile(table).tolist() == [1.0] * 10 + [3.0] * 10
    assert np.isclose(OUTAGE.profile(table).sum() / 2, 10 + 2 * 5)
