"""Links as rows: against the judge on every plan of small stations, and by hand."""

from itertools import combinations, product
from typing import Any

import numpy as np
import pandas as pd
import pytest

from bundler.case import Case
from bundler.choice import Choices, lean
from bundler.compose import choices_of
from bundler.judge import PlanFacts
from bundler.judge.links import check_links, check_paths
from bundler.judge.reading import Reading
from bundler.judge.site import Site, site_of
from bundler.judge.works import read_works
from bundler.program.build import build_program
from bundler.solve.fewer import fewer_works, useful
from bundler.solve.highs import Options
from bundler.solve.rank_fill import rank_fill
from bundler.solve.search import search
from tests.rules.pumps import family, outage, parts, unit, work

KINDS = [
    {"kind": "planned", "name": "planned outage"},
    {"kind": "long", "name": "long outage"},
    {"kind": "on_line", "name": "on line"},
]
WINDOWS = [
    {"kind": kind, "condition": "D", "from_days": 5.0, "to_anchor": "end", "to_days": -5.0}
    for kind in ("planned", "long")
]


def station(
    days: tuple[float, float, float], links: list[dict[str, Any]], life: float = 15.0
) -> Case:
    """Return works on A, B and C that fit P1 (planned), L2 (long) and P3 (planned)."""
    return unit(
        parts("A-1", "B-1", "C-1"),
        [family(name, life_years=life) for name in "ABC"],
        [work(count, name) for name, count in zip("ABC", days, strict=True)],
        outage_kinds=KINDS,
        windows=WINDOWS,
        outages=[outage("P1", 2029), outage("L2", 2033, kind="long"), outage("P3", 2037)],
        links=[{"link": f"l{number}", **link} for number, link in enumerate(links)],
    )


def link(rule: str, first: str = "A", second: str = "B", **cells: Any) -> dict[str, Any]:
    return {"rule": rule, "first_family": first, "second_family": second} | cells


def all_choices(case_: Case) -> Choices:
    return choices_of(case_, frozenset(case_["components"]["component"]))[0]


def holds(choices: Choices, chosen: list[int]) -> bool:
    """Tell whether placements keep every row of the links."""
    terms = choices.link_terms[choices.link_terms["placement"].isin(chosen)]
    used = terms.groupby("link")["factor"].sum().reindex(choices.links["link"]).fillna(0.0)
    return bool((used.to_numpy() <= choices.links["most"].to_numpy() + 1e-9).all())


def breaks(site: Site, works: list[tuple[str, str, str]]) -> bool:
    """Tell whether the judge finds a link broken."""
    table = pd.DataFrame(works, columns=["component", "action", "period"])
    facts = PlanFacts(table, pd.DataFrame(), {}, {}, {})
    reading = Reading(site, facts, read_works(site, facts)[0], (), ())
    return any(True for check in (check_links, check_paths) for _ in check(reading))


def plans(choices: Choices) -> list[list[tuple[int, str, str, str]]]:
    """Return every choice of at most two works on each component."""
    names = ["placement", "component", "action", "period"]
    options = []
    for _, own in choices.placements.groupby("component"):
        there = list(own[names].itertuples(index=False, name=None))
        options.append([[], *([one] for one in there), *map(list, combinations(there, 2))])
    return [[one for part in picks for one in part] for picks in product(*options)]


LONG = (14.0, 12.0, 8.0)
#: days of A, B and C in the 30 days of D, and links
CASES = [
    ((10.0, 10.0, 10.0), [link(rule, only_kind=kind)])
    for rule in ("needs", "together", "before", "triggers", "instead")
    for kind in ("", "planned", "long")
] + [
    ((16.0, 16.0, 10.0), [link("apart")]),
    ((16.0, 16.0, 10.0), [link("apart", only_kind="long")]),
    ((15.0, 12.0, 10.0), [link("before", lag_days=3.0)]),
    ((15.0, 12.0, 10.0), [link("before", lag_days=4.0)]),
    ((15.0, 12.0, 10.0), [link("before", lag_days=1460.0)]),
    ((15.0, 12.0, 10.0), [link("before", lag_days=4.0, only_kind="long")]),
    (LONG, [link("before"), link("before", "B", "C")]),
    (LONG, [link("before"), link("before", "B", "C", only_kind="long")]),
    (LONG, [link("before"), link("before", "B", "C"), link("before", "A", "C", lag_days=8.0)]),
    ((10.0, 9.0, 8.0), [link("before", lag_days=2.0), link("before", "B", "C", lag_days=2.0)]),
    ((10.0, 9.0, 8.0), [link("before"), link("before", "B", "A")]),
]  # fmt: skip


@pytest.mark.parametrize(("days", "links"), CASES)
def test_rows_and_the_judge_say_the_same_of_every_plan(
    days: tuple[float, float, float], links: list[dict[str, Any]]
) -> None:
    """All 343 plans of three components with up to two of three outages each."""
    case_ = station(days, links)
    choices, site = all_choices(case_), site_of(case_)
    seen: set[bool] = set()
    every = plans(choices)
    assert len(every) == 7**3
    rng = np.random.default_rng(1)
    for number in rng.choice(len(every), 90, replace=False):
        plan = every[number]
        says = not breaks(site, [one[1:] for one in plan])
        assert says == holds(choices, [one[0] for one in plan]), plan
        seen.add(says)
    assert seen == {True, False}


