"""Engineering hours up to each date by which design has to be complete."""

from itertools import permutations
from typing import Any

import numpy as np
import pytest

from bundler.calendar import DAYS_A_YEAR
from tests.cases import case, one_unit
from tests.limits.test_rows import limit, tables, used

KINDS: list[dict[str, Any]] = [
    {"kind": "planned", "name": "planned outage", "design_days": 365.0},
    {"kind": "on_line", "name": "on line"},
]
DESIGN: dict[str, Any] = {
    "outage_kinds": KINDS,
    "disciplines": [
        {"discipline": "EL", "name": "electrical engineering", "design_hours_per_month": 5.0}
    ],
    "design_hours": [
        {"family": "PUMP", "action": "replace", "discipline": "EL", "design_hours": 900.0}
    ],
}


def test_hours_up_to_each_gate_over_all_works_due_by_then() -> None:
    """P1 opens on day 731 and P2 on day 2192; engineering is due 365 d before."""
    choices = tables(case(**one_unit(**DESIGN)))
    month = DAYS_A_YEAR / 12
    first = limit(choices, "engineering.EL.2028-01-02")
    assert first["amount"] == pytest.approx(5 * 366 / month)
    assert first["title"] == "electrical engineering hours up to 2028-01-02 (P1)"
    assert used(choices, "engineering.EL.2028-01-02") == [900.0]
    second = limit(choices, "engineering.EL.2032-01-02")
    assert second["amount"] == pytest.approx(5 * (2192 - 365) / month)
    assert second["title"] == "electrical engineering hours up to 2032-01-02 (P1, P2)"
    assert used(choices, "engineering.EL.2032-01-02") == [900.0, 900.0]
    assert (second["measure"], second["step"], second["period"]) == ("hours", "100 h", "P2")


def test_a_gate_before_the_planning_date_leaves_no_hours() -> None:
    kinds = [KINDS[0] | {"design_days": 800.0}, KINDS[1]]
    choices = tables(case(**one_unit(**DESIGN | {"outage_kinds": kinds})))
    assert limit(choices, "engineering.EL.2027-01-01")["amount"] == 0.0


def test_on_line_the_gate_is_the_start_of_the_period() -> None:
    windows = [{"kind": "on_line", "condition": "D"}]
    choices = tables(case(**one_unit(**DESIGN | {"windows": windows})))
    row = limit(choices, "engineering.EL.2028-01-01")
    assert row["title"] == "electrical engineering hours up to 2028-01-01 (U1-2027, U1-2028)"
    late = limit(choices, "engineering.EL.2046-01-01")["title"]
    assert late.endswith("(U1-2046 and 19 more)"), late


def test_gates_that_no_plan_could_miss_are_left_out() -> None:
    """One pump has at most two works of 900 h; 30 h a month give 361 h for P1, 1,801 for P2."""
    fast = [DESIGN["disciplines"][0] | {"design_hours_per_month": 30.0}]
    choices = tables(case(**one_unit(**DESIGN | {"disciplines": fast})))
    gates = [name for name in choices.limits["limit"] if name.startswith("engineering")]
    assert gates == ["engineering.EL.2028-01-02"]


def test_the_rows_say_exactly_what_can_be_designed_in_time() -> None:
    """Every order of works tried, one after the other without a pause, against the sums."""
    rng = np.random.default_rng(5)
    seen = set()
    for _ in range(300):
        hours, gates = rng.integers(1, 9, 4), rng.integers(3, 25, 4)
        in_time = any(
            all(sum(hours[list(order[: at + 1])]) <= gates[order[at]] for at in range(4))
            for order in permutations(range(4))
        )
        sums = all(hours[gates <= gate].sum() <= gate for gate in gates)
        assert in_time == sums
        seen.add(in_time)
    assert seen == {True, False}
