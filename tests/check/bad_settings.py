"""Bad inputs: settings that cannot be read."""

# ruff: noqa: E501
from tests.check.bad import Bad

BAD_SETTINGS = [
    Bad(
        "nested",
        lambda pen: pen.replace("station.yaml", "currency: k$", "currency: [k$"),
        "station.yaml row 4, currency: the value is a list or a group; each setting has one value. Write one value.",
    ),
    Bad(
        "broken yaml",
        lambda pen: pen.replace("station.yaml", "currency: k$", 'currency: "\\UFFFFFFFF"'),
        "station.yaml: it cannot be read (a sign that is no text); each line is a name, a colon, a blank and a value. Correct the line.",
    ),
    Bad(
        "broken yaml",
        lambda pen: pen.replace("station.yaml", "Tiny", "Ti: ny"),
        "station.yaml row 1: it cannot be read (mapping values are not allowed here); each line is a name, a colon, a blank and a value. Correct the line.",
    ),
    Bad(
        "no mapping",
        lambda pen: pen.text("station.yaml", "- Tiny\n"),
        "station.yaml: the file is no list of names with values; each line is a name, a colon, a blank and a value. Write the settings one a line.",
    ),
    Bad(
        "no mapping",
        lambda pen: pen.text("station.yaml", "station: Tiny\n---\nstation: Big\n"),
        "station.yaml row 2: the file is no list of names with values; each line is a name, a colon, a blank and a value. Write the settings one a line.",
    ),
    Bad(
        "nested",
        lambda pen: pen.setting("currency", "[k$, M$]"),
        "station.yaml row 4, currency: the value is a list or a group; each setting has one value. Write one value.",
    ),
    Bad(
        "reference",
        lambda pen: pen.setting("currency", "&money k$"),
        "station.yaml row 4, currency: the value has an anchor, an alias or a tag; each setting is plain text. Write the value itself.",
    ),
    Bad(
        "reference",
        lambda pen: pen.setting("currency", "!!python/name:os.system k$"),
        "station.yaml row 4, currency: the value has an anchor, an alias or a tag; each setting is plain text. Write the value itself.",
    ),
    Bad(
        "unknown setting",
        lambda pen: pen.replace("station.yaml", "planning_date", "planing_date"),
        'station.yaml row 2, planing_date: the setting is not known; settings are those of the dictionary. Did you mean "planning_date"? Rename or delete it.',
    ),
    Bad(
        "setting twice",
        lambda pen: pen.replace(
            "station.yaml", "price_year: 2027", "price_year: 2027\nprice_year: 2026"
        ),
        "station.yaml row 6, price_year: the setting is there twice; a setting stands once. Delete one of the two.",
    ),
    Bad(
        "missing setting",
        lambda pen: pen.replace("station.yaml", "currency: k$\n", ""),
        "station.yaml, currency: the setting is missing; it has to be there: money in which every cost column is written, for example k$. Add the line.",
    ),
    Bad(
        "not a number",
        lambda pen: pen.setting("discount_share_per_year", "6 %"),
        'station.yaml row 6, discount_share_per_year: "6 %" is no number; numbers are digits with a point for decimals. Write it without unit, blanks or thousands separators.',
    ),
    Bad(
        "out of range",
        lambda pen: pen.setting("discount_share_per_year", "6"),
        "station.yaml row 6, discount_share_per_year: 6 is out of range; from 0 to 0.3 is allowed. Check value and unit (real discount rate).",
    ),
    Bad(
        "empty",
        lambda pen: pen.setting("currency", ""),
        "station.yaml row 4, currency: it is empty; it has to be filled: money in which every cost column is written, for example k$. Fill it.",
    ),
    Bad(
        "not whole",
        lambda pen: pen.setting("shifts_count", "2.5"),
        "station.yaml row 9, shifts_count: 2.5 is not whole; this is a whole number. Round it.",
    ),
]
