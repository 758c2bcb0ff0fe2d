"""Notice that conditions ask for, and tests that are made in a condition of their own."""

from collections.abc import Iterator

from bundler.judge.dates import CLOSE_DAYS, day_after_months
from bundler.judge.reading import Reading
from bundler.judge.spans import pieces_in, words_of
from bundler.judge.verdict import Breach
from bundler.judge.works import Work
from bundler.tables import rows


def check_notice(reading: Reading) -> Iterator[Breach]:
    """Hold that a period opens no earlier than the notice its conditions ask for allows."""
    site = reading.site
    months = {row.condition: float(row.notice_months) for row in rows(site.case["conditions"])}
    for work in reading.works:
        words = [
            *words_of(work.action.conditions, work.component.train),
            work.action.test_condition,
        ]
        notice = max(months.get(word, 0.0) for word in words)
        late = day_after_months(site.settings.planning_date, notice) - work.period.start
        if notice > 0 and late > CLOSE_DAYS:
            text = f"{work.name}: {notice:g} months of notice are asked for, {late:.0f} d too many."
            yield Breach("notice", work.name, text, late)


def check_tests(reading: Reading) -> Iterator[Breach]:
    """Hold that a test with a condition of its own fits behind its work in the same period."""
    for work in reading.works:
        action = work.action
        if action.test_condition and action.test_days > 0:
            missing = float(action.test_days) - max(_days_left(reading, work), 0.0)
            if missing > CLOSE_DAYS:
                text = (
                    f"{work.name}: {missing:.1f} of the {action.test_days:g} days of its test in "
                    f"{action.test_condition} do not fit behind it."
                )
                yield Breach("test", work.name, text, missing)


def _days_left(reading: Reading, work: Work) -> float:
    """Return the days behind the work in the best piece of its test's condition [d]."""
    windows, words = reading.site.windows, [work.action.test_condition]
    found = [0.0]
    for low, high in pieces_in(windows, words, work.period):
        end = min(high + reading.extension(work.period), windows.season_end(words, high))
        found.append(end - max(low, work.finish))
    return max(found)
