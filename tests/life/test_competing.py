"""Competing modes: the shock absorbers by mode, and their product."""

import numpy as np
import pytest

from bundler.life.competing import competing_curve, fit_modes, modes_of
from bundler.life.derived import survival
from bundler.life.fit import TooFewFailures, fit
from bundler.life.lives import lives_from
from tests.life import records


def test_shock_absorber_by_mode() -> None:
    """O'Connor (1985), Meeker and Escobar (1998), computed with numpy: mode 1 eta 31205.798, beta
    3.383946. Mode 2 has 4 failures, below what carries two parameters, so it is refused."""
    made = fit(records.SHOCK.of_mode("m1"), "weibull")
    assert list(made.parameters.values()) == pytest.approx([31205.798, 3.383946], rel=1e-6)
    with pytest.raises(TooFewFailures, match="holds 4 failures; a weibull fit needs 5"):
        fit_modes(records.SHOCK)


def test_both_modes_of_the_record_twice() -> None:
    """The record twice has the same best lives and enough failures: mode 2 eta 40865.861, beta
    2.822211; all survive with the product of the two survivals."""
    fits = fit_modes(records.SHOCK.weighted(2))
    assert list(fits) == ["m1", "m2"]
    assert list(fits["m1"].parameters.values()) == pytest.approx([31205.798, 3.383946], rel=1e-6)
    assert list(fits["m2"].parameters.values()) == pytest.approx([40865.861, 2.822211], rel=1e-6)
    ages = np.array([5000.0, 20000.0, 60000.0])
    product = np.exp(-((ages / 31205.798) ** 3.383946) - (ages / 40865.861) ** 2.822211)
    assert survival(competing_curve(fits), ages) == pytest.approx(product, rel=1e-5)


def test_a_kind_for_each_mode() -> None:
    """Constant rates add: the exponential of all failures is the sum of those of the modes."""
    fits = fit_modes(records.SHOCK, {"m1": "exponential", "m2": "exponential"})
    rate = sum(1 / made.parameters["mean_years"] for made in fits.values())
    assert 1 / rate == pytest.approx(
        fit(records.SHOCK, "exponential").parameters["mean_years"], rel=1e-6
    )
    mixed = fit_modes(records.SHOCK, {"m1": "lognormal", "m2": "exponential"})
    assert [made.kind for made in mixed.values()] == ["lognormal", "exponential"]
    assert modes_of(records.NIST) == ()


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="No kind is given for the mode 'm2'"):
        fit_modes(records.SHOCK, {"m1": "weibull"})
    with pytest.raises(ValueError, match="it failed but has no mode"):
        fit_modes(lives_from([3, 4], mode=("wear", "")))
    with pytest.raises(ValueError, match="at least one curve"):
        competing_curve({})
