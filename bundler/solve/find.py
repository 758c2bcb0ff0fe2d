"""The way to a plan that fits its size: the whole integer program, or prices first."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from bundler.choice import Choices
from bundler.program.build import build_program
from bundler.program.tail import counts
from bundler.solve.answer import Known, Solved
from bundler.solve.highs import Options
from bundler.solve.priced import search_priced
from bundler.solve.search import Progress, search

WHOLE = "whole integer program"
#: courses up to which the whole program is solved as it is; our choice
WHOLE_MOST = 5_000


def is_whole(choices: Choices, options: Options) -> bool:
    """Say whether the whole program is solved as it is: small ones, and those with tail rows."""
    if options.way == "auto":
        return len(choices.courses) <= WHOLE_MOST or counts(choices)
    return options.way == "whole" or counts(choices)


def find_plan(
    choices: Choices,
    options: Options,
    progress: Progress,
    known: Known | None = None,
    start: Mapping[tuple[str, Any], float] | None = None,
) -> Solved:
    """Return a plan with its proven gap, never worse than a `known` one.

    `start` are prices of a like case, by rule and key. `Solved.way` says which way was taken.

    Raises NoPlanError when no plan keeps every row, SolverError when the time gives none.
    """
    if is_whole(choices, options):
        return replace(search(build_program(choices), options, progress, known), way=WHOLE)
    return search_priced(choices, options, progress, known, start)
