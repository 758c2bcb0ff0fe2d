"""Payments, orders and budgets, and the costs of works, access, extensions and overtime."""

from collections.abc import Iterator

from bundler.judge.access import MadeSet
from bundler.judge.dates import CLOSE_DAYS, STATION, YEAR_DAYS, Period, date_of
from bundler.judge.doses import dose_of
from bundler.judge.reading import Reading
from bundler.judge.site import NOTHING, Hours, Site
from bundler.judge.verdict import Breach, over
from bundler.judge.works import Work, parts_of
from bundler.tables import rows

#: a sum of money and the day it is paid, counted from the planning date
Payment = tuple[float, float]


def grown(site: Site, day: float) -> float:
    """Return the price of planned work on a day over its price today."""
    return float((1 + site.settings.escalation_share_per_year) ** (day / YEAR_DAYS))


def discounted(site: Site, day: float) -> float:
    """Return the worth today of one unit of money on a day."""
    return float((1 + site.settings.discount_share_per_year) ** (-day / YEAR_DAYS))


def split_cost(site: Site, work: Work) -> tuple[float, float, float]:
    """Return labour before learning, material, and material of what is found, of a work.

    They add up to its cost and that to be expected of its discoveries.
    """
    key = (work.family.family, work.action.action)
    found = site.found.get(key, NOTHING)
    labour = min(_labour(site, site.action_hours.get(key, {})), float(work.action.cost))
    more = min(_labour(site, found.hours), found.cost)
    return labour + more, float(work.action.cost) - labour, found.cost - more


def _labour(site: Site, hours: Hours) -> float:
    costs = (amount * site.resources[name].cost_per_hour for name, amount in hours.items())
    return float(sum(costs))


def order_day(site: Site, work: Work) -> float:
    """Return the day on which the parts of a work are ordered, even if it has passed."""
    parts = parts_of(site, work.action)
    lead = 0.0 if parts is None else parts.lead_days
    return work.planned_start - site.settings.receive_days - lead


def payments_of(site: Site, work: Work) -> list[Payment]:
    """Return what is paid for a work and when, at today's prices."""
    settings = site.settings
    labour, material, found = split_cost(site, work)
    paid = [(labour * work.factor + found, work.planned_start + work.length / 2)]
    parts = parts_of(site, work.action)
    if parts is None:
        return [*paid, (material, work.planned_start)]
    delivery = work.planned_start - settings.receive_days
    if work.action.lead_months < settings.staged_from_months:
        return [*paid, (material, max(0.0, delivery))]
    order = order_day(site, work)
    first, middle = settings.order_payment_share, settings.middle_payment_share
    stages = [
        (first, order),
        (middle, order + parts.lead_days / 2),
        (1 - first - middle, delivery),
    ]
    return paid + [(material * share, max(0.0, day)) for share, day in stages]


def planned_pv(reading: Reading) -> float:
    """Return the present value of all works with their dose."""
    site = reading.site
    total = 0.0
    for work in reading.works:
        for cost, day in payments_of(site, work):
            total += cost * grown(site, day) * discounted(site, day)
        dose = dose_of(site, work) * site.settings.dose_value_cost_per_person_msv
        total += dose * discounted(site, work.planned_start + work.length / 2)
    return total


def access_pv(reading: Reading) -> float:
    """Return the present value of the access sets made."""
    site = reading.site
    return sum(
        _access_payment(site, made) * discounted(site, made.span[0]) for made in reading.sets
    )


def _access_payment(site: Site, made: MadeSet) -> float:
    return made.cost * grown(site, made.span[0])


def extension_pv(reading: Reading) -> float:
    """Return the present value of the days added to outages."""
    site = reading.site
    total = 0.0
    for outage in site.outages:
        days = reading.extension(outage)
        total += days * _cost_per_day(site, outage) * discounted(site, outage.end)
    return total


def _cost_per_day(site: Site, outage: Period) -> float:
    units = [unit for unit in site.ends if unit != STATION]
    shut = units if outage.unit == STATION else [outage.unit]
    standing = float(site.kinds[outage.kind].standing_cost_per_day)
    return standing + sum(site.day_value(unit) for unit in shut)


def overtime_pv(reading: Reading) -> float:
    """Return the present value of what overtime costs above normal hours."""
    site = reading.site
    total = 0.0
    for (name, resource), hours in reading.facts.overtime_hours.items():
        period, row = site.periods.get(name), site.resources.get(resource)
        if period is not None and row is not None:
            premium = (site.settings.overtime_cost_ratio - 1) * row.cost_per_hour
            day = period.middle
            total += hours * premium * grown(site, day) * discounted(site, day)
    return total


def check_budgets(reading: Reading) -> Iterator[Breach]:
    """Hold that payments of a calendar year, at its prices, stay within its budget.

    What a year leaves is carried into the next, up to a share of its budget.
    """
    site = reading.site
    paid: dict[int, float] = {}
    grown_payments = [
        (cost * grown(site, day), day)
        for work in reading.works
        for cost, day in payments_of(site, work)
    ] + [(_access_payment(site, made), made.span[0]) for made in reading.sets]
    for cost, day in grown_payments:
        year = date_of(site.settings.planning_date, day).year
        paid[year] = paid.get(year, 0.0) + cost
    budgets = {int(row.year): float(row.limit_cost) for row in rows(site.case["budgets"])}
    carried, before = 0.0, 0
    for year, budget in sorted(budgets.items()):
        limit = budget + (carried if before == year - 1 else 0.0)
        cost = paid.get(year, 0.0)
        if over(cost, limit):
            text = f"{year}: {cost:,.1f} are paid, {limit:,.1f} may be."
            yield Breach("budget", str(year), text, cost - limit)
        most = site.settings.carry_over_share * budget
        carried, before = min(most, max(0.0, limit - cost)), year


def check_orders(reading: Reading) -> Iterator[Breach]:
    """Hold that parts are ordered no earlier than their approval."""
    site = reading.site
    planning = site.settings.planning_date
    for work in reading.works:
        parts = parts_of(site, work.action)
        day = order_day(site, work)
        if parts is not None and day < parts.approval - CLOSE_DAYS:
            text = (
                f"{work.name}: the order falls on {date_of(planning, day)}, approval takes "
                f"until {date_of(planning, parts.approval)}."
            )
            yield Breach("order_date", work.name, text, parts.approval - day)
