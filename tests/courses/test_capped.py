"""The most failures in a year against closed forms, and what a cap and a bridge rule out."""

import numpy as np
import pandas as pd
import pytest

from bundler.case import Case
from bundler.compose import choices_of
from bundler.courses.capped import failures_of_courses, worst_years
from bundler.courses.exposure import Exposure, Works
from bundler.courses.risk import course_cells
from bundler.errors import NoPlanError
from bundler.life.curves import LifeCurve, curve_from
from tests.cases import case, one_unit

NOW = 20.0  # years at planning, from the first sync date
P1, P2, END = 771 / 365.25, 2232 / 365.25, 7304 / 365.25  # ends of the outages, and the last day


def seen(curve: LifeCurve, on_failure: str, grid: np.ndarray, age: float) -> Exposure:
    none = np.zeros(len(grid) - 1)
    return Exposure(grid, none, none, none, none, on_failure, curve, age)


def works(*index: int, share: float = 1.0) -> Works:
    count = len(index)
    return Works(
        np.array(index, dtype=np.int64), np.full(count, share), ("II",) * count, (None,) * count
    )


def test_constant_rate_gives_the_rate() -> None:
    """Exponential life of 25 years: 1 / 25 a year whatever is done, on any grid."""
    sight = seen(curve_from("exponential", 25.0, 1.0, 0.0), "repair", np.arange(0, 20.1, 0.7), 3.0)
    steps = np.array([[-1, -1], [0, -1], [0, 1]])
    found = worst_years(sight, works(4, 9), steps, 2.0)
    assert found.failures_per_year == pytest.approx(np.full(3, 1 / 25), rel=1e-12)


def test_minimal_repair_in_closed_form() -> None:
    """Weibull: H(age at the end) - H(a year before); renewal at 6 years starts from 0."""
    grid = np.arange(0.0, 20.01, 0.25)
    sight = seen(curve_from("weibull", 30.0, 3.0, 0.0), "repair", grid, 10.0)
    found = worst_years(sight, works(24), np.array([[-1], [0]]), 1.5)

    def hazard(age: float) -> float:
        return (age / 30) ** 3

    wanted = [hazard(30) - hazard(29), max(hazard(16) - hazard(15), hazard(14) - hazard(13))]
    assert found.failures_per_year == pytest.approx(wanted, rel=1e-12)
    assert found.from_days == pytest.approx([19 * 365.25, 5 * 365.25])


def test_only_years_from_the_first_day_count() -> None:
    """Old before renewal at 6 years: from 6 on, the worst year is the last."""
    grid = np.arange(0.0, 20.01, 0.25)
    sight = seen(curve_from("weibull", 30.0, 3.0, 0.0), "repair", grid, 40.0)
    found = worst_years(sight, works(24), np.array([[0]]), 6.0)
    assert found.failures_per_year[0] == pytest.approx((14**3 - 13**3) / 30**3, rel=1e-12)


def test_less_than_a_year_counts_what_is_left() -> None:
    sight = seen(curve_from("exponential", 10.0, 1.0, 0.0), "repair", np.arange(0, 4.1, 0.5), 0.0)
    found = worst_years(sight, works(), np.array([[-1]]), 3.5)
    assert found.failures_per_year[0] == pytest.approx(0.05)


@pytest.mark.parametrize("mode", ["repair", "renew", "stand"])
@pytest.mark.parametrize("share", [0.4, 1.0])
def test_courses_all_at_once_equal_one_by_one(mode: str, share: float) -> None:
    """Partial renewal included, where stretches of one course overlap."""
    grid = np.arange(0.0, 20.01, 0.25)
    sight = seen(curve_from("weibull", 8.0, 2.5, 0.0), mode, grid, 5.0)
    steps = np.array([[-1, -1], [0, -1], [1, -1], [0, 1]])
    found = failures_of_courses(sight, works(10, 44, share=share), steps)
    for row, step in zip(found, steps, strict=True):
        assert row == pytest.approx(course_cells(sight, works(10, 44, share=share), step)[0])


def capped(cap: float | None = None, **action: float) -> Case:
    """Return one pump, 20 years old, with a cap on its failures in a year."""
    tables = one_unit()
    families = [{**tables["families"][0], "most_failures_per_year": cap}]
    actions = [{**tables["actions"][0], **action}]
    return case(**one_unit(families=families, actions=actions))


def courses_of(held: Case) -> tuple[set[tuple[str, ...]], pd.DataFrame]:
    """Return the courses of the pump as outages in order, and what is ruled out."""
    choices, _ = choices_of(held, frozenset({"PUMP-1"}))
    both = choices.works.merge(choices.placements[["placement", "period", "effect_days"]])
    told = both.sort_values("effect_days").groupby("course")["period"].agg(tuple)
    return {told.get(q, ()) for q in choices.courses["course"]}, choices.ruled_out


def year(age: float) -> float:
    return (((age + 1) / 30) ** 3) - (age / 30) ** 3


