"""Lines out together: rows against every schedule, and against the judge."""

from itertools import product
from typing import Any

import numpy as np
import pandas as pd
import pytest

from bundler.calendar import periods as all_periods
from bundler.calendar import spans
from bundler.case import Case
from bundler.choice import Choices
from bundler.compose import choices_of
from bundler.judge import PlanFacts
from bundler.judge.out_together import check_out_together
from bundler.judge.reading import Reading
from bundler.judge.site import Site, site_of
from bundler.judge.works import read_works
from bundler.limits.lines import allowed, places
from bundler.limits.out_together import out_together_limits
from bundler.limits.rows import LimitRows
from tests.cases import case, one_unit

OPEN = 731.0  # 2029-01-01, from 2027-01-01


def station(kept: list[dict[str, Any]], count: int = 3, **more: Any) -> Case:
    """Return a unit with so many pumps, of which lines are kept as `kept` says."""
    parts = [
        {"component": f"PUMP-{n}", "unit": "U1", "family": "PUMP", "position_count": n}
        for n in range(1, count + 1)
    ]
    group = {"group": "G", "name": "pumps"}
    return case(
        **one_unit(
            components=parts,
            groups=[group],
            group_members=[{"group": "G", "family": "PUMP"}],
            group_needs=[{"group": "G"} | row for row in kept],
            **more,
        )
    )


def works(*given: tuple[float, float, float]) -> pd.DataFrame:
    """Return one work a pump in P1: start, end and days, counted from the outage."""
    return pd.DataFrame(
        [
            (n, f"PUMP-{n + 1}", "replace", "P1", OPEN + start, OPEN + end, days)
            for n, (start, end, days) in enumerate(given)
        ],
        columns=["placement", "component", "action", "period", "start_days", "end_days", "days"],
    )


def holds(found: LimitRows, chosen: tuple[int, ...]) -> bool:
    used = found.uses[found.uses["placement"].isin(chosen)].groupby("limit")["amount"].sum()
    amount = found.limits.set_index("limit")["amount"]
    return bool((used <= amount.reindex(used.index) + 1e-6).all())


def can_be_done(table: pd.DataFrame, chosen: tuple[int, ...], most: list[int]) -> bool:
    """Try every whole-day start of every chosen work against the lines allowed each day."""
    own = table[table["placement"].isin(chosen)]
    starts = [
        range(int(row.start_days - OPEN), int(row.end_days - OPEN - row.days) + 1)
        for row in own.itertuples()
    ]
    for picks in product(*starts):
        out = np.zeros(len(most), dtype=int)
        for start, days in zip(picks, own["days"], strict=True):
            out[start : start + int(days)] += 1
        if (out <= most).all():
            return True
    return False


def all_sets(count: int) -> list[tuple[int, ...]]:
    return [tuple(n for n in range(count) if picks[n]) for picks in product((0, 1), repeat=count)]


@pytest.mark.parametrize("kept", [1, 2])
def test_what_can_be_scheduled_is_never_refused(kept: int) -> None:
    """Three lines, whole days, every schedule: no set that can be done breaks a row; and of one
    line more than may be out every set that cannot be done is refused."""
    rng = np.random.default_rng(4)
    case_ = station([{"kind": "planned", "in_service_count": kept}])
    periods, refused, missed = all_periods(case_), 0, 0
    for _ in range(40):
        given = []
        for _ in range(3):
            start, length = int(rng.integers(0, 6)), int(rng.integers(3, 9))
            given.append((start, start + length, int(rng.integers(2, length + 1))))
        table = works(*given)
        found = out_together_limits(case_, table, periods)
        for chosen in all_sets(3):
            can = can_be_done(table, chosen, [3 - kept] * 40)
            assert holds(found, chosen) or not can, (given, chosen)
            refused += not can
            missed += holds(found, chosen) and not can
            if len(chosen) <= 4 - kept:
                assert holds(found, chosen) == can, (given, chosen)
    assert refused >= 5
    assert missed <= 0.05 * refused


