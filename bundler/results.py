"""The tables of a finished plan, as a run holds and saves them."""

from dataclasses import replace

import pandas as pd

from bundler.case import Case
from bundler.choice import Choices
from bundler.courses.build import Courses
from bundler.courses.costing import Costing
from bundler.courses.described import described
from bundler.courses.yearly import yearly_risk
from bundler.explain.group_report import group_table
from bundler.explain.pins import pin_costs
from bundler.explain.reasons import reasons, with_marks
from bundler.explain.stock_report import stock_table
from bundler.limits.link_pairs import pairs
from bundler.plan import deferrals as register
from bundler.plan import loads, works, years
from bundler.plan.capability import capability, counted_in_days
from bundler.plan.chosen import Chosen
from bundler.plan.longest import longest_chains
from bundler.plan.series import ordered_in_time
from bundler.program.tail import weighted
from bundler.shared.shared import Shared, shared_of
from bundler.solve.answer import Solved
from bundler.trial import on_trial

#: the tables of a run, by name
RESULTS = (
    "work_list", "deferrals", "loads", "prices", "ruled_out", "reasons", "risk_by_year",
    "cash_flow", "orders", "outages", "life_tests", "inspections", "groups", "stocks", "pins",
    "capability", "longest_chains",
)  # fmt: skip


def with_evidence(table: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """Return a table with the evidence used for the life of each row's component, in words."""
    used = parts.set_index("component")["evidence"]
    return table.assign(evidence=table["component"].map(used))


def _lost_days(case: Case, costing: Costing, picked: Chosen) -> pd.DataFrame:
    """Return expected full-power days lost by failures on line: component, unit, year, lost_days.

    The money of a case in which a full-power day is worth 1 and repairs cost nothing.
    """
    counted = counted_in_days(case)
    parts = described(counted)
    shared = shared_of(counted, costing.periods, parts)
    more = shared.by_member(shared.plan(picked.works))
    plain = Costing(counted, costing.periods, costing.fitting)
    lost = yearly_risk(counted, plain, parts, picked.works, more)
    return lost.rename(columns={"risk_cost": "lost_days"})


def plan_tables(
    case: Case,
    choices: Choices,
    courses: Courses,
    solved: Solved,
    picked: Chosen,
    shared: Shared,
) -> dict[str, pd.DataFrame]:
    """Return the tables of a plan by name, as `RESULTS` names them."""
    parts = described(case)
    costing = courses.costing
    none = picked.works.iloc[:0]
    plain = Costing(case, costing.periods, costing.fitting)
    doing, resting = shared.plan(picked.works), shared.plan(none)
    yearly = yearly_risk(case, plain, parts, picked.works, shared.by_member(doing))
    idle = yearly_risk(case, plain, parts, none, shared.by_member(resting))
    load = loads.loads(choices, picked)
    listed = replace(picked, works=ordered_in_time(case, picked))
    day_cost = choices.periods.set_index("period")["day_cost"]
    prices = solved.relaxed.prices
    priced = weighted(choices, solved.spread.weights) if solved.spread else choices
    choices = replace(choices, tail=None)
    told = reasons(priced, picked, prices, case.settings.currency)
    tried = on_trial(case, choices, costing, picked)
    marks = tried["life_tests"][["component", "mark"]]
    return {
        "work_list": with_evidence(works.work_list(case, choices, listed), parts),
        "deferrals": with_evidence(
            register.deferrals(case, courses.eligible, day_cost, picked, yearly), parts
        ),
        "loads": load,
        "prices": loads.prices(choices, prices, load),
        "ruled_out": choices.ruled_out,
        "reasons": with_marks(told, marks),
        "risk_by_year": years.risk_by_year(yearly, idle),
        "cash_flow": works.cash_flow(case, courses.payments, picked),
        "orders": works.orders(case, listed),
        "outages": years.outages(case, choices, picked),
        "groups": group_table(shared, doing),
        "stocks": stock_table(case, shared, doing, resting),
        "pins": pin_costs(case, choices, courses, picked),
        "capability": capability(case, choices.periods, picked, _lost_days(case, costing, picked)),
        "longest_chains": longest_chains(case, picked, pairs(case, case["components"])),
        **tried,
    }
