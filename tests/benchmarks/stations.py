"""Invented stations of any size, for benchmarks: the tables that a plan chooses from, at once.

Everything is drawn from a seed; no record, unit, price or component of anybody is in it. Like a
real one: units in turn with ten outages each over thirty years, one of them long; windows of an
outage inside each other; Weibull hazards from the age on the planning date, so that the cost of
courses is smooth over dates; losses, costs and hours lognormal; hours that go with the cost; access
that three to eight components share; links; works too long for their window. Invented for want of
records: every number of station_plant.py, and that limits hold about half of what all components
together would take if each were alone, which makes plans harder than at most stations.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray
from tests.benchmarks.station_courses import (
    Followed,
    Placed,
    courses_table,
    followed,
    placed,
    placements_table,
    works_table,
)  # fmt: skip
from tests.benchmarks.station_limits import (
    Numbers,
    Uses,
    amounts,
    largest,
    limits_table,
    numbers,
    placement_uses,
    total,
    uses_table,
)  # fmt: skip
from tests.benchmarks.station_plant import (
    DAY_COST,
    OUTAGES,
    OVERTIME_COST,
    Fleet,
    Plant,
    fleet,
    plant,
)  # fmt: skip
from tests.benchmarks.station_ties import (
    Shared,
    access_members,
    access_table,
    access_uses,
    link_tables,
    shared,
)  # fmt: skip


@dataclass(frozen=True)
class _Made:
    """What is drawn before limits are told."""

    site: Plant
    parts: Fleet
    at: Placed
    found: Followed
    ties: Shared
    rows: Numbers
    uses: Uses
    opened: Uses


def _demand(made: _Made, courses: np.ndarray) -> FloatArray:
    """Return what some courses use of each row, with the access they need."""
    found, ties, at = made.found, made.ties, made.at
    done = np.zeros(len(at.component) + 1, dtype=bool)
    done[found.first[courses]] = done[found.second[courses]] = True
    access, placement = access_members(ties, at)
    is_open = np.zeros(len(ties.unit) * OUTAGES, dtype=bool)
    is_open[access[done[placement]]] = True
    count = made.rows.count
    return total(made.uses, done[:-1], count) + total(made.opened, is_open, count)


def _must(made: _Made) -> np.ndarray:
    """Return the cheapest course of one work that fits its window, of those that must be done."""
    found, long = made.found, np.r_[made.at.long_days, 0.0]
    is_one = (found.second < 0) & (found.first >= 0) & (long[found.first] <= 0)
    best = found.best(np.where(is_one, found.pv_cost, np.inf))
    return best[made.parts.must[found.component[best]]]


def _periods(site: Plant) -> pd.DataFrame:
    names = pd.Series(site.names()).astype("str")
    return pd.DataFrame(
        {
            "period": names,
            "unit": names.str.split("_").str[0],
            "kind": "outage",
            "start_days": site.start_days,
            "end_days": site.end_days,
            "days": site.end_days - site.start_days,
            "is_outage": True,
            "day_cost": DAY_COST,
            "day_pv_cost": DAY_COST * site.worth(),
            "max_extension_days": 6.0,
        }
    )


def _overtimes(limits: pd.DataFrame, periods: pd.DataFrame) -> pd.DataFrame:
    """Return the bands: 15 % of the hours of each trade in an outage, at a premium."""
    table = limits[limits["limit"].str.endswith(".w0")]
    worth = periods.set_index("period")["day_pv_cost"] / DAY_COST
    return pd.DataFrame(
        {
            "overtime": table["overtime"],
            "period": table["period"],
            "resource": table["resource"],
            "most_hours": (0.15 * table["amount"]).round(1),
            "pv_cost_per_hour": OVERTIME_COST * table["period"].map(worth),
        }
    ).reset_index(drop=True)


def _tables(made: _Made, rng: np.random.Generator) -> Choices:
    site, parts, at = made.site, made.parts, made.at
    wanted = _demand(made, made.found.best(made.found.pv_cost))
    one = largest(made.uses, at.long_days <= 0, made.rows.count)
    must = 1.02 * _demand(made, _must(made))
    amount = amounts(wanted, np.maximum(one, must), rng)
    limits = limits_table(made.rows, amount)
    names, access = limits["limit"].to_numpy(dtype=object), access_table(made.ties, site)
    used = np.union1d(made.uses.row, made.opened.row)
    number, member = access_members(made.ties, at)
    sets, periods = access["access"].to_numpy(dtype=object), _periods(site)
    links, terms = link_tables(parts, at, rng)
    return Choices(
        periods=periods,
        placements=placements_table(parts, site, at),
        ruled_out=pd.DataFrame(),
        courses=courses_table(parts, made.found),
        works=works_table(made.found),
        limits=limits.iloc[used].sort_values("limit", ignore_index=True),
        uses=uses_table(names, made.uses, "placement", np.arange(len(at.component))),
        access=access,
        access_members=pd.DataFrame(
            {"access": pd.array(sets[number], dtype="str"), "placement": member}
        ),
        access_uses=uses_table(names, made.opened, "access", sets).astype({"access": "str"}),
        overtimes=_overtimes(limits, periods),
        links=links,
        link_terms=terms,
    )


def station(components_count: int, seed: int) -> Choices:
    """Return the choices of a station of some size, the same for the same seed.

    About 200 courses a component: nothing, one work, or two with an outage between them, of 20
    to 24 placements. A plan that holds: what must be done by one work each, and nothing else.
    """
    rng = np.random.default_rng([components_count, seed])
    site = plant(components_count, rng)
    parts = fleet(components_count, site, rng)
    at, rows = placed(parts, site), numbers(site)
    ties = shared(parts, site, rng)
    made = _Made(
        site, parts, at, followed(parts, site, at), ties, rows,
        placement_uses(parts, at, rows), access_uses(ties, rows),
    )  # fmt: skip
    return _tables(made, rng)
