"""Bad inputs: links that ask for nothing, and lines that cannot stay in service."""

# ruff: noqa: E501
from tests.check.bad import Bad
from tests.read.pen import Pen


def instead(pen: Pen, **cells: str) -> None:
    """Add a link: as long as a pump is not replaced, its drain valve is."""
    plain = {"link": "or-valve", "rule": "instead", "first_family": "PUMP",
             "first_action": "replace", "second_family": "VALVE"}  # fmt: skip
    pen.row("links", **(plain | cells))


def kept(pen: Pen, count: str = "1", condition: str = "", **cells: str) -> None:
    """Add the two pumps as a group of which some stay in service in planned outages."""
    pen.row("groups", **({"group": "SW", "name": "service water"} | cells))
    pen.row("group_members", group="SW", family="PUMP")
    pen.row("group_needs", group="SW", kind="planned", condition=condition, in_service_count=count)


def ring(pen: Pen) -> None:
    """Add two links: pump before valve, and valve before pump."""
    both = {"rule": "before", "match": "unit"}
    pen.row("links", link="pump-first", first_family="PUMP", second_family="VALVE", **both)
    pen.row("links", link="valve-first", first_family="VALVE", second_family="PUMP", **both)


BAD_LINKS = [
    Bad(
        "links_no_ring",
        ring,
        "links.csv row 3, rule: pump-first and valve-first put works before each other in a ring; of works in a ring none could ever be first. Take one of them out.",
    ),
    Bad(
        "links_lag_before",
        lambda pen: pen.cell("links", 2, "lag_days", "3"),
        "links.csv row 2, lag_days: pumps-apart asks for 3 days between its works; its rule is apart, and only before puts one after the other. Write 0, or make it a link before.",
    ),
    Bad(
        "links_instead_match",
        lambda pen: instead(pen, match="station"),
        "links.csv row 3, match: or-valve ties works of the whole station; a work instead of another is matched by unit, train or position. Choose one of these.",
    ),
    Bad(
        "links_instead_kind",
        lambda pen: instead(pen, match="unit", only_kind="on_line"),
        "links.csv row 3, only_kind: or-valve asks on line; a work instead is asked for in outages. Choose a kind of outage, or leave it empty for any.",
    ),
    Bad(
        "links_instead_other",
        lambda pen: instead(pen, second_family="PUMP", second_action="replace"),
        "links.csv row 3, first_action: or-valve asks for PUMP instead of itself; in one family the works of first and second differ. Name another work in first_action or second_action.",
    ),
    Bad(
        "links_instead_nowhere",
        lambda pen: (
            pen.cell("actions", 4, "conditions", "LB"),
            pen.row("actions", family="VALVE", action="test", cost="5", days="1", conditions="LB"),
            pen.row("action_hours", family="VALVE", action="test", resource="M", work_hours="10"),
            instead(pen, first_family="VALVE", second_action="test"),
        ),
        "note: links.csv row 3, rule: neither work of or-valve can be done in P1; where none is possible none is asked for. Check the conditions of both in windows.csv, or fill only_kind.",
    ),
    Bad(
        "lines_to_keep",
        lambda pen: (
            pen.row("groups", group="SW", name="service water"),
            pen.row("group_needs", group="SW", kind="planned", in_service_count="1"),
        ),
        "groups.csv row 2, group: SW has no component; lines to keep in service are there. Correct its rows in group_members.csv.",
    ),
    Bad(
        "lines_by_train",
        lambda pen: (
            pen.row("groups", group="DR", name="drains", line_by="train"),
            pen.row("group_members", group="DR", family="VALVE"),
            pen.row("group_needs", group="DR", kind="planned", in_service_count="1"),
        ),
        "groups.csv row 2, line_by: VALVE-1 has no train; DR is made of trains. Write A or B into its row of components.csv, or group in another way.",
    ),
    Bad(
        "lines_enough",
        lambda pen: kept(pen, "3"),
        "group_needs.csv row 2, in_service_count: 3 lines of SW have to stay in service; U1 has 2. Lower it, or add members to the group.",
    ),
    Bad(
        "lines_enough",
        lambda pen: kept(pen, "2", match="train"),
        "group_needs.csv row 2, in_service_count: 2 lines of SW have to stay in service; U1 train A has 1. Lower it, or add members to the group.",
    ),
    Bad(
        "lines_conditions",
        lambda pen: (pen.row("conditions", condition="F", name="core empty"), kept(pen, "1", "F")),
        "group_needs.csv row 2, condition: SW speaks of F in kind planned; a condition has a row in windows.csv where it counts. Correct the condition, or add its row.",
    ),
]
