"""Repair models against surpyval, closed-form ends and a seeded simulation."""

import warnings
from typing import Any

import numpy as np
import pytest
from scipy import stats

from bundler.life.repairs import RepairHistory, fit_repairs
from bundler.life.virtual_age import age_after_work

#: system ages at failure [h], watched to 1500 h: NIST/SEMATECH e-Handbook 8.4.5.2
NIST = (5.0, 40.0, 43.0, 175.0, 389.0, 712.0, 747.0, 795.0, 1299.0, 1478.0)


def surpyval() -> Any:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pytest.importorskip("surpyval")


def mettas_and_zhao() -> tuple[Any, list[RepairHistory]]:
    data = surpyval().datasets.load_mettas_and_zhao()
    systems = [
        RepairHistory(tuple(rows.x[rows.c == 0].astype(float)), float(rows.x[rows.c == 1].iloc[0]))
        for _, rows in data.groupby("i")
    ]
    return data, systems


@pytest.mark.parametrize("kind", ["I", "II"])
def test_six_systems_as_surpyval(kind: str) -> None:
    """Mettas & Zhao (2005) data; surpyval 0.25 GeneralizedRenewal gives the same fit, and its
    tests of q = 0 and q = 1 exclude neither, as our bounds."""
    data, systems = mettas_and_zhao()
    fit = fit_repairs(systems, kind)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        other = surpyval().GeneralizedRenewal.fit(data.x, data.i, data.c, kijima=kind.lower())
    assert fit.log_likelihood == pytest.approx(-float(other.neg_ll()), rel=1e-9)
    found = [fit.left_share, fit.scale_years, fit.shape_ratio]
    assert found == pytest.approx([other.q, *other.model.params], rel=1e-4)
    assert fit.failures_count == 27
    assert (fit.left_low_share, fit.left_high_share) == (0.0, 1.0)
    assert not fit.is_identified and "does not tell" in fit.words


def test_renewal_end_as_scipy() -> None:
    """q = 0 on the same data is a Weibull of the gaps: scipy.stats fit of censored data."""
    _, systems = mettas_and_zhao()
    gaps = [np.diff([0.0, *system.failure_years]) for system in systems]
    rest = [system.end_years - system.failure_years[-1] for system in systems]
    data = stats.CensoredData(uncensored=np.concatenate(gaps), right=rest)
    shape, _, scale = stats.weibull_min.fit(data, floc=0)
    known = stats.weibull_min(shape, scale=scale)
    best = known.logpdf(np.concatenate(gaps)).sum() + known.logsf(rest).sum()
    assert fit_repairs(systems, "I").aic_renewal == pytest.approx(4 - 2 * best, rel=1e-8)


def power_law_aic(failures: np.ndarray, end: float) -> tuple[float, float]:
    """Return shape and AIC of a power law watched to a time: shape n / sum ln(T / t)."""
    shape = len(failures) / np.log(end / failures).sum()
    scale = end / len(failures) ** (1 / shape)
    rates = np.log(shape / scale) + (shape - 1) * np.log(failures / scale)
    return shape, 4 - 2 * (rates.sum() - len(failures))


def test_nist_power_law() -> None:
    """NIST/SEMATECH e-Handbook 8.4.5.2: the plain likelihood's shape is 0.5372289 (surpyval
    CrowAMSAA 0.53722887); its likelihood is that of q = 1."""
    shape, aic = power_law_aic(np.array(NIST), 1500.0)
    assert shape == pytest.approx(0.5372289, rel=1e-6)
    fit = fit_repairs([RepairHistory(NIST, 1500.0)], "I")
    assert fit.aic_minimal == pytest.approx(aic, rel=1e-9)


def test_improving_system_stands_at_the_end() -> None:
    """Kaminskiy & Krivtsov (2010), watched to the last failure: the best q in [0, 1] is 1, where
    the power law's closed form holds; surpyval 0.25, free above 1, goes to 17."""
    ages = surpyval().datasets.load_g1_kaminskiy_krivtsov().x.to_numpy(dtype=float)
    shape, aic = power_law_aic(ages, 227.0)
    for kind in ("I", "II"):
        fit = fit_repairs([RepairHistory(tuple(ages), 227.0)], kind)
        assert fit.left_share == 1.0 and fit.restoration_share == 0.0
        assert fit.shape_ratio == pytest.approx(shape, rel=1e-7)
        assert fit.aic_minimal == pytest.approx(aic, rel=1e-9)
        assert fit.aic == pytest.approx(aic + 2, rel=1e-9)


