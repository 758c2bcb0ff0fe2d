"""The report on a life says what the records say, no more."""

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from bundler.case import Case
from bundler.explain.life_report import life_report
from bundler.life.bounds import age_bounds, all_bounds
from bundler.life.evidence import known_lives, posterior
from bundler.life.fit import fit
from bundler.life.given import given_lives
from bundler.life.register import lives_of, lives_table
from bundler.life.repairs import fit_repairs
from bundler.read.folder import read_case
from bundler.tables import rows
from tests.cases import case, one_unit
from tests.life import records

START = date(1950, 1, 1)


@pytest.fixture(scope="module")
def demo(demo_folder: Path) -> Case:
    return read_case(demo_folder)


def day(days: float) -> str:
    """Return the day so many days after the start of every record here."""
    return str(START + timedelta(days=round(days)))


def station(lives: list[dict[str, Any]], **family: Any) -> Case:
    """Return a station with one family of pumps and these lives."""
    pump = {"family": "PUMP", "name": "pump", "area": "TB", "life_years": 30.0, "shape_ratio": 3.0}
    held = [{"life": f"L{place:03}", "family": "PUMP", "unit": "U1", "start_date": day(0)} | each
            for place, each in enumerate(lives)]  # fmt: skip
    return case(**one_unit(families=[pump | family], lives=held))


def shock_absorbers() -> list[dict[str, Any]]:
    """Return the shock absorbers of `records`, a day for each km."""
    lives = records.SHOCK
    return [
        {"failed_date": day(low), "mode": mode} if low == high else {"last_good_date": day(low)}
        for low, high, mode in zip(lives.low_years, lives.high_years, lives.mode, strict=True)
    ]


def test_a_published_record_gives_its_published_life() -> None:
    """Shock absorbers, O'Connor (1985), in Meeker and Escobar (1998): eta 27719 km, beta 3.160;
    10 % life 13600 km; mode 1 31206 and 3.384, with a day for each km (verified by libraries)."""
    report = life_report(station(shock_absorbers(), on_failure="renew"), "PUMP")
    found = {name: bounds.estimate for name, bounds in report.fit.bounds.items()}
    assert found["scale"] * 365.25 == pytest.approx(27718.718, rel=1e-5)
    assert found["shape"] == pytest.approx(3.160470, rel=1e-5)
    assert found["10 % failed by"] * 365.25 == pytest.approx(13600.03, rel=1e-5)
    first = next(mode for mode in report.modes if mode.mode == "m1")
    assert first.scale is not None and first.shape is not None
    assert first.scale.estimate * 365.25 == pytest.approx(31205.798, rel=1e-5)
    assert first.shape.estimate == pytest.approx(3.383946, rel=1e-5)
    assert report.fit.is_identified and report.fit.verdict.startswith("The record limits the life")


def test_one_mode_alone_is_the_fit_with_the_others_withdrawn() -> None:
    report = life_report(station(shock_absorbers(), on_failure="renew"), "PUMP", "m2")
    assert report.lives.failures_count == 4
    assert "cannot be identified from its data" in report.fit.verdict
    assert not report.modes and not report.units and report.by_unit["failures_count"].sum() == 4
    first = life_report(station(shock_absorbers(), on_failure="renew"), "PUMP", "m1")
    assert first.fit.bounds["scale"].estimate * 365.25 == pytest.approx(31205.798, rel=1e-5)


def test_numbers_are_those_of_direct_calls(demo: Case) -> None:
    report = life_report(demo, "BFP")
    lives = lives_of(lives_table(demo, "BFP"))
    best = fit(lives, "weibull")
    assert report.fit.best is not None and report.fit.best.parameters == best.parameters
    assert tuple(report.fit.bounds.values())[:2] == all_bounds(lives, best)
    assert report.fit.bounds["10 % failed by"] == age_bounds(lives, best, 0.1)
    assert report.fit.bounds["50 % failed by"] == age_bounds(lives, best, 0.5)
    assert report.fit.is_identified
    assert report.repairs.fits == tuple(
        fit_repairs(report.items.histories, kind) for kind in ("I", "II")
    )
    part = next(row for row in rows(given_lives(demo)) if row.component == "Q2-BFP-1")
    found, told = posterior(demo, part), next(unit for unit in report.units if unit.unit == "Q2")
    assert told.life_years == found.life_percentile_years(0.5)
    assert told.low_years == found.life_percentile_years(0.05)
    assert told.failures_count == pytest.approx(3 + 0.5 * 13)


def test_items_without_a_name_are_joined_at_their_failures(demo: Case) -> None:
    """Taking the names away keeps every failure with its item, by hand and by the trend test."""
    named = life_report(demo, "SWP").items
    table = demo["lives"].assign(component="")
    bare = life_report(Case(demo.settings, {**demo.tables, "lives": table}, {}), "SWP").items
    assert named.trend is not None and bare.trend is not None
    assert bare.trend.failures_count == named.trend.failures_count
    assert bare.trend.laplace_ratio == pytest.approx(named.trend.laplace_ratio)
    assert len(bare.histories) == len(named.histories)
    assert life_report(demo, "BFP").items.trend.failures_count == 16  # type: ignore[union-attr]


