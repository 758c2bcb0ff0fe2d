"""The longest chain of works in each outage of small plans, by hand."""

from typing import Any

import pandas as pd
import pytest

from bundler.case import Case
from bundler.limits.link_pairs import pairs
from bundler.plan.chosen import Chosen
from bundler.plan.longest import longest_chains
from bundler.plan.series import latest_starts
from tests.cases import case, one_unit
from tests.rules.rule import planned

NAMES = ["outage", "chain_days", "span_days", "works", "float_days"]


def station(families: str, ties: list[str], chain: str = "", **more: Any) -> Case:
    """Return one unit with a component of each family; a link "A>B+3" puts B 3 d after A."""
    told = []
    for link in ties:
        first, rest = link.split(">")
        second, _, lag = rest.partition("+")
        told.append({"link": link, "rule": "before", "first_family": first, "second_family": second,
                     "lag_days": float(lag or 0), "why": "test"})  # fmt: skip
    tables: dict[str, Any] = {
        "families": [
            {"family": own, "name": own, "area": "TB", "life_years": 30.0, "shape_ratio": 3.0}
            for own in families
        ],
        "actions": [
            {"family": own, "action": "replace", "days": 6.0, "conditions": "D"} for own in families
        ],
        "action_hours": [],
        "components": [{"component": own, "unit": "U1", "family": own} for own in families],
        "links": told,
        "chains": [{"chain": "shaft", "family": own} for own in chain],
    }
    return case(**one_unit(**(tables | more)))


def plan(works: dict[str, tuple[float, float, float]], longer: float = 0.0, **more: Any) -> Chosen:
    """Return a plan of works in P1, each with its days, its first day and its last."""
    table = pd.DataFrame(
        [
            {"placement": number, "component": name, "family": name, "action": "replace", "like": "",
             "period": "P1", "kind": "planned", "is_outage": True, "train": "", "days": days,
             "start_days": start, "end_days": end}
            | more.get(name, {})
            for number, (name, (days, start, end)) in enumerate(works.items())
        ]
    )  # fmt: skip
    none = pd.DataFrame()
    return Chosen(none, table, none, {"P1": longer}, {})


def told(case_: Case, picked: Chosen) -> list[Any]:
    table = longest_chains(case_, picked, pairs(case_, case_["components"]))
    assert list(table.columns) == NAMES
    return [tuple(row) for row in table.itertuples(index=False)]


def test_links_with_days_to_cure() -> None:
    """A 4 d, 3 d to cure, B 5 d, C 2 d: 14 of 30 d; D takes 13 d beside them."""
    works = {"A": (4, 5, 35), "B": (5, 5, 35), "C": (2, 5, 35), "D": (13, 5, 35)}
    assert told(station("ABCD", ["A>B+3", "B>C"]), plan(works)) == [("P1", 14, 30, "A > B > C", 16)]
    assert told(station("ABCD", ["A>B+1", "B>C"]), plan(works)) == [("P1", 13, 30, "D", 17)]


def test_each_work_is_held_in_its_own_span() -> None:
    """B has to end by day 16: A from 5 to 9, B from 9 to 14, so 2 d of room in a span of 30 d."""
    works = {"A": (4, 5, 35), "B": (5, 5, 16), "C": (2, 20, 35)}
    case_ = station("ABC", ["A>B", "B>C"])
    assert told(case_, plan(works)) == [("P1", 11, 30, "A > B > C", 2)]
    assert told(case_, plan(works, longer=3.0)) == [("P1", 11, 33, "A > B > C", 5)]
    late = works | {"A": (4, 9, 35)}
    assert told(case_, plan(late)) == [("P1", 11, 30, "A > B > C", -2)]


def test_a_chain_goes_by_the_ends_of_its_spans() -> None:
    """No order is given: A has to end first, so B follows it, as orders are reckoned."""
    works = {"B": (5, 5, 30), "A": (6, 5, 20)}
    case_ = station("AB", [], chain="AB")
    picked = plan(works)
    assert told(case_, picked) == [("P1", 11, 25, "A > B", 9)]
    assert latest_starts(case_, picked).to_dict() == {0: 25, 1: 14}


def test_a_link_turns_a_chain_round() -> None:
    """B has to be before A though its span ends later; C follows A by another link."""
    works = {"A": (6, 5, 20), "B": (5, 5, 30), "C": (1, 5, 35)}
    case_ = station("ABC", ["B>A", "A>C"], chain="AB")
    assert told(case_, plan(works)) == [("P1", 12, 30, "B > A > C", 4)]


def test_links_and_chains_make_no_ring() -> None:
    """Chain A B, links X before A and B before X: B, X, A, whatever the spans say."""
    works = {"A": (1, 0, 10), "B": (1, 0, 30), "X": (1, 0, 20)}
    case_ = station("ABX", ["X>A", "B>X"], chain="AB")
    assert told(case_, plan(works)) == [("P1", 3, 30, "B > X > A", 7)]


def test_what_an_earlier_outage_has_done_is_not_waited_for() -> None:
    works = {"A": (4, 5, 35), "B": (5, 5, 35)}
    case_ = station("AB", ["A>B"])
    picked = plan(works)
    assert told(case_, picked) == [("P1", 9, 30, "A > B", 21)]
    before = picked.works.iloc[:1].assign(
        placement=9, period="P0", start_days=-100.0, end_days=-50.0
    )
    both = Chosen(picked.courses, pd.concat([before, picked.works]), picked.access, {}, {})
    assert told(case_, both) == [("P0", 4, 50, "A", 46), ("P1", 5, 30, "B", 25)]


def test_other_actions_and_kinds_are_not_tied() -> None:
    works = {"A": (4, 5, 35), "B": (5, 5, 35)}
    link = {
        "link": "own",
        "rule": "before",
        "first_family": "A",
        "second_family": "B",
        "why": "test",
    }
    other = station("AB", [], links=[link | {"first_action": "repair"}])
    assert told(other, plan(works)) == [("P1", 5, 30, "B", 25)]
    assert told(other, plan(works, A={"like": "repair"})) == [("P1", 9, 30, "A > B", 21)]
    long = station("AB", [], links=[link | {"only_kind": "long"}])
    assert told(long, plan(works)) == [("P1", 5, 30, "B", 25)]


def test_a_ring_is_told_in_words() -> None:
    works = {"A": (4, 5, 35), "B": (5, 5, 35), "C": (2, 5, 35)}
    case_ = station("ABC", ["A>B", "B>C", "C>A"])
    with pytest.raises(ValueError, match="A replace before B replace before C replace before A"):
        told(case_, plan(works))


def test_a_solved_plan_has_a_chain_in_each_outage_with_work() -> None:
    """A solved plan of two works, tied: 6 d + 3 d + 6 d in the 30 d on which it is drained."""
    pins = [
        {"component": own, "outage": "P1", "rule": "in", "who": "test", "why": "test"}
        for own in "AB"
    ]
    case_ = station("AB", ["A>B+3"], pins=pins)
    picked = planned(case_).picked
    assert told(case_, picked) == [("P1", 15, 30, "A > B", 15)]


def test_no_work_no_chain() -> None:
    case_ = station("AB", ["A>B"])
    picked = plan({"A": (4, 5, 35)}, A={"is_outage": False})
    assert told(case_, picked) == []
