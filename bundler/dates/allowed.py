"""What a choice of dates breaks: each fault in words, with the days by which it is one."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, groupby

from bundler.calendar import STATION, date_at, end_of_life_days
from bundler.case import Case
from bundler.dates.losses import length_days, meets
from bundler.dates.starts import Start
from bundler.intervals import at_least, intersection
from bundler.tables import rows

Choice = Sequence[Start]


@dataclass(frozen=True)
class Fault:
    """One rule that a choice breaks, as part of a sentence, and by how many days."""

    text: str
    days: float


@dataclass(frozen=True)
class Rules:
    """What dates are held against: last days of the units [d], barred conditions of the kinds."""

    case: Case
    last_days: Mapping[str, int]
    barred: Mapping[str, str]


def rules_of(case: Case) -> Rules:
    """Return what the dates of a case are held against."""
    names = {row.condition: f"{row.condition} ({row.name})" for row in rows(case["conditions"])}
    kinds = rows(case["outage_kinds"])
    barred = {row.kind: names.get(row.barred_condition, row.barred_condition) for row in kinds}
    return Rules(case, end_of_life_days(case), barred)


def counted(days: float) -> str:
    """Return a number of days in words."""
    return "1 day" if days == 1 else f"{days:,g} days"


def _too_early(rules: Rules, choice: Choice) -> Iterator[Fault]:
    for one in choice:
        if one.start_days < 0:
            text = (
                f"{one.outage} starts on {date_at(rules.case, one.start_days)}, "
                f"{counted(-one.start_days)} before the planning date"
            )
            yield Fault(text, -one.start_days)


def _too_late(rules: Rules, choice: Choice) -> Iterator[Fault]:
    for one in choice:
        late, gone = one.end_days - one.due_days, one.end_days - rules.last_days[one.unit]
        ends = f"{one.outage} ends on {date_at(rules.case, one.end_days)}"
        if late > 0:
            due = date_at(rules.case, one.due_days)
            yield Fault(f"{ends}, {counted(late)} after its due date {due}", late)
        if gone > 0:
            yield Fault(f"{ends}, {counted(gone)} after the last day of {one.unit}", gone)


def _overlaps(rules: Rules, choice: Choice) -> Iterator[Fault]:
    ordered = sorted(choice, key=lambda one: (one.unit, one.start_days, one.outage))
    for first, second in _pairs(ordered):
        if second.start_days < first.end_days:
            days = min(first.end_days, second.end_days) - second.start_days
            text = f"{first.outage} and {second.outage} of {first.unit} overlap by {counted(days)}"
            yield Fault(text, days)


def _pairs(ordered: Choice) -> Iterator[tuple[Start, Start]]:
    """Return every two outages of one unit, the earlier first."""
    for _, own in groupby(ordered, key=lambda one: one.unit):
        yield from combinations(own, 2)


def _barred(rules: Rules, choice: Choice) -> Iterator[Fault]:
    for wide in (one for one in choice if one.unit == STATION):
        for one in (one for one in choice if one.unit != STATION and meets(one, wide)):
            days = length_days(intersection([wide.stretch], one.barred))
            if days > 0:
                condition = rules.barred[one.kind]
                text = f"{wide.outage} falls for {counted(days)} into {condition} of {one.outage}"
                yield Fault(text, days)


def _too_many(rules: Rules, choice: Choice) -> Iterator[Fault]:
    most = rules.case.settings.most_units_out_count
    own = [one for one in choice if one.unit != STATION]
    by_unit: dict[str, list[tuple[float, float]]] = {}
    for one in own:
        by_unit.setdefault(one.unit, []).append(one.stretch)
    for low, high in at_least(list(by_unit.values()), most + 1):
        names = sorted(one.outage for one in own if one.start_days < high and low < one.end_days)
        text = (
            f"{', '.join(names[:-1])} and {names[-1]} put more than {most} "
            f"unit{'s' * (most > 1)} out at once for {counted(high - low)} "
            f"from {date_at(rules.case, low)}"
        )
        yield Fault(text, high - low)


def faults(rules: Rules, choice: Choice) -> tuple[Fault, ...]:
    """Return every rule that a choice of dates breaks; none may be traded for money."""
    every = (_too_early, _too_late, _overlaps, _barred, _too_many)
    return tuple(fault for rule in every for fault in rule(rules, choice))
