"""The verdict on a plan: every check in turn, then the costs."""

from collections.abc import Callable, Iterator

from bundler.case import Case
from bundler.judge import (
    doses,
    engineering,
    law,
    links,
    loads,
    money,
    order,
    out_together,
    pools,
    supplies,
)
from bundler.judge.agreed import check_agreed
from bundler.judge.bridges import check_bridges
from bundler.judge.capped import check_caps
from bundler.judge.conditions import check_notice, check_tests
from bundler.judge.levelled import check_levelled
from bundler.judge.outage_dates import check_outage_dates
from bundler.judge.pins import check_pins
from bundler.judge.reading import Reading, read_plan
from bundler.judge.redundancy import group_loss_pv
from bundler.judge.risk import risk_pv
from bundler.judge.stocks import check_rotables, stock_loss_pv
from bundler.judge.tail import check_tail
from bundler.judge.verdict import Breach, PlanFacts

#: part by which a claimed cost may differ, and the least difference that counts
COST_SHARE = 1e-4
COST_UNIT = 1.0
#: the same for risk, whose grid is not the plan's
RISK_SHARE = 2e-3

CHECKS: tuple[Callable[[Reading], Iterator[Breach]], ...] = (
    law.check_fit,
    law.check_extensions,
    check_outage_dates,
    law.check_readiness,
    check_notice,
    check_tests,
    law.check_counts,
    law.check_mandates,
    law.check_age_limits,
    check_bridges,
    check_caps,
    check_pins,
    check_agreed,
    law.check_access,
    loads.check_crews,
    loads.check_overtime,
    loads.check_areas,
    pools.check_pools,
    supplies.check_supplies,
    check_levelled,
    engineering.check_engineering,
    doses.check_dose,
    doses.check_person_dose,
    money.check_orders,
    money.check_budgets,
    order.check_chains,
    links.check_links,
    links.check_paths,
    out_together.check_out_together,
    check_rotables,
)


def judge(case: Case, facts: PlanFacts) -> list[Breach]:
    """Return everything that does not hold in a plan; an empty list if the plan holds."""
    reading = read_plan(case, facts)
    found = list(reading.unread)
    for check in CHECKS:
        found += check(reading)
    costs = _costs(reading)
    beside = costs["objective_pv_cost"] - costs["risk_pv_cost"]
    return found + list(_check_costs(reading, costs)) + list(check_tail(reading, beside))


def recomputed(case: Case, facts: PlanFacts) -> dict[str, float]:
    """Return the costs of a plan in present value, afresh from the input tables."""
    return _costs(read_plan(case, facts))


def _costs(reading: Reading) -> dict[str, float]:
    parts = {
        "risk_pv_cost": risk_pv(reading) + group_loss_pv(reading) + stock_loss_pv(reading),
        "planned_pv_cost": money.planned_pv(reading),
        "access_pv_cost": money.access_pv(reading),
        "extension_pv_cost": money.extension_pv(reading),
        "overtime_pv_cost": money.overtime_pv(reading),
    }
    return {"objective_pv_cost": sum(parts.values())} | parts


def _check_costs(reading: Reading, costs: dict[str, float]) -> Iterator[Breach]:
    risk = abs(costs["risk_pv_cost"])
    for name, cost in costs.items():
        allowed = max(COST_UNIT, COST_SHARE * abs(cost))
        if name in ("risk_pv_cost", "objective_pv_cost"):
            allowed = max(allowed, RISK_SHARE * risk)
        claim = reading.facts.claimed.get(name, float("nan"))
        if not abs(claim - cost) <= allowed:
            text = f"{name}: the plan claims {claim:,.2f}, the tables give {cost:,.2f}."
            yield Breach("cost", name, text, abs(claim - cost))
