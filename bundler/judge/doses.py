"""Dose of works: of all people in an outage, and of one person of each trade over years."""

from collections.abc import Iterator
from functools import lru_cache

import pandas as pd

from bundler.case import Case
from bundler.judge.dates import Period, date_of
from bundler.judge.reading import Reading
from bundler.judge.site import Site
from bundler.judge.verdict import Breach, over
from bundler.judge.works import Work
from bundler.tables import rows

#: years over which the dose of one person is also added up
YEARS_COUNT = 5


@lru_cache(maxsize=4)
def _rates(case: Case) -> dict[tuple[str, str], dict[str, float]]:
    """Return the dose rate of each trade at a kind of work, its own or that of its like [mSv/h]."""
    found: dict[tuple[str, str], dict[str, float]] = {}
    for row in rows(case["action_hours"]):
        own = found.setdefault((row.family, row.action), {})
        own[row.resource] = float(row.dose_rate_msv_per_hour)
    lent = {
        (row.family, row.action): found[row.family, row.like]
        for row in rows(case["actions"])
        if (row.family, row.action) not in found and (row.family, row.like) in found
    }
    return found | lent


def doses_by_hours(site: Site, work: Work) -> dict[str, float]:
    """Return what each trade takes in a work by its own hours and rate [person-mSv]."""
    rates = _rates(site.case).get((work.family.family, work.action.action), {})
    return {name: hours * rates.get(name, 0.0) for name, hours in work.hours.items()}


def dose_of(site: Site, work: Work) -> float:
    """Return the collective dose of a work [person-mSv]."""
    return float(work.action.dose_person_msv) + sum(doses_by_hours(site, work).values())


def doses_by_trade(site: Site, work: Work) -> dict[str, float]:
    """Return the whole dose of a work by trade; what has no rate goes by hours in the area."""
    doses = doses_by_hours(site, work)
    standing = {name: hours for name, hours in work.hours.items()
                if site.resources[name].takes_area and hours > 0}  # fmt: skip
    for name, hours in standing.items():
        part = float(work.action.dose_person_msv) * hours / sum(standing.values())
        doses[name] = doses.get(name, 0.0) + part
    return doses


def check_dose(reading: Reading) -> Iterator[Breach]:
    """Hold that the collective dose of an outage stays within its budget."""
    doses: dict[Period, float] = {}
    for work in reading.works:
        doses[work.period] = doses.get(work.period, 0.0) + dose_of(reading.site, work)
    for period, dose in doses.items():
        kind = reading.site.kinds.get(period.kind)
        limit = float("nan") if kind is None else kind.dose_limit_person_msv
        if period.is_outage and not pd.isna(limit) and over(dose, limit):
            text = f"{period.name}: {dose:.2f} person-mSv are planned, {limit:.2f} are allowed."
            yield Breach("dose", period.name, text, dose - float(limit))


def heads_in(site: Site, resource: str, year: int) -> float:
    """Return the largest crew of a trade in a kind of period that is open in a year."""
    planning = site.settings.planning_date
    kinds = {
        period.kind
        for period in site.periods.values()
        if date_of(planning, period.start).year <= year <= date_of(planning, period.end).year
    }
    crews = [site.crews[kind, resource] for kind in kinds if (kind, resource) in site.crews]
    return max((float(crew.heads_count) for crew in crews), default=0.0)


def _shares(reading: Reading) -> dict[str, dict[int, float]]:
    """Return by trade and year the dose of one of its heads, all of them alike [mSv]."""
    site = reading.site
    found: dict[str, dict[int, float]] = {}
    for work in reading.works:
        day = work.planned_start + work.length / 2
        year = date_of(site.settings.planning_date, day).year
        for resource, dose in doses_by_trade(site, work).items():
            years = found.setdefault(resource, {})
            years[year] = years.get(year, 0.0) + dose
    for resource, years in found.items():
        heads = {year: heads_in(site, resource, year) for year in years}
        found[resource] = {year: years[year] / heads[year] for year in years if heads[year] > 0}
    return found


def check_person_dose(reading: Reading) -> Iterator[Breach]:
    """Hold that a head of each trade stays within its dose, in a year and in five in a row."""
    settings = reading.site.settings
    for resource, years in sorted(_shares(reading).items()):
        for year in sorted(years):
            last = year + YEARS_COUNT - 1
            five = sum(years.get(one, 0.0) for one in range(year, last + 1))
            for dose, limit, words in (
                (years[year], settings.dose_year_msv, f"{year}"),
                (five, settings.dose_five_years_msv, f"{year}-{last}"),
            ):
                if over(dose, limit):
                    place = f"{resource} in {words}"
                    text = f"{place}: one head takes {dose:.1f} mSv, {limit:.1f} are allowed."
                    yield Breach("person_dose", place, text, dose - limit)
