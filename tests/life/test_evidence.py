"""Records, readings, grades and batches of small made-up cases, against scipy and closed forms."""

from collections.abc import Callable
from dataclasses import astuple
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from scipy import optimize, stats

from bundler.case import Case
from bundler.life.curves import Weibull
from bundler.life.evidence import EvidenceError, Known, evidence, known_lives
from bundler.life.noisy import NoisyMargin
from bundler.life.passage import GammaPassage, LognormalRate, WienerPassage
from bundler.life.shifted import Since
from bundler.life.taken_over import TakenOver
from bundler.life.thermal import BOLTZMANN
from bundler.read.folder import read_case
from tests.read.pen import Pen

YEAR = 365.25
NEW = date(2007, 1, 1)  # pump A of the tiny station; pump B is of 2017, life 30 years, shape 3
ROW = tuple[str, str, str, str, str]  # unit, start, watched from, last good, failed


def read(edit: Pen) -> Case:
    return read_case(edit.folder)


def years(first: str | date, last: str | date) -> float:
    days = date.fromisoformat(str(last)) - date.fromisoformat(str(first))
    return days.days / YEAR


def record(edit: Pen, *lives: ROW, family: str = "PUMP", batch: str = "") -> None:
    for number, (unit, start, watched, good, failed) in enumerate(lives):
        edit.row(
            "lives", life=f"L{number}", family=family, unit=unit, start_date=start, batch=batch,
            watched_from_date=watched, last_good_date=good, failed_date=failed,
        )  # fmt: skip


def indicator(edit: Pen, model: str, **values: str) -> None:
    plain = {"indicator": "sign", "family": "PUMP", "name": "a sign", "model": model}
    edit.row("indicators", **(plain | values))


def readings(edit: Pen, component: str, *day_and_value: str, **values: str) -> None:
    for text in day_and_value:
        day, value = text.split()
        where = {"component": component, "indicator": "sign", "reading_date": day}
        edit.row("readings", **(where | {"reading_value": value} | values))


def hazards(known: Known, from_years: float, *spans: float) -> np.ndarray:
    """Return H of the life as it is now, so many years after an age."""
    assert known.now is not None
    return known.now.cumulative_hazard(from_years + np.array(spans))


def numbers(curve: Any, *values: float, rel: float = 1e-9) -> bool:
    """Return whether a curve has these numbers."""
    return astuple(curve) == pytest.approx(values, rel=rel)


def taken_over(known: Known) -> tuple[object, float]:
    """Return the curve that counts from a reading, and the age at that reading."""
    assert isinstance(known.now, TakenOver)
    assert known.now.after == Weibull(3.0, 30.0)
    assert isinstance(known.now.first, Since)
    return known.now.first.curve, known.now.first.from_age_years


# --- without evidence -------------------------------------------------------------------------


def test_without_evidence_the_tables_hold(tiny: Case) -> None:
    known = known_lives(tiny)
    assert known["PUMP-A"] == Known("PUMP-A", 30.0, 3.0, 0.25, None, None, "")
    assert (known["VALVE-1"].life_years, known["VALVE-1"].now) == (40.0, None)
    assert known_lives(tiny) is known  # computed once


def test_own_values_go_before_the_family(edit: Pen) -> None:
    edit.cell("components", 2, "life_years", "44")
    edit.cell("components", 2, "life_sigma_ratio", "0.1")
    own = known_lives(read(edit))["PUMP-A"]
    assert (own.life_years, own.shape_ratio, own.sigma_ratio) == (44.0, 3.0, 0.1)


def test_records_are_not_used_unless_asked(edit: Pen) -> None:
    record(edit, ("U1", "2007-01-01", "", "", "2012-01-01"))
    assert known_lives(read(edit))["PUMP-A"] == Known("PUMP-A", 30.0, 3.0, 0.25, None, None, "")


# --- records ----------------------------------------------------------------------------------

RECORD: tuple[ROW, ...] = (
    ("U1", "2007-01-01", "", "", "2016-03-01"),
    ("U1", "2017-01-01", "", "2026-12-31", ""),
    ("U1", "1990-01-01", "2001-01-01", "2008-01-01", "2009-01-01"),
    ("other", "2000-01-01", "", "", "2009-07-01"),
)


