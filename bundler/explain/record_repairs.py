"""What a family's record says of its modes of failure, and of how good its repairs are."""

from collections.abc import Iterator
from dataclasses import dataclass

from bundler.explain.record_items import Items
from bundler.life.bounds import Bounds, all_bounds
from bundler.life.competing import modes_of
from bundler.life.fit import fit
from bundler.life.lives import Lives
from bundler.life.repairs import RepairFit, fit_repairs


@dataclass(frozen=True, eq=False)
class ModeLife:
    """A Weibull life of one mode, the others as withdrawals; 90 % bounds; or why there is none."""

    mode: str
    failures_count: float
    scale: Bounds | None
    shape: Bounds | None
    why_not: str


@dataclass(frozen=True, eq=False)
class Repairs:
    """Virtual-age fits of the record, Kijima I and II; or why there are none."""

    fits: tuple[RepairFit, ...]
    why_not: str


def _mode_life(lives: Lives, mode: str) -> ModeLife:
    own = lives.of_mode(mode)
    try:
        scale, shape = all_bounds(own, fit(own, "weibull"))
    except ValueError as fault:
        return ModeLife(mode, own.failures_count, None, None, str(fault))
    return ModeLife(mode, own.failures_count, scale, shape, "")


def mode_lives(lives: Lives) -> Iterator[ModeLife]:
    """Yield the life by each mode that failures name; nothing where none does.

    Raises ValueError where a failure has no mode though others do.
    """
    for mode in modes_of(lives):
        yield _mode_life(lives, mode)


def told_modes(lives: Lives) -> tuple[tuple[ModeLife, ...], str]:
    """Return the lives by mode, and why there are none if so."""
    try:
        found = tuple(mode_lives(lives))
    except ValueError:
        return (), "Some failures have no mode; name all or none."
    return found, "" if found else "No failure names its mode."


def repairs_of(items: Items, on_failure: str) -> Repairs:
    """Return how much age repairs have taken away, by both virtual-age models, or why not."""
    if on_failure != "repair":
        return Repairs(
            (), "A failure ends a life here (it is renewed, or stands): no repair to judge."
        )
    if items.why_not:
        return Repairs((), items.why_not)
    try:
        return Repairs(tuple(fit_repairs(items.histories, kind) for kind in ("I", "II")), "")
    except ValueError as fault:
        return Repairs((), str(fault))
