"""The best dates: every choice is weighed, the cheapest that is allowed is taken."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import pandas as pd

from bundler.calendar import date_at
from bundler.case import Case
from bundler.dates.allowed import Fault, faults, rules_of
from bundler.dates.losses import Lost, lost, prices_of
from bundler.dates.options import choices, starts_of
from bundler.dates.starts import Start
from bundler.errors import NoPlanError

#: present values closer than a millionth of money are the same
PV_DECIMALS = 6
#: choices that come nearest to what is allowed and are told when none is; our choice
NEAREST_COUNT = 3


@dataclass(frozen=True)
class Dates:
    """The case at the chosen dates, every choice there was, and what the chosen one costs.

    Attributes
    ----------
    case
        With the chosen start and freeze dates, which are final: no dates and slides are left.
    options
        One row a choice; option (1, 2, ...), dates (those that differ from the drawn ones),
        is_allowed, why_not, on_line_days, added_days and shared_days (unit-days that
        station-wide outages take), cost (real), pv_cost, is_chosen.
    pv_cost
        Present value of what station-wide outages cost at the chosen dates.
    """

    case: Case
    options: pd.DataFrame
    pv_cost: float


@dataclass(frozen=True)
class _Option:
    """One choice of dates, weighed."""

    choice: tuple[Start, ...]
    faults: tuple[Fault, ...]
    lost: Lost

    @property
    def moved(self) -> list[Start]:
        return [start for start in self.choice if not start.is_drawn]

    @property
    def rank(self) -> tuple[float, int, list[float]]:
        """Present value first, then few moved outages, then early starts."""
        pv_cost, starts = round(self.lost.pv_cost, PV_DECIMALS), [s.start_days for s in self.choice]
        return pv_cost, len(self.moved), starts

    @property
    def days_over(self) -> float:
        return sum(fault.days for fault in self.faults)

    @property
    def why_not(self) -> str:
        return "; ".join(fault.text for fault in self.faults)


def _named(case: Case, option: _Option) -> str:
    """Return the dates that differ from the drawn ones in words."""
    moved = [f"{start.outage} on {date_at(case, start.start_days)}" for start in option.moved]
    return ", ".join(moved) or "as drawn"


def _no_dates(case: Case, options: Sequence[_Option]) -> NoPlanError:
    """Return the error that tells how the nearest choices fail."""
    nearest = sorted(options, key=lambda option: (option.days_over, option.rank))[:NEAREST_COUNT]
    told = "; ".join(f"{_named(case, option)} ({option.why_not})" for option in nearest)
    if len(options) == 1:
        head = "The outage dates are not allowed"
    else:
        head = f"None of {len(options)} choices of outage dates is allowed, the nearest being"
    return NoPlanError(f"{head}: {told}. Give other dates in outages.csv or outage_dates.csv.")


def _decided(case: Case, option: _Option) -> Case:
    """Return the case at the dates of an option; the freeze moves as far as the start."""
    table, dates = case["outages"], case["outage_dates"]
    is_open = table["slide_earlier_days"].gt(0) | table["slide_later_days"].gt(0)
    if dates.empty and not is_open.any():
        return case
    moves = {start.outage: start.start_days - start.drawn_days for start in option.choice}
    by = pd.to_timedelta(table["outage"].map(moves).fillna(0.0), unit="D")
    moved = {
        name: (table[name] + by).astype(table[name].dtype) for name in ("start_date", "freeze_date")
    }
    outages = table.assign(**moved, slide_earlier_days=0.0, slide_later_days=0.0)
    tables = {**case.tables, "outages": outages, "outage_dates": dates.iloc[:0]}
    return replace(case, tables=tables)


def _table(case: Case, options: Sequence[_Option], best: _Option) -> pd.DataFrame:
    """Return one row an option; see `Dates`."""
    return pd.DataFrame(
        {
            "option": number,
            "dates": _named(case, option),
            "is_allowed": not option.faults,
            "why_not": option.why_not,
            "on_line_days": option.lost.on_line_days,
            "added_days": option.lost.added_days,
            "shared_days": option.lost.shared_days,
            "cost": option.lost.cost,
            "pv_cost": option.lost.pv_cost,
            "is_chosen": option is best,
        }
        for number, option in enumerate(options, start=1)
    )


def choose_dates(case: Case) -> Dates:
    """Return the case at the dates at which station-wide outages cost least in present value.

    Of choices that cost the same, the one with the fewest moved outages is taken, then the one
    with the earliest starts. Raises NoPlanError when no choice is allowed.
    """
    prices, rules = prices_of(case), rules_of(case)
    options = [
        _Option(choice, faults(rules, choice), lost(prices, choice))
        for choice in choices(*starts_of(case))
    ]
    allowed = [option for option in options if not option.faults]
    if not allowed:
        raise _no_dates(case, options)
    best = min(allowed, key=lambda option: option.rank)
    return Dates(_decided(case, best), _table(case, options, best), best.lost.pv_cost)
