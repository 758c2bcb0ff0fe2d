"""The unit words that may end a column name, and what people see instead."""

#: unit word -> label; {currency} is the case's money
LABELS = {
    "years": "years",
    "months": "months",
    "weeks": "weeks",
    "days": "d",
    "hours": "h",
    "per_day": "a day",
    "per_week": "a week",
    "per_year": "1/year",
    "per_hour": "an hour",
    "mw": "MW",
    "m2": "m2",
    "person_msv": "person-mSv",
    "cost": "{currency}",
    "cost_per_day": "{currency} a day",
    "cost_per_hour": "{currency} an hour",
    "cost_per_year": "{currency} a year",
    "cost_per_person_msv": "{currency} per person-mSv",
    "share": "share",
    "share_per_year": "share a year",
    "chance": "chance",
    "ratio": "ratio",
    "count": "",
    "date": "",
}
#: columns that carry a year of the calendar and need no unit word
PLAIN = ("year", "price_year")


def unit_of(column: str) -> str:
    """Return the unit word that ends a column's name, "" if there is none."""
    fits = [word for word in LABELS if column == word or column.endswith(f"_{word}")]
    return max(fits, key=len, default="")


def label(column: str, currency: str) -> str:
    """Return the unit of a column as people read it, "" if it has none."""
    return LABELS.get(unit_of(column), "").format(currency=currency)
