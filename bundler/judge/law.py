"""What may not be done at all: fit, engineering, freeze, statutory dates, access."""

import math
from collections.abc import Iterator
from itertools import pairwise

import pandas as pd

from bundler.judge.access import keys_needed
from bundler.judge.dates import CLOSE_DAYS, YEAR_DAYS, date_of, day_after_months, day_of
from bundler.judge.lives import age_at_planning
from bundler.judge.pins import counts_as, is_forced_in
from bundler.judge.reading import Reading
from bundler.judge.spans import longest_days, words_of
from bundler.judge.verdict import Breach, over
from bundler.judge.works import works_by_component
from bundler.tables import rows


def check_extensions(reading: Reading) -> Iterator[Breach]:
    """Hold that outages are lengthened by no more than their kind allows."""
    outages = {outage.name: outage for outage in reading.site.outages}
    for name, days in reading.facts.extension_days.items():
        kind = reading.site.kinds.get(outages[name].kind) if name in outages else None
        most = 0.0 if kind is None else float(kind.max_extension_days)
        if over(days, most) or days < -CLOSE_DAYS:
            text = f"{name}: {days:.2f} days are added, 0 to {most:g} may be."
            yield Breach("extension", name, text, max(days - most, -days))


def check_fit(reading: Reading) -> Iterator[Breach]:
    """Hold that each work fits its span, with the days added, and any limit on a single work."""
    for work in reading.works:
        added = min(reading.extension(work.period), work.room)
        if work.missing_days > added + CLOSE_DAYS:
            text = (
                f"{work.name}: its span is {work.missing_days:.2f} days too short, "
                f"{added:.2f} are added."
            )
            yield Breach("outage_days", work.name, text, work.missing_days - added)
        words = words_of(work.action.conditions, work.component.train)
        longest = longest_days(reading.site.windows, words, work.period)
        if over(work.length, longest):
            text = f"{work.name}: it takes {work.length:.2f} days, {longest:g} are allowed at once."
            yield Breach("longest", work.name, text, work.length - longest)


def check_readiness(reading: Reading) -> Iterator[Breach]:
    """Hold that drawings are complete in time and nothing enters a frozen outage undecided."""
    site = reading.site
    planning = site.settings.planning_date
    for work in reading.works:
        if not work.period.is_outage:
            continue
        drawn = day_after_months(planning, work.action.design_months)
        due = work.period.start - site.kinds[work.period.kind].design_days
        if work.action.design_months > 0 and drawn > due + CLOSE_DAYS:
            text = (
                f"{work.name}: drawings are complete on {date_of(planning, drawn)}, "
                f"{drawn - due:.0f} days after {date_of(planning, due)}."
            )
            yield Breach("engineering", work.name, text, drawn - due)
        if work.period.freeze <= 0 and not is_forced_in(site, work):
            text = f"{work.name}: scope was frozen {-work.period.freeze:.0f} days ago."
            yield Breach("freeze", work.name, text, -work.period.freeze)


def check_counts(reading: Reading) -> Iterator[Breach]:
    """Hold that a component has one work at a time, one after the other, and not too many."""
    for name, works in works_by_component(reading.works).items():
        for earlier, later in pairwise(works):
            if later.period.effect - earlier.period.effect <= CLOSE_DAYS:
                text = f"{earlier.name} and {later.name}: 2 works take effect on the same day."
                yield Breach("one_work", name, text, 1.0)
        most = works[0].family.max_works_count
        limit = reading.site.settings.max_actions_count if pd.isna(most) else int(most)
        if len(works) > limit:
            text = f"{name}: {len(works)} works are planned, {limit} are allowed."
            yield Breach("work_count", name, text, float(len(works) - limit))


def check_mandates(reading: Reading) -> Iterator[Breach]:
    """Hold statutory dates, again and again to the end of life."""
    site = reading.site
    works = works_by_component(reading.works)
    for row in rows(site.case["mandates"]):
        finishes = [
            work.finish for work in works.get(row.component, []) if counts_as(work, row.action)
        ]
        first = day_of(site.settings.planning_date, row.due_date)
        again = math.inf if pd.isna(row.interval_months) else row.interval_months / 12 * YEAR_DAYS
        late = _late(reading, row.component, finishes, (first, again, float(row.grace_days)))
        if late is not None:
            yield Breach("mandate", row.component, *late)


def check_age_limits(reading: Reading) -> Iterator[Breach]:
    """Hold that no component grows older than its qualified life."""
    site = reading.site
    works = works_by_component(reading.works)
    for component in site.components.values():
        limit = site.families[component.family].age_limit_years
        if pd.isna(limit):
            continue
        finishes = [
            work.finish
            for work in works.get(component.component, [])
            if work.action.restoration_share == 1 and work.action.restoration_kind == "II"
        ]
        first = (limit - age_at_planning(site, component)) * YEAR_DAYS
        dates = (first, limit * YEAR_DAYS, 0.0)
        late = _late(reading, component.component, finishes, dates)
        if late is not None:
            yield Breach("age_limit", component.component, *late)


def _late(
    reading: Reading, component: str, finishes: list[float], dates: tuple[float, float, float]
) -> tuple[str, float] | None:
    due, again, grace = dates
    end = reading.site.ends[reading.site.components[component].unit]
    planning = reading.site.settings.planning_date
    due += grace
    for finish in sorted(finishes):
        if finish > due + CLOSE_DAYS:
            text = (
                f"{component}: due by {date_of(planning, due)}, done {finish - due:.0f} days later."
            )
            return text, finish - due
        due = finish + again + grace
    if due < end - CLOSE_DAYS:
        text = (
            f"{component}: due by {date_of(planning, due)} and not done, "
            f"{end - due:.0f} days before the end of life."
        )
        return text, end - due
    return None


def check_access(reading: Reading) -> Iterator[Breach]:
    """Hold that every access a work needs in its outage is made there."""
    made = {one.key for one in reading.sets}
    for work in reading.works:
        for key in keys_needed(reading.site, work):
            if key not in made:
                text = f"{work.name}: access {' '.join(key[:3]).strip()} is made 0 times there."
                yield Breach("access", work.name, text, 1.0)
