"""Courses in words, and what they pay at the plan's prices."""

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
import pandas as pd

from bundler.choice import Choices
from bundler.plan.chosen import Chosen
from bundler.tables import words

NOTHING = "no work"
#: works of a course that are told one by one
LONGEST = 3


def _steps(choices: Choices) -> pd.DataFrame:
    """Return the works of every course in time order, each in words."""
    placed = choices.placements[["placement", "action", "period", "effect_days"]]
    table = choices.works.merge(placed, on="placement").sort_values(["course", "effect_days"])
    table["text"] = table["action"].str.replace("_", " ") + " in " + table["period"]
    return table


def _strung(texts: pd.DataFrame, between: str, most: int) -> pd.Series:
    """Return the texts of each course in their order as one, by course: the first `most` of them.

    `texts` has course and text.
    """
    place = texts.groupby("course").cumcount()
    strung = texts[place == 0].set_index("course")["text"]
    for number in range(1, most):
        after = texts[place == number].set_index("course")["text"]
        strung = strung.add((between + after).reindex(strung.index).fillna(""))
    return strung


def course_texts(choices: Choices) -> pd.Series:
    """Return each course in words, by course: work in outage, then work in outage.

    Of a long row of works the first ones and how many follow.
    """
    steps = _steps(choices)
    more = steps.groupby("course").size() - LONGEST
    tail = (" and " + more.astype("str") + " more").where(more > 0, "")
    held = _strung(steps, ", then ", LONGEST).add(tail)
    texts = words(choices.courses["course"].map(held), NOTHING)
    return pd.Series(texts.to_numpy(), choices.courses["course"])


def first_works(choices: Choices) -> pd.Series:
    """Return the first work of each course in words, by course; decisions differ in it."""
    first = _steps(choices).drop_duplicates("course").set_index("course")["text"]
    return words(first.reindex(choices.courses["course"]), NOTHING)


def paid_for_limits(choices: Choices, prices: dict[tuple[str, Any], float]) -> pd.DataFrame:
    """Return what each placement would pay for each limit at the plan's prices.

    Columns placement, limit, title, paid_pv_cost; only limits that have a price.
    """
    priced = {key: price for (rule, key), price in prices.items() if rule == "limits" and price > 0}
    uses = choices.uses[choices.uses["limit"].isin(priced)].copy()
    uses["paid_pv_cost"] = uses["amount"] * uses["limit"].map(priced)
    uses["title"] = uses["limit"].map(choices.limits.set_index("limit")["title"])
    return uses[["placement", "limit", "title", "paid_pv_cost"]]


def paid_for_days(choices: Choices, added_days: Mapping[str, float]) -> pd.DataFrame:
    """Return what each placement would pay for days by which it alone lengthens its outage.

    Days that a plan adds anyway (`added_days` by outage) are not paid again. Columns placement,
    title, paid_pv_cost.
    """
    price = choices.periods.set_index("period")["day_pv_cost"]
    own = choices.placements[choices.placements["extension_days"] > 0].copy()
    there = own["period"].map(dict(added_days)).fillna(0.0)
    own["extension_days"] = np.maximum(own["extension_days"] - there, 0.0)
    own = own[own["extension_days"] > 0]
    days = own["extension_days"].round().astype(int).astype(str)
    return pd.DataFrame(
        {
            "placement": own["placement"],
            "title": days + " more days in " + own["period"],
            "paid_pv_cost": own["extension_days"] * own["period"].map(price),
        }
    )


def paid_for_access(choices: Choices, made: Iterable[str]) -> pd.DataFrame:
    """Return what each placement would pay to open access that the plan does not make.

    Columns placement, title, paid_pv_cost.
    """
    closed = choices.access[
        ~choices.access["is_given"] & ~choices.access["access"].isin(list(made))
    ]
    members = choices.access_members[["access", "placement"]].merge(
        closed[["access", "access_set", "period", "pv_cost"]], on="access"
    )
    title = "opening " + members["access_set"] + " in " + members["period"]
    return pd.DataFrame(
        {"placement": members["placement"], "title": title, "paid_pv_cost": members["pv_cost"]}
    )


def own_payments(choices: Choices, picked: Chosen) -> pd.Series:
    """Return what each placement pays by itself in a plan: added days and access of its own."""
    days = paid_for_days(choices, picked.extension_days)
    both = pd.concat([days, paid_for_access(choices, picked.access["access"])])
    return both.groupby("placement")["paid_pv_cost"].sum()


def by_course(choices: Choices, paid: pd.DataFrame) -> pd.Series:
    """Return what each course pays in all, by course."""
    table = choices.works.merge(paid, on="placement")
    return (
        table.groupby("course")["paid_pv_cost"]
        .sum()
        .reindex(choices.courses["course"], fill_value=0.0)
    )


def dearest(choices: Choices, paid: pd.DataFrame, count: int = 2) -> pd.Series:
    """Return the titles of what each course would pay most for, by course."""
    table = choices.works.merge(paid, on="placement")
    sums = table.groupby(["course", "title"])["paid_pv_cost"].sum().reset_index()
    sums = sums.sort_values(["course", "paid_pv_cost", "title"], ascending=[True, False, True])
    return _strung(sums.rename(columns={"title": "text"}), " and ", count)
