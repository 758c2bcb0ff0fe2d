"""One plain sentence a component: worth it, not worth it, or stopped, and by what."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from bundler.choice import Choices

#: a decision is called close when the best course that starts otherwise costs less than this
#: share more; our choice
CLOSE_SHARE = 0.05
NOTHING = "no work"


def course_texts(choices: Choices) -> dict[int, str]:
    """Return each course in words: action in outage, then action in outage."""
    placed = choices.placements[["placement", "action", "period", "effect_days"]]
    table = choices.works.merge(placed, on="placement").sort_values(["course", "effect_days"])
    table["text"] = table["action"].str.replace("_", " ") + " in " + table["period"]
    joined = table.groupby("course")["text"].agg(", then ".join)
    return {int(str(q)): text for q, text in joined.items()}


def first_steps(choices: Choices) -> pd.Series:
    """Return the first work of each course as text, for telling decisions apart."""
    placed = choices.placements[["placement", "action", "period", "effect_days"]]
    table = choices.works.merge(placed, on="placement").sort_values(["course", "effect_days"])
    first = table.drop_duplicates("course").set_index("course")
    return first["action"] + " " + first["period"]


def priced_uses(choices: Choices, prices: dict[tuple[str, Any], float]) -> pd.DataFrame:
    """Return what each placement would pay for each limit at the plan's prices.

    Columns placement, limit, paid_pv_cost; only limits with a price.
    """
    priced = {key: price for (rule, key), price in prices.items() if rule == "limits" and price > 0}
    uses = choices.uses[choices.uses["limit"].isin(priced)].copy()
    uses["paid_pv_cost"] = uses["amount"] * uses["limit"].map(priced)
    return uses[["placement", "limit", "paid_pv_cost"]]


def _stops(choices: Choices, paid: pd.DataFrame) -> pd.DataFrame:
    """Return for each course what it would pay for each limit, dearest first."""
    table = choices.works.merge(paid, on="placement")
    sums = table.groupby(["course", "limit"])["paid_pv_cost"].sum().reset_index()
    return sums.sort_values(["course", "paid_pv_cost"], ascending=[True, False])


def _partners(choices: Choices, chosen_works: pd.DataFrame) -> dict[int, str]:
    """Return for each chosen placement that others ask for the component that asks."""
    terms = choices.link_terms.merge(choices.links[["link", "rule"]], on="link")
    terms = terms[terms["rule"].isin(["needs", "triggers", "before", "together"])]
    own = terms[terms["placement"].isin(chosen_works["placement"])]
    askers = own[own["factor"] > 0].merge(chosen_works[["placement", "component"]], on="placement")
    by_link = askers.groupby("link")["component"].first()
    asked = own[(own["factor"] < 0) & own["link"].isin(by_link.index)]
    return dict(zip(asked["placement"], asked["link"].map(by_link), strict=True))


def _money(amount: float, currency: str) -> str:
    return f"{amount:,.0f} {currency}"


def _sentence(row: Mapping[Any, Any], currency: str) -> str:
    """Return the reason in words."""
    gain = row["nothing_pv_cost"] - row["chosen_pv_cost"]
    if row["partner"] and gain < 0:
        return f"In because {row['partner']} needs it: it costs {_money(-gain, currency)} more than it saves."
    if row["kind"] == "stopped":
        by = (
            f" held back by {row['stopped_by']}"
            if row["stopped_by"]
            else " held back by a rule between works"
        )
        dear = _money(row["chosen_pv_cost"] - row["best_pv_cost"], currency)
        return f"By itself it would choose {row['best']}, {dear} cheaper;{by}."
    if row["kind"] == "worth it":
        return (
            f"Saves {_money(gain, currency)} against no work: risk falls by "
            f"{_money(row['nothing_risk_pv_cost'] - row['risk_pv_cost'], currency)} for "
            f"{_money(row['planned_pv_cost'], currency)} of work."
        )
    if row["best_work"] == NOTHING:
        return f"No work can be placed; it carries {_money(row['risk_pv_cost'], currency)} of risk."
    return (
        f"The best work ({row['best_work']}) would cost {_money(row['best_work_pv_cost'], currency)} "
        f"in all, no work {_money(row['chosen_pv_cost'], currency)}."
    )


def _best_of(table: pd.DataFrame) -> pd.DataFrame:
    """Return the cheapest row of each component by own cost."""
    order = table.sort_values(["component", "pv_cost", "course"])
    return order.drop_duplicates("component").set_index("component")


def reasons(
    choices: Choices, courses: pd.DataFrame, works: pd.DataFrame,
    prices: dict[tuple[str, Any], float], currency: str,
) -> pd.DataFrame:  # fmt: skip
    """Return why each component's course was chosen.

    One row a component: decision in words, kind (worth it, not worth it, stopped), sentence,
    the best other course that begins differently with its difference at the plan's prices, and
    is_close, true where that difference is under 5 % of the course's cost.
    """
    texts, firsts = course_texts(choices), first_steps(choices)
    paid = priced_uses(choices, prices)
    stops = _stops(choices, paid)
    table = choices.courses.copy()
    dues = choices.works.merge(paid.groupby("placement", as_index=False)["paid_pv_cost"].sum())
    table["priced_pv_cost"] = table["pv_cost"] + table["course"].map(
        dues.groupby("course")["paid_pv_cost"].sum()
    ).fillna(0.0)
    table["first"] = table["course"].map(firsts).fillna(NOTHING)
    table["text"] = table["course"].map(texts).fillna(NOTHING)
    picked = courses.set_index("component")["course"]
    own = table[table["course"].isin(picked)].set_index("component")
    best = _best_of(table)
    rows = own[["course", "text", "pv_cost", "risk_pv_cost", "planned_pv_cost", "priced_pv_cost"]]
    rows = rows.rename(columns={"text": "decision", "pv_cost": "chosen_pv_cost"})
    rows = rows.assign(best=best["text"], best_course=best["course"], best_pv_cost=best["pv_cost"])
    return _told(choices, table, rows, own, stops, works, currency)


def _told(
    choices: Choices, table: pd.DataFrame, rows: pd.DataFrame, own: pd.DataFrame,
    stops: pd.DataFrame, works: pd.DataFrame, currency: str,
) -> pd.DataFrame:  # fmt: skip
    """Return the table of reasons with sentences and marks."""
    nothing = _best_of(table[table["first"] == NOTHING])
    least = _best_of(table.sort_values("planned_pv_cost"))
    some = _best_of(table[table["first"] != NOTHING])
    rows["nothing_pv_cost"] = nothing["pv_cost"].reindex(rows.index).fillna(least["pv_cost"])
    rows["nothing_risk_pv_cost"] = (
        nothing["risk_pv_cost"].reindex(rows.index).fillna(least["risk_pv_cost"])
    )
    rows["best_work"] = some["text"].reindex(rows.index).fillna(NOTHING)
    rows["best_work_pv_cost"] = some["pv_cost"].reindex(rows.index)
    other = table[table["first"] != table["component"].map(own["first"])]
    other = other.sort_values(["component", "priced_pv_cost", "course"]).drop_duplicates(
        "component"
    )
    other = other.set_index("component")
    rows["other"] = other["text"].reindex(rows.index).fillna("")
    rows["other_more_pv_cost"] = (
        other["priced_pv_cost"].reindex(rows.index) - rows["priced_pv_cost"]
    )
    limit = CLOSE_SHARE * rows["priced_pv_cost"].abs()
    rows["is_close"] = rows["other_more_pv_cost"].abs() < limit
    titles = choices.limits.set_index("limit")["title"]
    stops = stops.assign(title=stops["limit"].map(titles))
    top = stops.groupby("course").head(2).groupby("course")["title"].agg(" and ".join)
    rows["stopped_by"] = rows["best_course"].map(top).fillna("")
    partner = _partners(choices, works)
    asked = works.assign(partner=works["placement"].map(partner)).dropna(subset="partner")
    rows["partner"] = asked.groupby("component")["partner"].first().reindex(rows.index).fillna("")
    away = rows["best_pv_cost"] < rows["chosen_pv_cost"] - 0.5
    has_work = rows["decision"] != NOTHING
    rows["kind"] = np.select([away, has_work], ["stopped", "worth it"], "not worth it")
    records = rows.reset_index().to_dict("records")
    rows["sentence"] = [_sentence(record, currency) for record in records]
    names = ["decision", "kind", "sentence", "chosen_pv_cost", "risk_pv_cost", "planned_pv_cost",
             "nothing_pv_cost", "best", "best_pv_cost", "stopped_by", "other", "other_more_pv_cost",
             "is_close"]  # fmt: skip
    return rows[names].round(1).reset_index().sort_values("component", ignore_index=True)
