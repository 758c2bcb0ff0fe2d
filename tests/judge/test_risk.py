from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from bundler.case import Case
from bundler.judge import recomputed
from bundler.judge.renewals import failures_in_cells
from bundler.life.curves import Exponential, Gamma, Weibull
from tests.judge.small import END, O1, O2, P1, added, edited, outage, plan, small

RATE = {"discount_share_per_year": 0.05}
ONE = [{"component": "P1", "unit": "U1", "family": "PUMP", "train": "A"}]
Y = 365.25


def risk(case: Case, *works: tuple[str, str, str]) -> float:
    return recomputed(case, plan(case, *works))["risk_pv_cost"]


def pump(**cells: Any) -> dict[str, Any]:
    return {"families": edited("families", 0, **cells), "components": ONE}


def integral(rate: Callable[[float], float], *spans: tuple[float, float]) -> float:
    """Return the discounted integral of a rate [per year] over spans of days."""
    return sum(
        quad(lambda t: rate(t) * 1.05**-t, low / Y, high / Y, epsabs=1e-10)[0]
        for low, high in spans
    )


EXPOSED = ((0.0, O1), (O1 + 40, END))


def weibull_rate(shape: float, scale: float, age: float) -> Callable[[float], float]:
    return lambda t: shape / scale * ((t + age) / scale) ** (shape - 1)


def test_constant_rate_in_closed_form() -> None:
    # one failure costs 200 + 5 x 100; nothing is lost in the 40 days of the outage
    assert risk(small(components=ONE)) == pytest.approx(700 / 20 * (END - 40) / Y, rel=1e-9)
    k = np.log(1.05)
    lived = (1 - 1.05 ** (-O1 / Y) + 1.05 ** (-(O1 + 40) / Y) - 1.05 ** (-END / Y)) / k
    assert risk(small(RATE, components=ONE)) == pytest.approx(700 / 20 * lived, rel=1e-6)


def test_all_parts_of_a_loss() -> None:
    settings = {"forced_repair_ratio": 2.0, "forced_outage_cost": 1000.0}
    case = small(settings, **pump(forced_outage_chance=0.3))
    each = 2 * 200 + 5 * 100 + 0.3 * 1000
    assert risk(case) == pytest.approx(each / 20 * (END - 40) / Y, rel=1e-9)
    own = [ONE[0] | {"life_years": 10.0, "forced_days": 1.0, "repair_cost": 50.0}]
    assert risk(small(components=own)) == pytest.approx(150 / 10 * (END - 40) / Y, rel=1e-9)


def test_the_sum_is_over_all_components_and_station_wide_outages_shut_all() -> None:
    shared = outage("S1", "station", "2040-01-01", 30.0)
    common = {"component": "C1", "unit": "station", "family": "PUMP"}
    case = small(components=added("components", common), outages=added("outages", shared))
    exposed = (END - 70) / Y
    hand = exposed * ((700 + 1200) / 20 + 2 * 10 / 50) + (200 + 5 * 300) / 20 * END / Y
    assert risk(case) == pytest.approx(hand, rel=1e-9)


def waited(t: float, *spans: tuple[float, float]) -> float:
    """Return the days of spans after t [years], each discounted to t: (1 - v^x) / ln 1.05."""
    inside = [(max(low / Y, t), high / Y) for low, high in spans if high / Y > t]
    return sum((1.05 ** (t - low) - 1.05 ** (t - high)) / np.log(1.05) * Y for low, high in inside)


def test_derate_lasts_until_the_next_fitting_outage() -> None:
    case = small(RATE, **pump(curve="weibull", life_years=30.0, shape_ratio=3.0, derate_share=0.1))
    rate = weibull_rate(3.0, 30.0, 20.0)
    hand = integral(lambda t: rate(t) * (700 + 10 * waited(t, EXPOSED[0])), EXPOSED[0])
    hand += integral(lambda t: rate(t) * (700 + 10 * waited(t, EXPOSED[1])), EXPOSED[1])
    assert risk(case) == pytest.approx(hand, rel=1e-5)
    never = edited("actions", 0, conditions="Q")
    case = small(
        RATE,
        **pump(curve="weibull", life_years=30.0, shape_ratio=3.0, derate_share=0.1),
        actions=never,
    )
    hand = integral(lambda t: rate(t) * (700 + 10 * waited(t, *EXPOSED)), *EXPOSED)
    assert risk(case) == pytest.approx(hand, rel=1e-5)


@pytest.mark.parametrize(
    ("cells", "after"),
    [
        ({}, (3.0, 30.0, 0.0)),
        ({"restoration_share": 0.6}, (3.0, 30.0, 0.4)),
        ({"restoration_share": 0.6, "restoration_kind": "I"}, (3.0, 30.0, 0.4)),
        ({"new_life_years": 60.0}, (3.0, 60.0, 0.0)),
        ({"new_life_years": 60.0, "new_shape_ratio": 2.0}, (2.0, 60.0, 0.0)),
    ],
)
def test_a_work_takes_age_at_the_end_of_its_outage(
    cells: dict[str, Any], after: tuple[float, float, float]
) -> None:
    tables = pump(curve="weibull", life_years=30.0, shape_ratio=3.0)
    case = small(RATE, **tables, actions=edited("actions", 0, **cells))
    done = (O1 + 40) / Y
    shape, scale, left = after
    then = weibull_rate(shape, scale, left * (20 + done) - done)
    hand = 700 * integral(weibull_rate(3.0, 30.0, 20.0), EXPOSED[0])
    hand += 700 * integral(then, EXPOSED[1])
    assert risk(case, P1) == pytest.approx(hand, rel=1e-5)