def test_rows_by_hand() -> None:
    """Two of three have to stay: 30 days of one line hold three works of 12 days two at a time
    only. Each pair can follow (24 <= 30), all three cannot (36 > 30): one row, 12/30 a line."""
    case_ = station([{"kind": "planned", "in_service_count": 2}])
    found = out_together_limits(case_, works(*[(5, 35, 12)] * 3), all_periods(case_))
    [limit] = found.limits.to_dict("records")
    assert limit["amount"] == pytest.approx(1.0)
    assert limit["measure"] == "lines"
    assert limit["title"] == "lines of pumps out of service together in P1"
    assert limit["window"] == "5-35"
    assert found.uses["amount"].tolist() == pytest.approx([0.4] * 3)
    two_may = station([{"kind": "planned", "in_service_count": 1}])
    found = out_together_limits(two_may, works(*[(5, 35, 12)] * 3), all_periods(two_may))
    assert found.limits.empty  # 36 <= 60 line days


def test_a_condition_replaces_the_row_of_its_kind() -> None:
    """All three stay in service, but with the core empty (days 10 to 20) one may be out."""
    windows = [
        {"kind": "planned", "condition": "D"},
        {"kind": "planned", "condition": "F", "from_days": 10.0, "to_anchor": "start", "to_days": 20.0},
    ]  # fmt: skip
    kept = [
        {"kind": "planned", "in_service_count": 3},
        {"kind": "planned", "condition": "F", "in_service_count": 2},
    ]
    conditions = [{"condition": "D", "name": "drained"}, {"condition": "F", "name": "core empty"}]
    case_ = station(kept, windows=windows, conditions=conditions)
    choices, _ = choices_of(case_)
    [place] = places(case_)
    may = allowed(case_, place, choices.periods, spans(case_, choices.periods))
    assert may.line_days(OPEN, OPEN + 40, 3) == pytest.approx(10.0)
    assert may.line_days(OPEN + 5, OPEN + 12, 3) == pytest.approx(2.0)
    assert may.least(OPEN + 10, OPEN + 20) == 1.0
    assert may.line_days(OPEN - 100, OPEN, 3) == pytest.approx(300.0)  # on line: no rule
    table = works((10, 20, 4), (10, 20, 7), (0, 9, 2))
    found = out_together_limits(case_, table, choices.periods)
    assert holds(found, (0,)) and holds(found, (1,))
    assert not holds(found, (0, 1)) and not holds(found, (2,))


def test_where_none_may_be_out_no_work_is_done() -> None:
    case_ = station([{"kind": "planned", "in_service_count": 3}])
    found = out_together_limits(case_, works((5, 35, 4), (5, 35, 6)), all_periods(case_))
    assert not holds(found, (0,)) and not holds(found, (1,))
    assert (found.limits["amount"] == 0).all()
    free = station([{"kind": "on_line", "in_service_count": 3}])
    assert out_together_limits(free, works((5, 35, 4)), all_periods(free)).limits.empty


def test_a_work_that_needs_added_days_may_be_alone() -> None:
    """A work of 12 days in 10 needs 2 days more: alone it keeps the rule, not beside another."""
    case_ = station([{"kind": "planned", "in_service_count": 2}])
    found = out_together_limits(case_, works((5, 15, 12), (5, 15, 1)), all_periods(case_))
    assert holds(found, (0,)) and holds(found, (1,)) and not holds(found, (0, 1))


def mixed() -> Case:
    """Return two trains of two families with different windows; one train stays in service."""
    parts = [
        {"component": f"{family}-{train}", "unit": "U1", "family": family, "train": train,
         "position_count": number}
        for number, train in enumerate("AB", start=1)
        for family in ("PUMP", "COOL")
    ]  # fmt: skip
    plain = one_unit()
    windows = [
        {"kind": "planned", "condition": "D", "from_days": 5.0, "to_anchor": "end", "to_days": -5.0},
        {"kind": "planned", "condition": "E", "from_days": 0.0, "to_anchor": "start", "to_days": 22.0},
        {"kind": "planned", "condition": "F", "from_days": 24.0, "to_anchor": "end", "to_days": 0.0},
    ]  # fmt: skip
    return case(
        **one_unit(
            components=parts,
            conditions=[{"condition": name, "name": name} for name in "DEF"],
            windows=windows,
            families=[dict(plain["families"][0]) | {"family": name, "life_years": 12.0}
                      for name in ("PUMP", "COOL")],
            actions=[
                {"family": "PUMP", "action": "replace", "cost": 10.0, "days": 16.0, "conditions": "D"},
                {"family": "PUMP", "action": "seal", "cost": 5.0, "days": 7.0, "conditions": "E",
                 "restoration_share": 0.5},
                {"family": "COOL", "action": "retube", "cost": 10.0, "days": 14.0, "conditions": "E"},
                {"family": "COOL", "action": "plug", "cost": 5.0, "days": 9.0, "conditions": "F",
                 "restoration_share": 0.5},
            ],
            groups=[{"group": "G", "name": "trains", "line_by": "train"}],
            group_members=[{"group": "G", "family": name} for name in ("PUMP", "COOL")],
            group_needs=[
                {"group": "G", "kind": "planned", "in_service_count": 1},
                {"group": "G", "kind": "planned", "condition": "F", "in_service_count": 0},
            ],
        )
    )  # fmt: skip


