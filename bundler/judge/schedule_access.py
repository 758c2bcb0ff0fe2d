"""Access on the days of a schedule: set up before those that need it, lifted after them."""

from collections.abc import Iterator

from bundler.judge.access import AccessKey, MadeSet, keys_needed
from bundler.judge.dates import CLOSE_DAYS
from bundler.judge.schedule_days import in_span, outside, too_short
from bundler.judge.schedule_reading import ACCESS_KINDS, Placed, Timetable, set_hours
from bundler.judge.verdict import Breach
from bundler.judge.works import Work


def check_set_days(table: Timetable) -> Iterator[Breach]:
    """Hold that tasks of access are in their span; set-up and lift as long as stated."""
    for one in table.placed:
        if one.made is None:
            continue
        last = one.outage.end + table.longer(one.outage)
        yield from outside(one, one.made.span[0], last)
        days = 0.0 if one.kind == "alongside" else float(one.made.access_set.setup_days)
        yield from too_short(one, max(days, CLOSE_DAYS if one.hours else 0.0))


def check_access_days(table: Timetable) -> Iterator[Breach]:
    """Hold that access is set up once before all that need it, and lifted once after them."""
    for made, works in _members(table):
        name = f"{made.access_set.access_set} {made.train}".strip()
        for kind in ACCESS_KINDS:
            found, count = table.of_set(made.key, kind), int(_is_asked(table, made, kind))
            if len(found) != count:
                text = f"{works[0].name}: {kind} of {name} is in the schedule {len(found)} times."
                yield Breach("schedule access", works[0].name, text, 1.0)
            for one in found if kind != "alongside" else []:
                for work in works:
                    yield from _not_held(table, work, one, name)


def _members(table: Timetable) -> Iterator[tuple[MadeSet, list[Work]]]:
    """Yield the access sets that works of the schedule need, with these works."""
    found: dict[AccessKey, list[Work]] = {}
    for work in table.works():
        for key in keys_needed(table.reading.site, work):
            found.setdefault(key, []).append(work)
    yield from ((made, found[made.key]) for made in table.reading.sets if made.key in found)


def _is_asked(table: Timetable, made: MadeSet, kind: str) -> bool:
    """Tell whether an access set has a task of a kind: hours of it, or days to be set up."""
    if kind == "alongside":
        return bool(set_hours(table.reading.site, made)[kind])
    return bool(made.hours) or (kind == "set-up" and made.access_set.setup_days > 0)


def _not_held(table: Timetable, work: Work, one: Placed, name: str) -> Iterator[Breach]:
    stay = in_span(table, work)
    if one.kind == "set-up":
        far = one.end - min(own.start for own in stay)
    else:
        far = max(own.end for own in stay) - one.start
    if far > CLOSE_DAYS:
        text = f"{work.name}: {far:g} days of it are without {name}, by its {one.kind}."
        yield Breach("schedule access", work.name, text, far)


def check_set_order(table: Timetable) -> Iterator[Breach]:
    """Hold that all of an access set follows its set-up, and that somebody needs it."""
    needed = {made.key for made, _ in _members(table)}
    for one in table.placed:
        if one.made is None:
            continue
        if one.made.key not in needed:
            text = f"{one.name}: 0 works of the schedule need it, leave it out."
            yield Breach("schedule access", one.name, text, one.days)
        ready = max((own.end for own in table.of_set(one.made.key, "set-up")), default=one.start)
        if one.kind != "set-up" and one.start < ready - CLOSE_DAYS:
            text = f"{one.name}: it begins {ready - one.start:g} days before its set-up ends."
            yield Breach("schedule access", one.name, text, ready - one.start)
