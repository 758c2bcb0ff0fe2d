"""Dose that each trade takes in each kind of work by its hours and its dose rate there."""

import pandas as pd

from bundler.case import Case
from bundler.hours import WORK, work_hours


def dose_rates(case: Case) -> pd.DataFrame:
    """Return family, action, resource and dose_rate_msv_per_hour of each kind of work.

    A work that takes its hours from the one it is like takes their rates too.
    """
    own = case["action_hours"][[*WORK, "dose_rate_msv_per_hour"]]
    given = pd.MultiIndex.from_frame(own[["family", "action"]])
    actions = case["actions"][["family", "action", "like"]]
    bare = ~pd.MultiIndex.from_frame(actions[["family", "action"]]).isin(given)
    lent = actions[bare & (actions["like"] != "")].merge(
        own.rename(columns={"action": "like"}), on=["family", "like"]
    )
    return pd.concat([own, lent[own.columns]], ignore_index=True)


def hours_dose(case: Case) -> pd.DataFrame:
    """Return what each trade takes in each kind of work, before learning [person-mSv].

    Columns family, action, resource and hours_person_msv: direct hours to be expected x dose
    rate; individual dose is rate x time, collective dose its sum over people.
    """
    table = work_hours(case).merge(dose_rates(case), on=WORK)
    table["hours_person_msv"] = table["work_hours"] * table["dose_rate_msv_per_hour"]
    return table.loc[table["hours_person_msv"] > 0, [*WORK, "hours_person_msv"]]


def with_hours_dose(case: Case, works: pd.DataFrame) -> pd.Series:
    """Return the whole dose of each work [person-mSv]: its own and that of its hours.

    `works` has family, action, dose_person_msv (of the kind of work) and learning_ratio.
    """
    by_work = hours_dose(case).groupby(["family", "action"])["hours_person_msv"].sum()
    keys = pd.MultiIndex.from_frame(works[["family", "action"]])
    hours = by_work.reindex(keys, fill_value=0.0).to_numpy()
    whole: pd.Series = works["dose_person_msv"] + hours * works["learning_ratio"]
    return whole
