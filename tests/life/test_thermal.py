"""Thermal ageing against the tables of the standards and two libraries."""

import warnings

import numpy as np
import pandas as pd
import pytest

from bundler.life.thermal import (
    arrhenius_ratio,
    equivalent_age_years,
    loss_of_life_share,
    mean_ageing_ratio,
    per_unit_life_ratio,
    plain_paper_ratio,
    unused_margin_ratio,
    upgraded_paper_ratio,
)

#: hot spot, upgraded and plain paper (IEC 60076-7, from memory; recomputed)
TABLE = [
    (80, 0.0358, 0.125), (86, 0.0729, 0.25), (92, 0.1449, 0.5), (98, 0.2817, 1), (104, 0.5362, 2),
    (110, 1, 4), (116, 1.8296, 8), (120, 2.7089, 12.6992), (122, 3.2864, 16), (128, 5.8009, 32),
    (130, 6.9842, 40.3175), (134, 10.0689, 64), (140, 17.1995, 128),
]  # fmt: skip
#: hot spot and ageing acceleration (IEEE C57.91, from memory; recomputed)
MORE = [
    (60, 0.0028), (70, 0.0104), (90, 0.1156), (100, 0.3499), (150, 40.589), (160, 92.062),
    (170, 201.229), (180, 424.92), (190, 868.77), (200, 1723.3),
]  # fmt: skip
DAY, HOT = [8.0, 16.0], [130.0, 100.0]


@pytest.mark.parametrize(("hot", "upgraded", "plain"), TABLE)
def test_table_of_iec(hot: float, upgraded: float, plain: float) -> None:
    """IEC 60076-7, both papers, to the printed digits (half a unit of the fourth decimal)."""
    assert float(upgraded_paper_ratio(hot)) == pytest.approx(upgraded, rel=1e-3, abs=5.1e-5)
    assert float(plain_paper_ratio(hot)) == pytest.approx(plain, rel=1e-5)


@pytest.mark.parametrize(("hot", "ageing"), MORE)
def test_table_of_ieee(hot: float, ageing: float) -> None:
    """IEEE C57.91, to the printed digits."""
    assert float(upgraded_paper_ratio(hot)) == pytest.approx(ageing, rel=1e-4, abs=5.1e-5)


def test_a_day_of_two_loads() -> None:
    """8 h at 130 and 16 h at 100 degrees: 61.472498 h, mean 2.561354, 0.0341514 % of 180,000 h, by
    the expression of IEEE C57.91 (constants seen in public codes that cite it)."""
    ageing = upgraded_paper_ratio(HOT)
    assert mean_ageing_ratio(DAY, ageing) == pytest.approx(2.561354, rel=2e-7)
    assert mean_ageing_ratio(DAY, ageing) * 24 == pytest.approx(61.472498, rel=1e-8)
    assert loss_of_life_share(DAY, ageing) == pytest.approx(3.41514e-4, rel=2e-6)
    assert float(equivalent_age_years(10.0, mean_ageing_ratio(DAY, ageing))) == pytest.approx(
        25.61354, rel=2e-7
    )
    assert mean_ageing_ratio(1.0, ageing) == pytest.approx(float(ageing.mean()), rel=1e-12)
    assert loss_of_life_share(12.0, ageing) == pytest.approx(24 * float(ageing.mean()) / 180_000)


def test_per_unit_life() -> None:
    """9.8e-18 exp(15000 / 383) is 1.000342, not 1; elsewhere it is the inverse of the ageing."""
    assert float(per_unit_life_ratio(110.0)) == pytest.approx(1.000342, rel=1e-6)
    hot = np.array([60.0, 98.0, 140.0])
    product = per_unit_life_ratio(hot) * upgraded_paper_ratio(hot)
    assert product == pytest.approx(np.full(3, 1.000342), rel=1e-6)


def test_agrees_with_the_transformer_library() -> None:
    """`transformer-thermal-model`: documented 1.259921 at 100 degrees for plain paper, and a whole
    load profile for both papers, to 1e-9."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        aging = pytest.importorskip("transformer_thermal_model.aging")
        kinds = pytest.importorskip("transformer_thermal_model.transformer").PaperInsulationType
    hot = np.array([40.0, 77.5, 98.0, 100.0, 110.0, 130.0, 140.0])
    profile = pd.Series(hot, index=pd.date_range("2030-01-01", periods=7, freq="h", tz="UTC"))
    plain = aging.aging_rate_profile(profile, kinds.NORMAL)
    upgraded = aging.aging_rate_profile(profile, kinds.THERMAL_UPGRADED)
    assert plain_paper_ratio(hot) == pytest.approx(plain.to_numpy(), rel=1e-9)
    assert upgraded_paper_ratio(hot) == pytest.approx(upgraded.to_numpy(), rel=1e-9)
    assert float(plain_paper_ratio(100.0)) == pytest.approx(1.259921, rel=1e-6)


def test_arrhenius() -> None:
    """60 to 100 degrees at 1.2 eV: 88.295746 (documentation of `reliability`, and the library);
    60 to 90 degrees at 1.1 eV: 23.695905 (recomputed)."""
    assert float(arrhenius_ratio(60.0, 100.0, 1.2)) == pytest.approx(88.295746, rel=1e-5)
    assert float(arrhenius_ratio(60.0, 90.0, 1.1)) == pytest.approx(23.695905, rel=1e-5)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from reliability.PoF import acceleration_factor

        other = acceleration_factor(T_use=40, T_acc=85, Ea=0.9, print_results=False)
    assert float(arrhenius_ratio(40.0, 85.0, 0.9)) == pytest.approx(other.AF, rel=1e-8)


def test_ten_degree_rule() -> None:
    """20 unused degrees turn 20,000 h into 80,000 h (rule quoted among motor engineers); exact."""
    assert float(20_000 * unused_margin_ratio(20.0)) == 80_000
    assert float(unused_margin_ratio(-8.0, 8.0)) == 0.5


def test_refused() -> None:
    with pytest.raises(ValueError, match="absolute zero"):
        upgraded_paper_ratio([20.0, -300.0])
    for spans in ([0.0, 0.0], [-1.0, 2.0]):
        with pytest.raises(ValueError, match="spans"):
            mean_ageing_ratio(spans, [1.0, 2.0])
