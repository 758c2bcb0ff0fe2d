"""A schedule as the judge reads it: each task with its work or access, in days from planning."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from bundler.judge.access import AccessKey, MadeSet
from bundler.judge.dates import CLOSE_DAYS, Period
from bundler.judge.reading import Reading
from bundler.judge.site import Hours, Site
from bundler.judge.verdict import Breach
from bundler.judge.works import Work
from bundler.tables import rows

FloatArray = NDArray[np.float64]

#: the day is looked at in parts of this length [d]
PART_DAYS = 0.5
KINDS = ("work", "test", "set-up", "alongside", "lift")
ACCESS_KINDS = KINDS[2:]
#: the most of a crew, and of its hours in an access set, that the set-up takes, and the lift again
ENDS_SHARE = 0.5
#: what a set-up without days of its own counts with [d]
LEAST_SET_UP_DAYS = 0.5
#: fewer hours than this are none [h]
CLOSE_HOURS = 1e-6


@dataclass(frozen=True)
class Placed:
    """A task on its days, counted from the planning date; either of a work or of an access set.

    hours : by resource; all of a work in its work, none in a test; a part of an access set [h].
    """

    kind: str
    outage: Period
    start: float
    end: float
    work: Work | None
    made: MadeSet | None
    hours: Hours

    @property
    def name(self) -> str:
        """The task in words."""
        if self.work is not None:
            return f"{self.kind} of {self.work.name}"
        assert self.made is not None
        set_name = f"{self.made.access_set.access_set} {self.made.train}".strip()
        return f"{self.kind} of {set_name} of {self.made.unit} in {self.outage.name}"

    @property
    def days(self) -> float:
        """How long it takes [d]."""
        return self.end - self.start

    @property
    def place(self) -> tuple[str, str]:
        """Area and train."""
        if self.work is not None:
            return str(self.work.family.area), str(self.work.component.train)
        assert self.made is not None
        return str(self.made.access_set.area), self.made.train

    def overlaps(self, other: "Placed") -> bool:
        """Tell whether both are under way at once."""
        return min(self.end, other.end) - max(self.start, other.start) > CLOSE_DAYS

    def held(self, low: float, high: float) -> float:
        """Days between two days on which it is under way."""
        return max(0.0, min(self.end, high) - max(self.start, low))


@dataclass(frozen=True)
class Timetable:
    """All tasks of a schedule; listed counts how often each work of the plan is named in it."""

    reading: Reading
    outages: tuple[Period, ...]
    placed: tuple[Placed, ...]
    listed: Mapping[tuple[str, str], int]
    unread: tuple[Breach, ...]

    def of_work(self, work: Work, *kinds: str) -> list[Placed]:
        """Return the tasks of a work, of these kinds or of any, in order of days."""
        own = [one for one in self.placed if one.work is work and one.kind in (kinds or KINDS)]
        return sorted(own, key=lambda one: (one.start, one.end))

    def of_set(self, key: AccessKey, kind: str) -> list[Placed]:
        """Return the tasks of a kind of an access set."""
        return [
            one
            for one in self.placed
            if one.made is not None and one.made.key == key and one.kind == kind
        ]

    def in_outage(self, outage: Period) -> list[Placed]:
        """Return the tasks of one outage."""
        return [one for one in self.placed if one.outage.name == outage.name]

    def works(self) -> Iterator[Work]:
        """Yield the works of the plan in these outages that are on days."""
        there = {id(one.work) for one in self.placed if one.kind == "work"}
        yield from (work for work in self.reading.works if id(work) in there)

    def longer(self, outage: Period) -> float:
        """Return the days by which an outage is lengthened, rounded up [d]."""
        return float(math.ceil(self.reading.extension(outage) - CLOSE_DAYS))

    def last_day(self, work: Work) -> float:
        """Return the last day on which a work's conditions hold, with the days added."""
        return work.span[1] + min(self.longer(work.period), work.room)

    def edges(self, outage: Period) -> FloatArray:
        """Return the parts of the day of an outage, from breaker open to its end [n + 1]."""
        count = math.ceil((outage.end + self.longer(outage) - outage.start) / PART_DAYS)
        result: FloatArray = outage.start + np.arange(count + 1, dtype=np.float64) * PART_DAYS
        return result


def set_hours(site: Site, made: MadeSet) -> dict[str, dict[str, float]]:
    """Return the hours of an access set by kind of task and resource [h]; none of zero.

    Set-up and lift each take half of them, but no more than half the crew gives in the days that
    the set-up takes; the rest goes on alongside the works.
    """
    days, ends = max(float(made.access_set.setup_days), LEAST_SET_UP_DAYS), dict[str, float]()
    for name, amount in made.hours.items():
        crew = site.crews.get((made.period.kind, name))
        each = site.direct_hours(made.period.kind, name)
        most = crew.heads_count * each * days if crew is not None and each > 0 else amount
        ends[name] = min(amount, most) * ENDS_SHARE
    rest = {name: amount - 2 * ends[name] for name, amount in made.hours.items()}
    rest = {name: amount for name, amount in rest.items() if amount > CLOSE_HOURS}
    return {"set-up": ends, "alongside": rest, "lift": ends}


def _hours(site: Site, kind: str, work: Work | None, made: MadeSet | None) -> Hours:
    """Return the hours of a task by resource [h]."""
    if made is not None:
        return set_hours(site, made)[kind]
    return work.hours if work is not None and kind == "work" else {}


def profile(edges: FloatArray, stretches: list[tuple[float, float, float]]) -> FloatArray:
    """Return the average amount in each part of the day, of stretches (start, end, amount) [n]."""
    found: FloatArray = np.zeros(len(edges) - 1)
    for start, end, amount in stretches:
        inside = np.minimum(edges[1:], end) - np.maximum(edges[:-1], start)
        found += amount * np.clip(inside, 0.0, None) / np.diff(edges)
    return found


def read_schedule(reading: Reading, schedule: pd.DataFrame) -> Timetable:
    """Return a schedule with what its rows speak of, and which rows speak of nothing."""
    periods = reading.site.periods
    works = {(w.component.component, w.action.action, w.period.name): w for w in reading.works}
    sets = {made.key: made for made in reading.sets}
    placed: list[Placed] = []
    listed: dict[tuple[str, str], int] = {}
    unread: list[Breach] = []
    for row in rows(schedule):
        outage = periods.get(row.outage)
        work = works.get((row.component, row.action, row.outage))
        made = sets.get((row.action, row.component, row.train, row.outage))
        if outage is None or row.kind not in KINDS or (_is_of_work(row) and work is None) or (
            not _is_of_work(row) and made is None
        ):  # fmt: skip
            text = f"{row.kind} of {row.component} {row.action} in {row.outage} is not in the plan."
            unread.append(Breach("schedule known", str(row.outage), text, 1.0))
            continue
        if row.kind == "work":
            key = (row.component, row.outage)
            listed[key] = listed.get(key, 0) + 1
        if not row.is_left_out:
            start, end = outage.start + row.start_days, outage.start + row.end_days
            one, two = (work, None) if _is_of_work(row) else (None, made)
            hours = _hours(reading.site, row.kind, one, two)
            placed.append(Placed(row.kind, outage, start, end, one, two, hours))
    names = sorted(set(schedule["outage"]) & set(periods))
    outages = tuple(periods[name] for name in names)
    return Timetable(reading, outages, tuple(placed), listed, tuple(unread))


def _is_of_work(row: Any) -> bool:
    return row.kind in ("work", "test")
