"""Rules between works as linear rows over placements: sum of factor x z <= most."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.tables import rows

MATCHES = {"station": [], "unit": ["unit"], "train": ["unit", "train"],
           "position": ["unit", "position_count"]}  # fmt: skip
NAMES = [
    "placement", "component", "unit", "family", "action", "train", "position_count", "period",
    "start_days", "end_days", "days", "effect_days",
]  # fmt: skip


@dataclass(frozen=True)
class LinkRow:
    """One rule between two components: its name, the terms (placement, factor) and the most."""

    link: str
    rule: str
    terms: list[tuple[int, float]]
    most: float = 0.0


def _action(own: pd.DataFrame, action: str) -> pd.DataFrame:
    return own[own["action"] == action] if action else own


def pairs(case: Case, parts: pd.DataFrame) -> pd.DataFrame:
    """Return one row a link and pair of components that it ties together.

    `parts` has component, unit, family, train, position_count. Columns link, rule, first,
    second (components), first_action, second_action.
    """
    tied = []
    for link in case["links"].to_dict("records"):
        on = MATCHES[link["match"]]
        first = parts[parts["family"] == link["first_family"]]
        second = parts[parts["family"] == link["second_family"]]
        names = ["component", *on]
        both = first[names].merge(
            second[[*dict.fromkeys([*names, "unit"])]], on=on or None,
            how="inner" if on else "cross", suffixes=("_first", "_second"),
        )  # fmt: skip
        unit = both["unit"] if "unit" in both else both["unit_second"]
        both = both[(unit == link["only_unit"]) | (link["only_unit"] == "")]
        both = both[both["component_first"] != both["component_second"]]
        is_even = link["rule"] in ("apart", "together")
        if is_even and (link["first_family"], link["first_action"]) == (
            link["second_family"],
            link["second_action"],
        ):
            both = both[both["component_first"] < both["component_second"]]
        for first_name, second_name in zip(
            both["component_first"], both["component_second"], strict=True
        ):
            tied.append({**link, "first": first_name, "second": second_name})
    names = ["link", "rule", "first", "first_action", "second", "second_action"]
    return pd.DataFrame(tied, columns=names).sort_values(["link", "first", "second"])


def _needs(name: str, first: pd.DataFrame, second: pd.DataFrame) -> Iterator[LinkRow]:
    """First in an outage only with second in the same outage."""
    for period, own in first.groupby("period", sort=True):
        there = second.loc[second["period"] == period, "placement"]
        yield LinkRow(
            name, "needs", [(p, 1.0) for p in own["placement"]] + [(p, -1.0) for p in there]
        )


def _together(name: str, first: pd.DataFrame, second: pd.DataFrame) -> Iterator[LinkRow]:
    """Both in an outage or neither."""
    for row in [*_needs(name, first, second), *_needs(name, second, first)]:
        yield LinkRow(name, "together", row.terms)


def _triggers(name: str, first: pd.DataFrame, second: pd.DataFrame) -> Iterator[LinkRow]:
    """First makes second due in the same outage or before."""
    for _, own in first.groupby("period", sort=True):
        by_then = second.loc[second["effect_days"] <= own["effect_days"].max(), "placement"]
        terms = [(p, 1.0) for p in own["placement"]] + [(p, -1.0) for p in by_then]
        yield LinkRow(name, "triggers", terms)


def _before(name: str, first: pd.DataFrame, second: pd.DataFrame) -> Iterator[LinkRow]:
    """Second only after first: first can finish before second has to start."""
    done = first["start_days"] + first["days"]
    for work in rows(second):
        fits = first.loc[done <= work.end_days - work.days + 1e-6, "placement"]
        yield LinkRow(name, "before", [(work.placement, 1.0)] + [(p, -1.0) for p in fits])


def _clash(a: pd.DataFrame, b: pd.DataFrame) -> np.ndarray:
    """Return which pairs of works can follow each other in neither order."""

    def follows(one: pd.DataFrame, two: pd.DataFrame) -> np.ndarray:
        done = (one["start_days"] + one["days"]).to_numpy()[:, None]
        last = (two["end_days"] - two["days"]).to_numpy()[None, :]
        result: np.ndarray = done <= last + 1e-6
        return result

    result: np.ndarray = ~follows(a, b) & ~follows(b, a).T
    return result


def _apart(name: str, first: pd.DataFrame, second: pd.DataFrame) -> Iterator[LinkRow]:
    """Never at the same time: two works that can follow each other in neither order exclude."""
    clash = _clash(first, second)
    places = second["placement"].to_numpy()
    homes = second["period"].to_numpy()
    for index, own in enumerate(first["placement"]):
        for period in dict.fromkeys(homes[clash[index]]):
            others = places[clash[index] & (homes == period)]
            yield LinkRow(name, "apart", [(own, 1.0)] + [(p, 1.0) for p in others], 1.0)


RULES = {
    "needs": _needs,
    "together": _together,
    "triggers": _triggers,
    "before": _before,
    "apart": _apart,
}


def link_rows(case: Case, placements: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the links as rows (link, rule, most) and their terms (link, placement, factor)."""
    parts = case["components"][["component", "unit", "family", "train", "position_count"]]
    by_component = {str(name): own for name, own in placements[NAMES].groupby("component")}
    none = placements[NAMES].iloc[:0]
    found: list[LinkRow] = []
    for pair in rows(pairs(case, parts)):
        first = _action(by_component.get(pair.first, none), pair.first_action)
        second = _action(by_component.get(pair.second, none), pair.second_action)
        name = f"{pair.link}:{pair.first}>{pair.second}"
        found.extend(RULES[pair.rule](name, first, second))
    links = [(f"{row.link}#{i}", row.rule, row.most) for i, row in enumerate(found)]
    terms = [
        (f"{row.link}#{i}", int(placement), factor)
        for i, row in enumerate(found)
        for placement, factor in row.terms
    ]
    return (
        pd.DataFrame(links, columns=["link", "rule", "most"]),
        pd.DataFrame(terms, columns=["link", "placement", "factor"]),
    )
