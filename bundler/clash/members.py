"""What can clash: forced works, limits, links and longest extensions; choices with some of them."""

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.choice import Choices, only
from bundler.program.limits import binding_limits

#: an outage whose length does not bind may grow by so many days; our choice, 27 years
BOUNDLESS_DAYS = 10_000.0


@dataclass(frozen=True)
class Member:
    """One thing that may be part of a clash.

    kind : demand (key: a component that has to be worked on), limit, link, or extension (key: an
        outage that may grow only so far).
    """

    kind: str
    key: str


def forced(choices: Choices) -> list[str]:
    """Return the components that have no course without work: pins, dates or ages force them."""
    courses = choices.courses
    is_empty = ~courses["course"].isin(set(choices.works["course"]))
    free = set(courses.loc[is_empty, "component"])
    return sorted(str(name) for name in set(courses["component"]) - free)


def _terms(choices: Choices) -> pd.DataFrame:
    """Return the terms of links with their components."""
    placed = choices.placements[["placement", "component"]]
    return choices.link_terms.merge(placed, on="placement")


def _overdrawn(choices: Choices) -> set[str]:
    """Return a component for each limit of which less than nothing is left: its row is built."""
    limits = choices.limits
    names = set(limits.loc[limits["amount"] < 0, "limit"])
    opened = choices.access_uses.merge(choices.access_members, on="access")
    both = pd.concat([choices.uses[["limit", "placement"]], opened[["limit", "placement"]]])
    both = both[both["limit"].isin(names)].merge(
        choices.placements[["placement", "component"]], on="placement"
    )
    return set(both.groupby("limit")["component"].min())


def involved(choices: Choices) -> Choices:
    """Return the choices of the components that matter to whether there is a plan at all.

    These are the forced ones, and those whose work they need by a link: if the terms of a link
    from components inside can exceed its most, all components that lower its sum are inside. It
    is exact, for every part of the members as well: take any plan and let each component outside
    do nothing, which it may. Limits, access and days are used no more than before; a link that
    can be exceeded has lost terms above zero only; any other link holds whatever is done inside.
    """
    terms, most = _terms(choices), choices.links.set_index("link")["most"]
    inside, tight = set(forced(choices)) | _overdrawn(choices), most.index[:0]
    count = -1
    while count != len(inside):
        count = len(inside)
        above = terms[terms["component"].isin(inside) & (terms["factor"] > 0)]
        highest = above.groupby("link")["factor"].sum().reindex(most.index).fillna(0.0)
        tight = most.index[highest > most + 1e-9]
        inside |= set(terms.loc[terms["link"].isin(tight) & (terms["factor"] < 0), "component"])
    few = only(replace(choices, tail=None), choices.courses["component"].isin(inside))
    opened, bound = set(few.access_members["access"]), few.link_terms["link"].isin(tight)
    sets = few.access_uses[few.access_uses["access"].isin(opened)]
    used = set(few.uses["limit"]) | set(sets["limit"])
    return replace(
        few,
        limits=few.limits[few.limits["limit"].isin(used)].reset_index(drop=True),
        links=few.links[few.links["link"].isin(tight)],
        link_terms=few.link_terms[bound],
        access=few.access[few.access["access"].isin(opened)],
        access_uses=sets,
    )


def members(choices: Choices) -> list[Member]:
    """Return all that may be part of a clash: demands, limits, links, extensions, in key order."""
    periods = choices.periods
    longer = periods.loc[periods["max_extension_days"] > 0, "period"]
    keys = {
        "demand": forced(choices),
        "limit": sorted(binding_limits(choices)["limit"]),
        "link": sorted(set(choices.link_terms["link"])),
        "extension": sorted(longer),
    }
    return [Member(kind, str(key)) for kind, names in keys.items() for key in names]


def _freed(choices: Choices, names: Collection[str]) -> Choices:
    """Return the choices with a course without work and cost for each of the components."""
    courses = choices.courses
    first = int(courses["course"].max()) + 1 if len(courses) else 0
    idle = pd.DataFrame({"component": sorted(names)})
    idle["course"] = first + np.arange(len(idle), dtype=np.int64)
    money = {name: 0.0 for name in ("risk_pv_cost", "planned_pv_cost", "pv_cost")}
    both = pd.concat([courses, idle.assign(**money)[["course", "component", *money]]])
    return replace(choices, courses=both.sort_values(["component", "course"], ignore_index=True))


def kept(choices: Choices, held: Collection[Member]) -> Choices:
    """Return the choices in which of all members only the `held` ones bind."""
    names = {
        kind: {member.key for member in held if member.kind == kind}
        for kind in ("demand", "limit", "link", "extension")
    }
    periods, limits, links = choices.periods, choices.limits, choices.links
    uses, access_uses = choices.uses, choices.access_uses
    grows = (periods["max_extension_days"] > 0) & ~periods["period"].isin(names["extension"])
    longest = periods["max_extension_days"].mask(grows, BOUNDLESS_DAYS)
    terms = choices.link_terms
    free = set(forced(choices)) - names["demand"]
    return replace(
        _freed(choices, free) if free else choices,
        periods=periods.assign(max_extension_days=longest),
        limits=limits[limits["limit"].isin(names["limit"])],
        uses=uses[uses["limit"].isin(names["limit"])],
        access_uses=access_uses[access_uses["limit"].isin(names["limit"])],
        links=links[links["link"].isin(names["link"])],
        link_terms=terms[terms["link"].isin(names["link"])],
    )
