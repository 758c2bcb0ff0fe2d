"""Bad inputs: pins that cannot hold."""

# ruff: noqa: E501
from tests.check.bad import Bad

BAD_PINS = [
    Bad(
        "pins_agree",
        lambda pen: (
            pen.row(
                "pins",
                component="PUMP-A",
                action="replace",
                outage="P1",
                rule="in",
                who="planner",
                why="worn",
            ),
            pen.row(
                "pins", component="PUMP-A", outage="P1", rule="out", who="planner", why="no room"
            ),
        ),
        "pins.csv row 2, rule: PUMP-A is forced in here and out in row 3; a work is forced in or out, not both. Delete one of the two.",
    ),
    Bad(
        "pins_in_own_outage",
        lambda pen: (
            pen.row(
                "outages",
                outage="S1",
                unit="station",
                kind="planned",
                start_date="2031-01-01",
                days="40",
                freeze_date="2030-01-01",
            ),
            pen.row("pins", component="PUMP-A", outage="S1", rule="in", who="planner", why="worn"),
        ),
        "pins.csv row 2, outage: S1 is an outage of station; PUMP-A belongs to U1. Name an outage of U1.",
    ),
    Bad(
        "pins_in_plan",
        lambda pen: (
            pen.cell("units", 2, "end_date", "2032-06-30"),
            pen.row("pins", component="PUMP-A", outage="P2", rule="in", who="planner", why="worn"),
        ),
        "pins.csv row 2, outage: P2 ends after the last day of the plan; work can be forced in until 2032-06-30. Name an earlier outage, or move the end of the plan.",
        "note: outages.csv row 3, start_date: P2 ends after 2032-06-30, the last day of U1; the plan leaves it out. Take it out, or move the end of the plan.",
    ),
    Bad(
        "pins_after_freeze",
        lambda pen: (
            pen.cell("outages", 2, "freeze_date", "2026-12-01"),
            pen.row(
                "pins", component="PUMP-A", outage="P1", rule="in", who="scope board", why="worn"
            ),
        ),
        "note: pins.csv row 2, outage: the scope of P1 froze on 2026-12-01; a pin adds work all the same. Check that scope board has agreed to it as a change.",
    ),
    Bad(
        "pins_agree",
        lambda pen: (
            pen.row("pins", component="PUMP-A", outage="P1", rule="in", who="planner", why="worn"),
            pen.row(
                "pins", component="PUMP-A", outage="P2", rule="only", who="board", why="one gang"
            ),
        ),
        "pins.csv row 2, outage: PUMP-A is forced into P1 here and held in P2 in row 3; a work is forced in where it is held. Delete one of the two.",
    ),
    Bad(
        "pins_hold_once",
        lambda pen: pen.row("pins", component="PUMP-A", rule="only", who="board", why="one gang"),
        "pins.csv row 2, outage: the cell is empty; rule only holds work in one outage. Name the outage, or use rule in or out.",
    ),
    Bad(
        "pins_hold_once",
        lambda pen: (
            pen.row(
                "pins",
                component="PUMP-A",
                action="replace",
                outage="P1",
                rule="only",
                who="board",
                why="one gang",
            ),
            pen.row(
                "pins", component="PUMP-A", outage="P2", rule="only", who="planner", why="room"
            ),
        ),
        "pins.csv row 2, outage: held in P1 here and in P2 in row 3; a work is held in one outage. Delete one of the two.",
    ),
    Bad(
        "agreed_in_own_outage",
        lambda pen: (
            pen.row(
                "outages",
                outage="S1",
                unit="station",
                kind="planned",
                start_date="2031-01-01",
                days="40",
                freeze_date="2030-01-01",
            ),
            pen.row("agreed", component="PUMP-A", action="replace", outage="S1"),
        ),
        "agreed.csv row 2, outage: S1 is an outage of station; PUMP-A belongs to U1. Name an outage of U1, or take the row out.",
    ),
    Bad(
        "known_actions",
        lambda pen: pen.row("agreed", component="PUMP-A", action="replac", outage="P1"),
        'agreed.csv row 2, action: family PUMP has no action "replac"; actions of the component\'s family in actions.csv are allowed. Did you mean "replace"? Correct it, or add it to actions.csv.',
    ),
    Bad(
        "bridges_end",
        lambda pen: pen.cell("actions", 4, "bridge_years", "6"),
        "actions.csv row 4, bridge_years: family VALVE has only half measures; whole work that restores something has to follow within bridge_years. Add the whole work to actions.csv, or empty this cell.",
    ),
]
