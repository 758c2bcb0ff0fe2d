"""How far a plan may be from the one agreed before, as one linear rule over placements."""

import pandas as pd

from bundler.case import Case
from bundler.errors import NoPlanError

RULE = "changes"
KEY = ["component", "action", "period"]


def agreed_works(case: Case, periods: pd.DataFrame) -> pd.DataFrame:
    """Return the works agreed before in outages that the plan still has: component, action, period.

    An outage that is over, or lies beyond the plan, is not spoken of any more.
    """
    works = case["agreed"].rename(columns={"outage": "period"})[KEY]
    return works[works["period"].isin(periods["period"])].reset_index(drop=True)


def _too_many(case: Case, gone: pd.DataFrame) -> NoPlanError:
    """Return the error for more agreed works that cannot be done any more than may change."""
    most = case.settings.most_changes_count
    names = [f"{c} {a} in {p}" for c, a, p in gone.head(3).itertuples(index=False, name=None)]
    more = f" and {len(gone) - 3} more" if len(gone) > 3 else ""
    return NoPlanError(
        f"agreed.csv: {len(gone)} agreed works cannot be done any more ({', '.join(names)}{more}), "
        f"most_changes_count allows {most} changes; ruled_out.csv tells why. Raise it, or take "
        "these works out of agreed.csv."
    )


def agreed_rows(
    case: Case, placements: pd.DataFrame, periods: pd.DataFrame
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the row that limits changes (link, rule, most), and its terms, if it can bind.

    In the outages that the agreed plan speaks of, each work that it does not hold is a change,
    and so is each of its works that is left out: with n agreed works,
    sum over others of z + n - sum over agreed of z <= most changes. An agreed work that cannot be
    placed any more is a change whatever the plan does.

    Raises NoPlanError if these alone are more than may change.
    """
    works, most = agreed_works(case, periods), case.settings.most_changes_count
    spoken = placements[placements["period"].isin(works["period"])]
    there = spoken[["placement", *KEY]].merge(works.assign(factor=-1.0), on=KEY, how="left")
    there["factor"] = there["factor"].fillna(1.0)
    placeable = works.merge(spoken[KEY], on=KEY, how="left", indicator=True)
    gone = placeable.loc[placeable["_merge"] == "left_only", KEY]
    if len(gone) > most:
        raise _too_many(case, gone)
    can_bind = int((there["factor"] > 0).sum()) + len(works) > most
    terms = there.loc[[can_bind] * len(there), ["placement", "factor"]].sort_values("placement")
    rows = [(RULE, RULE, float(most - len(works)))] if can_bind and len(terms) else []
    return (
        pd.DataFrame(rows, columns=["link", "rule", "most"]),
        terms.assign(link=RULE)[["link", "placement", "factor"]].reset_index(drop=True),
    )


def tied(parts: list[tuple[pd.DataFrame, pd.DataFrame]]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the rows and terms of all rules between works in one, each column of its kind."""
    links = pd.concat([rows for rows, _ in parts], ignore_index=True)
    terms = pd.concat([terms for _, terms in parts], ignore_index=True)
    kinds = {"link": "str", "placement": "int64", "factor": "float64"}
    return links.astype({"link": "str", "rule": "str", "most": "float64"}), terms.astype(kinds)
