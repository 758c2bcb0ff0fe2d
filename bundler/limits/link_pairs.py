"""Which components each rule between works ties together."""

from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.tables import rows

MATCHES = {"station": [], "unit": ["unit"], "train": ["unit", "train"],
           "position": ["unit", "position_count"]}  # fmt: skip
NAMES = [
    "link", "rule", "first", "first_action", "second", "second_action", "unit", "only_kind",
    "lag_days",
]  # fmt: skip


def _is_even(link: Any) -> bool:
    """Return whether a link says the same with first and second exchanged."""
    return (
        link.rule in ("apart", "stagger", "together")
        and link.first_family == link.second_family
        and link.first_action == link.second_action
    )


def _tied(link: Any, parts: pd.DataFrame) -> pd.DataFrame:
    """Return the pairs of one link: component_first, component_second, unit (of the second)."""
    on = MATCHES[link.match]
    first = parts[parts["family"] == link.first_family]
    second = parts[parts["family"] == link.second_family]
    names = ["component", *on]
    both: pd.DataFrame = first[names].merge(
        second[[*dict.fromkeys([*names, "unit"])]], on=on or None,
        how="inner" if on else "cross", suffixes=("_first", "_second"),
    )  # fmt: skip
    if link.only_unit:
        both = both[both["unit"] == str(link.only_unit)]
    is_same = both["component_first"] == both["component_second"]
    if link.rule == "instead" and link.first_family == link.second_family:
        is_tied = is_same
    elif _is_even(link):
        is_tied = both["component_first"] < both["component_second"]
    else:
        is_tied = ~is_same
    return both.loc[is_tied]


def pairs(case: Case, parts: pd.DataFrame) -> pd.DataFrame:
    """Return one row a link and pair of components that it ties together.

    `parts` has component, unit, family, train, position_count. Columns link, rule, first,
    second (components), first_action, second_action, unit (of the second), only_kind, lag_days.
    A component is never tied to itself, but by `instead` of one family: there it is always
    another work on the same component.
    """
    tied = [
        (
            link.link, link.rule, pair.component_first, link.first_action, pair.component_second,
            link.second_action, pair.unit, link.only_kind, link.lag_days,
        )
        for link in rows(case["links"])
        for pair in rows(_tied(link, parts))
    ]  # fmt: skip
    return pd.DataFrame(tied, columns=NAMES).sort_values(["link", "first", "second"])
