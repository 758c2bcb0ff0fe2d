"""Bad inputs: supplies, and design hours of works that do not exist."""

# ruff: noqa: E501
from tests.check.bad import Bad
from tests.read.pen import Pen


def isolations(pen: Pen, **amount: str) -> None:
    """Add a supply that one work takes."""
    pen.row("supplies", supply="ISO", name="isolations", measure="isolations")
    pen.row(
        "supply_amounts", **{"supply": "ISO", "kind": "planned", "amount_per_day": "3"} | amount
    )
    pen.row("action_supplies", family="VALVE", action="replace", supply="ISO", amount="2")


BAD_SUPPLIES = [
    Bad(
        "supplies_there",
        lambda pen: isolations(pen, kind="on_line"),
        "note: supply_amounts.csv, supply: ISO has no row for kind planned; there is none then, and VALVE replace cannot go in there. Add a row, unless that is meant.",
    ),
    Bad(
        "supply_conditions",
        lambda pen: (
            isolations(pen, condition="Y"),
            pen.row("conditions", condition="Y", name="yard dead"),
        ),
        "supply_amounts.csv row 2, condition: ISO is there only in Y; Y has a row of windows.csv for kind planned. Add that row, or correct the condition.",
    ),
    Bad(
        "supplies_taken",
        lambda pen: pen.row("supplies", supply="ISO", name="isolations", measure="isolations"),
        "note: supplies.csv row 2, supply: no work takes ISO; it has no part in the plan. Add works to action_supplies.csv, or take it out.",
    ),
    Bad(
        "known_actions",
        lambda pen: (
            isolations(pen),
            pen.row("action_supplies", family="VALVE", action="repalce", supply="ISO", amount="2"),
        ),
        'action_supplies.csv row 3, action: family VALVE has no action "repalce"; actions of the component\'s family in actions.csv are allowed. Did you mean "replace"? Correct it, or add it to actions.csv.',
    ),
    Bad(
        "known_actions",
        lambda pen: (
            pen.row("disciplines", discipline="EL", name="electrical", design_hours_per_month="9"),
            pen.row(
                "design_hours", family="VALVE", action="swap", discipline="EL", design_hours="9"
            ),
        ),
        'design_hours.csv row 2, action: family VALVE has no action "swap"; actions of the component\'s family in actions.csv are allowed. Correct it, or add it to actions.csv.',
    ),
]