def grid_medians(sister_weight: float) -> tuple[float, float, float]:
    """Return life, shape and spread of RECORD on a plain grid, each likelihood by scipy.stats."""
    scale, shape = np.meshgrid(np.exp(np.linspace(2.0, 4.6, 801)), np.linspace(0.02, 6.0, 600))
    log = stats.norm.logpdf(np.log(scale), np.log(30), 0.25) + stats.norm.logpdf(shape, 3, 0.5)
    life = stats.weibull_min(shape, scale=scale)
    log += life.logpdf(years(NEW, "2016-03-01")) + life.logsf(years("2017-01-01", "2026-12-31"))
    born = "1990-01-01"
    low, high = life.sf(years(born, "2008-01-01")), life.sf(years(born, "2009-01-01"))
    log += np.log(low - high) - life.logsf(years(born, "2001-01-01"))
    log += sister_weight * life.logpdf(years("2000-01-01", "2009-07-01"))
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    by_life, by_shape = weight.sum(axis=0).cumsum(), weight.sum(axis=1).cumsum()
    ln = np.log(scale)
    spread = np.sqrt((weight * ln**2).sum() - (weight * ln).sum() ** 2)
    half = (
        np.exp(np.interp(0.5, by_life, ln[0])),
        np.interp(0.5, by_shape, shape[:, 0]),
    )
    return float(half[0]), float(half[1]), float(spread)


@pytest.mark.parametrize("weight", [0.0, 0.5, 1.0])
def test_records_weigh_against_the_prior(weight: float, edit: Pen) -> None:
    """Medians and spread on a plain grid of 480,000 points, likelihoods by scipy.stats; its
    cells, 0.3 % of the life and 0.01 of the shape, bound how well the medians can agree."""
    record(edit, *RECORD)
    edit.cell("families", 2, "life_from", "records")
    edit.setting("sister_weight_share", str(weight))
    known = known_lives(read(edit))
    life, shape, spread = grid_medians(weight)
    own = known["PUMP-A"]
    assert own.life_years == pytest.approx(life, rel=2e-3)
    assert own.shape_ratio == pytest.approx(shape, abs=6e-3)
    assert own.sigma_ratio == pytest.approx(spread, rel=2e-3)
    assert own.words.startswith("records: The record")
    assert known["PUMP-B"].life_years == own.life_years  # equal components share one weighing
    assert known["VALVE-1"].life_years == 40.0


# --- heat -------------------------------------------------------------------------------------


def test_heat_divides_the_life_by_the_mean_ageing(edit: Pen) -> None:
    """IEC 60076-7: 6 degrees double or halve the ageing of plain paper: (2 + 1/2) / 2 = 1.25; the
    last profile counts."""
    indicator(edit, "insulation", reference_celsius="98")
    readings(edit, "PUMP-A", "2020-01-01 104", step_count="1", time_share="0.5")
    readings(edit, "PUMP-A", "2020-01-01 92", step_count="2", time_share="0.5")
    readings(edit, "PUMP-A", "2015-01-01 140", step_count="1", time_share="1")
    known = known_lives(read(edit))
    assert known["PUMP-A"].life_years == pytest.approx(30 / 1.25, rel=1e-12)
    assert known["PUMP-A"].now is None
    assert known["PUMP-B"].life_years == 30.0


def test_heat_by_its_activation_energy(edit: Pen) -> None:
    """exp(Ea / k (1 / T_ref - 1 / T)) in absolute degrees, by hand."""
    indicator(edit, "arrhenius", reference_celsius="105", activation_ev="1.05")
    readings(edit, "PUMP-A", "2020-01-01 115")
    ageing = np.exp(1.05 / BOLTZMANN * (1 / 378.15 - 1 / 388.15))
    life = known_lives(read(edit))["PUMP-A"].life_years
    assert life == pytest.approx(30 / ageing, rel=1e-12)


def test_heat_moves_a_life_from_records(edit: Pen) -> None:
    record(edit, *RECORD)
    edit.cell("families", 2, "life_from", "records")
    indicator(edit, "insulation", reference_celsius="98")
    readings(edit, "PUMP-A", "2020-01-01 104")
    known = known_lives(read(edit))
    assert known["PUMP-A"].life_years == pytest.approx(known["PUMP-B"].life_years / 2, rel=1e-12)


# --- readings ---------------------------------------------------------------------------------

WALL = {
    "new_value": "12.7", "limit_value": "5", "error_value": "0.2", "measure": "mm",
    "rate_value_per_year": "0.31", "rate_sd_value_per_year": "0.06",
}  # fmt: skip


