"""What indicators need before a reading can be turned into a life."""

from collections.abc import Iterator

import pandas as pd

from bundler.case import Case
from bundler.check.told import error
from bundler.errors import Finding
from bundler.tables import rows

ENDS = ("new_value", "limit_value")
#: columns that each model needs
NEEDED = {
    "wall": ENDS, "linear": ENDS, "wiener": ENDS, "gamma": ENDS, "grade": ENDS,
    "tubes": (*ENDS, "tubes_count"), "insulation": ("reference_celsius",),
    "arrhenius": ("reference_celsius", "activation_ev"),
}  # fmt: skip
#: most grades of a scale; our choice
MOST_GRADES = 20


def indicators_complete(case: Case) -> Iterator[Finding]:
    """An indicator has what its model needs."""
    for row in rows(case["indicators"]):
        for column in NEEDED[row.model]:
            if pd.isna(getattr(row, column)):
                found, allowed = "the cell is empty", f"model {row.model} needs it"
                remedy = "Fill it, or choose another model."
                yield error("indicators", row.file_row, column, found, allowed, remedy)


def limits_differ(case: Case) -> Iterator[Finding]:
    """The reading of a new item is not the one at which it counts as failed."""
    for row in rows(case["indicators"]):
        if "limit_value" in NEEDED[row.model] and row.limit_value == row.new_value:
            found = f"new_value is {row.new_value:g} as well"
            allowed = "a reading goes from new_value to another value, the limit"
            yield error(
                "indicators", row.file_row, "limit_value", found, allowed, "Correct one of the two."
            )


def tube_limits(case: Case) -> Iterator[Finding]:
    """The limit of plugged tubes is a share."""
    table = case["indicators"]
    for row in rows(table[table["model"] == "tubes"]):
        if row.limit_value <= 0 or row.limit_value >= 1:
            found = f"{row.limit_value:g} is given for model tubes"
            allowed = "it is the share of tubes that may be plugged, between 0 and 1"
            remedy = "Write 15 % as 0.15."
            yield error("indicators", row.file_row, "limit_value", found, allowed, remedy)


def tubes_on_weibull(case: Case) -> Iterator[Finding]:
    """Tubes have the shape of their family, which has to be that of a Weibull curve."""
    curves = dict(zip(case["families"]["family"], case["families"]["curve"], strict=True))
    table = case["indicators"]
    for row in rows(table[table["model"] == "tubes"]):
        curve = curves.get(row.family, "weibull")
        if curve not in ("weibull", "exponential"):
            found = f"{row.family} has curve {curve}"
            allowed = "model tubes takes the shape of a weibull or exponential family"
            remedy = f"Choose another curve for {row.family}, or another model."
            yield error("indicators", row.file_row, "family", found, allowed, remedy)


def grade_scales(case: Case) -> Iterator[Finding]:
    """Grades count from 1, the best, to the one that counts as failed."""
    table = case["indicators"]
    for row in rows(table[table["model"] == "grade"].dropna(subset=[*ENDS])):
        if row.new_value != 1:
            found, allowed = f"{row.new_value:g} is given for model grade", "the best grade is 1"
            remedy = "Count the grades from 1, the best, in the readings too."
            yield error("indicators", row.file_row, "new_value", found, allowed, remedy)
        elif row.limit_value % 1 or not 2 <= row.limit_value <= MOST_GRADES:
            found = f"{row.limit_value:g} is given for model grade"
            allowed = f"a whole grade from 2 to {MOST_GRADES} is allowed"
            remedy = "Give the grade that counts as failed."
            yield error("indicators", row.file_row, "limit_value", found, allowed, remedy)


def rates_have_spread(case: Case) -> Iterator[Finding]:
    """A wear known beforehand has its standard deviation, and none stands alone."""
    for row in rows(case["indicators"]):
        has_rate = pd.notna(row.rate_value_per_year)
        has_spread = pd.notna(row.rate_sd_value_per_year)
        place = ("indicators", row.file_row)
        if has_rate and not row.rate_sd_value_per_year > 0:
            found = f"it is {row.rate_sd_value_per_year:g}" if has_spread else "the cell is empty"
            allowed = f"a wear of {row.rate_value_per_year:g} has a standard deviation above 0"
            remedy = "Fill it, or empty rate_value_per_year."
            yield error(*place, "rate_sd_value_per_year", found, allowed, remedy)
        elif has_spread and not has_rate:
            found = "the cell is empty"
            allowed = f"a standard deviation of {row.rate_sd_value_per_year:g} needs its rate"
            remedy = "Fill it, or empty rate_sd_value_per_year."
            yield error(*place, "rate_value_per_year", found, allowed, remedy)