def test_rows_of_several_items_are_not_followed() -> None:
    lives = [{"failed_date": day(900), "items_count": 3.0}, {"last_good_date": day(4000)}]
    items = life_report(station(lives), "PUMP").items
    assert items.left_out_count == 3 and len(items.histories) == 1


def test_renewed_items_go_on_through_their_starts(demo: Case) -> None:
    """An inverter that failed and was renewed is one item with one failure, aged since its first
    start: 2016-09-01 to 2025-01-14 to 2026-10-31."""
    told = {h.failure_years: h for h in life_report(demo, "UPS").items.histories}
    (failed,) = [ages for ages in told if ages]
    first, last = date(2016, 9, 1), date(2026, 10, 31)
    assert failed == pytest.approx([(date(2025, 1, 14) - first).days / 365.25])
    assert told[failed].end_years == pytest.approx((last - first).days / 365.25)


def test_no_failure_is_refused_and_the_prior_told(demo: Case) -> None:
    report = life_report(demo, "GEN-CB")
    assert report.fit.best is None and report.fit.bounds == {} and report.fit.band.empty
    assert "cannot be identified from its data" in report.fit.verdict
    assert "0 failures" in report.fit.refusal and "prior" in report.fit.refusal
    assert report.prior.life_years == 62 and "62 years" in report.prior.words
    assert not report.repairs.fits and "too few" in report.repairs.why_not
    assert {unit.word for unit in report.units} == {"says little"}


def test_a_constant_rate_alone_is_no_statement_on_ageing(demo: Case) -> None:
    report = life_report(demo, "UPS")
    assert report.fit.best is None and "weibull" in report.fit.refusal
    assert report.repairs.why_not.startswith("A failure ends a life")


def test_open_bounds_are_told_plainly() -> None:
    """Five failures among two thousand that run on at six years: the scale may be anything."""
    lives = [{"failed_date": day(365.25 * years)} for years in (1, 2, 3, 4, 5)]
    lives.append({"last_good_date": day(365.25 * 6), "items_count": 2000.0})
    report = life_report(station(lives, on_failure="renew"), "PUMP")
    assert report.fit.best is not None and not report.fit.is_identified
    assert "cannot be identified from its data" in report.fit.verdict
    assert "scale is open from above" in report.fit.verdict


def test_failures_found_at_one_look_fix_nothing() -> None:
    """Failures that were only found at the first look lie anywhere before it."""
    lives = [
        {"last_good_date": day(0), "failed_date": day(365.25 * years)} for years in range(5, 11)
    ]
    report = life_report(station(lives, on_failure="renew"), "PUMP")
    assert report.fit.best is None and "cannot be identified from its data" in report.fit.verdict
    assert "does not fix" in report.fit.refusal


def test_a_family_without_record_has_its_prior_only(demo: Case) -> None:
    report = life_report(demo, "AFP")
    assert not report.has_record and not report.units and report.own is None
    assert "lives.csv holds no life" in report.fit.verdict


def test_a_stepped_rate_is_a_prior_that_no_record_moves(demo: Case) -> None:
    report = life_report(demo, "CM-COM")
    assert "curve_steps.csv" in report.prior.words
    assert report.prior.curve.cumulative_hazard(np.array(8.0)) == pytest.approx(0.08)


def test_a_component_has_its_own_evidence(demo: Case) -> None:
    """A drift of 0.3075 % a year with a scatter of 0.331 % to a limit 2.06 % away, first passed as
    an inverse Gaussian life (scipy.stats.invgauss), given that it has not been passed till now."""
    report = life_report(demo, "Q1-CEP-1")
    own, known = report.own, known_lives(demo)["Q1-CEP-1"]
    assert own is not None and own.evidence == known.words and own.is_replaced
    mean, size = 2.06 / 0.3075272, (2.06 / 0.3310238) ** 2
    law = stats.invgauss(mean / size, scale=size)
    now = (date(2027, 1, 1) - date(2024, 6, 1)).days / 365.25
    alive = law.sf(now + np.array([5.0, 10.0, own.median_left_years])) / law.sf(now)
    told = [1 - own.chance_5_years, 1 - own.chance_10_years, 0.5]
    assert told == pytest.approx(alive, rel=1e-4)
    assert report.family == "CEP" and report.fit.best is not None
    (trend,) = own.trends
    assert trend.limit_value == 7 and len(trend.readings) == 4 and len(trend.ahead)
    assert trend.rate_value_per_year == pytest.approx(0.3075272, rel=1e-6)


def test_half_fail_within_the_median_left(demo: Case) -> None:
    for name in ("Q2-FAC-EXT", "Q1-BFP-1", "Q3-BAT-A"):
        own = life_report(demo, name).own
        assert own is not None
        near = own.median_left_years < 5, own.median_left_years < 10
        assert near == (own.chance_5_years > 0.5, own.chance_10_years > 0.5)


def test_a_component_goes_before_a_family_of_its_name(demo: Case) -> None:
    assert life_report(demo, "CM-COM").own is not None


def test_a_name_of_nothing_is_refused(demo: Case) -> None:
    with pytest.raises(ValueError, match="neither a component nor a family"):
        life_report(demo, "nothing")