def lines_only(choices: Choices) -> LimitRows:
    limits = choices.limits[choices.limits["measure"] == "lines"]
    return LimitRows(
        limits, choices.uses[choices.uses["limit"].isin(limits["limit"])], choices.access_uses
    )


def breaks(site: Site, works: list[tuple[str, str, str]]) -> bool:
    """Tell whether the judge finds too many lines out together."""
    table = pd.DataFrame(works, columns=["component", "action", "period"])
    facts = PlanFacts(table, pd.DataFrame(), {}, {}, {})
    reading = Reading(site, facts, read_works(site, facts)[0], (), ())
    return any(True for _ in check_out_together(reading))


def test_rows_and_the_judge_say_the_same_of_every_plan() -> None:
    """All 81 plans of P1 with no, one or the other work on each of four components."""
    case_ = mixed()
    choices, _ = choices_of(case_, frozenset(case_["components"]["component"]))
    found, site = lines_only(choices), site_of(case_)
    there = choices.placements[choices.placements["period"] == "P1"]
    options = [
        [None, *own[["placement", "component", "action", "period"]].itertuples(index=False, name=None)]
        for _, own in there.groupby("component")
    ]  # fmt: skip
    verdicts = []
    for picks in product(*options):
        chosen = [pick for pick in picks if pick is not None]
        says = not breaks(site, [pick[1:] for pick in chosen])
        assert says == holds(found, tuple(pick[0] for pick in chosen)), chosen
        verdicts.append(says)
    assert len(verdicts) == 81
    assert 10 < sum(verdicts) < 71


def test_lines_of_common_systems_and_of_units_at_the_same_time() -> None:
    """A tie transformer on line (station, all of 2029) and a unit's own in its outage: one out at
    a time. 360 days of the one leave 5 in which the other could be, which takes 20."""
    plain = one_unit()
    ties = {"family": "TIE", "name": "tie", "area": "TB", "life_years": 12.0, "shape_ratio": 3.0,
            "forced_days": 5.0, "repair_cost": 200.0}  # fmt: skip
    for days, is_kept in ((360.0, True), (300.0, False)):
        case_ = case(
            **one_unit(
                families=[*plain["families"], ties],
                windows=[*plain["windows"], {"kind": "on_line", "condition": "T"}],
                conditions=[*plain["conditions"], {"condition": "T", "name": "tie out"}],
                components=[
                    {"component": "PUMP-1", "unit": "U1", "family": "PUMP"},
                    {"component": "TIE-1", "unit": "station", "family": "TIE"},
                ],
                actions=[
                    {"family": "PUMP", "action": "replace", "cost": 30.0, "days": 20.0, "conditions": "D"},
                    {"family": "TIE", "action": "replace", "cost": 30.0, "days": days, "conditions": "T"},
                ],
                groups=[{"group": "G", "name": "supplies", "match": "station"}],
                group_members=[{"group": "G", "family": name} for name in ("PUMP", "TIE")],
                group_needs=[{"group": "G", "kind": "planned", "in_service_count": 1}],
            )
        )  # fmt: skip
        choices, _ = choices_of(case_, frozenset(case_["components"]["component"]))
        found = lines_only(choices)
        number = choices.placements.set_index(["component", "period"])["placement"]
        pump, tie = int(number["PUMP-1", "P1"]), int(number["TIE-1", "station-2029"])
        assert holds(found, (pump,)) and holds(found, (tie,))
        assert holds(found, (pump, tie)) != is_kept
        plan = [("PUMP-1", "replace", "P1"), ("TIE-1", "replace", "station-2029")]
        assert breaks(site_of(case_), plan) == is_kept