def test_wall_wears_from_its_reading_on(edit: Pen) -> None:
    """8.3 mm (+/- 0.2) to 5 mm at 0.31 +/- 0.06 mm a year: normal margin less normal wear is below
    the limit 9.92 years later with a chance of 36 % (common practice, invented numbers)."""
    indicator(edit, "wall", **WALL)
    readings(edit, "PUMP-A", "2020-01-01 8.3")
    own = known_lives(read(edit))["PUMP-A"]
    age = years(NEW, "2020-01-01")
    curve, start = taken_over(own)
    assert isinstance(curve, NoisyMargin)
    assert numbers(curve, 3.3, 0.2, 0.31, 0.06, 0.0)
    assert start == pytest.approx(age, rel=1e-12)
    left = stats.norm(3.3 - 0.31 * 9.92, np.hypot(0.2, 0.06 * 9.92))
    assert 1 - np.exp(-hazards(own, age, 9.92)[0]) == pytest.approx(left.cdf(0), abs=1e-6)
    assert left.cdf(0) == pytest.approx(0.36, abs=0.001)
    assert hazards(own, 0.0, 0.0, age).tolist() == [0.0, 0.0]  # it was good at the reading
    assert own.sigma_ratio == pytest.approx(np.hypot(0.2 / 3.3, 0.06 / 0.31), rel=1e-9)
    assert isinstance(own.sure, TakenOver)
    assert isinstance(own.sure.first, Since)
    assert isinstance(own.sure.first.curve, LognormalRate)
    assert numbers(own.sure.first.curve, 3.3, 0.31, 0.1)
    assert (own.life_years, own.words[:22]) == (30.0, "reading of 2020-01-01:")


def test_own_error_of_a_reading_goes_first(edit: Pen) -> None:
    indicator(edit, "wall", **WALL)
    readings(edit, "PUMP-A", "2020-01-01 8.3", error_value="0.4")
    curve, _ = taken_over(known_lives(read(edit))["PUMP-A"])
    assert numbers(curve, 3.3, 0.4, 0.31, 0.06, 0.0)


def test_rising_indicator_wears_like_a_falling_one(edit: Pen) -> None:
    indicator(edit, "linear", **(WALL | {"new_value": "0", "limit_value": "9"}))
    readings(edit, "PUMP-A", "2020-01-01 5.7")
    curve, _ = taken_over(known_lives(read(edit))["PUMP-A"])
    assert numbers(curve, 3.3, 0.2, 0.31, 0.06, 0.0)


def test_age_that_runs_faster_does_not_move_the_reading(edit: Pen) -> None:
    """At 1.5 years a year pump A is 30 years old when planned; seven years before it is 23."""
    edit.cell("components", 2, "age_ratio", "1.5")
    indicator(edit, "wall", **WALL)
    readings(edit, "PUMP-A", "2020-01-01 8.3")
    planned = "2027-01-01"
    _, age = taken_over(known_lives(read(edit))["PUMP-A"])
    assert age == pytest.approx(1.5 * years(NEW, planned) - years("2020-01-01", planned))


def test_readings_of_the_life_before_tell_nothing(edit: Pen) -> None:
    """Pump B was renewed in 2017; a wall read in 2012 was another one's."""
    indicator(edit, "wall", **WALL)
    readings(edit, "PUMP-B", "2012-01-01 5.1")
    assert known_lives(read(edit))["PUMP-B"] == Known("PUMP-B", 30.0, 3.0, 0.25, None, None, "")


#: readings that grow, of both pumps: spans and growths of the steps between
GROWN = {"PUMP-A": ("2010-01-01 1", "2014-01-01 2.2", "2020-01-01 3.4"),
         "PUMP-B": ("2018-01-01 0.5", "2025-01-01 3.1")}  # fmt: skip
SPANS = np.array(
    [
        years("2010-01-01", "2014-01-01"), years("2014-01-01", "2020-01-01"),
        years("2018-01-01", "2025-01-01"),
    ]
)  # fmt: skip
GROWTHS = np.array([1.2, 1.2, 2.6])


def grown(edit: Pen, model: str) -> Known:
    indicator(edit, model, new_value="0", limit_value="6")
    for component, own in GROWN.items():
        readings(edit, component, *own)
    return known_lives(read(edit))["PUMP-A"]


