"""Bad inputs: seasons, tests, needs of common systems and discoveries that cannot be."""

# ruff: noqa: E501
from typing import Any

from tests.check.bad import Bad
from tests.read.pen import Pen


def _need(pen: Pen, **cells: Any) -> None:
    """Make a station-wide crane that needs what is told of its units."""
    pen.row(
        "families",
        family="CRANE",
        name="crane",
        area="TB",
        curve="exponential",
        life_years="40",
        source="made up",
    )
    pen.row("actions", family="CRANE", action="upgrade", cost="30", days="5", conditions="any")
    pen.row("action_hours", family="CRANE", action="upgrade", resource="M", work_hours="80")
    pen.row("components", component="CRANE-1", unit="station", family="CRANE", position_count="1")
    pen.row("common_needs", **({"family": "CRANE", "condition": "D"} | cells))


def _found(pen: Pen, **cells: Any) -> None:
    """Let a valve have a crack, with hours."""
    own = {"family": "VALVE", "action": "replace", "discovery": "crack"}
    pen.row("discoveries", **(own | {"chance": "0.2", "cost": "20"}))
    pen.row("discovery_hours", **(own | {"resource": "M", "work_hours": "40"} | cells))


BAD_CONDITIONS = [
    Bad(
        "likes_known",
        lambda pen: pen.cell("actions", 2, "like", "replaced"),
        'actions.csv row 2, like: family PUMP has no other action "replaced"; a work is like another of its family. Did you mean "replace"? Correct it, or leave the cell empty.',
    ),
    Bad(
        "likes_known",
        lambda pen: (
            pen.cell("actions", 2, "like", "replace"),
            pen.cell("actions", 3, "like", "overhaul"),
        ),
        "actions.csv row 2, like: overhaul is like replace, which is like overhaul itself; a work is like one that stands for itself. Name that one.",
        "actions.csv row 3, like: replace is like overhaul, which is like replace itself; a work is like one that stands for itself. Name that one.",
    ),
    Bad(
        "seasons_whole",
        lambda pen: pen.cell("conditions", 2, "season_from_month", "10"),
        "conditions.csv row 2, season_to_month: the cell of D is empty, and season_from_month is filled; a season has a first and a last month. Fill both, or leave both empty.",
    ),
    Bad(
        "tests_have_days",
        lambda pen: pen.cell("actions", 4, "test_condition", "any"),
        "actions.csv row 4, test_days: VALVE replace is tested in any for 0 days; a test with a condition of its own takes days. Fill test_days, or empty test_condition.",
    ),
    Bad(
        "common_units",
        lambda pen: _need(pen, units="U1+U7"),
        'common_needs.csv row 2, units: "U7" is not known; units of units.csv are. Write units joined by +.',
    ),
    Bad(
        "common_units",
        lambda pen: _need(pen, units="U1+U1", least_count="2"),
        "common_needs.csv row 2, least_count: 2 of 1 units are asked for; at most all of them are. Lower it, or leave it empty for all.",
        'common_needs.csv row 2, units: "U1+U1" names a unit twice; each unit counts once. Write each unit once.',
    ),
    Bad(
        "common_to_station",
        lambda pen: pen.row("common_needs", family="VALVE", condition="D"),
        "common_needs.csv row 2, family: VALVE-1 of family VALVE belongs to one unit; a system common to several units is of unit station. Take the row out, or give the component to the station.",
    ),
    Bad(
        "known_actions",
        lambda pen: _need(pen, action="upgrad"),
        'common_needs.csv row 2, action: family CRANE has no action "upgrad"; actions of the component\'s family in actions.csv are allowed. Did you mean "upgrade"? Correct it, or add it to actions.csv.',
    ),
    Bad(
        "discoveries_known",
        lambda pen: _found(pen, discovery="krack"),
        'discovery_hours.csv row 2, discovery: "krack" of VALVE replace is not known; discoveries of discoveries.csv are. Correct it, or add it to discoveries.csv.',
    ),
    Bad(
        "discoveries_hold_labour",
        lambda pen: _found(pen, work_hours="4000"),
        "note: discoveries.csv row 2, cost: crack of VALVE replace costs 20; its hours alone cost 400, and the cost is with labour. Check cost and hours.",
    ),
]  # fmt: skip
