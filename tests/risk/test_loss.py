"""Money lost by a failure, by hand."""

import numpy as np
import pytest

from bundler.risk.loss import (
    FailureEffect,
    loss_by_cell,
    on_line_share_by_cell,
    standing_loss_by_cell,
    wait_by_cell,
)
from tests.cases import settings

GRID = np.array([0.0, 1.0, 2.0, 4.0])


def test_parts_of_a_loss() -> None:
    """2 x 500 repair + 3 d x 90 + 0.5 x 1500, and 10 % of output from the cell's middle on."""
    base = settings(forced_repair_ratio=2.0, forced_outage_cost=1500.0)
    effect = FailureEffect(3.0, 500.0, 0.1, 0.5)
    always = np.ones(3)
    wait = wait_by_cell(GRID, np.array([2.0, 2.0, 4.0]), always, always)
    found = loss_by_cell(effect, base, wait, 90.0)
    fixed = 1000 + 270 + 750
    assert found == pytest.approx(fixed + 9.0 * 365.25 * np.array([1.5, 0.5, 1.0]))


def test_a_derate_costs_nothing_while_shut_and_less_later() -> None:
    """Shut through the second year: half a year of the first and a half of the third count, each
    discounted to the failure."""
    grid = np.array([0.0, 1.0, 2.0, 3.0])
    share, discount = np.array([1.0, 0.0, 1.0]), np.array([1.0, 0.9, 0.8])
    wait = wait_by_cell(grid, np.full(3, 3.0), share, discount)
    assert wait[0] == pytest.approx(365.25 * (0.5 * 1.0 + 0.8))
    assert wait[1] == pytest.approx(365.25 * 0.8 / 0.9)
    assert wait[2] == pytest.approx(365.25 * 0.5)


def test_standing_failed_costs_its_derate() -> None:
    effect = FailureEffect(0.0, 0.0, 0.02, 0.0)
    assert standing_loss_by_cell(effect, GRID, 90.0) == pytest.approx(
        1.8 * 365.25 * np.array([1, 1, 2])
    )


def test_nothing_is_lost_while_the_unit_is_shut() -> None:
    share = on_line_share_by_cell(GRID, np.array([[0.5, 1.25], [3.0, 3.5]]))
    assert share == pytest.approx([0.5, 0.75, 0.75])
