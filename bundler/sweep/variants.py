"""The changed cases of a sweep, by name; what keeps one from being planned; the default ones."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from bundler.case import Case
from bundler.check import check_case
from bundler.errors import DataError, Finding
from bundler.sweep.changes import Change, changed, words
from bundler.sweep.keys import case_key
from bundler.tables import Column, dictionary

#: name of the plan without changes
BASE = "base"
#: ratios at which each assumption is tried if nobody says otherwise, one at a time; our choice
RATIOS = (0.8, 1.25)
#: what is tried at these ratios, and the weight of bad lives that is tried
TRIED = ("discount_rate", "day_value", "budgets", "crews", "lives")
WEIGHT = 0.5


@dataclass(frozen=True)
class Variant:
    """A changed case: its name and the changes that make it, in order."""

    name: str
    changes: tuple[Change, ...] = ()

    @property
    def words(self) -> str:
        """Return the changes in words."""
        return "; ".join(words(change) for change in self.changes)


def _outside(column: Column, values: Sequence[float]) -> list[float]:
    """Return the values that the dictionary does not allow."""
    low = float("-inf") if column.low is None else column.low
    high = float("inf") if column.high is None else column.high
    return [value for value in values if not (low <= value <= high or value != value)]


def _range(column: Column) -> str:
    high = "" if column.high is None else f" and at most {column.high:g}"
    return f"{column.low or 0:g} or more{high} is allowed"


def _out_of_range(base: Case, case: Case) -> Iterator[Finding]:
    """Yield the first value of each changed column that is out of its range."""
    remedy = "Give another ratio or value."
    for column in dictionary()["settings"]:
        value = getattr(case.settings, column.column)
        is_new = value != getattr(base.settings, column.column)
        if is_new and _outside(column, [value]):
            found = f"{value:g} is out of range"
            yield Finding("station.yaml", 0, column.column, found, _range(column), remedy)
    for table in sorted(case.tables):
        if case[table] is base[table]:
            continue
        for column in dictionary()[table]:
            values = case[table][column.column]
            bad = _outside(column, list(values)) if column.low is not None else []
            if bad:
                row = int(case[table].loc[values == bad[0], "file_row"].iloc[0])
                found = f"{bad[0]:g} is out of range"
                yield Finding(f"{table}.csv", row, column.column, found, _range(column), remedy)


def refused(base: Case, variant: Variant) -> list[Finding]:
    """Return what keeps a changed case from being planned, with the name of the run; [] if nothing.

    Values outside the dictionary's ranges, then everything that a station's tables are checked for.
    """
    case = changed(base, variant.changes)
    found = list(_out_of_range(base, case))
    if not found:
        found = [finding for finding in check_case(case) if finding.level == "error"]
    return [replace(each, table=f"run {variant.name}: {each.table}") for each in found]


def check_variants(base: Case, variants: Sequence[Variant]) -> None:
    """Raise DataError with everything that keeps any of the changed cases from being planned."""
    found = [finding for variant in variants for finding in refused(base, variant)]
    if found:
        raise DataError(found)


def default_variants(base: Case) -> tuple[tuple[Variant, ...], dict[str, str]]:
    """Return the sweep for those who name none, and why some of it is left out, by name.

    Each assumption alone at each of `RATIOS`, then the weight of bad lives.
    """
    tried = [
        Variant(f"{what}-{ratio:g}", (Change(what, ratio=ratio),))
        for what in TRIED
        for ratio in RATIOS
    ]
    kept: list[Variant] = []
    left: dict[str, str] = {}
    own = case_key(base)
    for variant in tried:
        found = refused(base, variant)
        if case_key(changed(base, variant.changes)) == own:
            left[variant.name] = "the station has nothing to change there, or it is 0"
        elif found:
            left[variant.name] = found[0].sentence
        else:
            kept.append(variant)
    return (*kept, Variant(f"tail-{WEIGHT:g}", (Change("tail", value=WEIGHT),))), left
