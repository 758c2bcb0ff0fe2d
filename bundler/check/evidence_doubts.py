"""Evidence that is allowed but looks wrong: notes, never errors."""

from collections.abc import Iterator

import pandas as pd

from bundler.case import Case
from bundler.check.evidence import is_sound
from bundler.check.told import note
from bundler.errors import Finding
from bundler.life.evidence import EvidenceError, Known, known_lives, readings_of
from bundler.life.given import given_lives
from bundler.life.grade_reading import scale_direction
from bundler.tables import rows

#: how the words of a life begin that its records contradict
CONTRADICTS = "records: The record contradicts the prior: "


def evidence_twice(case: Case) -> Iterator[Finding]:
    """What moves the age by hand may be what the readings or records tell already."""
    read = set(case["readings"]["component"])
    families = case["families"]
    recorded = set(families.loc[families["life_from"] == "records", "family"])
    parts = case["components"]
    for row in rows(parts[parts["age_ratio"] != 1]):
        if row.component in read or row.family in recorded:
            other = "readings" if row.component in read else "records of its family"
            found = f"{row.component} has an age ratio of {row.age_ratio:g} and {other}"
            allowed = "the same evidence may count twice"
            remedy = "Empty the cell if the ratio stands for what they tell."
            yield note("components", row.file_row, "age_ratio", found, allowed, remedy)


def _grades(case: Case) -> pd.DataFrame:
    """Return the grades read in the present life of components, with their ages."""
    table = readings_of(case, given_lives(case))
    models = case["indicators"].set_index("indicator")["model"]
    return table[(table["indicator"].map(models) == "grade") & (table["age_years"] >= 0)]


def inspectors_rise(case: Case) -> Iterator[Finding]:
    """The grades of an inspector rise with age, 1 being the best."""
    if not is_sound(case):
        return
    for indicator, read in _grades(case).groupby("indicator"):
        found_by = scale_direction(
            list(read["inspector"]), read["reading_value"], read["age_years"]
        )
        for row in rows(found_by[found_by["is_doubted"]]):
            own = read[read["inspector"] == row.inspector]
            who = row.inspector or "an inspector without a name"
            found = f"{row.readings_count} grades of {indicator} by {who} fall with age"
            allowed = (
                f"grades rise with age, and {row.luck_chance:.2g} is the chance of this by luck"
            )
            remedy = "Ask whether the best grade was counted as the worst."
            yield note("readings", int(own["file_row"].min()), "inspector", found, allowed, remedy)


def _known(case: Case) -> dict[str, Known]:
    """Return the known lives of a case; none where its evidence cannot be used."""
    try:
        return known_lives(case) if is_sound(case) else {}
    except EvidenceError:
        return {}


def records_agree(case: Case) -> Iterator[Finding]:
    """Records and the life given for a family agree."""
    known, told = _known(case), set[tuple[str, str]]()
    place = dict(zip(case["families"]["family"], case["families"]["file_row"], strict=True))
    for row in rows(case["components"]):
        words = known[row.component].words if known else ""
        found = f"in {row.unit} {words.removeprefix(CONTRADICTS).partition('. ')[0]}"
        if words.startswith(CONTRADICTS) and (row.family, found) not in told:
            told.add((row.family, found))
            allowed = "a record moves a life by less than two of its spreads"
            remedy = "Check the life and the record before either is used."
            yield note("families", place[row.family], "life_years", found, allowed, remedy)
