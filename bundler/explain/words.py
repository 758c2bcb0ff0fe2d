"""The reason for a decision as one plain sentence with its numbers."""

import math
from collections.abc import Mapping
from typing import Any

from bundler.explain.texts import NOTHING


def money(amount: float, currency: str) -> str:
    """Return an amount of money with its unit."""
    return f"{amount:,.0f} {currency}"


def _stopped(row: Mapping[Any, Any], currency: str) -> str:
    more = money(row["chosen_pv_cost"] - row["best_pv_cost"], currency)
    by = row["stopped_by"] or "what it shares with other works"
    return f"By itself it would choose {row['best']}, {more} cheaper; held back by {by}."


def _worth(row: Mapping[Any, Any], currency: str) -> str:
    work = money(row["planned_pv_cost"], currency)
    if math.isnan(row["nothing_pv_cost"]):
        return f"Required by a date, an age limit or a pin; the cheapest way that fits: {work}."
    gain = row["nothing_pv_cost"] - row["chosen_pv_cost"]
    if gain <= 0:
        return f"Asked for by a rule between works; {money(-gain, currency)} more than no work."
    risk = money(row["nothing_risk_pv_cost"] - row["risk_pv_cost"], currency)
    return f"Saves {money(gain, currency)} against no work: {risk} less risk for {work} of work."


def _not_worth(row: Mapping[Any, Any], currency: str) -> str:
    idle = money(row["chosen_pv_cost"], currency)
    if row["best_work"] == NOTHING:
        return f"No work is worth placing; it carries {idle} of risk."
    more = row["best_work_pv_cost"] - row["chosen_pv_cost"]
    if more < 0:
        less = money(-more, currency)
        return f"The work {row['best_work']} would be {less} cheaper; what it fills is worth more."
    dear = money(row["best_work_pv_cost"], currency)
    return f"The best work ({row['best_work']}) would cost {dear} with its risk, no work {idle}."


def sentence(row: Mapping[Any, Any], currency: str) -> str:
    """Return why a component's course was chosen; `row` is one row of the reasons."""
    gain = row["nothing_pv_cost"] - row["chosen_pv_cost"]
    if row["kind"] == "asked for":
        dear = money(-gain, currency)
        told = f"In because {row['asked_by']} needs it; it costs {dear} more than it saves."
        less = row["chosen_pv_cost"] - row["best_pv_cost"]
        if row["best"] not in (row["decision"], NOTHING) and round(less) > 0:
            told += f" By itself it would choose {row['best']}, {money(less, currency)} cheaper."
        return told
    kinds = {"stopped": _stopped, "worth it": _worth, "not worth it": _not_worth}
    return kinds[row["kind"]](row, currency)
