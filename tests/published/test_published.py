"""Published instances with known values: the optimum proved where it is asked, bounds on their side.

Two values are equal within 2 parts in a million (answer.TOLERANCE_SHARE). The sample here takes
under a minute; `tests/benchmarks/published.py` runs all of them.
"""

import pytest

from bundler.errors import NoPlanError
from bundler.solve.highs import Options
from tests.published import cflp
from tests.published.answer import Answer
from tests.published.folder import IS_THERE, REASON, Known
from tests.published.targets import ANSWER, KNOWN, TARGETS, all_known

pytestmark = pytest.mark.skipif(not IS_THERE, reason=REASON)

#: proved to the end by the whole program within seconds
PROVED = [
    *(f"gap/gap{n}-{n % 5}" for n in range(1, 7)), "gap/a05100", "gap/b05100", "gap/c05100",
    *(f"mkp/mknap1-{n}" for n in range(1, 8)), "mkp/sac94/pet7", "mkp/sac94/sento1",
    "mkp/sac94/weing4", "mkp/sac94/weish15", "mmkp/I01", "mmkp/I02", "mmkp/I05",
    "mmkp/HH-5GP10IT5KP-01", "mmkp/HH-25GP10IT5KP-30", "mmkp/HH-10GP10IT10KP-07",
    "mmkp/HH-5GP10IT25KP-13", "mmkp/HH-30GP10IT10KP-04", "mmkp/HH-80GP10IT10KP-10",
    "mmkp/HH-150GP10IT10KP-02", "cflp/cap41", "cflp/cap44", "cflp/cap63", "cflp/cap74",
    "cflp/cap104", "roadef/A_07", "roadef/A_09",
]  # fmt: skip
#: solved by every way to the usual gap of 1 %
NEAR = [
    *(f"gap/gap{n}-{n % 5}" for n in range(1, 7)), "gap/a10100", "gap/d05100", "gap/e05100",
    "mkp/mknap1-6", "mkp/5.100-20", "mmkp/I03", "mmkp/I07", "mmkp/INST13", "mmkp/INST25",
    "mmkp/HH-25GP10IT25KP-05", "roadef/A_07", "roadef/A_10",
]  # fmt: skip
GAP_SHARE = 0.01


def instances(name: str) -> list[Known]:
    """Return the entries of one instance: minimised and maximised, or mean risk and full score."""
    folder, _, instance = name.partition("/")
    found = [known for known in KNOWN[folder]() if known.instance == instance]
    assert found, f"{name} is not in the published sets"
    return found


def assert_nothing_contradicts(answer: Answer) -> None:
    assert not answer.faults
    assert answer.is_right_side, f"{answer.value}, bound {answer.bound}, known {answer.known.value}"


@pytest.mark.parametrize("name", PROVED)
def test_the_published_optimum_is_found_and_proved(name: str) -> None:
    for known in instances(name):
        answer = ANSWER[known.set_name](known, Options(30.0, 0.0, way="whole"))
        assert_nothing_contradicts(answer)
        assert known.is_optimal and answer.is_proved
        assert answer.value == pytest.approx(known.value, rel=2e-6)
        assert TARGETS[known.family].is_reached(answer)


@pytest.mark.parametrize("way", ["whole", "prices"])
@pytest.mark.parametrize("name", NEAR)
def test_no_way_contradicts_a_published_value(name: str, way: str) -> None:
    """A plan said to be within the gap asked for is so; the time only ends the search."""
    for known in instances(name):
        if known.family == "full score":
            continue
        answer = ANSWER[known.set_name](known, Options(5.0, GAP_SHARE, way=way, workers_count=1))
        assert_nothing_contradicts(answer)
        assert answer.gap_share <= GAP_SHARE or answer.status == "time limit"
        assert answer.from_known_share <= answer.gap_share + 2e-6


@pytest.mark.parametrize("way", ["whole", "prices"])
def test_a_customer_at_one_site_costs_no_less_than_one_served_in_parts(way: str) -> None:
    """The published optimum splits customers, so it is a bound on plans that must not."""
    (known,) = instances("cflp/cap61")
    answer = cflp.answer_undivided(known, Options(5.0, GAP_SHARE, way=way, workers_count=1))
    assert not answer.faults
    assert answer.value >= known.value * (1 - 2e-6)
    assert answer.value <= known.value * 1.02


@pytest.mark.parametrize("way", ["whole", "prices"])
def test_a_customer_too_large_for_any_site_is_told(way: str) -> None:
    """In cap41 a customer asks for 12,912 and each site has 5,000."""
    (known,) = instances("cflp/cap41")
    with pytest.raises(NoPlanError):
        cflp.answer_undivided(known, Options(5.0, GAP_SHARE, way=way, workers_count=1))


def test_every_file_of_the_sets_is_read() -> None:
    """Each known value has its file, and each family its target."""
    known = all_known()
    assert len(known) > 400
    assert all(one.path.exists() for one in known)
    assert {one.family for one in known} == set(TARGETS)
    assert all(one.value > 0 for one in known)
