"""What to leave out against every choice enumerated and days counted by hand."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pandas as pd
import pytest

from bundler.errors import DataError
from bundler.level.draws import DOUBTS, Doubt, no_doubt
from bundler.level.drop_list import (
    Trials,
    add_list,
    drop_for_days,
    drop_list,
    saved_days,
    trials,
    with_finish,
)
from bundler.level.paths import Network, come_forward, held_to_plan
from bundler.plan.network import FOLLOWS

#: A 10, then B 5 after 2 days; C 12, then D 3; E 16 alone, and 4 more with a chance of 0.3
DAYS = {"A": 10.0, "B": 5.0, "C": 12.0, "D": 3.0, "E": 16.0}
ARCS = [("A", "B", 2.0), ("C", "D", 0.0)]


def tried(days: dict[str, float] = DAYS, chance: float = 0.3, start: float = 0.0) -> Trials:
    tasks = pd.DataFrame({"task": list(days), "duration_days": list(days.values())})
    tasks = tasks.assign(earliest_days=0.0, start_days=start, latest_days=np.nan)
    network = Network(tasks, pd.DataFrame(ARCS, columns=FOLLOWS))
    bands = pd.DataFrame({"task": list(days), "low_share": 0.0, "high_share": 0.0})
    bands = bands.assign(system="", common_cause="", cost=0.0)
    found = pd.DataFrame([("X", "E", chance, 4.0, 0.0, "")], columns=DOUBTS["discoveries"])
    doubt = Doubt(bands, found, no_doubt("deliveries"))
    return trials(network, doubt, rng=np.random.default_rng(1), runs_count=1000)


def works(**columns: list[float]) -> pd.DataFrame:
    count = len(columns["value_cost"])
    return pd.DataFrame({"task": list("ABCDEFGHIJ"[:count]), **columns})


def test_days_saved_by_hand() -> None:
    """P80 is 20 by E with its discovery; without E 17 by A and B: 3 saved; nobody else saves."""
    assert tried().finishes().at(0.8) == 20
    saved = saved_days(tried(), "ABCDE").set_index("task")["saved_days"]
    assert saved.to_dict() == {"A": 0, "B": 0, "C": 0, "D": 0, "E": 3}
    assert saved_days(tried(), "E", 0.5)["saved_days"].tolist() == [0]
    assert tried().finishes(["E"]).at(1) == 17


def test_lags_of_what_is_left_out_are_not_waited_for() -> None:
    """Without E: without A too, B starts on day 0, its 2 days of lag gone; C and D 15; without C, 17."""
    own = tried()
    assert [own.finishes(["E", name]).at(0.8) for name in "ABCD"] == [15, 15, 17, 17]
    assert own.finishes(["A", "C", "D", "E"]).at(0.8) == 5
    assert own.finishes(list("ABCDE")).at(0.8) == 0


def test_what_is_left_out_still_passes_on_its_crew() -> None:
    """A before M before B by one crew: without M, B still waits for A."""
    own = tried({"A": 10.0, "M": 6.0, "B": 5.0, "C": 1.0, "D": 1.0, "E": 1.0}, 0.0)
    crew = pd.DataFrame([("A", "M", 0.0), ("M", "B", 0.0)], columns=FOLLOWS)
    own = replace(own, network=replace(own.network, arcs=crew))
    assert own.finishes().at(0.8) == 21
    assert own.finishes(["M"]).at(0.8) == 15


def test_held_to_plan_days_are_saved_only_where_the_plan_lets() -> None:
    own = tried(start=18.0)
    assert replace(own, rule=held_to_plan).finishes(["E"]).at(0.8) == 18 + 10 + 2 + 5
    assert replace(own, rule=come_forward).finishes(["E"]).at(0.8) == 17


def test_no_choice_frees_as_much_for_less() -> None:
    """Dantzig 1957: of all 2^9 choices none that frees at least the hours of the first steps costs
    less than they do."""
    rng = np.random.default_rng(3)
    own = works(
        value_cost=rng.integers(1, 90, 9).tolist(), welder_hours=rng.integers(1, 60, 9).tolist()
    )
    listed = drop_list(own, "welder_hours")
    costs, hours = own["value_cost"].to_numpy(), own["welder_hours"].to_numpy()
    choices = [list(pick) for size in range(10) for pick in combinations(range(9), size)]
    for row in listed.itertuples(index=False):
        able = [
            costs[pick].sum() for pick in choices if hours[pick].sum() >= row.total_welder_hours
        ]
        assert row.total_value_cost == min(able)


def test_a_drop_list_by_hand() -> None:
    """Per hour 5, 2, 2 (equal: by name), none freed by D."""
    own = works(
        value_cost=[50.0, 20.0, 10.0, 1.0],
        hours=[10.0, 10.0, 5.0, 0.0],
        saved_days=[1.0, 0.0, 2.0, 9.0],
    )
    listed = drop_list(own, "hours")
    assert listed["task"].tolist() == ["B", "C", "A"]
    assert listed["step"].tolist() == [1, 2, 3]
    assert listed["total_value_cost"].tolist() == [20, 30, 80]
    assert listed["total_hours"].tolist() == [10, 15, 25]
    assert drop_list(own, "saved_days")["task"].tolist() == ["D", "C", "A"]


def test_an_add_list_by_hand() -> None:
    """Free of the short trade first, then 5 and 2 an hour."""
    own = works(value_cost=[20.0, 50.0, 10.0, 1.0], hours=[10.0, 10.0, 5.0, 0.0])
    listed = add_list(own, "hours")
    assert listed["task"].tolist() == ["D", "B", "A", "C"]
    assert listed["total_hours"].tolist() == [0, 10, 20, 25]


def test_the_finish_after_each_step() -> None:
    """E out 17, then D 17 (A and B stay), then B 12 by C."""
    listed = drop_list(works(value_cost=[9.0, 3.0, 9.0, 2.0, 1.0], hours=[1.0] * 5), "hours")
    after = with_finish(listed.head(3), tried())
    assert after["task"].tolist() == ["E", "D", "B"]
    assert after["finish_days"].tolist() == [17, 17, 12]


def test_leaving_out_until_the_finish_is_soon_enough() -> None:
    """To day 15: E saves 3; then A or B saves 2 each, B for less. To day 12 C and D must shrink
    too: D saves 3 for less than C. The choice is as cheap as any of all 2^5 that ends by then."""
    own, values = tried(), works(value_cost=[9.0, 3.0, 9.0, 2.0, 1.0])
    listed = drop_for_days(own, values, 15)
    assert listed["task"].tolist() == ["E", "B"]
    assert listed["finish_days"].tolist() == [17, 15]
    assert listed["saved_days"].tolist() == [3, 2]
    assert listed["total_value_cost"].tolist() == [1, 4]
    assert listed["total_saved_days"].tolist() == [3, 5]
    further = drop_for_days(own, values, 12)
    assert further["task"].tolist() == ["E", "B", "D"]
    costs = values.set_index("task")["value_cost"]
    able = [
        costs[list(pick)].sum()
        for size in range(6)
        for pick in combinations("ABCDE", size)
        if own.finishes(pick).at(0.8) <= 12
    ]
    assert further["total_value_cost"].iloc[-1] == min(able)
    assert drop_for_days(own, values, 20).empty


def test_value_counts_by_the_day_saved() -> None:
    """A 10 and B 5 in a row without anything beside them that lasts: A saves 12 days for 6, B 5 for
    4; so A goes first though B is cheaper."""
    own = tried({"A": 10.0, "B": 5.0, "C": 1.0, "D": 1.0, "E": 1.0}, 0.0)
    listed = drop_for_days(own, works(value_cost=[6.0, 4.0, 9.0, 9.0, 9.0]), 16)
    assert listed[["task", "saved_days"]].to_numpy().tolist() == [["A", 12.0]]


def test_starts_of_what_is_left_out_are_not_waited_for() -> None:
    """A may start on day 8 only; without it B starts on day 0."""
    own = tried({"A": 10.0, "B": 5.0, "C": 1.0, "D": 1.0, "E": 1.0}, 0.0)
    own = replace(own, runs=replace(own.runs, earliest=own.runs.earliest + [8.0, 0, 0, 0, 0]))
    assert own.finishes().at(0.8) == 8 + 10 + 2 + 5
    assert own.finishes(["A"]).at(0.8) == 5


def test_it_ends_where_nobody_saves_a_day_alone() -> None:
    """Two alike side by side: neither saves alone, so nothing is listed."""
    own = tried({"A": 10.0, "B": 5.0, "C": 12.0, "D": 5.0, "E": 1.0}, 0.0)
    assert drop_for_days(own, works(value_cost=[1.0, 1.0, 1.0, 1.0, 1.0]), 10).empty


def test_works_without_value_are_told() -> None:
    with pytest.raises(DataError, match="works, hours: no such column"):
        drop_list(works(value_cost=[1.0]), "hours")
    with pytest.raises(DataError, match="works row 2, value_cost: -1; 0 or more"):
        add_list(works(value_cost=[1.0, -1.0], hours=[1.0, 1.0]), "hours")
