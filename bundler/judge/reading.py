"""A plan as the judge reads it: the site, the facts, and what follows from both."""

from dataclasses import dataclass

from bundler.case import Case
from bundler.judge.access import MadeSet, read_sets
from bundler.judge.dates import Period
from bundler.judge.site import Site, site_of
from bundler.judge.verdict import Breach, PlanFacts
from bundler.judge.works import Work, read_works


@dataclass(frozen=True)
class Reading:
    """The plan in full; `unread` says which of its rows could not be read."""

    site: Site
    facts: PlanFacts
    works: tuple[Work, ...]
    sets: tuple[MadeSet, ...]
    unread: tuple[Breach, ...]

    def extension(self, period: Period) -> float:
        """Days by which the plan lengthens a period [d]."""
        return float(self.facts.extension_days.get(period.name, 0.0)) if period.is_outage else 0.0


def read_plan(case: Case, facts: PlanFacts) -> Reading:
    """Return the plan as it follows from the input tables."""
    site = site_of(case)
    works, wrong_works = read_works(site, facts)
    sets, wrong_sets = read_sets(site, facts)
    return Reading(site, facts, works, sets, tuple(wrong_works + wrong_sets))
