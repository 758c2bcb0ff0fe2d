"""The checks of published instances have teeth: a plan broken by hand is named, a right one valued.

Also the two examples of the ROADEF/EURO challenge 2020 against every plan there is.
"""

from itertools import product

import numpy as np
import pytest

from bundler.choice import IntArray
from bundler.solve.highs import Options
from tests.published import cflp, gap, mkp, mmkp, roadef, roadef_raw
from tests.published.answer import Answer, Checked, rounded_bound
from tests.published.folder import FOLDER, IS_THERE, REASON, Known

SMALL_GAP = gap.Raw(np.array([[4.0, 1.0], [2.0, 3.0]]), np.array([[5.0, 6.0], [7.0, 8.0]]),
                    np.array([10.0, 10.0]))  # fmt: skip


def test_generalised_assignment() -> None:
    """Options are job x agents + agent; job 0 at agent 1, job 1 at agent 0: 2 + 1."""
    assert gap.check(SMALL_GAP, np.array([1, 2])) == Checked(3.0, ())
    assert gap.check(SMALL_GAP, np.array([0, 2])).faults == ("agent 0 has 11 of 10",)
    assert "job 1 is done 0 times" in gap.check(SMALL_GAP, np.array([1])).faults
    assert "job 0 is done 2 times" in gap.check(SMALL_GAP, np.array([0, 1, 2])).faults


def test_knapsacks() -> None:
    raw = mkp.Raw(np.array([3.0, 5.0]), np.array([[2.0, 4.0]]), np.array([5.0]))
    assert mkp.check(raw, np.array([0, 3])) == Checked(5.0, ())
    assert mkp.check(raw, np.array([1, 3])).faults == ("limit 0 has 6 of 5",)
    assert mkp.check(raw, np.array([3])).faults == ("item 0 has 0 answers",)
    groups = mmkp.Raw(np.array([2, 1]), np.array([1.0, 9.0, 2.0]), np.array([[1.0], [7.0], [3.0]]),
                      np.array([9.0]))  # fmt: skip
    assert mmkp.check(groups, np.array([0, 2])) == Checked(3.0, ())
    assert mmkp.check(groups, np.array([1, 2])).faults == ("limit 0 has 10 of 9",)
    assert mmkp.check(groups, np.array([0, 1, 2])).faults[0] == "group 0 has 2 items"


def test_facilities() -> None:
    """Two sites of capacity 6 and 4, set up for 10 and 20; customers of demand 5 and 3."""
    raw = cflp.Raw(np.array([6.0, 4.0]), np.array([10.0, 20.0]), np.array([5.0, 3.0]),
                   np.array([[1.0, 2.0], [3.0, 4.0]]))  # fmt: skip
    both = np.array([True, True])
    shared = np.array([[1.0, 0.0], [1 / 3, 2 / 3]])
    assert cflp.check(raw, shared, both).value == pytest.approx(30 + 1 + 1 + 8 / 3)
    assert not cflp.check(raw, shared, both).faults
    assert cflp.check(raw, shared, np.array([True, False])).faults == ("site 1 has 2",)
    assert cflp.check(raw, np.array([[1.0, 0], [1.0, 0]]), both).faults == ("site 0 has 8",)
    assert cflp.check(raw, np.array([[1.0, 0], [0.5, 0]]), both).faults[0].startswith("customer 1")


def test_a_bound_is_rounded_up_only_where_every_cost_is_whole() -> None:
    assert rounded_bound(4.2, np.array([1.0, -3.0])) == 5.0
    assert rounded_bound(5.0000001, np.array([1.0, -3.0])) == 5.0
    assert rounded_bound(4.2, np.array([1.0, 2.5])) == 4.2


@pytest.mark.parametrize(
    ("sense", "value", "bound", "is_right"),
    [("min", 100, 99, True), ("min", 101, 101, False), ("min", 99, 98, False),
     ("max", 100, 101, True), ("max", 99, 99, False), ("max", 101, 102, False)],
)  # fmt: skip
def test_a_contradiction_is_seen(sense: str, value: float, bound: float, is_right: bool) -> None:
    known = Known("gap", "gap1-6", "x", FOLDER, sense, 100.0, True)
    assert Answer(known, value, bound, 0.0, "optimal", ()).is_right_side == is_right


def _plans(raw: roadef_raw.Raw) -> list[IntArray]:
    options = [np.flatnonzero(raw.name == name) for name in sorted(set(raw.name))]
    return [np.array(plan) for plan in product(*options)]


@pytest.mark.skipif(not IS_THERE, reason=REASON)
@pytest.mark.parametrize("name", ["example1", "example2"])
@pytest.mark.parametrize("family", ["mean risk", "full score"])
def test_the_best_of_all_plans_of_an_example(name: str, family: str) -> None:
    """Both examples have a minimum of their resource and an exclusion, and six plans in all."""
    path = FOLDER / "roadef2020" / f"{name}.json"
    raw = roadef_raw.read(path)
    plans = _plans(raw)
    value = roadef.score if family == "full score" else roadef.mean_risk
    allowed = [value(raw, plan) for plan in plans if not roadef.faults(raw, plan)]
    assert len(plans) == 6 and len(allowed) == 2
    known = Known("roadef", family, name, path, "min", min(allowed), True)
    answer = roadef.answer(known, Options(10.0, 0.0, way="whole"))
    assert answer.is_right_side and answer.is_proved and not answer.faults


@pytest.mark.skipif(not IS_THERE, reason=REASON)
def test_the_first_example_by_hand() -> None:
    """Starts 1, 1 and 2: risks add to 49 + 14 + 12 over 3 periods x 3 scenarios, 75 / 9.

    By period and scenario: 12, 8, 13; 4, 18, 11; 1, 4, 4. Medians 12, 11, 4 exceed the means
    11, 11, 3 by 1, 0, 1: the score is 75 / 18 + 2 / 6. Starts 1, 1 and 1 break two rules.
    """
    raw = roadef_raw.read(FOLDER / "roadef2020" / "example1.json")
    plans = {tuple(raw.start[plan] + 1): plan for plan in _plans(raw)}
    plan = plans[1, 1, 2]
    assert not roadef.faults(raw, plan)
    assert roadef.mean_risk(raw, plan) == pytest.approx(75 / 9)
    assert roadef.score(raw, plan) == pytest.approx(75 / 18 + 2 / 6)
    wrong = roadef.faults(raw, plans[1, 1, 1])
    assert wrong == ("c1 misses its bounds in 1 by 1", "I2 and I3 are both at work")
    assert "I2 does not start" in roadef.faults(raw, plan[[0, 2]])
