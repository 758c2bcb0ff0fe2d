"""Why each component's course was chosen: worth it, not worth it, or stopped, and by what."""

from typing import Any

import numpy as np
import pandas as pd

from bundler.choice import Choices
from bundler.explain import texts
from bundler.explain.texts import NOTHING
from bundler.explain.words import sentence
from bundler.plan.chosen import Chosen
from bundler.tables import words

#: a component is called stopped when its course costs this share more than the one it would
#: choose by itself; our choice
STOPPED_SHARE = 0.01
NAMES = (
    "component", "decision", "kind", "sentence", "chosen_pv_cost", "risk_pv_cost",
    "planned_pv_cost", "nothing_pv_cost", "best", "best_pv_cost", "stopped_by", "asked_by",
)  # fmt: skip


def _cheapest(table: pd.DataFrame) -> pd.DataFrame:
    """Return the cheapest course of each component, by component."""
    order = table.sort_values(["component", "pv_cost", "course"])
    return order.drop_duplicates("component").set_index("component")


def asked_by(choices: Choices, works: pd.DataFrame) -> pd.Series:
    """Return for each component the chosen component whose work asks for its work."""
    terms = choices.link_terms.merge(choices.links[["link", "rule"]], on="link")
    terms = terms[~terms["rule"].isin(["apart", "changes"])].merge(
        works[["placement", "component"]], on="placement"
    )
    asking = terms[terms["factor"] > 0].drop_duplicates("link").set_index("link")["component"]
    given = terms[(terms["factor"] < 0) & terms["link"].isin(asking.index)].copy()
    given["by"] = given["link"].map(asking)
    return given.drop_duplicates("component").set_index("component")["by"]


def _told(choices: Choices, picked: Chosen, prices: dict[tuple[str, Any], float]) -> pd.DataFrame:
    """Return every course with words, with added days and access of its own in its cost."""
    limits = texts.paid_for_limits(choices, prices)
    days = texts.paid_for_days(choices, picked.extension_days)
    opened = texts.paid_for_access(choices, picked.access["access"])
    days = pd.concat([days, opened], ignore_index=True)
    table = choices.courses.copy()
    at = table["course"]
    table["pv_cost"] += texts.by_course(choices, days).reindex(at).to_numpy()
    table["text"] = texts.course_texts(choices).reindex(at).to_numpy()
    both = pd.concat([limits.drop(columns="limit"), days], ignore_index=True)
    table["stopped_by"] = words(texts.dearest(choices, both).reindex(at), "").to_numpy()
    return table


def reasons(
    choices: Choices, picked: Chosen, prices: dict[tuple[str, Any], float], currency: str
) -> pd.DataFrame:
    """Return why each component's course was chosen, one row a component.

    nothing_pv_cost is that of no work at all, empty where dates or pins forbid it;
    decision is the course in words; kind is worth it, not worth it, stopped or asked for; best is
    the course it would choose by itself in this plan, paying alone for days it adds and for access
    that nobody else opens; stopped_by names what that course would pay most for at the plan's
    prices.
    """
    table = _told(choices, picked, prices)
    own = table[table["course"].isin(picked.courses["course"])].set_index("component")
    best = _cheapest(table)
    idle = _cheapest(table[table["text"] == NOTHING]).reindex(own.index)
    some = _cheapest(table[table["text"] != NOTHING]).reindex(own.index)
    rows = pd.DataFrame(
        {
            "decision": own["text"],
            "chosen_pv_cost": own["pv_cost"],
            "risk_pv_cost": own["risk_pv_cost"],
            "planned_pv_cost": own["planned_pv_cost"],
            "nothing_pv_cost": idle["pv_cost"],
            "nothing_risk_pv_cost": idle["risk_pv_cost"],
            "best": best["text"],
            "best_pv_cost": best["pv_cost"],
            "best_work": words(some["text"], NOTHING),
            "best_work_pv_cost": some["pv_cost"],
            "stopped_by": best["stopped_by"],
        }
    )
    rows["asked_by"] = words(asked_by(choices, picked.works).reindex(rows.index), "")
    more = rows["chosen_pv_cost"] - rows["best_pv_cost"]
    away = more > STOPPED_SHARE * rows["chosen_pv_cost"].abs()
    has_work = rows["decision"] != NOTHING
    needed = (rows["asked_by"] != "") & (rows["nothing_pv_cost"] < rows["chosen_pv_cost"])
    kinds = ["asked for", "stopped", "worth it"]
    rows["kind"] = np.select([needed, away, has_work], kinds, "not worth it")
    rows = rows.rename_axis("component").reset_index()
    rows["sentence"] = [sentence(row, currency) for row in rows.to_dict("records")]
    rows["stopped_by"] = rows["stopped_by"].where(rows["kind"] == "stopped", "")
    return rows[list(NAMES)].round(1).sort_values("component", ignore_index=True)


def with_marks(told: pd.DataFrame, marks: pd.DataFrame) -> pd.DataFrame:
    """Return reasons with how firm each decision is; "only one" where there is no other."""
    table = told.merge(marks, on="component", how="left")
    return table.assign(mark=words(table["mark"], "only one"))
