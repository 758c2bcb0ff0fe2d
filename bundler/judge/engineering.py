"""Engineering hours: every design done by the date at which it has to be complete."""

from collections.abc import Iterator

from bundler.judge.dates import YEAR_DAYS, date_of
from bundler.judge.reading import Reading
from bundler.judge.verdict import Breach, over
from bundler.judge.works import Work
from bundler.tables import rows


def gate_of(reading: Reading, work: Work) -> float:
    """Return the day by which the design of a work has to be complete."""
    ahead = float(reading.site.kinds[work.period.kind].design_days) if work.period.is_outage else 0
    return max(0.0, work.period.start - ahead)


def check_engineering(reading: Reading) -> Iterator[Breach]:
    """Hold that each discipline, working in the order of the dates, is in time for each of them."""
    table = reading.site.case["design_hours"]
    hours = {(row.family, row.action, row.discipline): float(row.design_hours)
             for row in rows(table)}  # fmt: skip
    for discipline in rows(reading.site.case["disciplines"]):
        demands = [
            (gate_of(reading, work), hours.get((*_kind(work), discipline.discipline), 0.0))
            for work in reading.works
        ]
        demands = sorted(demand for demand in demands if demand[1] > 0)
        for gate in sorted({day for day, _ in demands}):
            used = sum(amount for day, amount in demands if day <= gate)
            limit = discipline.design_hours_per_month * gate / (YEAR_DAYS / 12)
            if over(used, limit):
                date = date_of(reading.site.settings.planning_date, gate)
                place = f"{discipline.discipline} by {date}"
                text = f"{place}: {used:.1f} design hours are needed, {limit:.1f} are there."
                yield Breach("engineering", place, text, used - limit)


def _kind(work: Work) -> tuple[str, str]:
    return work.family.family, work.action.action