def rows_of(case_: Case) -> list[tuple[str, float, dict[tuple[str, str], float]]]:
    """Return each row as rule, most, and factors by component and period."""
    choices = all_choices(case_)
    where = choices.placements.set_index("placement")[["component", "period"]]
    found = []
    for row in choices.links.itertuples():
        own = choices.link_terms[choices.link_terms["link"] == row.link]
        terms = {
            tuple(where.loc[p]): f for p, f in zip(own["placement"], own["factor"], strict=True)
        }
        found.append((row.rule, row.most, terms))
    return found


def test_instead_asks_in_each_outage_until_the_first_is_done() -> None:
    rows = rows_of(station((10.0, 10.0, 10.0), [link("instead")]))
    assert rows == [
        ("instead", -1.0, {("A-1", "P1"): -1.0, ("B-1", "P1"): -1.0}),
        ("instead", -1.0, {("A-1", "P1"): -1.0, ("A-1", "L2"): -1.0, ("B-1", "L2"): -1.0}),
        ("instead", -1.0, {("A-1", "P1"): -1.0, ("A-1", "L2"): -1.0, ("A-1", "P3"): -1.0,
                           ("B-1", "P3"): -1.0}),
    ]  # fmt: skip
    [row] = rows_of(station((10.0, 10.0, 10.0), [link("instead", only_kind="long")]))
    assert row[2] == {("A-1", "P1"): -1.0, ("A-1", "L2"): -1.0, ("B-1", "L2"): -1.0}


def test_a_path_is_a_row_only_where_its_pairs_fit() -> None:
    """14 + 12 + 8 = 34 days in 30: one row an outage; what was done before counts instead."""
    case_ = station(LONG, [link("before"), link("before", "B", "C")])
    paths = [row for row in rows_of(case_) if row[1] == 2.0]
    assert len(paths) == 3
    assert paths[1][2] == {
        ("A-1", "L2"): 1.0, ("B-1", "L2"): 1.0, ("C-1", "L2"): 1.0,
        ("A-1", "P1"): -1.0, ("B-1", "P1"): -1.0,
    }  # fmt: skip
    short = station((12.0, 10.0, 8.0), [link("before"), link("before", "B", "C")])
    assert not [row for row in rows_of(short) if row[1] == 2.0]


def test_a_work_counts_as_the_one_it_is_like() -> None:
    """An expedited replacement counts as a replacement where a link names that."""
    links = [{"link": "l", "rule": "needs", "first_family": "A", "first_action": "replace", "second_family": "B"}]  # fmt: skip
    case_ = unit(
        parts("A-1", "B-1"),
        [family("A"), family("B")],
        [work(name="A"), work(name="A", action="fast", like="replace"), work(name="B")],
        links=links,
    )
    choices = all_choices(case_)
    assert choices.link_terms.groupby("link")["factor"].apply(sorted).tolist() == [[-1, 1, 1]] * 2
    fast = choices.placements[choices.placements["action"] == "fast"]
    assert set(fast["placement"]) <= set(choices.link_terms["placement"])
    assert breaks(site_of(case_), [("A-1", "fast", "P1")])
    assert not breaks(site_of(case_), [("A-1", "fast", "P1"), ("B-1", "replace", "P1")])


def least(case_: Case) -> tuple[float, Choices]:
    """Return the least cost over all pairs of courses that keep the links, without a solver."""
    choices = all_choices(case_)
    held = choices.works.groupby("course")["placement"].agg(list).to_dict()
    own = [
        list(zip(rows["course"], rows["pv_cost"], strict=True))
        for _, rows in choices.courses.groupby("component")
    ]
    best = min(
        sum(cost for _, cost in picks)
        for picks in product(*own)
        if holds(choices, [p for course, _ in picks for p in held.get(course, [])])
    )
    return best, choices


@pytest.mark.parametrize("life", [15.0, 45.0, 500.0])
@pytest.mark.parametrize("kind", ["", "long"])
def test_instead_is_best_whatever_is_pruned(life: float, kind: str) -> None:
    """The program over lean courses, and courses left after those with useless works are gone,
    both reach the least of every combination; the ranked list starts broken and ends whole."""
    case_ = station((10.0, 10.0, 10.0), [link("instead", only_kind=kind)], life)
    best, _ = least(case_)
    choices, _ = choices_of(case_)
    for some in (lean(choices), choices):
        found = search(build_program(some), Options(60, gap_share=0.0), lambda stage, share: None)
        assert found.objective_pv_cost == pytest.approx(best, rel=1e-6)
    keep = useful(fewer_works(choices), choices.courses["pv_cost"].to_numpy())
    held = choices.works.groupby("course")["placement"].agg(list).to_dict()
    own = [rows for _, rows in choices.courses[keep.to_numpy()].groupby("component")]
    pruned = min(
        sum(row.pv_cost for row in picks)
        for picks in product(*(list(rows.itertuples()) for rows in own))
        if holds(choices, [p for row in picks for p in held.get(row.course, [])])
    )
    assert pruned == pytest.approx(best, rel=1e-6)
    ranked = rank_fill(choices)
    assert ranked.breach == 0.0
    assert ranked.pv_cost >= best - 1e-6
    taken = choices.works[choices.works["course"].isin(ranked.courses)]
    assert holds(choices, list(taken["placement"]))


def test_links_without_pairs_make_no_rows() -> None:
    choices = all_choices(
        station((10.0, 10.0, 10.0), [link("instead", only_unit="U1", match="train")])
    )
    assert len(choices.links) == 3
    bare = all_choices(station((10.0, 10.0, 10.0), []))
    assert isinstance(bare.links, pd.DataFrame) and bare.links.empty and bare.link_terms.empty
