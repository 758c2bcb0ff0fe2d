"""What clashes in a case, found: the smallest clash, what its limits lack, the nearest plan."""

from dataclasses import dataclass, replace

import pandas as pd

from bundler.choice import Choices
from bundler.clash.members import Member, involved, kept, members
from bundler.clash.nearest import Nearest, least_breach, nearest
from bundler.clash.smallest import is_possible, smallest


@dataclass(frozen=True)
class Lack:
    """A limit of the clash: needed with all others of it kept, there, and lacking even with help.

    needed and there leave out overtime and extension; short_amount is what is missing with both.
    """

    limit: str
    needed_amount: float
    there_amount: float
    short_amount: float


@dataclass(frozen=True)
class Clash:
    """The members of the smallest clash, what its limits lack, and the nearest plan if any.

    is_there is false where a plan keeps everything after all.
    """

    few: Choices
    members: tuple[Member, ...]
    lacks: tuple[Lack, ...]
    nearest: Nearest | None
    is_there: bool = True

    @property
    def limits(self) -> dict[str, pd.Series]:
        """Return the rows of the limits involved by their names."""
        return {str(row["limit"]): row for _, row in self.few.limits.iterrows()}

    def keys(self, kind: str) -> list[str]:
        """Return the keys of the members of a kind, sorted."""
        return sorted(member.key for member in self.members if member.kind == kind)


def _ordered(few: Choices, near: Nearest | None) -> list[Member]:
    """Return all members, those that should rather be told first.

    Forced works, what lacks the most in the nearest plan (without these limits nothing clashes, so
    one of them is part of every clash), then links, extensions and the other limits.
    """
    near = near or least_breach(few, set(few.limits["limit"]))
    limits = {str(row["limit"]): row for _, row in few.limits.iterrows()}
    worst = near.worst_first(limits) if near else []
    rank = {Member("limit", name): place for place, (name, _) in enumerate(worst, 1)}
    after = {"demand": 0, "link": len(rank) + 1, "extension": len(rank) + 2}

    def order(member: Member) -> tuple[int, str]:
        last = after.get(member.kind, len(rank) + 3)
        return rank.get(member, last), member.key

    return sorted(members(few), key=order)


def _lack(few: Choices, found: list[Member], name: str) -> Lack:
    """Return what one limit of a clash lacks, with everything else in the clash kept."""
    held = involved(kept(few, found))
    alone = held.limits["limit"] == name
    there = float(held.limits.loc[alone, "amount"].iloc[0])
    bare = held.limits.assign(
        extension_amount=held.limits["extension_amount"].mask(alone, 0.0),
        overtime=held.limits["overtime"].mask(alone, ""),
    )
    both = []
    for limits in (bare, held.limits):
        near = least_breach(replace(held, limits=limits), {name})
        both.append(near.missing.get(name, 0.0) if near else 0.0)
    return Lack(name, there + both[0], there, both[1])


def find_clash(choices: Choices) -> Clash:
    """Return what clashes in choices that hold no plan; deterministic.

    The smallest clash is looked for among the components involved only, with works unsplit.
    """
    few = involved(choices)
    if is_possible(few, members(few)):
        return Clash(few, (), (), None, is_there=False)
    near = nearest(choices, few)
    found = smallest(_ordered(few, near), lambda held: is_possible(few, held))
    names = sorted(member.key for member in found if member.kind == "limit")
    lack = tuple(_lack(few, found, name) for name in names)
    return Clash(few, tuple(found), lack, near)
