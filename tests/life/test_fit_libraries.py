"""The same records fitted by other libraries and by a global search."""

import warnings

import numpy as np
import pytest
from scipy import optimize, stats

from bundler.life.fit import fit
from bundler.life.kinds import KINDS
from bundler.life.likelihood import likelihood_of
from bundler.life.lives import Lives, lives_from, together
from tests.life import records

KIND_NAMES = {"weibull": "Weibull", "lognormal": "LogNormal", "gamma": "Gamma"}


def ours(lives: Lives, kind: str) -> list[float]:
    """Return the parameters as surpyval writes them."""
    scale, shape = fit(lives, kind).parameters.values()
    return {
        "weibull": [scale, shape],
        "lognormal": [float(np.log(scale)), shape],
        "gamma": [shape, 1 / scale],
    }[kind]


@pytest.mark.parametrize("kind", list(KIND_NAMES))
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_late_entry_by_surpyval(kind: str, seed: int) -> None:
    """surpyval 0.25 with left truncation `tl`, seeded records of late entry."""
    surpyval = pytest.importorskip("surpyval")
    lives = records.late_record(seed)
    made = getattr(surpyval, KIND_NAMES[kind]).fit(
        x=lives.low_years, c=lives.is_running.astype(int), tl=lives.entry_years
    )
    assert ours(lives, kind) == pytest.approx(list(made.params), rel=2e-5)
    assert fit(lives, kind).log_likelihood == pytest.approx(-made.neg_ll(), abs=1e-7)


@pytest.mark.parametrize("kind", list(KIND_NAMES))
def test_intervals_with_late_entry_by_surpyval(kind: str) -> None:
    """surpyval 0.25 with `xl`, `xr` and `tl`: found at inspections every 3 years."""
    surpyval = pytest.importorskip("surpyval")
    lives = records.late_record(5, with_intervals=True)
    assert lives.count(lives.is_exact) == 0
    made = getattr(surpyval, KIND_NAMES[kind]).fit(
        xl=lives.low_years, xr=lives.high_years, tl=lives.entry_years
    )
    assert ours(lives, kind) == pytest.approx(list(made.params), rel=2e-5)


@pytest.mark.parametrize("kind", ["weibull", "lognormal", "gamma"])
def test_right_censored_by_reliability(kind: str) -> None:
    """reliability 0.9: Fit_Weibull_2P, Fit_Lognormal_2P, Fit_Gamma_2P; it stops at about 1e-4."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fitters = pytest.importorskip("reliability.Fitters")
        made = getattr(fitters, f"Fit_{kind.capitalize()}_2P")(
            failures=records.NIST.low_years[:10].tolist(),
            right_censored=[500.0] * 10,
            show_probability_plot=False,
            print_results=False,
        )
    known = {
        "weibull": lambda: [made.alpha, made.beta],
        "lognormal": lambda: [np.exp(made.mu), made.sigma],
        "gamma": lambda: [made.alpha, made.beta],
    }[kind]()
    found = fit(records.NIST, kind)
    assert list(found.parameters.values()) == pytest.approx(known, rel=1e-4)
    assert found.log_likelihood == pytest.approx(made.loglik, abs=1e-6)


@pytest.mark.parametrize(
    ("kind", "law"),
    [("weibull", stats.weibull_min), ("lognormal", stats.lognorm), ("gamma", stats.gamma)],
)
def test_censored_data_by_scipy(kind: str, law: stats.rv_continuous) -> None:
    """scipy.stats.CensoredData: exact, right, interval; its optimiser stops at about 1e-4."""
    data = stats.CensoredData(
        uncensored=records.NIST.low_years[:10], right=np.full(10, 500.0), interval=[[100, 300]] * 3
    )
    inspected = [lives_from([100] * 3, [300] * 3)]
    lives = together(records.NIST, *inspected)
    shape, _, scale = law.fit(data, floc=0)
    assert list(fit(lives, kind).parameters.values()) == pytest.approx([scale, shape], rel=2e-4)


def test_limited_population_by_surpyval() -> None:
    """surpyval 0.25 with `lfp`, Meeker's circuits."""
    surpyval = pytest.importorskip("surpyval")
    table = surpyval.datasets.load_meeker_lfp()
    made = surpyval.Weibull.fit(
        x=table["x"].to_numpy(float), c=table["c"].to_numpy(), n=table["n"].to_numpy(), lfp=True
    )
    found = fit(records.circuits(), "limited_weibull").parameters
    assert list(found.values()) == pytest.approx([*made.params, made.lfp_p], rel=1e-4)


@pytest.mark.parametrize("kind", list(KIND_NAMES))
@pytest.mark.parametrize("seed", range(11, 15))
def test_no_search_finds_a_better_top(kind: str, seed: int) -> None:
    """scipy's differential evolution over fifteen orders of magnitude of the scale."""
    lives = records.late_record(seed, with_intervals=seed % 2 == 0)
    chance = likelihood_of(lives, KINDS[kind])
    best = optimize.differential_evolution(
        lambda p: -chance(p[0], p[1]), [(-10, 25), (-5.5, 6)], seed=seed, tol=1e-10, polish=False
    )
    assert fit(lives, kind).log_likelihood >= -best.fun - 1e-7
