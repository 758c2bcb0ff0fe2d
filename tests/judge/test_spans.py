"""Where conditions hold, as the judge reads it: by hand, and against the other reading."""

from collections.abc import Mapping
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bundler.calendar import periods as all_periods
from bundler.calendar import spans as all_spans
from bundler.courses.candidates import candidates
from bundler.judge.site import site_of
from bundler.judge.spans import common_span, pieces_in
from bundler.judge.works import work_of
from tests.judge.small import O1, P1, added, broken, edited, small

MONTHS = st.one_of(st.none(), st.tuples(st.integers(1, 12), st.integers(1, 12)))


def seasonal(condition: str, months: tuple[int, int] | None) -> dict[str, Any]:
    low, high = months or (float("nan"), float("nan"))
    return {"condition": condition, "season_from_month": low, "season_to_month": high}


def test_a_season_makes_pieces_and_the_longest_counts() -> None:
    """On line in 2028, a leap year: January, and November with December."""
    case = small(conditions=[seasonal("any", (11, 1))])
    site = site_of(case)
    period = site.periods["U1-2028"]
    assert pieces_in(site.windows, ["any"], period) == [(365.0, 396.0), (670.0, 731.0)]
    assert common_span(site.windows, ["any"], period) == (670.0, 731.0)
    assert site.windows.season_end(["any"], 396.0) == 396.0
    assert site.windows.season_end(["any"], 731.0) == 731.0 + 31.0


def test_a_work_out_of_season_has_no_place() -> None:
    assert broken(small(conditions=[seasonal("D", (1, 2))]), P1) == []
    assert broken(small(conditions=[seasonal("D", (3, 12))]), P1) == ["conditions"]


def test_no_extension_passes_the_end_of_a_season() -> None:
    """D to the end of January, day 31 of O1: 26 days from day 5."""
    season = [seasonal("D", (1, 1))]
    case = small(conditions=season, actions=edited("actions", 0, days=26.0))
    assert broken(case, P1) == []
    case = small(conditions=season, actions=edited("actions", 0, days=27.0))
    assert broken(case, P1, extension={"O1": 10.0}) == ["outage_days"]


def test_make_ready_test_and_likely_discoveries_take_days() -> None:
    parts = {"days": 20.0, "make_ready_days": 4.0, "test_days": 3.0}
    found = {"family": "PUMP", "action": "replace", "discovery": "crack", "chance": 0.5}
    for more, rules in ((3.0, []), (3.1, ["outage_days"])):
        case = small(
            actions=edited("actions", 0, **parts), discoveries=[found | {"days": more, "cost": 1.0}]
        )
        assert broken(case, P1) == rules
    far = small(actions=edited("actions", 0, **parts), discoveries=[found | {"days": 9.0, "cost": 1.0, "chance": 0.4}])  # fmt: skip # noqa: E501
    assert broken(far, P1) == []


def test_a_test_in_its_own_condition_follows_the_work() -> None:
    """The work of 10 days ends on day 15 at the earliest, T on day 20."""
    windows = added("windows", {"kind": "planned", "condition": "T", "to_anchor": "start", "to_days": 20.0})  # fmt: skip # noqa: E501
    for days, rules in ((5.0, []), (6.0, ["test"])):
        action = edited("actions", 0, test_days=days, test_condition="T")
        case = small(windows=windows, actions=action)
        assert broken(case, P1) == rules
    # T ends five days before the outage does, and moves with it
    windows = added("windows", {"kind": "planned", "condition": "T", "from_anchor": "end", "from_days": -10.0, "to_days": -5.0})  # fmt: skip # noqa: E501
    case = small(windows=windows, actions=action)
    assert broken(case, P1) == ["test"]
    assert broken(case, P1, extension={"O1": 1.0}) == []


