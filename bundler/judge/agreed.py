"""How many works differ from the plan agreed before, counted from both lists."""

from collections.abc import Iterator

from bundler.judge.reading import Reading
from bundler.judge.verdict import Breach
from bundler.tables import rows

Key = tuple[str, str, str]


def changes_of(reading: Reading) -> tuple[list[Key], list[Key]]:
    """Return works that are new, and agreed works left out, in the outages that were agreed.

    Only outages that the plan still has count.
    """
    periods = reading.site.periods
    agreed = {
        (row.component, row.action, row.outage)
        for row in rows(reading.site.case["agreed"])
        if row.outage in periods
    }
    spoken = {period for _, _, period in agreed}
    planned = {
        (work.component.component, work.action.action, work.period.name)
        for work in reading.works
        if work.period.name in spoken
    }
    return sorted(planned - agreed), sorted(agreed - planned)


def check_agreed(reading: Reading) -> Iterator[Breach]:
    """Hold that a plan differs from the agreed one by no more works than it may."""
    new, gone = changes_of(reading)
    count, most = len(new) + len(gone), reading.site.settings.most_changes_count
    if count > most:
        text = (
            f"{len(new)} works are new beside the agreed plan and {len(gone)} of it are left out; "
            f"{most} changes are allowed."
        )
        yield Breach("changes", "agreed", text, float(count - most))
