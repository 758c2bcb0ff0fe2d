"""Evidence that cannot be used, told at the place it comes from."""

from collections.abc import Callable, Iterator
from functools import lru_cache

from bundler.case import Case
from bundler.check import dates, indicators, lives, readings, references, works
from bundler.check.told import error
from bundler.errors import Finding
from bundler.life.evidence import EvidenceError, evidence, known_lives
from bundler.tables import rows

#: what holds for every piece of evidence, where its sentence does not say it
RULE = "a life has to follow from it"


def batches_in_doubt(case: Case) -> Iterator[Finding]:
    """A batch may be bad or good."""
    for row in rows(case["batches"]):
        if not 0 < row.bad_chance < 1:
            found, allowed = f"it is {row.bad_chance:g}", "a batch in doubt lies between 0 and 1"
            remedy = "Give the chance, or set life_years of its components instead."
            yield error("batches", row.file_row, "bad_chance", found, allowed, remedy)


def evidence_on_curves(case: Case) -> Iterator[Finding]:
    """Readings and batches speak of components whose curve has a life."""
    stepped = set(case["families"].loc[case["families"]["curve"] == "stepped", "family"])
    read = set(case["readings"]["component"])
    for row in rows(case["components"]):
        if row.family in stepped and (row.batch or row.component in read):
            found = (
                f"{row.component} has curve stepped and {'a batch' if row.batch else 'readings'}"
            )
            allowed = "only curves with a life can be moved by evidence"
            remedy = f"Choose another curve for {row.family}, or take the evidence out."
            yield error("components", row.file_row, "component", found, allowed, remedy)


#: checks of the tables that evidence is read from
OWN: tuple[Callable[[Case], Iterator[Finding]], ...] = (
    lives.lives_of_units,
    lives.lives_of_family,
    lives.lives_have_end,
    lives.lives_in_order,
    lives.failures_after_watch,
    lives.lives_by_planning,
    lives.records_can_move,
    lives.records_are_there,
    indicators.indicators_complete,
    indicators.limits_differ,
    indicators.tube_limits,
    indicators.tubes_on_weibull,
    indicators.grade_scales,
    indicators.rates_have_spread,
    readings.readings_of_family,
    readings.readings_by_planning,
    readings.grades_in_scale,
    readings.grades_get_no_better,
    readings.tube_shares,
    readings.profiles_whole,
    batches_in_doubt,
    evidence_on_curves,
)
#: what has to be in order before evidence can be looked at
BEFORE: tuple[Callable[[Case], Iterator[Finding]], ...] = (
    references.known_rows,
    references.known_units,
    dates.units_in_time,
    dates.renewals_past,
    works.life_parameters,
    *OWN,
)


@lru_cache(maxsize=4)
def is_sound(case: Case) -> bool:
    """Return whether the tables that evidence is read from hold together; computed once."""
    return not any(True for check in BEFORE for _ in check(case))


def _parts(why: str) -> tuple[str, str, str]:
    """Return what was found, what is allowed and what to do from the sentences of an error."""
    first, _, remedy = why.partition(". ")
    found, _, allowed = first.removesuffix(".").partition("; ")
    if not remedy and allowed:
        allowed, remedy = "", f"{allowed[0].upper()}{allowed[1:]}."
    return found, allowed or RULE, remedy or "Correct it, or take it out."


def _unusable(case: Case) -> Iterator[EvidenceError]:
    """Yield what keeps evidence from being used; nothing where the lives are known."""
    try:
        known_lives(case)
    except EvidenceError:
        yield from (each for each in evidence(case) if isinstance(each, EvidenceError))


def evidence_usable(case: Case) -> Iterator[Finding]:
    """A life follows from all evidence; what is wrong for many is told for the first."""
    told = set[tuple[str, str]]()
    for fault in _unusable(case) if is_sound(case) else ():
        table, row, column = fault.place
        words = fault.why.partition(": ")[2] if table == "readings" else fault.why
        if (table, words) not in told:
            told.add((table, words))
            yield error(table, row, column, *_parts(fault.why))
