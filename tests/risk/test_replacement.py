"""Optimal ages against exact tables and a textbook problem."""

import warnings
from dataclasses import dataclass

import numpy as np
import pytest

from bundler.life.curves import FloatArray, curve_from
from bundler.risk.replacement import (
    best_overhaul_age,
    best_replacement_age,
    overhaul_cost_rate,
    replacement_cost_rate,
)

#: beta, Cf/Cp, T*/eta, C*/run-to-failure cost (references 3.2, exact from the first-order condition)
TABLE = [
    (2.0, 5.0, 0.510655224, 0.724090255), (2.5, 5.0, 0.493046958, 0.614349051),
    (3.0, 5.0, 0.502609582, 0.541395030), (2.0, 10.0, 0.336451191, 0.536709789),
    (2.5, 10.0, 0.354574410, 0.421498829), (3.0, 10.0, 0.382455531, 0.352668890),
    (3.5, 15.0, 0.362436044, 0.232436202), (3.5, 20.0, 0.332073951, 0.190107463),
]  # fmt: skip


@pytest.mark.parametrize(("beta", "ratio", "age", "share"), TABLE)
def test_exact_table(beta: float, ratio: float, age: float, share: float) -> None:
    """Every row of references 3.2: cost to 1e-6, age as far as a flat optimum shows it."""
    from math import gamma

    curve = curve_from("weibull", 40.0, beta)
    found = best_replacement_age(curve, 1.0, ratio)
    assert found / 40.0 == pytest.approx(age, rel=1e-5)
    failing = ratio / (40.0 * gamma(1 + 1 / beta))
    assert replacement_cost_rate(curve, 1.0, ratio, found) / failing == pytest.approx(
        share, rel=1e-6
    )


def test_documented_example_of_the_reliability_library() -> None:
    """Cp 1, Cf 5, eta 1000, beta 2.5 (references 3.1): documented T* 493.19 from a grid of 0.3,
    exact 493.046958, cost 0.00346204274; the installed library gives 0.00346204292."""
    curve = curve_from("weibull", 1000.0, 2.5)
    found = best_replacement_age(curve, 1.0, 5.0)
    assert found == pytest.approx(493.19, abs=0.5)
    assert found == pytest.approx(493.046958, rel=1e-5)
    assert replacement_cost_rate(curve, 1.0, 5.0, found) == pytest.approx(0.00346204274, rel=1e-6)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from reliability.Repairable_systems import optimal_replacement_time

        other = optimal_replacement_time(
            cost_PM=1, cost_CM=5, weibull_alpha=1000, weibull_beta=2.5,
            show_time_plot=False, show_ratio_plot=False, print_results=False,
        )  # fmt: skip
    assert found == pytest.approx(other.ORT, abs=0.3)


@dataclass(frozen=True)
class Uniform:
    """A life spread evenly from 0 to `most`; for a textbook problem only."""

    most: float

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        left = np.maximum(1 - np.asarray(age_years, dtype=float) / self.most, 1e-300)
        result: FloatArray = -np.log(left)
        return result


def test_uniform_life() -> None:
    """Jardine and Tsang, Maintenance, Replacement and Reliability, chapter 2, problem 2
    (references 3.3): printed 0.0143, 0.01, 0.0093, 0.01 at 10 to 40 thousand km; the exact best is
    40000 (sqrt 3 - 1) at 0.009330127."""
    life = Uniform(40000.0)
    for age, printed, exact in (
        (1e4, 0.0143, 0.0142857),
        (2e4, 0.01, 0.01),
        (3e4, 0.0093, 0.0093333),
        (4e4, 0.01, 0.01),
    ):
        rate = replacement_cost_rate(life, 100.0, 200.0, age)
        assert rate == pytest.approx(printed, abs=5e-5)
        assert rate == pytest.approx(exact, rel=1e-5)
    best = best_replacement_age(life, 100.0, 200.0)
    assert best == pytest.approx(40000 * (3**0.5 - 1), rel=1e-5)
    assert replacement_cost_rate(life, 100.0, 200.0, best) == pytest.approx(0.009330127, rel=1e-6)


def test_minimal_repair_between_overhauls() -> None:
    """T* = eta (Co / (Cm (beta - 1))) ** (1 / beta): 1618.644583 at 0.00514834042 for eta 1000,
    beta 2.5, Co 5, Cm 1 (references 3.6)."""
    curve = curve_from("weibull", 1000.0, 2.5)
    best = best_overhaul_age(curve, 5.0, 1.0)
    assert best == pytest.approx(1000 * (5 / 1.5) ** 0.4, rel=1e-6)
    assert best == pytest.approx(1618.644583, rel=1e-6)
    assert overhaul_cost_rate(curve, 5.0, 1.0, best) == pytest.approx(0.00514834042, rel=1e-9)


def test_no_finite_optimum_without_ageing() -> None:
    """For beta of 1 or less it never pays to replace early (references 3.2)."""
    for beta in (0.8, 1.0):
        assert best_replacement_age(curve_from("weibull", 10.0, beta), 1.0, 5.0) == float("inf")


def test_far_optima_are_found() -> None:
    """Weibull 10 / 2: Cf/Cp of 1e5 is best near eta / sqrt(1e5) = 0.0316; overhauls by the closed
    form eta sqrt(Co / Cm): 0.01 for a dear repair, 1000 for a dear overhaul."""
    curve = curve_from("weibull", 10.0, 2.0)
    assert best_replacement_age(curve, 1.0, 1e5) == pytest.approx(10 / 1e5**0.5, rel=1e-3)
    assert best_overhaul_age(curve, 1.0, 1e6) == pytest.approx(0.01, rel=1e-5)
    assert best_overhaul_age(curve, 1e4, 1.0) == pytest.approx(1000.0, rel=1e-5)


def test_what_never_wears_out_is_never_replaced() -> None:
    curve = curve_from("stepped", 1.0, 1.0, 0.0, ((0.0, 5.0), (0.01, 0.0)))
    assert best_replacement_age(curve, 1.0, 5.0) == float("inf")
