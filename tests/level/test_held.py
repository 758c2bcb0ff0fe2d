"""The check of a schedule has teeth: whatever is broken by hand is named."""

from dataclasses import replace

import pandas as pd
import pytest

from bundler.errors import SolverError
from bundler.level import solve
from bundler.level.held import broken
from bundler.level.problem import Levelled, Problem
from bundler.level.solve import Effort, level
from tests.level.checking import faults_of, problem

GIVEN = problem(
    tasks=[("a", 0, 10, 0), ("b", 0, 10, 4), ("c", 1, 10, 0)],
    modes=[("a", 1, 2), ("a", 2, 3), ("b", 1, 2), ("c", 1, 2)],
    needs=[("a", 1, "crew", 1), ("b", 1, "crew", 1), ("c", 1, "crew", 1), ("a", 2, "parts", 5)],
    resources=[("crew", 2, False), ("parts", 4, True)],
    taken=[("crew", 0, 4, 1)],
    follows=[("a", "b", 1, True)],
    apart=[("a", "c")],
    bands=[("crew", 2, 4, 1), ("crew", 4, 6, 1)],
    band_most=[("crew", 1)],
)


def schedule(*rows: tuple[str, int, int, int], **more: object) -> Levelled:
    starts = pd.DataFrame(rows, columns=["task", "mode", "start", "end"])
    none = pd.DataFrame({"resource": pd.Series(dtype="str"), "start": pd.Series(dtype="int64"),
                         "end": pd.Series(dtype="int64")})  # fmt: skip
    finish = max(row[3] for row in rows)
    return replace(Levelled(starts, (), finish, 0, none, "found"), **more)  # type: ignore[arg-type]


GOOD = (("a", 1, 0, 2), ("b", 1, 4, 6), ("c", 1, 2, 4))
A, B, C = GOOD
BAND = pd.DataFrame({"resource": ["crew"], "start": [2], "end": [4]})
CASES = [
    (schedule(A, B), "c is there 0 times"),
    (schedule(A, B, C, C), "c is there 2 times"),
    (schedule(A, B, C, ("d", 1, 0, 1)), "d is no task"),
    (schedule(A, B, left_out=("c",)), "c may not be left out"),
    (schedule(("a", 1, 0, 3), B, ("c", 1, 4, 6)), "a runs from 0 to 3, which is none of its modes"),
    (schedule(A, B, ("c", 1, 9, 11)), "c runs from 9 to 11, outside its window"),
    (schedule(("a", 1, 8, 10), B, ("c", 1, 0, 2)), "c runs from 0 to 2, outside its window"),
    (schedule(A, ("b", 1, 2, 4), ("c", 1, 4, 6)), "b starts at 2, too soon after a"),
    (schedule(("a", 1, 4, 6), ("b", 1, 7, 9), ("c", 1, 5, 7)), "a and c run at once"),
    (schedule(A, ("b", 1, 3, 5), C), "crew has 2 of 1 in slot 3"),
    (schedule(("a", 2, 0, 3), B, ("c", 1, 3, 5)), "parts has 5 of 4 in all"),
    (schedule(*GOOD, bands=BAND.assign(start=3)), "crew has no band at 3"),
    (schedule(*GOOD, bands=pd.concat([BAND, BAND.assign(start=4, end=6)])),
     "crew uses 2 bands of at most 1"),
    (schedule(*GOOD, finish=5), "the finish is told as 5 and is 6"),
    (schedule(*GOOD, finish_bound=7), "the finish 6 is below its bound 7"),
]  # fmt: skip


def test_a_schedule_that_holds() -> None:
    assert broken(GIVEN, schedule(*GOOD)) == [] == faults_of(GIVEN, schedule(*GOOD))
    assert broken(GIVEN, schedule(A, ("b", 1, 3, 5), C, bands=BAND)) == []
    assert broken(GIVEN, schedule(A, C, left_out=("b",))) == []


@pytest.mark.parametrize(("levelled", "sentence"), CASES)
def test_what_is_broken_is_named(levelled: Levelled, sentence: str) -> None:
    """The slow check of the tests agrees, except on the bound, which it does not look at."""
    assert sentence in broken(GIVEN, levelled)
    assert faults_of(GIVEN, levelled) or "bound" in sentence or "no band" in sentence


def test_what_another_needs_must_run() -> None:
    given = replace(GIVEN, tasks=GIVEN.tasks.assign(value=1))
    left_a = schedule(B, C, left_out=("a",))
    assert "b runs without a" in broken(given, left_a)
    assert "b without a" in faults_of(given, left_a)


def test_a_broken_answer_is_never_given(monkeypatch: pytest.MonkeyPatch) -> None:
    def says(problem: Problem, levelled: Levelled) -> list[str]:
        return ["a runs twice"]

    monkeypatch.setattr(solve, "broken", says)
    with pytest.raises(SolverError, match="a runs twice"):
        level(GIVEN, Effort(1.0, 1))
