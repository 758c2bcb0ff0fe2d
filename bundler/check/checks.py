"""All checks of a case, in the order in which they are made."""

from collections.abc import Callable, Iterator

from bundler.case import Case
from bundler.check import (
    agreed,
    conditions,
    dates,
    doubts,
    evidence,
    evidence_doubts,
    groups,
    levelled,
    lines,
    links,
    outage_dates,
    outages,
    pins,
    references,
    rings,
    stocks,
    supplies,
    works,
)
from bundler.errors import Finding

Check = Callable[[Case], Iterator[Finding]]

#: every check; errors first, then doubts
CHECKS: tuple[Check, ...] = (
    references.known_rows,
    references.known_units,
    references.known_actions,
    references.known_steps,
    references.known_conditions,
    dates.horizon_after_planning,
    dates.price_year_past,
    dates.units_in_time,
    dates.renewals_past,
    dates.ages_below_limit,
    dates.mandates_ahead,
    outages.reserved_names,
    outages.kinds_of_outage,
    outages.outages_ahead,
    outages.freeze_before_start,
    outages.outages_apart,
    outages.windows_forward,
    outages.windows_count,
    outages.crews_have_days,
    outages.base_scope_fits,
    *outage_dates.OWN,
    *conditions.OWN,
    works.payment_shares,
    works.families_with_work,
    works.likes_known,
    works.life_parameters,
    works.trains_for_stars,
    works.trains_for_access,
    works.crews_for_work,
    works.links_by_train,
    rings.links_no_ring,
    *links.OWN,
    *lines.OWN,
    *groups.OWN,
    *stocks.OWN,
    *supplies.OWN,
    pins.pins_agree,
    pins.pins_hold_once,
    pins.pins_in_own_outage,
    pins.pins_in_plan,
    *agreed.OWN,
    *levelled.OWN,
    *evidence.OWN,
    evidence.evidence_usable,
    pins.pins_after_freeze,
    doubts.default_dates,
    doubts.very_old,
    doubts.costs_far_off,
    doubts.costs_hold_labour,
    doubts.work_without_hours,
    doubts.work_without_place,
    doubts.outages_left_out,
    doubts.budget_years,
    doubts.same_families,
    doubts.same_components,
    doubts.family_without_component,
    evidence_doubts.evidence_twice,
    evidence_doubts.inspectors_rise,
    evidence_doubts.records_agree,
)


def check_case(case: Case) -> list[Finding]:
    """Return every error and note about a case: errors first, each by table and row."""
    found = {finding for check in CHECKS for finding in check(case)}
    return sorted(found, key=lambda finding: (finding.level != "error", finding))