def test_wiener_drifts_as_the_family(edit: Pen) -> None:
    """Without reading error the most likely drift is growth over time and sigma^2 the mean of the
    squared misfits a year; the life is inverse Gaussian (scipy.stats)."""
    own = grown(edit, "wiener")
    drift = GROWTHS.sum() / SPANS.sum()
    sigma = np.sqrt(((GROWTHS - drift * SPANS) ** 2 / SPANS).mean())
    curve, age = taken_over(own)
    assert isinstance(curve, WienerPassage)
    assert numbers(curve, 2.6, drift, sigma)
    shape = 2.6**2 / sigma**2
    passage = stats.invgauss(2.6 / drift / shape, scale=shape)
    spans = np.array([2.0, 6.0, 15.0])
    assert hazards(own, age, *spans) == pytest.approx(-passage.logsf(spans), rel=1e-6)


def test_gamma_grows_as_the_family(edit: Pen) -> None:
    """The most likely shape by scipy.optimize on the density of scipy.stats; the life ends when a
    gamma variable of shape a t is above the margin."""
    own = grown(edit, "gamma")
    rate = GROWTHS.sum() / SPANS.sum()

    def against(shape: float) -> float:
        return -float(stats.gamma.logpdf(GROWTHS, shape * SPANS, scale=rate / shape).sum())

    best = optimize.minimize_scalar(against, bounds=(0.1, 50), options={"xatol": 1e-9}).x
    curve, age = taken_over(own)
    assert isinstance(curve, GammaPassage)
    assert numbers(curve, 2.6, best, rate / best, rel=1e-4)
    spans = np.array([2.0, 6.0, 15.0])
    alive = stats.gamma.logcdf(2.6, best * spans, scale=rate / best)
    assert hazards(own, age, *spans) == pytest.approx(-alive, rel=1e-3)


@pytest.mark.parametrize(("component", "family", "shape"), [("PUMP-A", "PUMP", 3.0),
                                                            ("VALVE-1", "VALVE", 1.0)])  # fmt: skip
def test_tubes_are_plugged_one_by_one(component: str, family: str, shape: float, edit: Pen) -> None:
    """100 of 1,000 tubes gone, 150 allowed: 50 of 900 may follow, by scipy.stats.binom; a family
    with a constant rate has shape 1."""
    indicator(
        edit, "tubes", family=family, new_value="0", limit_value="0.15", tubes_count="1000"
    )  # fmt: skip
    readings(edit, component, "2020-01-01 0.1")
    own = known_lives(read(edit))[component]
    age = years(NEW, "2020-01-01")
    spans = np.array([1.0, 2.0, 4.0, 8.0])
    rise = -np.log(0.9) * (((age + spans) / age) ** shape - 1)
    alive = stats.binom.logcdf(50, 900, -np.expm1(-rise))
    assert hazards(own, age, *spans) == pytest.approx(-alive, rel=1e-8)


def later(count: int) -> str:
    """Return the day so many times 730 days after 2008."""
    return str(date(2008, 1, 1) + timedelta(days=730 * count))


def test_grades_leave_as_the_family(edit: Pen) -> None:
    """Grade 1 is kept in three spans of 730 days and left in three: half are left, so the rate is
    ln 2 over that span and its error 1 / sqrt(3); the pairs of earlier lives count."""
    indicator(edit, "grade", new_value="1", limit_value="2")
    for name in ("PUMP-C", "PUMP-D"):
        edit.row(
            "components", component=name, unit="U1", family="PUMP", train="A",
            position_count="3", renewed_date="2017-01-01",
        )  # fmt: skip
    readings(edit, "PUMP-A", *(f"{later(count)} 1" for count in range(4)))
    for name in ("PUMP-B", "PUMP-C", "PUMP-D"):
        readings(edit, name, f"{later(0)} 1", f"{later(1)} 2", "2017-06-01 1")
    own = known_lives(read(edit))["PUMP-A"]
    spans = np.array([1.0, 5.0, 20.0])
    rate = np.log(2) / (730 / YEAR)
    assert hazards(own, years(NEW, later(3)), *spans) == pytest.approx(rate * spans, rel=1e-5)
    assert own.sigma_ratio == pytest.approx(3**-0.5, rel=1e-9)


# --- batches ----------------------------------------------------------------------------------


def batched(edit: Pen) -> None:
    edit.row("batches", batch="b1", bad_chance="0.2", bad_life_ratio="0.5")
    edit.cell("components", 2, "batch", "b1")
    edit.cell("components", 3, "batch", "b1")


