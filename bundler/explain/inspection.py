"""What it is worth to look before scope freeze: a real inspection, where, and by when."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bundler.calendar import DAYS_A_YEAR, dates_at
from bundler.calendar import spans as all_spans
from bundler.case import Case
from bundler.choice import Choices
from bundler.courses.candidates import resolve_conditions
from bundler.courses.pieces import need_spans
from bundler.explain.alone import Alone
from bundler.explain.decision import Decisions
from bundler.explain.life_tests import states
from bundler.risk.information import perfect_information, reading_likelihood, sample_information
from bundler.tables import rows

NAMES = [
    "component", "inspection", "period", "decision", "decides", "perfect_pv_cost",
    "sample_pv_cost", "inspection_pv_cost", "net_pv_cost", "is_worth_buying", "last_days",
]  # fmt: skip


@dataclass(frozen=True)
class Open:
    """The decisions that are still open when a result is there, and until when they stay so.

    codes : their numbers; only those that agree with the plan on all that is settled by then.
    until_days : the first day after the result on which one of them closes.
    """

    codes: list[int]
    until_days: float


def open_decisions(own: Alone, told: Decisions, result_days: float) -> Open:
    """Return what a result that is there on a day can still change.

    The plan is followed until then: a work whose last day has passed is in or out as planned.
    """
    name = str(own.part["component"])

    def settled(words: str) -> set[tuple[str, str]]:
        works = told.works[words]
        return {work for work in works if told.last_days[name, *work] <= result_days}

    planned = settled(own.words[own.now])
    codes = [code for code, words in enumerate(own.words) if settled(words) == planned]
    here = told.works[own.words[own.now]]
    apart = {work for code in codes for work in told.works[own.words[code]] ^ here}
    until = min((told.last_days[name, *work] for work in apart), default=float("inf"))
    return Open(codes, until)


def chances_to_look(case: Case, choices: Choices) -> pd.DataFrame:
    """Return where the conditions of each inspection hold for each component of its family.

    One row a component, inspection and period; span_start_days, span_end_days.
    """
    parts = case["components"][["component", "unit", "family", "train"]]
    wanted = case["inspections"].drop(columns=["file_row", "note"]).merge(parts, on="family")
    pairs = zip(wanted["conditions"], wanted["train"], strict=True)
    needs = [resolve_conditions(text, train) for text, train in pairs]
    wanted["needs"] = pd.Series(needs, wanted.index, dtype="str")
    spans = need_spans(wanted, choices.periods, all_spans(case, choices.periods))
    spans = spans[spans["has_conditions"]].drop(columns=["longest_days", "last_days"])
    return wanted.merge(spans, on=["unit", "needs"])


def _row(case: Case, own: Alone, told: Decisions, chance: Any) -> dict[str, object] | None:
    """Return what an inspection in one period is worth; None where it can change nothing."""
    start = max(float(chance.span_start_days), 0.0)
    wait = float(chance.days + chance.result_days)
    left = open_decisions(own, told, start + wait)
    last = min(float(chance.span_end_days) - float(chance.days), left.until_days - wait)
    if len(left.codes) < 2 or last < start:
        return None
    logs, weight, cost = states(own)
    likelihood = reading_likelihood(logs, chance.sizing_ratio, chance.detection_chance)
    worth = sample_information(cost[left.codes], weight, likelihood)
    base = 1 + case.settings.discount_share_per_year
    price = float(chance.cost) * base ** (-last / DAYS_A_YEAR)
    other = [own.words[code] for code in left.codes if code != own.now]
    best = [words for words in other if own.words.index(words) in set(cost.argmin(axis=0))]
    return {
        "component": own.part["component"],
        "inspection": chance.inspection,
        "period": chance.period,
        "decision": own.words[own.now],
        "perfect_pv_cost": perfect_information(cost[left.codes], weight),
        "sample_pv_cost": worth,
        "inspection_pv_cost": price,
        "net_pv_cost": worth - price,
        "is_worth_buying": worth > price,
        "last_days": last,
        "decides": (best or other)[0],
    }


def inspections(
    case: Case, choices: Choices, all_own: Iterable[Alone], told: Decisions
) -> pd.DataFrame:
    """Return one row an inspection of a component, where it is worth most; the best first.

    sample_pv_cost is the expected saving by its result with its sizing error and detection chance,
    before its price, perfect_pv_cost that of knowing all at the same time; decides is another
    decision that the result may turn to; last_date the last day to start it in time.
    """
    looked = {str(name): own for name, own in chances_to_look(case, choices).groupby("component")}
    soon = case.settings.decision_years * DAYS_A_YEAR
    found = []
    for own in all_own:
        mine = looked.get(str(own.part["component"]))
        for chance in rows(mine[mine["span_start_days"] <= soon]) if mine is not None else ():
            found.append(_row(case, own, told, chance))
    table = pd.DataFrame([row for row in found if row is not None], columns=NAMES)
    table["is_worth_buying"] = table["is_worth_buying"].astype(bool)  # also without rows
    order = ["net_pv_cost", "component", "inspection", "period"]
    table = table.sort_values(order, ascending=[False, True, True, True])
    table = table.drop_duplicates(["component", "inspection"]).reset_index(drop=True)
    table["last_date"] = dates_at(case, table["last_days"].astype("float64"))
    money = [name for name in table.columns if name.endswith("_pv_cost")]
    return table.drop(columns="last_days").round(dict.fromkeys(money, 1))
