"""Money by calendar year, and what of it may be carried over into the next."""

import pandas as pd

from bundler.calendar import date_at
from bundler.case import Case
from bundler.limits.reach import reachable
from bundler.limits.rows import LimitRows, no_uses
from bundler.tables import rows


def _stretches(case: Case) -> pd.DataFrame:
    """Return the stretches of years whose spending is limited, with the budget of each.

    Columns limit, title, period, first_year, last_year and amount. With k[y] carried over from
    year y, 0 <= k[y] <= s B[y], spending of a year is at most B[y] + k[y-1] - k[y]. Summed over
    the years a to y, what is carried between them drops out: they spend at most their budgets
    and s B[a-1]; and where every stretch keeps that, such a k exists (Fourier and Motzkin).
    """
    budgets = case["budgets"].set_index("year")["limit_cost"].sort_index()
    share = case.settings.carry_over_share
    found: list[tuple[str, str, str, int, int, float]] = []
    for first in budgets.index:
        left = share * float(budgets.get(first - 1, 0.0))
        amount, last = left, first
        while last in budgets.index and (last == first or share > 0):
            amount += float(budgets[last])
            years = str(first) if last == first else f"{first}-{last}"
            title = f"budget in {years}" + (f" with what {first - 1} may leave" if left else "")
            found.append((f"budget.{years}", title, years, first, last, amount))
            last += 1
    names = ["limit", "title", "period", "first_year", "last_year", "amount"]
    return pd.DataFrame(found, columns=names)


def _needed(case: Case, years: pd.DataFrame, most: pd.Series) -> pd.DataFrame:
    """Return the stretches that say more than shorter ones do; single years all stay.

    `most` is the most that could be spent in each year. A last year that cannot pass its own
    budget, or a first year that leaves at least what the year before may, says nothing new.
    """
    budgets = case["budgets"].set_index("year")["limit_cost"]
    share = case.settings.carry_over_share
    first, last = years["first_year"], years["last_year"]
    most_first, most_last = (year.map(most).fillna(0.0) for year in (first, last))
    before = share * (first - 1).map(budgets).fillna(0.0)
    is_new = most_last > last.map(budgets)
    is_new &= most_first > (1 - share) * first.map(budgets) + before
    return years[is_new | (first == last)]


def _most_spent(
    placements: pd.DataFrame, payments: pd.DataFrame, opened: pd.DataFrame
) -> pd.Series:
    """Return the most that could be spent in each year: one work of a component and period."""
    paid = payments.groupby(["year", "placement"])["cost"].sum().reset_index()
    paid = paid.merge(placements[["placement", "component", "period"]], on="placement")
    most = paid.groupby(["year", "component", "period"])["cost"].max().groupby("year").sum()
    return most.add(opened.groupby("year")["cost"].sum(), fill_value=0.0)


def budget_limits(
    case: Case, placements: pd.DataFrame, payments: pd.DataFrame, access: pd.DataFrame
) -> LimitRows:
    """Return money by calendar year; payments fall where orders and work fall, not at the outage.

    The budget is in real money of the price year; so are payments, with escalation. Stretches of
    several years that no plan could overfill, or that others imply, are left out.
    """
    opened = access[access["cost"] > 0].copy()
    opened["year"] = pd.Series(
        [date_at(case, days).year for days in opened["paid_days"]], opened.index, dtype="int64"
    )
    years = _needed(case, _stretches(case), _most_spent(placements, payments, opened))
    limits = years.assign(
        measure="cost", resource="budget", step=f"1,000 {case.settings.currency}",
        step_amount=1000.0,
    )  # fmt: skip
    uses, sets = _summed(years, payments, "placement"), _summed(years, opened, "access")
    is_one = limits["first_year"] == limits["last_year"]
    several = reachable(case, LimitRows(limits[~is_one], uses, sets), placements)
    kept = pd.concat([limits[is_one], several.limits], ignore_index=True)
    return LimitRows(kept, uses, sets)


def _summed(years: pd.DataFrame, paid: pd.DataFrame, item: str) -> pd.DataFrame:
    """Return what each item pays in each stretch of years: limit, item and amount."""
    by_year = paid.pivot_table(index=item, columns="year", values="cost", aggfunc="sum")
    by_year = by_year.fillna(0.0)
    parts = [no_uses(item)]
    for row in rows(years):
        cost = by_year.loc[:, row.first_year : row.last_year].sum(axis=1)
        cost = cost[cost > 0]
        parts.append(
            pd.DataFrame({"limit": row.limit, item: cost.index, "amount": cost.to_numpy()})
        )
    return pd.concat(parts, ignore_index=True)