def test_batch_weighs_what_its_other_members_did(edit: Pen) -> None:
    """Bayes by hand with scipy.stats: for pump B, pump A has lived 20 years and a third member
    failed at 8; its own survival is not counted twice."""
    batched(edit)
    record(edit, ("other", "2000-01-01", "", "", "2008-01-01"), batch="b1")
    own = known_lives(read(edit))["PUMP-B"]
    lived, failed = years(NEW, "2027-01-01"), years("2000-01-01", "2008-01-01")
    good, bad = stats.weibull_min(3, scale=30), stats.weibull_min(3, scale=15)
    odds = 0.25 * bad.sf(lived) * bad.pdf(failed) / (good.sf(lived) * good.pdf(failed))
    chance = odds / (1 + odds)
    ages = np.array([5.0, 12.0, 25.0])
    alive = (1 - chance) * good.sf(ages) + chance * bad.sf(ages)
    assert hazards(own, 0.0, *ages) == pytest.approx(-np.log(alive), rel=1e-10)
    assert (own.life_years, own.sigma_ratio) == (30.0, 0.25)
    assert own.words.startswith(f"batch b1: {chance:.2g} chance")


def test_reading_goes_before_its_batch(edit: Pen) -> None:
    batched(edit)
    indicator(edit, "wall", **WALL)
    readings(edit, "PUMP-A", "2020-01-01 8.3")
    known = known_lives(read(edit))
    assert known["PUMP-A"].words.startswith("reading of")
    assert known["PUMP-B"].words.startswith("batch b1")


# --- what cannot be used ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda edit: indicator(edit, "wall", **(WALL | {"rate_value_per_year": ""})), "no rate"),
        (lambda edit: indicator(edit, "wall", **(WALL | {"limit_value": "8.5"})), "at or beyond"),
        (lambda edit: indicator(edit, "wiener", new_value="12", limit_value="5"), "0 steps"),
    ],
)
def test_unusable_reading_is_yielded_with_its_place(
    spoil: Callable[[Pen], None], words: str, edit: Pen
) -> None:
    spoil(edit)
    readings(edit, "PUMP-A", "2020-01-01 8.3")
    case = read(edit)
    found = list(evidence(case))
    [fault] = [each for each in found if isinstance(each, EvidenceError)]
    assert fault.place == ("readings", 2, "reading_value")
    assert fault.why.startswith("PUMP-A: ")
    assert words in fault.why
    assert {each.component for each in found if isinstance(each, Known)} == {"PUMP-B", "VALVE-1"}
    with pytest.raises(EvidenceError, match=words):
        known_lives(case)


def test_no_tube_plugged_is_refused(edit: Pen) -> None:
    indicator(edit, "tubes", new_value="0", limit_value="0.15", tubes_count="1000")
    readings(edit, "PUMP-A", "2020-01-01 0.0001")
    with pytest.raises(EvidenceError, match="no tube of 1000 is plugged"):
        known_lives(read(edit))


def test_records_that_no_life_allows_are_told_at_their_family(edit: Pen) -> None:
    record(edit, ("U1", "2007-01-01", "", "", "2012-01-01"))
    edit.cell("families", 2, "curve", "stepped")
    edit.cell("families", 2, "life_from", "records")
    [first, *_] = [each for each in evidence(read(edit)) if isinstance(each, EvidenceError)]
    assert first.place == ("families", 2, "life_from")


def test_records_move_a_constant_rate_without_a_shape(edit: Pen) -> None:
    """One failure in 10 years, mean 40 +/- 25 %: the median of a normal prior of ln(mean) times
    exp(-10 / mean) / mean on a plain grid."""
    record(edit, ("U1", "2007-01-01", "", "", "2017-01-01"), family="VALVE")
    edit.cell("families", 3, "life_from", "records")
    ln = np.linspace(1.0, 6.0, 20001)
    lived = years(NEW, "2017-01-01")
    weight = stats.norm.pdf(ln, np.log(40), 0.25) * stats.expon(scale=np.exp(ln)).pdf(lived)
    half = np.exp(np.interp(0.5, weight.cumsum() / weight.sum(), ln))
    own = known_lives(read(edit))["VALVE-1"]
    assert (own.life_years, own.shape_ratio) == (pytest.approx(half, rel=5e-4), 1.0)


def test_batch_that_cannot_be_is_told_at_its_row(edit: Pen) -> None:
    """A member failed at 2 years where neither a good nor a bad batch fails before 5."""
    batched(edit)
    edit.cell("families", 2, "guarantee_years", "10")
    record(edit, ("other", "2000-01-01", "", "", "2002-01-01"), batch="b1")
    with pytest.raises(EvidenceError, match="b1: A member failed") as fault:
        known_lives(read(edit))
    assert fault.value.place == ("batches", 2, "batch")
