"""Direct hours of each kind of work, its own or of the work it is like, and of discoveries."""

import pandas as pd

from bundler.case import Case

WORK = ["family", "action", "resource"]


def planned_hours(case: Case) -> pd.DataFrame:
    """Return family, action, resource and work_hours of each kind of work [h], sorted by these.

    A work that names another it is like, and has no hours of its own, takes that one's.
    """
    own = case["action_hours"][[*WORK, "work_hours"]]
    actions = case["actions"][["family", "action", "like"]]
    given = pd.MultiIndex.from_frame(own[["family", "action"]])
    bare = ~pd.MultiIndex.from_frame(actions[["family", "action"]]).isin(given)
    lent = actions[bare & (actions["like"] != "")].merge(
        own.rename(columns={"action": "like"}), on=["family", "like"]
    )
    table = pd.concat([own, lent[own.columns]], ignore_index=True)
    return table.sort_values(WORK, ignore_index=True)


def discovery_hours(case: Case) -> pd.DataFrame:
    """Return the hours to be expected of what is found on each kind of work [h].

    Chance x hours, added up over its discoveries; columns as of `planned_hours`.
    """
    key = ["family", "action", "discovery"]
    table = case["discovery_hours"].drop(columns="file_row")
    table = table.merge(case["discoveries"][[*key, "chance"]], on=key)
    table["work_hours"] = table["work_hours"] * table["chance"]
    return table.groupby(WORK, as_index=False)[["work_hours"]].sum()


def work_hours(case: Case) -> pd.DataFrame:
    """Return the hours to be expected of each kind of work, with what is found on it [h].

    Columns family, action, resource, work_hours, before learning; sorted by the first three.
    """
    found = discovery_hours(case)
    if found.empty:
        return planned_hours(case)
    both = pd.concat([planned_hours(case), found], ignore_index=True)
    return both.groupby(WORK, as_index=False)[["work_hours"]].sum()