def simulated(kind: str, restoration: float, rng: np.random.Generator) -> list[RepairHistory]:
    """Return 60 systems of Weibull shape 2.5, scale 10, watched for 40 years."""
    systems = []
    for _ in range(60):
        age, now, failures = 0.0, 0.0, []
        while True:
            gap = 10 * ((age / 10) ** 2.5 + rng.exponential()) ** 0.4 - age
            if now + gap > 40:
                break
            now += gap
            failures.append(now)
            after = age_after_work(np.array(age + gap), np.array(gap), np.array(restoration), kind)
            age = float(after)
        systems.append(RepairHistory(tuple(failures), 40.0))
    return systems


@pytest.mark.parametrize(("kind", "restoration"), [("I", 0.75), ("II", 0.6), ("II", 0.3)])
def test_simulated_repairs_are_recovered(kind: str, restoration: float) -> None:
    """Histories drawn by inverting H (seed 5) with `age_after_work`: the bounds at 99 % hold the
    truth, are narrow, and the other two parameters come back within 15 %."""
    fit = fit_repairs(simulated(kind, restoration, np.random.default_rng(5)), kind, 0.99)
    assert fit.left_low_share < 1 - restoration < fit.left_high_share
    assert fit.left_high_share - fit.left_low_share < 0.5
    assert fit.is_identified and "part of the age" in fit.words
    assert [fit.shape_ratio, fit.scale_years] == pytest.approx([2.5, 10.0], rel=0.15)


def test_bounds_are_where_the_profile_falls() -> None:
    """surpyval's likelihood with q held, maximised over the rest by scipy, falls by half the
    90 % point of chi-square (2.7055 / 2) at each bound."""
    from scipy import optimize

    systems = simulated("II", 0.6, np.random.default_rng(11))[:25]
    fit = fit_repairs(systems, "II")

    def value(left: float) -> float:
        def wrong(logs: np.ndarray) -> float:
            shape, scale, total = np.exp(logs[0]), np.exp(logs[1]), 0.0
            for system in systems:
                age, last = 0.0, 0.0
                for end in [*system.failure_years, system.end_years]:
                    start, age = age, age + end - last
                    total += (age / scale) ** shape - (start / scale) ** shape
                    if end < system.end_years:
                        total -= np.log(shape / scale) + (shape - 1) * np.log(age / scale)
                    age, last = left * age, end
            return total

        options = {"xatol": 1e-8, "fatol": 1e-10}
        start = [np.log(2.0), np.log(9.0)]
        return -float(optimize.minimize(wrong, start, method="Nelder-Mead", options=options).fun)

    drop = stats.chi2.ppf(0.9, 1) / 2
    assert fit.left_low_share > 0 and fit.left_high_share < 1
    for bound in (fit.left_low_share, fit.left_high_share):
        assert fit.log_likelihood - value(bound) == pytest.approx(drop, abs=1e-5)


def test_years_or_hours() -> None:
    """The unit of time scales the scale alone."""
    _, systems = mettas_and_zhao()
    years = [
        RepairHistory(tuple(t / 8760 for t in s.failure_years), s.end_years / 8760) for s in systems
    ]
    first, second = fit_repairs(systems, "II"), fit_repairs(years, "II")
    assert second.scale_years * 8760 == pytest.approx(first.scale_years, rel=1e-6)
    assert second.left_share == pytest.approx(first.left_share, abs=1e-6)


def test_late_watching_starts_at_the_system_s_age() -> None:
    """Minimal repair watched from 5 to 40: sum of H rises is the count of failures (closed form
    of the scale), checked through the likelihood at q = 1."""
    rng = np.random.default_rng(2)
    ages = np.sort(5 + 35 * rng.random(30))
    fit = fit_repairs([RepairHistory(tuple(ages), 40.0, 5.0)], "I")
    shapes = np.linspace(0.5, 2.0, 15001)
    rises = 40**shapes - 5**shapes
    values = (
        30 * np.log(shapes * 30 / rises) + (shapes - 1) * np.log(ages).sum() - 30
    )  # own algebra
    assert fit.aic_minimal == pytest.approx(4 - 2 * values.max(), abs=1e-6)


def test_refusals() -> None:
    few = [RepairHistory((1.0, 2.0, 3.0), 4.0)]
    with pytest.raises(ValueError, match="3 failures are too few"):
        fit_repairs(few, "II")
    with pytest.raises(ValueError, match="not known"):
        fit_repairs(few, "III")
    with pytest.raises(ValueError, match="confidence"):
        fit_repairs(few, "I", 1.0)
    with pytest.raises(ValueError, match="equal ages"):
        fit_repairs([RepairHistory(tuple(float(n) for n in range(1, 21)), 20.0)], "II")
    for wrong in (((2.0, 2.0), 4.0), ((3.0,), 2.0), ((0.0,), 2.0), ((), 0.0)):
        with pytest.raises(ValueError, match="do not rise"):
            RepairHistory(*wrong)
    with pytest.raises(ValueError, match="finite"):
        RepairHistory((1.0,), float("inf"))
