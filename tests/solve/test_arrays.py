"""The arrays of a case against the integer program of the same case, and by hand."""

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import linprog

from bundler.choice import Choices, only
from bundler.program.build import build_program
from bundler.solve.arrays import arrays_of
from bundler.solve.highs import Options, relax
from bundler.solve.prices import bound_at
from tests.choices import Small, choices
from tests.solve.drawn import least_relief
from tests.solve.draws import cases

RELAX = Options(time_limit_seconds=60.0, gap_share=0.0)


def proves_the_relaxed_bound(table: Choices) -> None:
    """Assert that the prices of the solver prove its bound on the arrays (strong duality)."""
    arrays = arrays_of(table)
    program = build_program(table)
    relaxed = relax(program, RELAX)
    own = [key for key in relaxed.prices if key[0] not in ("one_course", "placed")]
    assert sorted(own, key=repr) == sorted(arrays.keys, key=repr)
    prices = np.array([relaxed.prices[key] for key in arrays.keys])
    assert bound_at(arrays, prices) == pytest.approx(relaxed.bound_pv_cost, rel=1e-6, abs=1e-6)


def test_prices_of_the_solver_prove_its_bound() -> None:
    """Rows, shares and prices are those of the program; one wrong number would miss its bound."""
    for case in cases(120):
        proves_the_relaxed_bound(case.choices)


def test_so_they_do_with_part_of_the_courses() -> None:
    """Courses and placements keep their numbers when some are left out."""
    for seed, case in enumerate(cases(40)):
        keep = np.random.default_rng(seed).random(len(case.choices.courses)) < 0.7
        keep[case.plans[int(np.argmin(case.costs))]] = True
        proves_the_relaxed_bound(only(case.choices, pd.Series(keep)))


def test_every_number_by_hand() -> None:
    """Two components, a limit with two hours a day more, a set of cost 7, a work a day too long."""
    small = Small(
        [10.0, None],
        [[(1.0, "O", {"r": 5.0}, "s", 0.0)], [(2.0, "O", {"r": 6.0}, "s", 1.0)]],
        limits={"r": 8.0}, per_day={"r": 2.0}, access={"s": (7.0, {"r": 3.0})},
        day_costs={"O": 4.0}, most_days=3.0, links=[([(0, 0, 1.0), (1, 0, -1.0)], 0.0)],
    )  # fmt: skip
    found = arrays_of(choices(small))
    assert found.keys == (
        ("limits", "r"), ("links", "l0"), ("access", ("s", "c00")), ("access", ("s", "c01")),
        ("outage_days", ("O", "c01")),
    )  # fmt: skip
    assert found.use.toarray().tolist() == [[5, 1, 1, 0, 0], [6, -1, 0, 1, 1]]
    assert found.shared_name == (("y", "s"), ("e", "O"))
    assert found.give.toarray().tolist() == [[-3, 0, 1, 1, 0], [2, 0, 0, 0, 1]]
    assert found.amount.tolist() == [8, 0, 0, 0, 0]
    assert found.shared_cost.tolist() == [7, 4]
    assert found.most.tolist() == [1, 3]
    assert found.cost.tolist() == [10, 1, 2]
    assert found.start.tolist() == [0, 2, 3]
    assert found.works.tolist() == [[2], [0], [1]]
    assert (found.periods, found.constant) == (("O",), 0.0)


def test_a_limit_that_cannot_be_reached_has_no_row() -> None:
    small = Small([5.0], [[(1.0, "O", {"r": 5.0, "w": 5.0}, "", 0.0)]], limits={"r": 5.0, "w": 4.0})
    assert arrays_of(choices(small)).keys == (("limits", "w"),)


def test_same_bytes_twice() -> None:
    case = cases(1)[0]
    first, second = arrays_of(case.choices), arrays_of(case.choices)
    assert first.keys == second.keys
    for name in ("use", "give"):
        one, other = getattr(first, name), getattr(second, name)
        assert one.data.tobytes() == other.data.tobytes()
        assert one.indices.tobytes() == other.indices.tobytes()


def test_relief_by_corners_equals_a_linear_program() -> None:
    """The enumeration that all these tests lean on, against scipy.optimize.linprog."""
    rng = np.random.default_rng(3)
    finite = 0
    for _ in range(150):
        rows = int(rng.integers(1, 4))
        lacks = rng.integers(-5, 12, rows).astype(float)
        per_day = np.where(rng.random(rows) < 0.6, rng.integers(1, 6, rows), 0).astype(float)
        part = rng.choice([0.0, 0.5, 1.0], rows)
        missing, days = float(rng.integers(0, 3)), float(rng.integers(0, 5))
        hours, price = float(rng.integers(0, 9)), rng.integers(1, 9, 2).astype(float)
        most, each = (days, hours), (float(price[0]), float(price[1]))
        found = least_relief(lacks[None], (per_day, part), np.array([missing]), most, each)[0]
        if missing > days:
            assert np.isinf(found)
            continue
        answer = linprog(price, -np.column_stack([per_day, part]), -lacks,
                         bounds=[(missing, days), (0, hours)])  # fmt: skip
        finite += answer.status == 0
        assert found == pytest.approx(answer.fun if answer.status == 0 else np.inf, abs=1e-7)
    assert finite > 40
