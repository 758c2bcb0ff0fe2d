import pytest

from bundler.judge import judge
from tests.judge.small import P1, P2, edited, plan, small

DESIGN = {
    "outage_kinds": edited("outage_kinds", 0, design_days=365.0),
    "disciplines": [{"discipline": "EL", "design_hours_per_month": 100.0}],
    "design_hours": [
        {"family": "PUMP", "action": "replace", "discipline": "EL", "design_hours": 1200.0}
    ],
}


def test_design_is_done_by_the_date_of_its_outage() -> None:
    # O1 opens on day 731, so its design is due on day 366: 366 / 30.4375 = 12.02 months
    case = small(**DESIGN)
    assert judge(case, plan(case, P1, P2)) == []
    hours = [DESIGN["design_hours"][0] | {"design_hours": 1203.0}]
    case = small(**DESIGN | {"design_hours": hours})
    found = judge(case, plan(case, P1))
    assert [(breach.rule, breach.place) for breach in found] == [
        ("engineering", "EL by 2028-01-02")
    ]
    assert found[0].amount == pytest.approx(1203 - 100 * 366 / 30.4375)
    # alone, the later work has six years
    assert judge(case, plan(case, P2)) == []


def test_earlier_works_take_hours_from_later_ones() -> None:
    # O2 is due on day 1827: 60.02 months; both need 6,002.5 h there, O1 alone 1,202
    families = edited("families", 1, forced_days=1.0)
    hours = [
        DESIGN["design_hours"][0],
        {"family": "VALVE", "action": "overhaul", "discipline": "EL", "design_hours": 4803.0},
    ]
    case = small(**DESIGN | {"design_hours": hours, "families": families})
    late = ("V2", "overhaul", "O2")
    assert judge(case, plan(case, late)) == []
    found = judge(case, plan(case, P1, late))
    assert [breach.place for breach in found] == ["EL by 2032-01-02"]
    assert found[0].amount == pytest.approx(6003 - 100 * 1827 / 30.4375)
