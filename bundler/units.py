"""Unit words that end a column name, and how they are shown to people."""

#: last words of a column name -> label; {money} stands for the case's currency
UNITS = {
    "years": "years",
    "months": "months",
    "month": "month of the year",
    "weeks": "weeks",
    "days": "d",
    "hours": "h",
    "mw": "MW",
    "mwh": "MWh",
    "m2": "m2",
    "person_msv": "person-mSv",
    "msv": "mSv",
    "msv_per_hour": "mSv/h",
    "cost": "{money}",
    "cost_per_day": "{money}/d",
    "cost_per_hour": "{money}/h",
    "cost_per_year": "{money}/year",
    "pv_cost": "{money}, present value",
    "pv_cost_per_hour": "{money}/h, present value",
    "pv_cost_per_step": "{money} a step, present value",
    "pv_cost_per_unit": "{money} a unit, present value",
    "cost_per_person_msv": "{money}/person-mSv",
    "hours_per_day": "h/d",
    "hours_per_week": "h/week",
    "hours_per_month": "h/month",
    "share": "share",
    "share_per_year": "share/year",
    "rate_per_year": "1/year",
    "failures_per_year": "failures/year",
    "count_per_year": "number/year",
    "amount": "as counted",
    "amount_per_day": "as counted, a day",
    "chance": "chance",
    "ratio": "ratio",
    "correlation": "correlation",
    "class": "class of estimate, 1 to 5",
    "count": "number",
    "date": "date",
    "value": "as measured",
    "value_per_year": "as measured, a year",
    "celsius": "°C",
    "ev": "eV",
}
#: columns whose own name says it all
PLAIN = {"year": "year", "price_year": "year"}


def unit_of(column: str) -> str:
    """Return the longest unit word that ends a column name, "" where there is none."""
    ends = [unit for unit in UNITS if column == unit or column.endswith(f"_{unit}")]
    return max(ends, key=len, default="")


def label(column: str, currency: str) -> str:
    """Return the unit of a column for people, "" for a column without one."""
    plain = PLAIN.get(column, "")
    return plain or UNITS.get(unit_of(column), "").replace("{money}", currency)
