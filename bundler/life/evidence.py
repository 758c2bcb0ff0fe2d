"""What the station's records, readings and batches say about the life of each component.

Records bring the family's life up to date; heat moves it by its ageing; readings, grades and
batches replace the curve until the first failure or the next work that takes age away.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, days_from_planning
from bundler.case import Case
from bundler.life import batch, heat, staged, wear
from bundler.life.curve_update import CurvePrior, Posterior, pooled, updated_curve
from bundler.life.curves import LifeCurve, curve_from
from bundler.life.given import given_lives
from bundler.life.register import own_and_sisters
from bundler.life.shifted import Since
from bundler.life.taken_over import TakenOver
from bundler.tables import rows

#: models of indicators that move the life instead of replacing its curve
HEAT = ("insulation", "arrhenius")


@dataclass(frozen=True)
class Known:
    """The life of a component with all that is known of it.

    life_years, shape_ratio : of its curve, brought up to date by records and heat.
    sigma_ratio : how well the life is known: standard deviation of its logarithm.
    now : the curve that a reading, grade or batch puts in its place; None where none does.
    sure : `now` if what is uncertain in it were known.
    words : the evidence used, for people.
    """

    component: str
    life_years: float
    shape_ratio: float
    sigma_ratio: float
    now: LifeCurve | None
    sure: LifeCurve | None
    words: str


class EvidenceError(ValueError):
    """Evidence that cannot be used: table, row and column of it, and why."""

    def __init__(self, table: str, file_row: int, column: str, why: str) -> None:
        self.place, self.why = (table, file_row, column), why
        super().__init__(why)


def posterior(case: Case, part: Any) -> Posterior:
    """Return the life of a component's family brought up to date by the records.

    Records of other units count by `sister_weight_share`. Raises ValueError where no life of
    this kind could leave such records, or the curve is not one that records can move.
    """
    own, sisters = own_and_sisters(case, part.family, part.unit)
    lives = pooled(own, sisters, case.settings.sister_weight_share)
    shape = 1.0 if np.isnan(part.shape_ratio) else part.shape_ratio  # exponential has none
    prior = CurvePrior(
        part.curve, part.life_years, part.life_sigma_ratio, shape, part.shape_sigma_ratio
    )
    return updated_curve(prior, lives)


def _recorded(case: Case, part: Any, seen: dict[object, Known]) -> Known | None:
    """Return the life by records, computed once for equal components of a unit."""
    if part.life_from != "records":
        return None
    key = (part.family, part.unit, part.life_years, part.shape_ratio, part.life_sigma_ratio)
    if key not in seen:
        try:
            found = posterior(case, part)
        except ValueError as fault:
            place = case["families"].set_index("family")["file_row"]
            raise EvidenceError("families", int(place[part.family]), "life_from", str(fault)) from (
                fault
            )
        life, shape = found.life_percentile_years(0.5), found.shape_percentile_ratio(0.5)
        words = f"records: {found.words}"
        seen[key] = Known("", life, shape, found.life_spread_ratio, None, None, words)
    return replace(seen[key], component=part.component)


def _as_given(part: Any) -> Known:
    return Known(
        part.component, part.life_years, part.shape_ratio, part.life_sigma_ratio, None, None, ""
    )


def readings_of(case: Case, lives: pd.DataFrame) -> pd.DataFrame:
    """Return all readings in order of time, with the age at each and years since the planning date.

    Adds years (below 0 before the planning date), age_years, unit, family, shape_ratio,
    shape_sigma_ratio.
    """
    lent = ["component", "unit", "family", "renewed_days", "shape_ratio", "shape_sigma_ratio"]
    table = case["readings"].merge(lives[lent], on="component", how="left")
    errors = case["indicators"].set_index("indicator")["error_value"]
    table["error_value"] = table["error_value"].fillna(table["indicator"].map(errors))
    days = days_from_planning(case, table["reading_date"])
    table["years"] = days / DAYS_A_YEAR
    table["age_years"] = (days - table["renewed_days"]) / DAYS_A_YEAR
    order = ["indicator", "component", "years", "inspector", "step_count"]
    return table.sort_values(order).reset_index(drop=True)


def _own_curve(part: Any, known: Known) -> LifeCurve:
    return curve_from(part.curve, known.life_years, known.shape_ratio, part.guarantee_years)


def _replaced(known: Known, part: Any, own: pd.DataFrame, left: wear.Left) -> Known:
    """Return the life whose curve counts from the last reading until the first failure."""
    age = max(float(part.age_years) + float(own["years"].iloc[-1]), 0.0)
    after, day = _own_curve(part, known), own["reading_date"].iloc[-1].date()
    return replace(
        known,
        now=TakenOver(Since(left.curve, age), after),
        sure=TakenOver(Since(left.sure, age), after),
        sigma_ratio=float(np.clip(left.sigma_ratio, 0.01, 2.0)),
        words=f"reading of {day}: {left.words}",
    )


def _read(known: Known, part: Any, indicator: Any, own: pd.DataFrame, all_: pd.DataFrame) -> Known:
    """Return the life with the readings of one indicator taken in."""
    if indicator.model in HEAT:
        ratio = heat.ageing_ratio(indicator, own)
        words = f"ages {ratio:.2f} times as fast as at {indicator.reference_celsius:g} °C"
        return replace(known, life_years=known.life_years / ratio, words=words)
    others = all_.drop(index=own.index)
    if indicator.model == "grade":
        return _replaced(known, part, own, staged.graded(indicator, own, others))
    return _replaced(known, part, own, wear.WEAR[indicator.model](indicator, own, others))


def _after_readings(case: Case, part: Any, known: Known, readings: pd.DataFrame) -> Known:
    """Return the life with all readings taken in: heat first, then what replaces the curve."""
    mine = readings[readings["component"] == part.component]
    if mine.empty:
        return known
    used = case["indicators"][case["indicators"]["indicator"].isin(mine["indicator"])]
    order = used.assign(last=~used["model"].isin(HEAT)).sort_values(["last", "indicator"])
    for indicator in rows(order):
        own = mine[mine["indicator"] == indicator.indicator]
        own = own[own["age_years"] >= 0]
        if own.empty:  # all of an earlier life
            continue
        all_ = readings[readings["indicator"] == indicator.indicator]
        try:
            known = _read(known, part, indicator, own, all_)
        except ValueError as fault:
            row = int(mine.loc[mine["indicator"] == indicator.indicator, "file_row"].iloc[-1])
            why = f"{part.component}: {fault}"
            raise EvidenceError("readings", row, "reading_value", why) from fault
    return known


def _members(case: Case, part: Any, curve: LifeCurve, mates: list[Any]) -> list[batch.Member]:
    """Return the other members of a component's batch: those in service, and recorded failures."""
    lives = case["lives"]
    failed = lives[(lives["batch"] == part.batch) & lives["failed_date"].notna()]
    ages = (failed["failed_date"] - failed["start_date"]).dt.days / DAYS_A_YEAR
    running = [batch.Member(curve, float(mate.age_years), False) for mate in mates]
    return running + [batch.Member(curve, float(age), True) for age in ages]


