"""What is left to some components while all others stand: a small case of its own."""

from dataclasses import replace

import numpy as np
import pandas as pd

from bundler.choice import Choices, only


def _placed(choices: Choices, courses: pd.Series) -> pd.Series:
    """Return the placements of some courses."""
    return choices.works.loc[choices.works["course"].isin(courses), "placement"]


def _free_courses(choices: Choices, chosen: pd.Series, free: pd.Series) -> pd.Series:
    """Return which courses (a mask) stay: all of the free, and those works that make a period long.

    How long an outage becomes hangs on its longest work, so works that are too long stay.
    """
    long = choices.placements.loc[choices.placements["extension_days"] > 0, "placement"]
    fixed = choices.courses["course"].isin(chosen) & ~choices.courses["component"].isin(free)
    holds = choices.works.loc[choices.works["placement"].isin(long), "course"]
    return choices.courses["component"].isin(free) | (fixed & choices.courses["course"].isin(holds))


def _less(table: pd.DataFrame, key: str, column: str, taken: pd.Series) -> pd.DataFrame:
    """Return a table with what is taken (by key) off a column."""
    return table.assign(**{column: table[column] - table[key].map(taken).fillna(0.0)})


def rest_of(choices: Choices, chosen: pd.Series, free: pd.Series) -> Choices:
    """Return the case of the free components with what all others leave them.

    Parameters
    ----------
    chosen : course of each component in the plan as it stands.
    free : components that may take another course; access that the others make is there for them.
    """
    is_kept = _free_courses(choices, chosen, free)
    small = only(choices, is_kept)
    stand = _placed(choices, chosen[~np.isin(chosen, small.courses["course"])])
    members, sets = choices.access_members, choices.access_uses
    opened = members.loc[members["placement"].isin(stand), "access"]
    made = choices.access[choices.access["access"].isin(opened) & ~choices.access["is_given"]]
    uses = choices.uses[choices.uses["placement"].isin(stand)]
    is_made = sets["access"].isin(made["access"])
    taken = uses.groupby("limit")["amount"].sum()
    taken = taken.add(sets[is_made].groupby("limit")["amount"].sum(), fill_value=0.0)
    terms = choices.link_terms[choices.link_terms["placement"].isin(stand)]
    asked = terms.groupby("link")["factor"].sum()
    given = choices.access["is_given"] | choices.access["access"].isin(made["access"])
    left = sets[~is_made & sets["access"].isin(small.access_members["access"])]
    access = choices.access.assign(is_given=given)
    return replace(
        small,
        limits=_less(choices.limits, "limit", "amount", taken),
        links=_less(choices.links, "link", "most", asked),
        access=access[given | access["access"].isin(small.access_members["access"])],
        access_uses=left,
        shared_pv_cost=0.0,
    )
