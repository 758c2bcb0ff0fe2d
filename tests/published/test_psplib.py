"""Published projects (PSPLIB, Kolisch and Sprecher 1996): the known least finish, proven.

A sample that is proven in seconds; `tests/benchmarks/psplib.py` runs the whole sets.
"""

import pytest

from bundler.level.arrays import parts_of
from bundler.level.bounds import finish_bound
from bundler.level.solve import Effort, level
from tests.level.checking import faults_of
from tests.published.folder import IS_THERE, REASON
from tests.published.psplib import known, problem_of, text_of

pytestmark = pytest.mark.skipif(not IS_THERE, reason=REASON)

#: j104_1: where modes share an end variable the solver (9.15) says 28 and that nothing is shorter
PROVEN = ["j104_1.mm", "j1010_1.mm", "j1026_1.mm", "j2010_1.mm", "j2043_2.mm", "j301_1.sm",
          "j3017_1.sm", "j3033_1.sm", "j3041_1.sm", "j601_1.sm", "j6017_1.sm"]  # fmt: skip


@pytest.mark.parametrize("instance", PROVEN)
def test_the_known_finish_is_found_and_proven(instance: str) -> None:
    (row,) = known().query("instance == @instance").itertuples()
    problem = problem_of(text_of(row.instance, row.file))
    levelled = level(problem, Effort(5.0, 40, 60.0, even_share=0.0))
    assert row.is_optimal and levelled.status == "proven"
    assert levelled.finish == row.value
    assert not faults_of(problem, levelled)


def test_the_regression_case_is_27() -> None:
    """As the README of the sets says, and as PSPLIB's own list has it."""
    (row,) = known().query("instance == 'j104_1.mm'").itertuples()
    assert row.value == 27


def test_no_own_bound_is_above_a_known_finish() -> None:
    """Every fifth instance of all six sets; on average not far below."""
    table = known().iloc[::5]
    share = []
    for row in table.itertuples():
        bound = finish_bound(parts_of(problem_of(text_of(row.instance, row.file))), 0)
        assert bound <= row.value, row.instance
        share.append(bound / row.value)
    assert sum(share) / len(share) > 0.85


def test_every_instance_of_the_list_is_in_its_archive() -> None:
    table = known()
    assert len(table) == 950
    for row in table.itertuples():
        assert text_of(row.instance, row.file).count("REQUESTS/DURATIONS") == 1
