"""Each task of a schedule by itself: listed, on days that suit it, long enough, tested."""

from collections.abc import Iterator
from itertools import permutations

from bundler.judge.dates import CLOSE_DAYS
from bundler.judge.schedule_reading import Placed, Timetable
from bundler.judge.spans import pieces_in
from bundler.judge.verdict import Breach
from bundler.judge.works import Work
from bundler.tables import rows

#: how ill a test suits, so that being on other days counts more than being too short; our choice
TOO_SHORT, ON_OTHER_DAYS = 1, 100


def check_listed(table: Timetable) -> Iterator[Breach]:
    """Hold that every work of the plan is in the schedule of its outage once, or left out."""
    names = {outage.name for outage in table.outages}
    for work in table.reading.works:
        if work.period.name in names:
            count = table.listed.get((work.component.component, work.period.name), 0)
            if count != 1:
                text = f"{work.name}: it is in the schedule {count} times, once is right."
                yield Breach("schedule listed", work.name, text, abs(count - 1.0))


def _alone_test_days(work: Work) -> float:
    """Return the days of a test that needs no condition of its own [d]."""
    return 0.0 if work.action.test_condition else float(work.action.test_days)


def in_span(table: Timetable, work: Work) -> list[Placed]:
    """Return the tasks of a work that lie in its own span: itself, and a test without condition."""
    own = table.of_work(work, "work")
    if _alone_test_days(work) > 0:
        own += [one for word, one in tests_made(table, work).items() if not word]
    return own


def outside(one: Placed, first: float, last: float) -> Iterator[Breach]:
    """Yield by how much a task lies outside the days from first to last."""
    far = max(first - one.start, one.end - last)
    if not far <= CLOSE_DAYS:
        opened = one.outage.start
        text = (
            f"{one.name}: it is on days {one.start - opened:g} to {one.end - opened:g}, it can be "
            f"from {first - opened:g} to {last - opened:g}."
        )
        yield Breach("schedule span", one.name, text, far)


def check_spans(table: Timetable) -> Iterator[Breach]:
    """Hold that works lie on days on which their conditions hold and their parts are there."""
    for work in table.works():
        for one in in_span(table, work):
            yield from outside(one, work.start, table.last_day(work))


def too_short(one: Placed, days: float) -> Iterator[Breach]:
    """Yield by how many days a task is shorter than it has to be."""
    if one.days < days - CLOSE_DAYS:
        text = f"{one.name}: it takes {one.days:g} days, {days:g} are needed."
        yield Breach("schedule length", one.name, text, days - one.days)


def check_lengths(table: Timetable) -> Iterator[Breach]:
    """Hold that no work takes fewer days than its stated ones."""
    for work in table.works():
        for one in table.of_work(work, "work"):
            yield from too_short(one, work.length - _alone_test_days(work))


def tests_asked(table: Timetable, work: Work) -> dict[str, float]:
    """Return the tests that a work asks for: days by condition, "" for its own span [d].

    A work that takes of a supply that is there only in a condition is tested there, too.
    """
    action, case = work.action, table.reading.site.case
    asked = {action.test_condition: float(action.test_days)} if action.test_days > 0 else {}
    given = {(row.supply, row.kind): row for row in rows(case["supply_amounts"])}
    for row in rows(case["action_supplies"]):
        there = given.get((row.supply, work.period.kind))
        is_own = (row.family, row.action) == (work.family.family, action.action)
        if is_own and there is not None and there.condition and there.amount_per_day > 0:
            days = 1.0 if row.is_daily else row.amount / there.amount_per_day
            asked[there.condition] = max(asked.get(there.condition, 0.0), days)
    return asked


def tests_made(table: Timetable, work: Work) -> dict[str, Placed]:
    """Return the tests of a work in the schedule by what each is made for, as `tests_asked`.

    Each is made for one: as many as can lie in their condition, then as many as can suit.
    """
    asked, own = tests_asked(table, work), table.of_work(work, "test")
    words = sorted(asked)
    tests = [*own, *[None] * (len(words) - len(own))]
    far = [[_misfit(table, one, word, asked[word]) for one in tests] for word in words]
    orders = permutations(range(len(tests)), len(words))
    best = min(orders, key=lambda order: sum(far[at][one] for at, one in enumerate(order)))
    made = {word: tests[one] for word, one in zip(words, best, strict=True)}
    return {word: one for word, one in made.items() if one is not None}


def _misfit(table: Timetable, one: Placed | None, condition: str, days: float) -> int:
    """Return how ill a test suits what is asked: 0 if it does, more on other days than too short.

    Without a test as on other days.
    """
    if one is None or not _suits(table, one, condition, 0.0):
        return ON_OTHER_DAYS
    return 0 if _suits(table, one, condition, days) else TOO_SHORT


def check_test_days(table: Timetable) -> Iterator[Breach]:
    """Hold that each test asked for is made behind its work, long enough, in its condition."""
    for work in table.works():
        done = max(one.end for one in table.of_work(work, "work"))
        tests, asked = table.of_work(work, "test"), tests_asked(table, work)
        if len(tests) != len(asked):
            text = f"{work.name}: {len(tests)} tests are in the schedule, it asks for {len(asked)}."
            yield Breach("schedule test", work.name, text, abs(len(tests) - len(asked)))
            continue
        for word, one in tests_made(table, work).items():
            if one.start < done - CLOSE_DAYS:
                text = f"{one.name}: it begins {done - one.start:g} days before its work ends."
                yield Breach("schedule test", one.name, text, done - one.start)
            if not _suits(table, one, word, asked[word]):
                text = f"{one.name}: it is not on {_days_text(word, asked[word])}."
                yield Breach("schedule test", one.name, text, one.days)


def check_idle_tests(table: Timetable) -> Iterator[Breach]:
    """Hold that no test is made of a work that is left out."""
    there = {id(work) for work in table.works()}
    for one in table.placed:
        if one.kind == "test" and id(one.work) not in there:
            text = f"{one.name}: its work is left out, leave it out too."
            yield Breach("schedule test", one.name, text, one.days)


def _days_text(condition: str, days: float) -> str:
    """Return what a test asks for in words."""
    return f"{days:g} days {f'of condition {condition}' if condition else 'of its own span'}"


def _suits(table: Timetable, one: Placed, condition: str, days: float) -> bool:
    """Tell whether a test is long enough and lies in a piece of its condition."""
    assert one.work is not None
    if one.days < days - CLOSE_DAYS:
        return False
    windows, outage = table.reading.site.windows, one.outage
    if not condition:
        return one.end <= table.last_day(one.work) + CLOSE_DAYS
    return any(
        low - CLOSE_DAYS <= one.start
        and one.end
        <= min(high + table.longer(outage), windows.season_end([condition], high)) + CLOSE_DAYS
        for low, high in pieces_in(windows, [condition], outage)
    )
