"""The smallest clash: members that cannot all be kept, while all but any one of them can."""

from collections.abc import Callable, Sequence

from bundler.choice import Choices
from bundler.clash.members import Member, involved, kept
from bundler.errors import NoPlanError, SolverError
from bundler.program.build import build_program
from bundler.solve.highs import Options, run

#: any plan will do: the search may stop at the first one
ANY = Options(time_limit_seconds=5.0, gap_share=1e9)

Test = Callable[[Sequence[Member]], bool]


def is_possible(choices: Choices, held: Sequence[Member]) -> bool:
    """Return whether some plan, works unsplit, keeps the `held` members.

    Where the solver cannot tell in time it counts as possible, so that a member is rather told
    than left out. Only what is involved in the members held is looked at.
    """
    few = involved(kept(choices, held))
    if few.courses.empty:
        return True
    try:
        run(build_program(few), ANY, is_integer=True)
    except NoPlanError:
        return False
    except SolverError:
        return True
    return True


def _conflict(
    base: list[Member], rest: list[Member], test: Test, *, is_grown: bool
) -> list[Member]:
    """Return the least part of `rest` that clashes with `base`; see `smallest`."""
    if is_grown and not test(base):
        return []
    if len(rest) == 1:
        return rest
    half = len(rest) // 2
    first, last = rest[:half], rest[half:]
    late = _conflict(base + first, last, test, is_grown=True)
    early = _conflict(base + late, first, test, is_grown=bool(late))
    return early + late


def smallest(ordered: list[Member], test: Test) -> list[Member]:
    """Return a part of members that clashes, while it would not without any one of its members.

    All together have to clash. What stands last is left out first, so earlier ones are told: the
    additive method by halves, U. Junker, QuickXplain, AAAI 2004, algorithm 1. Empty if there is
    no plan even with none of them.
    """
    if not ordered or not test([]):
        return []
    return _conflict([], ordered, test, is_grown=False)
