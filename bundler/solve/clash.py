"""When no plan keeps everything: which limits the nearest one would break, and by how much."""

import pandas as pd

from bundler.choice import Choices
from bundler.errors import NoPlanError
from bundler.program.build import build_elastic
from bundler.solve.highs import Options, run

#: limits that are named; our choice
MOST_NAMED = 5
#: words for the unit of a limit, by its measure
UNITS = {"hours": "h", "head_days": "head days", "days": "d", "person_msv": "person-mSv"}


def missing(choices: Choices, options: Options) -> pd.DataFrame:
    """Return the limits that the nearest plan would overfill, the worst first.

    Works may be split here, so the true lack is at least as large. Columns title, measure and
    missing_amount. Raises NoPlanError if rules between works alone already clash.
    """
    program = build_elastic(choices)
    run(program, options, is_integer=False)
    lack = {name: float(s.varValue or 0.0) for name, s in program.s.items()}
    table = choices.limits[["limit", "title", "measure", "amount"]].copy()
    table["missing_amount"] = table["limit"].map(lack).fillna(0.0)
    table = table[table["missing_amount"] > 1e-6]
    share = table["missing_amount"] / table["amount"].clip(lower=1.0)
    return table.assign(share=share).sort_values(["share", "limit"], ascending=[False, True])


def told(choices: Choices, options: Options, currency: str) -> str:
    """Return what stands in the way in words a manager understands."""
    try:
        lack = missing(choices, options)
    except NoPlanError:
        return (
            "No plan keeps every rule: pins, statutory dates and rules between works (links.csv) "
            "contradict each other, whatever crews, money and days there are. Take out a pin, or "
            "correct the link it breaks."
        )
    if lack.empty:
        return (
            "No plan keeps every rule and limit: the forced works fit only if they could be "
            "split. Take out a pin, or give the fullest crew or window a little more."
        )
    rows = lack.head(MOST_NAMED).to_dict("records")
    parts = []
    for row in rows:
        unit = UNITS.get(row["measure"], currency)
        parts.append(f"{row['title']}: {row['missing_amount']:,.0f} {unit} missing")
    more = len(lack) - len(rows)
    rest = f"; and {more} more" if more > 0 else ""
    return (
        "No plan keeps every rule and limit, because of works that are forced in. The nearest one "
        f"lacks at least: {'; '.join(parts)}{rest}. Take out a pin, or raise these limits; dates, "
        "conditions and rules between works are never given up."
    )
