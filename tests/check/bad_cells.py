"""Bad inputs: cells that cannot be read."""

# ruff: noqa: E501
from tests.check.bad import Bad

BAD_CELLS = [
    Bad(
        "empty",
        lambda pen: pen.cell("components", 3, "family", ""),
        "components.csv row 3, family: it is empty; it has to be filled: family it belongs to. Fill it.",
    ),
    Bad(
        "not a number",
        lambda pen: pen.cell("actions", 2, "cost", "1,200"),
        'actions.csv row 2, cost: "1,200" is no number; numbers are digits with a point for decimals. Write it without unit, blanks or thousands separators.',
    ),
    Bad(
        "not a number",
        lambda pen: pen.cell("actions", 2, "days", "8 d"),
        'actions.csv row 2, days: "8 d" is no number; numbers are digits with a point for decimals. Write it without unit, blanks or thousands separators.',
    ),
    Bad(
        "not finite",
        lambda pen: pen.cell("actions", 2, "cost", "inf"),
        'actions.csv row 2, cost: "inf" has no end; numbers are finite. Give a finite number, or leave the cell empty.',
    ),
    Bad(
        "not finite",
        lambda pen: pen.cell("actions", 2, "cost", "1e999"),
        'actions.csv row 2, cost: "1e999" has no end; numbers are finite. Give a finite number, or leave the cell empty.',
    ),
    Bad(
        "not whole",
        lambda pen: pen.cell("components", 2, "position_count", "1.5"),
        "components.csv row 2, position_count: 1.5 is not whole; this is a whole number. Round it.",
    ),
    Bad(
        "out of range",
        lambda pen: pen.cell("components", 2, "life_years", "0"),
        "components.csv row 2, life_years: 0 is out of range; from 0.1 to 1000 is allowed. Check value and unit (own scale of the life curve; empty: the family's).",
    ),
    Bad(
        "out of range",
        lambda pen: pen.cell("actions", 2, "cost", "-5"),
        "actions.csv row 2, cost: -5 is out of range; 0 or more is allowed. Check value and unit (cost of one work with its labour).",
    ),
    Bad(
        "out of range",
        lambda pen: pen.cell("actions", 2, "cost", "1e30"),
        "actions.csv row 2, cost: 1e30 is out of range; up to 1e+12 is allowed. Check value and unit (cost of one work with its labour).",
    ),
    Bad(
        "out of range",
        lambda pen: pen.cell("crews", 3, "direct_share", "52"),
        "crews.csv row 3, direct_share: 52 is out of range; from 0.05 to 1 is allowed. Check value and unit (part of present time that is direct work against estimate).",
    ),
    Bad(
        "out of range",
        lambda pen: pen.cell("components", 3, "renewed_date", "0217-01-01"),
        "components.csv row 3, renewed_date: 0217-01-01 is out of range; from 1900-01-01 to 2200-12-31 is allowed. Check value and unit (new or last renewed; empty: with the unit).",
    ),
    Bad(
        "not a date",
        lambda pen: pen.cell("outages", 2, "start_date", "01.02.2029"),
        'outages.csv row 2, start_date: "01.02.2029" is no date; dates are written year-month-day, for example 2031-03-01. Write a day of the calendar in that way.',
    ),
    Bad(
        "not a date",
        lambda pen: pen.cell("outages", 2, "start_date", "2029-02-30"),
        'outages.csv row 2, start_date: "2029-02-30" is no date; dates are written year-month-day, for example 2031-03-01. Write a day of the calendar in that way.',
    ),
    Bad(
        "not a word",
        lambda pen: pen.cell("families", 2, "curve", "Weibul"),
        'families.csv row 2, curve: "Weibul" is not an allowed word; exponential or weibull or lognormal or gamma or stepped is allowed. Did you mean "weibull"? Use an allowed word.',
    ),
    Bad(
        "not a word",
        lambda pen: pen.cell("areas", 2, "is_by_train", "true"),
        'areas.csv row 2, is_by_train: "true" is not an allowed word; yes or no is allowed. Use an allowed word.',
    ),
    Bad(
        "not a word",
        lambda pen: pen.cell("access_sets", 2, "is_by_train", "YES"),
        'access_sets.csv row 2, is_by_train: "YES" is not an allowed word; yes or no is allowed. Did you mean "yes"? Use an allowed word.',
    ),
    Bad(
        "both trains",
        lambda pen: pen.cell("components", 2, "train", "A+B"),
        'components.csv row 2, train: "A+B" is a lot over both trains, and such a lot cannot be placed; both trains may never be out together, so a row is of train A, of train B or of none. Split it into one row for each train.',
    ),
    Bad(
        "bad key",
        lambda pen: pen.cell("components", 2, "component", "PUMP A"),
        'components.csv row 2, component: "PUMP A" is no name for the tables; names have up to 60 letters, digits, dots, dashes and underscores, and start with a letter or digit. Rename it here and wherever it is used.',
    ),
    Bad(
        "bad key",
        lambda pen: pen.cell("conditions", 2, "condition", "D+"),
        'conditions.csv row 2, condition: "D+" is no name for the tables; names have up to 60 letters, digits, dots, dashes and underscores, and start with a letter or digit. Rename it here and wherever it is used.',
    ),
    Bad(
        "bad key",
        lambda pen: pen.row("chains", chain="bus *", family="PUMP"),
        'chains.csv row 2, chain: "bus *" is no name for the tables; names have up to 60 letters, digits, dots, dashes and underscores, and start with a letter or digit. Rename it here and wherever it is used.',
    ),
    Bad(
        "bad conditions",
        lambda pen: pen.cell("actions", 4, "conditions", "D,LA"),
        'actions.csv row 4, conditions: "D,LA" names no conditions; conditions are names joined by +, and a star stands for the train, as in T+B*. Correct the names and the signs between them.',
    ),
    Bad(
        "long text",
        lambda pen: pen.cell("components", 2, "note", "x" * 301),
        "components.csv row 2, note: the text has 301 characters; text has at most 300. Shorten it.",
    ),
    Bad(
        "unprintable",
        lambda pen: pen.cell("components", 2, "note", "one\ntwo"),
        'components.csv row 2, note: "one\\ntwo" holds a line break or another sign that cannot be printed; text is one line of printable characters. Delete that sign.',
    ),
    Bad(
        "key twice",
        lambda pen: pen.cell("components", 3, "component", "PUMP-A"),
        'components.csv row 3, component: "PUMP-A" is already in row 2; each name, or set of names, stands in one row. Delete or rename one of the two.',
    ),
    Bad(
        "key twice",
        lambda pen: pen.row("crews", resource="M", kind="planned", heads_count="5"),
        'crews.csv row 6, resource and kind: "M, planned" is already in row 5; each name, or set of names, stands in one row. Delete or rename one of the two.',
    ),
]