def test_the_second_work_of_type_one_takes_only_the_age_gained_since() -> None:
    valve = {"curve": "weibull", "life_years": 30.0, "shape_ratio": 3.0, "repair_cost": 1000.0}
    half = edited("actions", 1, restoration_share=0.5, restoration_kind="I")
    components = [{"component": "V1", "unit": "U1", "family": "VALVE", "age_ratio": 0.5}]
    case = small(RATE, families=edited("families", 1, **valve), actions=half, components=components)
    one, two = (O1 + 40) / Y, (1096 + 1461) / 2 / Y
    first = 0.5 * (10 + one)
    second = first + 0.5 * (two - one)
    hand = 1000 * integral(weibull_rate(3.0, 30.0, 10.0), EXPOSED[0])
    hand += 1000 * integral(weibull_rate(3.0, 30.0, first - one), (O1 + 40, two * Y))
    hand += 1000 * integral(weibull_rate(3.0, 30.0, second - two), (two * Y, END))
    # the year 2030 on line: 2030-01-01 is day 1096, its end day 1461
    works = (("V1", "overhaul", "O1"), ("V1", "overhaul", "U1-2030"))
    assert risk(case, *works) == pytest.approx(hand, rel=1e-4)


def test_stepped_rates_and_the_new_design_after_them() -> None:
    steps = [
        {"steps": "s", "from_age_years": 0.0, "failure_rate_per_year": 0.01},
        {"steps": "s", "from_age_years": 21.0, "failure_rate_per_year": 0.05},
    ]
    tables = pump(curve="stepped", steps="s", life_years=float("nan"))
    hand = 700 * (0.01 * 1 + 0.05 * (END / Y - 1 - 40 / Y))
    case = small(**tables, curve_steps=steps)
    assert risk(case) == pytest.approx(hand, rel=1e-4)
    new = edited("actions", 0, new_life_years=30.0, new_shape_ratio=3.0)
    case = small(**tables, curve_steps=steps, actions=new)
    hand = 0.01 * 1 + 0.05 * (O1 / Y - 1) + ((END - O1 - 40) / Y / 30) ** 3
    assert risk(case, P1) == pytest.approx(700 * hand, rel=1e-4)


def test_renewals_of_a_constant_rate_are_the_same() -> None:
    assert risk(small(RATE, **pump(on_failure="renew"))) == pytest.approx(
        risk(small(RATE, components=ONE)), rel=1e-4
    )


def test_renewals_of_a_gamma_life_of_shape_two() -> None:
    # M(t) = m t / 2 - 1/4 + exp(-2 m t) / 4 with m = 1 / scale (textbook renewal function)
    x = np.linspace(0.0, 20.0, 500)
    failures, standing = failures_in_cells("renew", Gamma(2.0, 3.0), 0.0, x)
    known = x / 6 - 0.25 + np.exp(-2 * x / 3) / 4
    assert np.cumsum(failures) == pytest.approx(known[1:], rel=1e-3, abs=1e-4)
    assert not standing.any()


def test_renewals_from_an_age_begin_at_its_rate() -> None:
    x = np.array([0.0, 0.01])
    failures, _ = failures_in_cells("renew", Weibull(3.0, 30.0), 20.0, x)
    assert failures[0] == pytest.approx((20.005 / 30) ** 2 * 3 / 30 * 0.01, rel=1e-3)
    short, _ = failures_in_cells("renew", Exponential(0.2), 0.0, np.array([0.0, 1.0, 5.0]))
    assert short == pytest.approx([5.0, 20.0], rel=2e-3)


def test_a_component_that_stands_failed() -> None:
    tables = pump(on_failure="stand", derate_share=0.1)

    def failed(t: float) -> float:
        return float(1 - np.exp(-t / 20))

    hand = integral(lambda t: 700 * np.exp(-t / 20) / 20 + 10 * Y * failed(t), *EXPOSED)
    assert risk(small(RATE, **tables)) == pytest.approx(hand, rel=1e-5)
    # a work mends it: from its end it lives again
    done = (O1 + 40) / Y
    hand = integral(lambda t: 700 * np.exp(-t / 20) / 20 + 10 * Y * failed(t), EXPOSED[0])
    hand += integral(
        lambda t: 700 * np.exp(-(t - done) / 20) / 20 + 10 * Y * failed(t - done), EXPOSED[1]
    )
    assert risk(small(RATE, **tables), P1) == pytest.approx(hand, rel=1e-5)


def test_the_life_of_a_unit_ends_its_risk() -> None:
    case = small(units=edited("units", 0, end_date="2033-01-01"), components=ONE)
    assert risk(case) == pytest.approx(700 / 20 * (O2 - 40) / Y, rel=1e-9)
