"""Bad inputs: outages and windows that cannot be."""

# ruff: noqa: E501
from tests.check.bad import Bad

BAD_OUTAGES = [
    Bad(
        "reserved_names",
        lambda pen: pen.row(
            "units",
            unit="station",
            capacity_mw="1",
            day_value_cost_per_day="1",
            first_sync_date="2007-01-01",
        ),
        'units.csv row 3, unit: a unit is called "station"; that word stands for all units. Rename the unit.',
    ),
    Bad(
        "reserved_names",
        lambda pen: pen.cell("outages", 2, "outage", "U1-2029"),
        'outages.csv row 2, outage: an outage is called "U1-2029"; a unit with a year names the time on line in that year. Rename the outage.',
    ),
    Bad(
        "kinds_of_outage",
        lambda pen: pen.cell("outages", 2, "kind", "on_line"),
        "outages.csv row 2, kind: P1 is of kind on_line; the time between outages needs no row. Give it another kind, or delete the row.",
    ),
    Bad(
        "outages_ahead",
        lambda pen: (
            pen.cell("outages", 2, "start_date", "2026-03-01"),
            pen.cell("outages", 2, "freeze_date", "2025-03-01"),
        ),
        "outages.csv row 2, start_date: P1 starts on 2026-03-01; outages start on or after the planning date 2027-01-01. Correct the date, or take the outage out.",
    ),
    Bad(
        "freeze_before_start",
        lambda pen: pen.cell("outages", 2, "freeze_date", "2029-02-01"),
        "outages.csv row 2, freeze_date: the scope of P1 freezes on 2029-02-01; it freezes by the start on 2029-01-01. Correct one of the two.",
    ),
    Bad(
        "outages_apart",
        lambda pen: (
            pen.cell("outages", 3, "start_date", "2029-02-09"),
            pen.cell("outages", 3, "freeze_date", "2028-02-09"),
        ),
        "outages.csv row 3, start_date: P2 starts on 2029-02-09; U1 is in P1 until 2029-02-10. Move or shorten one of the two.",
    ),
    Bad(
        "windows_forward",
        lambda pen: pen.cell("windows", 3, "from_days", "36"),
        "windows.csv row 3, to_days: in P1 D runs from day 36 to day 35; it ends after it begins, also in 40 days. Correct the days, or give that outage a row of its own.",
    ),
    Bad(
        "windows_forward",
        lambda pen: pen.cell("windows", 3, "to_anchor", "start"),
        "windows.csv row 3, to_days: in P1 D runs from day 5 to day -5; it ends after it begins, also in 40 days. Correct the days, or give that outage a row of its own.",
    ),
    Bad(
        "windows_count",
        lambda pen: pen.row("windows", kind="planned", condition="LA", outage="P2", side="A"),
        "windows.csv row 7, outage: P2 is not of kind planned, side A; a row for one outage has its kind and its side or none. Correct kind, side or outage.",
    ),
    Bad(
        "base_scope_fits",
        lambda pen: pen.path("base_scope").write_text(
            "kind,resource,work_hours\nplanned,M,2000\n", encoding="utf-8"
        ),
        "base_scope.csv row 2, work_hours: base scope takes 2000 h of M; its crews have 1143 h in the shortest outage of kind planned. Lower the hours, or raise the heads in crews.csv.",
    ),
    Bad(
        "crews_have_days",
        lambda pen: (
            pen.cell("outage_kinds", 3, "crew_from_days", "20"),
            pen.cell("outage_kinds", 3, "crew_to_days", "20"),
        ),
        "outage_kinds.csv row 3, crew_to_days: crews come on day 20 and leave 20 days before the end; the shortest outage of kind planned has 40 days. Lower crew_from_days or crew_to_days.",
    ),
]