def test_a_cap_leaves_what_keeps_it() -> None:
    """Age at P1 22.1, at P2 26.1: the year before P2 has 0.073 failures, a new pump at most 0.034."""
    every = {(), ("P1",), ("P2",), ("P1", "P2")}
    assert courses_of(capped())[0] == every
    at_p2 = year(NOW + P2 - 1)
    assert courses_of(capped(at_p2 * 1.001))[0] == every - {()}
    found, out = courses_of(capped(at_p2 * 0.999))
    assert found == {("P1",), ("P1", "P2")}
    assert out.empty or "risk cap" not in set(out["reason"])
    last = year(END - P1 - 1)
    found, _ = courses_of(capped(last * 1.001))
    assert found == {("P1",), ("P1", "P2")}
    found, _ = courses_of(capped(last * 0.999))
    assert found == {("P1", "P2")}


def test_before_work_is_possible_nothing_counts() -> None:
    """Parts come after P1: the cap counts from P2, so that 0.073 a year before it does no harm."""
    cap = year(NOW + P2 - 1) * 0.9
    found, _ = courses_of(capped(cap, lead_months=40.0))
    assert found == {("P2",)}


def test_a_cap_that_nothing_keeps_is_told() -> None:
    """Renewed in both outages it still fails most in its last year, 2045 to 2046."""
    with pytest.raises(NoPlanError) as told:
        choices_of(capped(0.001))
    best = max(year(END - P2 - 1), year(P2 - P1 - 1))
    assert str(told.value) == (
        "No plan keeps every rule: PUMP-1: no choice of works keeps most_failures_per_year 0.001 "
        f"of its family; the best reaches {best:.3g} in the year from 2045. Give it a window in time, or raise the cap in "
        "families.csv."
    )


def test_a_work_that_no_course_keeps_is_ruled_out_with_its_cap() -> None:
    """Half measures leave too many failures whenever they are done."""
    tables = one_unit()
    half = {**tables["actions"][0], "action": "patch", "restoration_share": 0.0}
    families = [{**tables["families"][0], "most_failures_per_year": 0.0339, "max_works_count": 1.0}]
    held = case(**one_unit(families=families, actions=[tables["actions"][0], half]))
    out = choices_of(held)[0].ruled_out
    own = out[out["reason"] == "risk cap"]
    assert set(zip(own["action"], own["period"], strict=True)) == {
        ("patch", "P1"), ("patch", "P2"), ("replace", "P2"),
    }  # fmt: skip
    assert set(own["detail"]) == {
        "no course with it keeps the cap of 0.0339 expected failures a year"
    }


def bridged(years: float, **more: object) -> Case:
    """Return one pump with whole work and a half measure that bridges some years."""
    tables = one_unit()
    half = {**tables["actions"][0], "action": "patch", "restoration_share": 0.3}
    return case(**one_unit(actions=[tables["actions"][0], {**half, "bridge_years": years, **more}]))


def test_a_half_measure_is_ruled_out_where_nothing_can_follow() -> None:
    """Done by 2029-01-16, it bridges 4 or 3.9 years; whole work is done by 2033-01-16."""
    out = choices_of(bridged(4.01))[0].ruled_out
    assert set(out.loc[out["reason"] == "bridge", "period"]) == {"P2"}
    out = choices_of(bridged(3.9))[0].ruled_out
    own = out[out["reason"] == "bridge"]
    assert set(own["period"]) == {"P1", "P2"}
    assert set(own["action"]) == {"patch"}
    assert "statutory date" not in set(out["reason"])
    out = choices_of(bridged(14.0))[0].ruled_out  # to the end of the plan
    assert "bridge" not in set(out["reason"])


def test_a_date_that_only_a_half_measure_meets_is_told() -> None:
    held = bridged(3.0)
    mandate = {"component": "PUMP-1", "action": "patch", "due_date": "2029-06-01"}
    tables = one_unit(actions=held["actions"].drop(columns="file_row").to_dict("records"))
    both = case(**{**tables, "mandates": [mandate]})
    with pytest.raises(NoPlanError, match="with whole work after each half measure in time"):
        choices_of(both)


def test_work_like_the_one_asked_for_meets_a_statutory_date() -> None:
    tables = one_unit()
    swap = {**tables["actions"][0], "action": "swap", "like": "replace"}
    other = {**tables["actions"][0], "action": "check"}
    mandate = [{"component": "PUMP-1", "action": "replace", "due_date": "2029-06-01"}]
    held = case(**one_unit(actions=[swap, other, tables["actions"][0]], mandates=mandate))
    choices, _ = choices_of(held, frozenset({"PUMP-1"}))
    placed = choices.placements.set_index("placement")
    first = choices.works["placement"].map(placed["period"]) == "P1"
    actions = choices.works[first]["placement"].map(placed["action"])
    assert set(actions) == {"swap", "replace"}