def test_notice_is_kept() -> None:
    assert broken(small(conditions=[{"condition": "D", "notice_months": 24.0}]), P1) == []
    assert broken(small(conditions=[{"condition": "D", "notice_months": 24.1}]), P1) == ["notice"]


COMMON = {
    "families": added("families", {"family": "CRANE", "curve": "exponential", "life_years": 50.0}),
    "actions": added(
        "actions",
        {"family": "CRANE", "action": "mend", "cost": 9.0, "days": 30.0, "conditions": "any"},
    ),
    "components": added("components", {"component": "C", "unit": "station", "family": "CRANE"}),
}
CRANE = ("C", "mend", "station-2029")


def test_connected_units_have_to_be_as_a_common_system_needs_them() -> None:
    """D holds in U1 on days 5 to 35 of O1, 30 days in 2029."""
    need = {"family": "CRANE", "condition": "D", "rule": "holds", "units": "U1"}
    case = small(**COMMON, common_needs=[need])
    site = site_of(case)
    assert site.allowed["CRANE", "mend"][0] == (O1 + 5, O1 + 35)
    assert broken(case, CRANE) == []
    assert broken(case, ("C", "mend", "station-2030")) == ["common_system"]
    assert broken(small(**COMMON, common_needs=[need | {"units": ""}]), CRANE) == ["common_system"]
    longer = [dict(row) for row in COMMON["actions"]]
    longer[-1]["days"] = 31.0
    case = small(**(COMMON | {"actions": longer}), common_needs=[need])
    assert broken(case, CRANE) == ["outage_days"]


WINDOW = st.fixed_dictionaries(
    {
        "from_anchor": st.sampled_from(["start", "end"]),
        "from_days": st.integers(-30, 30).map(float),
        "to_anchor": st.sampled_from(["start", "end"]),
        "to_days": st.integers(-30, 40).map(float),
    }
)
NEED = st.fixed_dictionaries(
    {
        "condition": st.sampled_from(["D", "any", "E"]),
        "rule": st.sampled_from(["holds", "absent"]),
        "units": st.sampled_from(["", "U1", "U2", "U1+U2"]),
        "least_count": st.one_of(st.just(float("nan")), st.just(1.0)),
    }
)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(WINDOW, min_size=3, max_size=3),
    st.lists(MONTHS, min_size=3, max_size=3),
    st.lists(NEED, max_size=3, unique_by=lambda need: (need["condition"], need["rule"])),
)
def test_both_readings_find_the_same_pieces(
    windows: list[Mapping[str, Any]],
    months: list[tuple[int, int] | None],
    needs: list[Mapping[str, Any]],
) -> None:
    """Start, end, length and growth of every work are read twice, by code that shares nothing."""
    own = [
        {"kind": "planned", "condition": "E"},
        {"kind": "planned", "condition": "D", "side": "A"},
        {"kind": "on_line", "condition": "E"},
    ]
    kinds = [row | dict(window) for row, window in zip(own, windows, strict=True)]
    held = {
        "windows": added("windows", *kinds),
        "conditions": [seasonal(*pair) for pair in zip(("D", "any", "E"), months, strict=True)],
        "outages": edited("outages", 0, side="A"),
        "units": edited("units", 1, end_date="2034-06-15"),
        "common_needs": [{"family": "CRANE"} | dict(need) for need in needs],
    }
    case = small({"horizon_end_date": date(2035, 12, 31)}, **COMMON, **held)
    table = all_periods(case)
    site = site_of(case)
    for row in candidates(case, table, all_spans(case, table)).itertuples():
        component = site.components[row.component]
        work = work_of(site, component, site.actions[row.family][row.action], site.periods[row.period])  # fmt: skip # noqa: E501
        assert (work is not None) == row.has_conditions
        if work is not None:
            assert work.span == pytest.approx((row.span_start_days, row.span_end_days), abs=1e-9)
            assert work.length == row.days
            if work.period.is_outage:
                assert min(work.room, 10.0) == row.max_extension_days
