"""All checks of a case, in the order in which they are made."""

from collections.abc import Callable, Iterator

from bundler.case import Case
from bundler.check import dates, doubts, references, sense
from bundler.errors import Finding

Check = Callable[[Case], Iterator[Finding]]

#: every check; errors first, then doubts
CHECKS: tuple[Check, ...] = (
    references.known_rows,
    references.known_units,
    references.known_actions,
    references.known_steps,
    references.known_conditions,
    references.trains_for_stars,
    references.families_with_work,
    dates.order_of_settings,
    dates.future_renewals,
    dates.units_in_time,
    dates.freeze_before_start,
    dates.outages_apart,
    dates.windows_forward,
    dates.mandates_ahead,
    sense.payment_shares,
    sense.life_parameters,
    sense.pins_agree,
    sense.pins_in_own_outage,
    sense.crews_for_work,
    sense.links_by_train,
    sense.kinds_of_time,
    doubts.default_dates,
    doubts.costs_in_other_units,
    doubts.very_old,
    doubts.work_without_hours,
    doubts.budget_years,
    doubts.same_names,
)


def check_case(case: Case) -> list[Finding]:
    """Return every error and note about a case, errors first, each in order of place."""
    found = [finding for check in CHECKS for finding in check(case)]
    return sorted(set(found), key=lambda finding: (finding.level != "error", finding))