def _after_batch(case: Case, part: Any, known: Known, mates: list[Any]) -> Known:
    """Return the life with what the other members of its batch say."""
    if not part.batch or known.now is not None:
        return known
    row = case["batches"].set_index("batch").loc[part.batch]
    curve = _own_curve(part, known)
    try:
        doubt = batch.BatchDoubt(float(row["bad_chance"]), float(row["bad_life_ratio"]))
        members = _members(case, part, curve, mates)
        chance = batch.bad_batch_chance(doubt, members)
    except ValueError as fault:
        why = f"{part.batch}: {fault}"
        raise EvidenceError("batches", int(row["file_row"]), "batch", why) from fault
    now = TakenOver(batch.curve_in_batch(doubt, curve, members), curve)
    words = f"batch {part.batch}: {chance:.2g} chance of a bad batch from the other members"
    return replace(known, now=now, sure=now, words=words)


def evidence(case: Case) -> Iterator[Known | EvidenceError]:
    """Yield the life of every component, or what keeps its evidence from being used."""
    lives = given_lives(case)
    readings, seen = readings_of(case, lives), dict[object, Known]()
    batches = {str(name): list(rows(own)) for name, own in lives.groupby("batch") if name}
    for part in rows(lives):
        try:
            known = _recorded(case, part, seen) or _as_given(part)
            known = _after_readings(case, part, known, readings)
            others = [each for each in batches.get(part.batch, []) if each != part]
            yield _after_batch(case, part, known, others)
        except EvidenceError as fault:
            yield fault


#: tables that lives are taken from
SOURCES = (
    "units", "families", "components", "curve_steps", "lives", "batches", "indicators", "readings",
)  # fmt: skip


class _Sources:
    """What the lives of a case are taken from; equal for cases with the very same tables."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.key = (case.settings, *(id(case[name]) for name in SOURCES))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Sources) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)


def known_lives(case: Case) -> dict[str, Known]:
    """Return the life of every component by its name.

    Computed once for the tables that it is taken from. Raises EvidenceError for the first evidence
    that cannot be used; a checked case has none.
    """
    return _known(_Sources(case))


@lru_cache(maxsize=4)
def _known(sources: _Sources) -> dict[str, Known]:
    found: dict[str, Known] = {}
    for known in evidence(sources.case):
        if isinstance(known, EvidenceError):
            raise known
        found[known.component] = known
    return found
