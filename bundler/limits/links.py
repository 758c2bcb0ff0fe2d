"""Rules between works as linear rows over placements: sum of factor x z <= most."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.limits.link_pairs import pairs
from bundler.limits.link_paths import path_terms
from bundler.limits.link_ties import LinkRow, Tie, finish_days, last_start_days
from bundler.tables import rows

NAMES = [
    "placement", "component", "action", "like", "period", "kind", "is_outage", "open_days",
    "start_days", "end_days", "days", "effect_days",
]  # fmt: skip


def _action(own: pd.DataFrame, action: str) -> pd.DataFrame:
    """Return the works of a kind, and those that count as it."""
    return own[(own["action"] == action) | (own["like"] == action)] if action else own


def _of_kind(own: pd.DataFrame, kind: str) -> pd.DataFrame:
    return own[own["kind"] == kind] if kind else own


def _terms(plus: pd.Series, minus: pd.Series) -> list[tuple[int, float]]:
    """Return the terms of a row: factor 1 for some placements, -1 for others."""
    return [(p, 1.0) for p in plus] + [(p, -1.0) for p in minus]


def _needs_terms(first: pd.DataFrame, second: pd.DataFrame) -> Iterator[list[tuple[int, float]]]:
    for period, own in first.groupby("period", sort=True):
        there = second.loc[second["period"] == period, "placement"]
        yield _terms(own["placement"], there)


def _needs(tie: Tie) -> Iterator[LinkRow]:
    """First in an outage only with second in the same outage."""
    for terms in _needs_terms(tie.first, tie.second):
        yield LinkRow(tie.name, "needs", terms)


def _together(tie: Tie) -> Iterator[LinkRow]:
    """Both in an outage or neither."""
    both = [*_needs_terms(tie.first, tie.second), *_needs_terms(tie.second, tie.first)]
    for terms in both:
        yield LinkRow(tie.name, "together", terms)


def _triggers(tie: Tie) -> Iterator[LinkRow]:
    """First makes second due in the same outage or before."""
    for _, own in tie.first.groupby("period", sort=True):
        due = own["effect_days"].max()
        by_then = tie.second.loc[tie.second["effect_days"] <= due, "placement"]
        yield LinkRow(tie.name, "triggers", _terms(own["placement"], by_then))


def _before(tie: Tie) -> Iterator[LinkRow]:
    """Second only after first: first can finish, and its lag pass, before second has to start."""
    done = finish_days(tie.first) + tie.lag_days
    for work in rows(tie.second):
        fits = tie.first.loc[done <= last_start_days(work) + 1e-6, "placement"]
        yield LinkRow(tie.name, "before", [(work.placement, 1.0)] + [(p, -1.0) for p in fits])


def clash(a: pd.DataFrame, b: pd.DataFrame) -> np.ndarray:
    """Return which pairs of works can follow each other in neither order [n, m]."""

    def follows(one: pd.DataFrame, two: pd.DataFrame) -> np.ndarray:
        done = finish_days(one).to_numpy()[:, None]
        result: np.ndarray = done <= last_start_days(two).to_numpy()[None, :] + 1e-6
        return result

    result: np.ndarray = ~follows(a, b) & ~follows(b, a).T
    return result


def _apart(tie: Tie) -> Iterator[LinkRow]:
    """Never at the same time: two works that can follow each other in neither order exclude."""
    clashing = clash(tie.first, tie.second)
    places = tie.second["placement"].to_numpy()
    homes = tie.second["period"].to_numpy()
    for index, own in enumerate(tie.first["placement"]):
        for period in dict.fromkeys(homes[clashing[index]]):
            others = places[clashing[index] & (homes == period)]
            yield LinkRow(tie.name, "apart", [(own, 1.0)] + [(p, 1.0) for p in others], 1.0)


def _stagger(tie: Tie) -> Iterator[LinkRow]:
    """Never both in one outage or period, so that nothing they share is in both."""
    for period, own in tie.first.groupby("period", sort=True):
        others = tie.second.loc[tie.second["period"] == period, "placement"]
        if len(others):
            terms = [(p, 1.0) for p in (*own["placement"], *others)]
            yield LinkRow(tie.name, "stagger", terms, 1.0)


def _instead(tie: Tie) -> Iterator[LinkRow]:
    """In each outage until first is done, second has to be done.

    Outages that open after the planning date with their scope still open. Where neither can be
    done there is nothing to ask for.
    """
    for outage in rows(tie.outages):
        there = tie.second.loc[tie.second["period"] == outage.period, "placement"]
        by_then = tie.first.loc[tie.first["effect_days"] <= outage.end_days + 1e-6, "placement"]
        able = sorted({*there, *by_then})
        if able:
            yield LinkRow(tie.name, "instead", [(p, -1.0) for p in able], -1.0)


RULES = {
    "needs": _needs,
    "together": _together,
    "triggers": _triggers,
    "before": _before,
    "apart": _apart,
    "stagger": _stagger,
    "instead": _instead,
}
#: whose works are left out where a link holds in one kind of outage only
ONLY_FIRST = ("needs", "together", "triggers", "apart", "stagger")
ONLY_SECOND = ("needs", "together", "before", "apart", "stagger", "instead")


def _asking(periods: pd.DataFrame) -> pd.DataFrame:
    """Return the outages whose scope is still open at the planning date."""
    ahead = (periods["start_days"] > 0) & (periods["freeze_days"] > 0)
    return periods[periods["is_outage"] & ahead].sort_values(["start_days", "period"])


def ties(case: Case, placements: pd.DataFrame, periods: pd.DataFrame) -> Iterator[Tie]:
    """Yield every pair of components that a link ties, with the works of both that it counts."""
    parts = case["components"][["component", "unit", "family", "train", "position_count"]]
    by_component = {str(name): own for name, own in placements[NAMES].groupby("component")}
    none, asking = placements[NAMES].iloc[:0], _asking(periods)
    for pair in rows(pairs(case, parts)):
        first = _action(by_component.get(pair.first, none), pair.first_action)
        second = _action(by_component.get(pair.second, none), pair.second_action)
        yield Tie(
            f"{pair.link}:{pair.first}>{pair.second}",
            pair.rule,
            _of_kind(first, pair.only_kind if pair.rule in ONLY_FIRST else ""),
            _of_kind(second, pair.only_kind if pair.rule in ONLY_SECOND else ""),
            _of_kind(asking[asking["unit"] == pair.unit], pair.only_kind),
            pair.lag_days,
        )


def link_rows(
    case: Case, placements: pd.DataFrame, periods: pd.DataFrame
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the links as rows (link, rule, most) and their terms (link, placement, factor)."""
    found: list[LinkRow] = []
    tied = list(ties(case, placements, periods))
    for tie in tied:
        found.extend(RULES[tie.rule](tie))
    found.extend(path_terms([tie for tie in tied if tie.rule == "before"]))
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
