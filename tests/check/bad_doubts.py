"""Bad inputs: what is allowed but looks wrong."""

# ruff: noqa: E501
from tests.check.bad import Bad

BAD_DOUBTS = [
    Bad(
        "default_dates",
        lambda pen: [
            pen.cell("components", row, "renewed_date", "2008-01-01") for row in (2, 3, 4)
        ],
        "note: components.csv, renewed_date: 3 components were renewed on 2008-01-01; so many on 1 January look like a date that a register fills in. Ask for the real dates, or leave the cells empty.",
    ),
    Bad(
        "very_old",
        lambda pen: pen.cell("components", 3, "renewed_date", "1980-06-01"),
        "note: components.csv row 3, renewed_date: PUMP-B is 47 years old at a life of 30; an age over 1.5 lives is allowed but rare. Check renewed_date, age_ratio and life_years.",
    ),
    Bad(
        "costs_far_off",
        lambda pen: pen.cell("actions", 3, "cost", "300000"),
        "note: actions.csv row 3, cost: 300000 for 500 hours is 600 an hour; the middle of all actions is 0.6, and costs are in k$. Check that the cost is written in k$.",
    ),
    Bad(
        "costs_hold_labour",
        lambda pen: pen.cell("actions", 2, "cost", "12"),
        "note: actions.csv row 2, cost: PUMP overhaul costs 12; its hours alone cost 20, and the cost is with labour. Check cost and hours.",
    ),
    Bad(
        "work_without_hours",
        lambda pen: pen.drop_row("action_hours", 5),
        "note: actions.csv row 4, action: VALVE replace has no hours; work without crews is rare. Add its trades to action_hours.csv.",
    ),
    Bad(
        "work_without_place",
        lambda pen: (
            pen.cell("actions", 4, "conditions", "Y"),
            pen.row("conditions", condition="Y", name="yard dead"),
        ),
        "note: actions.csv row 4, conditions: VALVE replace can be placed nowhere; its conditions hold together in no kind of outage and not on line. Check the conditions, or add rows to windows.csv.",
    ),
    Bad(
        "outages_left_out",
        lambda pen: pen.setting("horizon_end_date", "2033-01-31"),
        "note: outages.csv row 3, start_date: P2 ends after 2033-01-31, the last day of U1; the plan leaves it out. Take it out, or move the end of the plan.",
    ),
    Bad(
        "budget_years",
        lambda pen: pen.drop_row("budgets", 4),
        "note: budgets.csv, year: there is no budget for 2029; a year without a row has no limit. Add the years that have a limit.",
    ),
    Bad(
        "same_families",
        lambda pen: (
            pen.row(
                "families",
                family="PU-MP",
                name="Service water-pump",
                area="TB",
                life_years="20",
                shape_ratio="2",
            ),
            pen.row(
                "actions", family="PU-MP", action="replace", cost="10", days="5", conditions="D"
            ),
            pen.row(
                "action_hours", family="PU-MP", action="replace", resource="M", work_hours="30"
            ),
            pen.cell("components", 4, "family", "PU-MP"),
        ),
        'note: families.csv row 2, family: "PUMP" of PUMP is nearly "PU-MP" of PU-MP; components that share life data are one family. Join the two if they are the same.',
        'note: families.csv row 2, name: "service water pump" of PUMP is nearly "Service water-pump" of PU-MP; components that share life data are one family. Join the two if they are the same.',
        "note: families.csv row 3, family: no component belongs to family VALVE; it has no part in the plan. Check the family of its components.",
    ),
    Bad(
        "same_components",
        lambda pen: pen.cell("components", 3, "component", "pump_a"),
        "note: components.csv row 3, component: pump_a is nearly PUMP-A; a component stands in one row. Delete one of the two if they are the same.",
    ),
    Bad(
        "family_without_component",
        lambda pen: (
            pen.cell("components", 4, "family", "PUMP"),
            pen.cell("components", 4, "train", "A"),
        ),
        "note: families.csv row 3, family: no component belongs to family VALVE; it has no part in the plan. Check the family of its components.",
    ),
]
