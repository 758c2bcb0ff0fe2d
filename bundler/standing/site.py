"""The rows, access sets and outages of a case as arrays, by number."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import sparse

from bundler.choice import Choices, FloatArray, IntArray
from bundler.standing.relief import Outage


@dataclass(frozen=True)
class Site:
    """All that binds the works of a case, as arrays.

    use [P, R] what each placement uses of each row (limits, then links); needs [P, S] the access
    sets that it needs and that are not given; access_use [S, R]; most [R]; firm [R] whether
    neither days nor overtime add to the row; access_cost [S]; missing_days [P]; period [P] and
    access_period [S] the number of their period; outages and rows (of each period, those that can
    be relieved) by that number. held [Q, P] is 1 where a course holds a placement; owner [P] is
    the component of each; names, bands and sets are the words for periods, overtime bands by
    period, and access sets.
    """

    use: sparse.csr_array
    needs: sparse.csr_array
    access_use: sparse.csr_array
    most: FloatArray
    firm: np.ndarray
    access_cost: FloatArray
    missing_days: FloatArray
    period: IntArray
    access_period: IntArray
    outages: tuple[Outage, ...]
    rows: tuple[IntArray, ...]
    held: sparse.csr_array
    owner: np.ndarray
    names: tuple[str, ...]
    bands: tuple[tuple[str, ...], ...]
    sets: tuple[str, ...]


def _sparse(
    row: pd.Series, column: pd.Series, value: pd.Series, shape: tuple[int, int]
) -> sparse.csr_array:
    at = (row.to_numpy(dtype=np.int64), column.to_numpy(dtype=np.int64))
    return sparse.csr_array((value.to_numpy(dtype=float), at), shape=shape)


def _numbers(names: pd.Series, first: int = 0) -> pd.Series:
    return pd.Series(np.arange(first, first + len(names)), names.to_numpy())


def _outage(choices: Choices, period: str, limits: pd.DataFrame) -> tuple[Outage, tuple[str, ...]]:
    """Return what can relieve one period, and the names of its overtime bands."""
    bands = choices.overtimes[choices.overtimes["period"] == period]
    number = _numbers(bands["overtime"])
    row = choices.periods[choices.periods["period"] == period].iloc[0]
    band = limits["overtime"].map(number).fillna(-1).to_numpy(dtype=np.int64)
    band = np.where(limits["overtime_share"].to_numpy() > 0, band, -1)
    found = Outage(
        limits["amount"].to_numpy(dtype=float),
        limits["extension_amount"].to_numpy(dtype=float),
        np.where(band >= 0, limits["overtime_share"].to_numpy(dtype=float), 1.0),
        band,
        bands["most_hours"].to_numpy(dtype=float),
        bands["pv_cost_per_hour"].to_numpy(dtype=float),
        float(row["max_extension_days"]),
        float(row["day_pv_cost"]),
    )
    return found, tuple(bands["overtime"])


def site_of(choices: Choices) -> Site:
    """Return the arrays of a case. Placements and courses are numbered as in their tables."""
    limits, links = choices.limits, choices.links
    limit_at, link_at = _numbers(limits["limit"]), _numbers(links["link"], len(limits))
    paid = choices.access[~choices.access["is_given"]]
    set_at = _numbers(paid["access"])
    count, rows = len(choices.placements), len(limits) + len(links)
    uses, terms = choices.uses, choices.link_terms
    row = pd.concat([uses["limit"].map(limit_at), terms["link"].map(link_at)])
    use = _sparse(
        pd.concat([uses["placement"], terms["placement"]]), row,
        pd.concat([uses["amount"], terms["factor"]]), (count, rows),
    )  # fmt: skip
    members = choices.access_members[choices.access_members["access"].isin(set_at.index)]
    ones = pd.Series(1.0, members.index)
    needs = _sparse(members["placement"], members["access"].map(set_at), ones, (count, len(paid)))
    own = choices.access_uses[choices.access_uses["access"].isin(set_at.index)]
    access_use = _sparse(
        own["access"].map(set_at), own["limit"].map(limit_at), own["amount"], (len(paid), rows)
    )
    held = _sparse(
        choices.works["course"], choices.works["placement"],
        pd.Series(1.0, choices.works.index), (len(choices.courses), count),
    )  # fmt: skip
    period_at = _numbers(choices.periods["period"])
    helped = (limits["extension_amount"] > 0) | (limits["overtime"] != "")
    firm = np.append(~helped.to_numpy(), np.ones(len(links), dtype=bool))
    by_period = {str(name): own for name, own in limits[helped].groupby("period")}
    outages, bands = zip(
        *(_outage(choices, name, by_period.get(name, limits.iloc[:0])) for name in period_at.index),
        strict=True,
    )
    return Site(
        use, needs, access_use,
        np.append(limits["amount"].to_numpy(dtype=float), links["most"].to_numpy(dtype=float)),
        firm, paid["pv_cost"].to_numpy(dtype=float),
        choices.placements["extension_days"].to_numpy(dtype=float),
        choices.placements["period"].map(period_at).to_numpy(dtype=np.int64),
        paid["period"].map(period_at).to_numpy(dtype=np.int64),
        outages,
        tuple(
            by_period.get(name, limits.iloc[:0])["limit"].map(limit_at).to_numpy(dtype=np.int64)
            for name in period_at.index
        ),
        held,
        choices.placements["component"].to_numpy(),
        tuple(period_at.index), bands, tuple(paid["access"]),
    )  # fmt: skip
