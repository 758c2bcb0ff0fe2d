"""What may be changed in a case: each a pure function from a case and a change to another case."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import pandas as pd

from bundler.case import Case, with_tables
from bundler.choice import Lives
from bundler.sweep.lives import lives


@dataclass(frozen=True)
class Change:
    """One change: what, of which year, trade or family ("" for all), and its ratio or value."""

    what: str
    which: str = ""
    ratio: float | None = None
    value: float | None = None

    @property
    def factor(self) -> float:
        """Return the ratio; 1 where there is none."""
        return 1.0 if self.ratio is None else self.ratio


def _scaled(table: pd.DataFrame, column: str, ratio: float, key: str, which: str) -> pd.DataFrame:
    """Return a table with a column times a ratio, where `key` is `which` or everywhere."""
    is_meant = (table[key].astype(str) == which) | (which == "")
    return table.assign(**{column: table[column].where(~is_meant, table[column] * ratio)})


def discount_rate(case: Case, change: Change) -> Case:
    """Return the case with another real discount rate: the value, or the rate times the ratio."""
    rate = case.settings.discount_share_per_year * change.factor
    if change.value is not None:
        rate = change.value
    return replace(case, settings=replace(case.settings, discount_share_per_year=rate))


def day_value(case: Case, change: Change) -> Case:
    """Return the case with the price of an outage day times the ratio.

    That price is the unit's lost output and the standing cost of the kind of outage; lost output
    also prices failures, so forced days and those of common systems change alike. The fixed cost of
    a forced outage and of a repair stay.
    """
    ratio = change.factor
    value = case.settings.station_value_cost_per_day * ratio
    return with_tables(
        replace(case, settings=replace(case.settings, station_value_cost_per_day=value)),
        units=_scaled(case["units"], "day_value_cost_per_day", ratio, "unit", ""),
        outage_kinds=_scaled(case["outage_kinds"], "standing_cost_per_day", ratio, "kind", ""),
    )


def budgets(case: Case, change: Change) -> Case:
    """Return the case with the budget of one year, or of all, times the ratio."""
    own = _scaled(case["budgets"], "limit_cost", change.factor, "year", change.which)
    return with_tables(case, budgets=own)


def crews(case: Case, change: Change) -> Case:
    """Return the case with the heads of one trade, or of all trades and cranes, times the ratio.

    Heads of every kind of outage and heads the whole site can hold; parts of a head are allowed.
    """
    ratio, which = change.factor, change.which
    return with_tables(
        case,
        crews=_scaled(case["crews"], "heads_count", ratio, "resource", which),
        resources=_scaled(case["resources"], "pool_heads_count", ratio, "resource", which),
    )


def shorter_lives(case: Case, change: Change) -> Case:
    """Return the case with the lives of one family, or of all, times the ratio; see `lives`."""
    return with_tables(case, **lives(case, change.which, change.factor))


def tail(case: Case, change: Change) -> Case:
    """Return the case as it is: the weight of bad lives is no table, see `lives_of`."""
    return case


@dataclass(frozen=True)
class Kind:
    """A kind of change: its function, its words, what `which` names, and what it takes."""

    apply: Callable[[Case, Change], Case]
    words: str
    noun: str = ""
    place: tuple[str, str] = ("", "")
    takes: tuple[str, ...] = ("ratio",)

    def names(self, case: Case) -> list[str]:
        """Return what `which` may name."""
        table, column = self.place
        return sorted(case[table][column].astype(str).unique()) if table else []


#: every kind of change by its word in the table
KINDS = {
    "discount_rate": Kind(discount_rate, "discount rate", takes=("ratio", "value")),
    "day_value": Kind(day_value, "price of an outage day"),
    "budgets": Kind(budgets, "budget", "year", ("budgets", "year")),
    "crews": Kind(crews, "heads", "trade", ("crews", "resource")),
    "lives": Kind(shorter_lives, "life", "family", ("families", "family")),
    "tail": Kind(tail, "weight of bad lives", takes=("value",)),
}


def changed(case: Case, changes: Iterable[Change]) -> Case:
    """Return the case with changes made one after the other."""
    for change in changes:
        case = KINDS[change.what].apply(case, change)
    return case


def lives_of(changes: Sequence[Change], drawn: Lives) -> Lives | None:
    """Return scenarios of lives with the weight that a change asks for; None where none does."""
    weights = [change.value for change in changes if change.what == "tail"]
    if not weights or weights[-1] is None:
        return None
    return replace(drawn, weight_share=weights[-1])


def words(change: Change) -> str:
    """Return a change in words."""
    kind = KINDS[change.what]
    which = f"of {change.which} " if change.which else "(all) " if kind.noun else ""
    if change.value is not None:
        return f"{kind.words} {which}= {change.value:g}"
    return f"{kind.words} {which}x {change.factor:g}"
