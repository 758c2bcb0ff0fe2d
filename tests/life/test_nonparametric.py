"""Kaplan-Meier and plotting positions against published figures and surpyval."""

import numpy as np
import pytest
from scipy import stats

from bundler.life.lives import Lives, failed_and_running, lives_from
from bundler.life.nonparametric import kaplan_meier, plotting_positions
from tests.life import records

#: NIST/SEMATECH e-Handbook 8.2.1.5: 6 failures, 4 withdrawals, 10 units running at 200 h
NIST_WITHDRAWN = failed_and_running(
    [10, 32, 56, 98, 122, 181], [50, 100, 125, 150, 200], running_count=[1, 1, 1, 1, 10]
)


def test_nist_product_limit() -> None:
    """NIST/SEMATECH e-Handbook 8.2.1.5: 19/20, x 18/19, x 16/17, x 15/16, x 13/14, x 10/11."""
    table = kaplan_meier(NIST_WITHDRAWN)
    known = np.cumprod([19 / 20, 18 / 19, 16 / 17, 15 / 16, 13 / 14, 10 / 11])
    assert table["age_years"].tolist() == [10, 32, 56, 98, 122, 181]
    assert table["survival_share"].tolist() == pytest.approx(known.tolist(), rel=1e-12)
    printed = [0.95, 0.90, 0.847059, 0.794118, 0.737395, 0.670359]
    assert table["survival_share"].tolist() == pytest.approx(printed, abs=1e-6)


def test_bounds_by_scipy() -> None:
    """scipy.stats.ecdf with right censoring, its log-log bounds at the failures of NIST 8.2.1.5."""
    lives = failed_and_running([10, 32, 56, 98, 122, 181], [50, 100, 125, 150, *[200] * 10])
    data = stats.CensoredData(
        uncensored=lives.low_years[:6].tolist(), right=lives.low_years[6:].tolist()
    )
    limits = stats.ecdf(data).sf.confidence_interval(confidence_level=0.9, method="log-log")
    table = kaplan_meier(lives, level=0.9)
    at = table["age_years"].to_numpy()
    assert table["low_share"].to_numpy() == pytest.approx(limits.low.evaluate(at), rel=1e-10)
    assert table["high_share"].to_numpy() == pytest.approx(limits.high.evaluate(at), rel=1e-10)


def test_late_entry_by_surpyval() -> None:
    """surpyval 0.25 KaplanMeier with `tl`."""
    surpyval = pytest.importorskip("surpyval")
    lives = records.late_record(1)
    made = surpyval.KaplanMeier.fit(
        x=lives.low_years, c=lives.is_running.astype(int), tl=lives.entry_years
    )
    table = kaplan_meier(lives)
    known = made.sf(table["age_years"].to_numpy())
    assert table["survival_share"].to_numpy() == pytest.approx(known, rel=1e-12)


def test_late_entry_by_hand() -> None:
    """A at 2, B enters at 3 and fails at 5, C runs from 0 to 5: at 2 two of A, C; at 5 two of B, C."""
    lives = lives_from([2, 5, 5], [2, 5, np.inf], entry_years=[0, 3, 0])
    table = kaplan_meier(lives)
    assert table["at_risk_count"].tolist() == [2, 2]
    assert table["survival_share"].tolist() == [0.5, 0.25]


def test_all_at_risk_fail_early() -> None:
    """One item watched at 1 year fails: survival is 0 from there on, without a bound."""
    lives = lives_from([1, 9, 9], [1, 9, np.inf], entry_years=[0, 3, 3])
    table = kaplan_meier(lives)
    assert table["survival_share"].tolist() == [0, 0]
    assert table["low_share"].isna().all()


def test_weights() -> None:
    """A weight of two is two items; halves of all leave the estimate and widen the bounds."""
    lives = records.NIST
    half = kaplan_meier(lives.weighted(0.5))
    whole = kaplan_meier(lives)
    assert half["survival_share"].tolist() == pytest.approx(whole["survival_share"].tolist())
    assert (half["low_share"] < whole["low_share"]).all()
    twice = kaplan_meier(lives_from([3, 5], weight_count=[2, 1]))
    assert twice["survival_share"].tolist() == pytest.approx([1 / 3, 0])


def test_plotting_positions_by_reliability() -> None:
    """reliability 0.9, plotting_positions with a = 0.3: adjusted ranks of failed and withdrawn."""
    probability = pytest.importorskip("reliability.Probability_plotting")
    failed, left = [10, 32, 56, 98, 122, 181], [50, 100, 125, 150, *[200] * 10]
    ages, shares = probability.plotting_positions(failures=failed, right_censored=left, a=0.3)
    table = plotting_positions(failed_and_running(failed, left))
    assert table["age_years"].tolist() == list(ages)
    assert table["failed_share"].tolist() == pytest.approx(list(shares), rel=1e-10)
    counted = plotting_positions(NIST_WITHDRAWN)
    assert counted["failed_share"].tolist() == pytest.approx(list(shares), rel=1e-10)


def test_plotting_positions_with_late_entry_are_middles_of_steps() -> None:
    """Survival 0.5 and 0.25 by hand: middles 0.25 and 0.625 (Meeker and Escobar 1998, 6.4)."""
    lives = lives_from([2, 5, 5], [2, 5, np.inf], entry_years=[0, 3, 0])
    assert plotting_positions(lives)["failed_share"].tolist() == [0.25, 0.625]
    shares = plotting_positions(lives_from([4, 6], weight_count=0.5))["failed_share"]
    assert shares.tolist() == [0.25, 0.75]


@pytest.mark.parametrize("lives", [failed_and_running([], [3, 4]), lives_from(())])
def test_no_failure_gives_an_empty_table(lives: Lives) -> None:
    table = kaplan_meier(lives)
    assert len(table) == 0
    assert "survival_share" in table.columns
    assert len(plotting_positions(lives)) == 0


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="use `turnbull` for them"):
        kaplan_meier(records.TUBES)
    with pytest.raises(ValueError, match="a confidence level lies between 0 and 1"):
        kaplan_meier(records.NIST, level=90)
