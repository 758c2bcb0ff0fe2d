"""Bad inputs: names that nobody knows."""

# ruff: noqa: E501
from tests.check.bad import Bad

BAD_REFERENCES = [
    Bad(
        "known_rows",
        lambda pen: pen.cell("families", 2, "area", "TBB"),
        'families.csv row 2, area: "TBB" is not known; names of areas.csv are allowed. Did you mean "TB"? Correct it, or add it to areas.csv.',
    ),
    Bad(
        "known_rows",
        lambda pen: pen.cell("links", 2, "second_family", "FAN"),
        'links.csv row 2, second_family: "FAN" is not known; names of families.csv are allowed. Correct it, or add it to families.csv.',
    ),
    Bad(
        "known_units",
        lambda pen: pen.cell("components", 4, "unit", "U2"),
        'components.csv row 4, unit: "U2" is not known; names of units.csv are allowed. Correct it, or add it to units.csv.',
    ),
    Bad(
        "known_units",
        lambda pen: pen.cell("outages", 2, "unit", "stations"),
        'outages.csv row 2, unit: "stations" is not known; names of units.csv are allowed. Did you mean "station"? Correct it, or add it to units.csv.',
    ),
    Bad(
        "known_actions",
        lambda pen: pen.cell("action_hours", 2, "action", "overhall"),
        'action_hours.csv row 2, action: family PUMP has no action "overhall"; actions of the component\'s family in actions.csv are allowed. Did you mean "overhaul"? Correct it, or add it to actions.csv.',
        "note: actions.csv row 2, action: PUMP overhaul has no hours; work without crews is rare. Add its trades to action_hours.csv.",
    ),
    Bad(
        "known_actions",
        lambda pen: pen.cell("links", 2, "second_action", "paint"),
        'links.csv row 2, second_action: family PUMP has no action "paint"; actions of the component\'s family in actions.csv are allowed. Correct it, or add it to actions.csv.',
    ),
    Bad(
        "known_actions",
        lambda pen: pen.row(
            "pins", component="VALVE-1", action="overhaul", rule="in", who="planner", why="worn"
        ),
        'pins.csv row 2, action: family VALVE has no action "overhaul"; actions of the component\'s family in actions.csv are allowed. Correct it, or add it to actions.csv.',
    ),
    Bad(
        "known_actions",
        lambda pen: pen.row(
            "mandates", component="VALVE-1", action="replaces", due_date="2030-01-01"
        ),
        'mandates.csv row 2, action: family VALVE has no action "replaces"; actions of the component\'s family in actions.csv are allowed. Did you mean "replace"? Correct it, or add it to actions.csv.',
    ),
    Bad(
        "known_steps",
        lambda pen: pen.cell("families", 3, "curve", "stepped"),
        "families.csv row 3, steps: the cell is empty; names of curve_steps.csv are allowed. Correct it, or add it to curve_steps.csv.",
    ),
    Bad(
        "known_steps",
        lambda pen: (
            pen.cell("families", 3, "curve", "stepped"),
            pen.cell("families", 3, "steps", "net"),
            pen.row("curve_steps", steps="net", from_age_years="5", failure_rate_per_year="0.1"),
        ),
        'families.csv row 3, steps: the rates of "net" begin at age 5; curve stepped begins at age 0. Add a row with from_age_years 0 to curve_steps.csv.',
    ),
    Bad(
        "known_steps",
        lambda pen: pen.cell("families", 3, "steps", "net"),
        'families.csv row 3, steps: "net" is given for curve exponential; only curve stepped has steps. Set curve to stepped, or empty this cell.',
    ),
    Bad(
        "known_conditions",
        lambda pen: pen.cell("actions", 4, "conditions", "D+Z"),
        'actions.csv row 4, conditions: "Z" is not known; names of conditions.csv are allowed. Correct it, or add it to conditions.csv.',
        "note: actions.csv row 4, conditions: VALVE replace can be placed nowhere; its conditions hold together in no kind of outage and not on line. Check the conditions, or add rows to windows.csv.",
    ),
    Bad(
        "known_conditions",
        lambda pen: pen.cell("actions", 2, "conditions", "B*"),
        'actions.csv row 2, conditions: "BA" is not known; names of conditions.csv are allowed. Correct it, or add it to conditions.csv.',
        'actions.csv row 2, conditions: "BB" is not known; names of conditions.csv are allowed. Correct it, or add it to conditions.csv.',
        "note: actions.csv row 2, conditions: PUMP overhaul can be placed nowhere; its conditions hold together in no kind of outage and not on line. Check the conditions, or add rows to windows.csv.",
    ),
    Bad(
        "known_conditions",
        lambda pen: pen.row(
            "inspections",
            family="PUMP",
            inspection="look",
            cost="1",
            conditions="B*+D",
            sizing_ratio="0.1",
        ),
        'inspections.csv row 2, conditions: "BA" is not known; names of conditions.csv are allowed. Correct it, or add it to conditions.csv.',
        'inspections.csv row 2, conditions: "BB" is not known; names of conditions.csv are allowed. Correct it, or add it to conditions.csv.',
    ),
]
