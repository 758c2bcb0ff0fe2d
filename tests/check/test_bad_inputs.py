"""Every kind of bad input gives its full sentence, and no kind of finding is without one."""

import re
from pathlib import Path

import pytest

from bundler.check import CHECKS, check_case
from bundler.errors import DataError, Finding
from bundler.read.folder import read_case
from bundler.read.slips import SLIPS
from tests.check.bad import Bad
from tests.check.bad_cells import BAD_CELLS
from tests.check.bad_conditions import BAD_CONDITIONS
from tests.check.bad_dates import BAD_DATES
from tests.check.bad_doubts import BAD_DOUBTS
from tests.check.bad_evidence import BAD_EVIDENCE
from tests.check.bad_files import BAD_FILES
from tests.check.bad_groups import BAD_GROUPS
from tests.check.bad_levelled import BAD_LEVELLED
from tests.check.bad_links import BAD_LINKS
from tests.check.bad_lives import BAD_LIVES
from tests.check.bad_outage_dates import BAD_OUTAGE_DATES
from tests.check.bad_outages import BAD_OUTAGES
from tests.check.bad_pins import BAD_PINS
from tests.check.bad_readings import BAD_READINGS
from tests.check.bad_references import BAD_REFERENCES
from tests.check.bad_settings import BAD_SETTINGS
from tests.check.bad_stocks import BAD_STOCKS
from tests.check.bad_supplies import BAD_SUPPLIES
from tests.check.bad_works import BAD_WORKS
from tests.read.pen import Pen

UNREADABLE = [*BAD_FILES, *BAD_CELLS, *BAD_SETTINGS]
SENSELESS = [
    *BAD_REFERENCES, *BAD_DATES, *BAD_OUTAGES, *BAD_OUTAGE_DATES, *BAD_WORKS, *BAD_PINS, *BAD_DOUBTS,
    *BAD_LIVES, *BAD_READINGS, *BAD_EVIDENCE, *BAD_CONDITIONS, *BAD_GROUPS, *BAD_LINKS, *BAD_STOCKS, *BAD_SUPPLIES, *BAD_LEVELLED,
]  # fmt: skip
BAD_INPUTS = [*UNREADABLE, *SENSELESS]
CHECK_NAMES = {check.__name__: check for check in CHECKS}


def found_in(folder: Path) -> list[Finding]:
    """Return the findings of reading or, where all could be read, of the checks."""
    try:
        return check_case(read_case(folder))
    except DataError as fault:
        return list(fault.findings)


def told(finding: Finding) -> str:
    return ("note: " if finding.level == "note" else "") + finding.sentence


def name_of(bad: Bad) -> str:
    return bad.kind.replace(" ", "-")


@pytest.mark.parametrize("bad", BAD_INPUTS, ids=name_of)
def test_bad_input_is_told_in_full(bad: Bad, edit: Pen) -> None:
    bad.spoil(edit)
    assert [told(finding) for finding in found_in(edit.folder)] == list(bad.sentences)


@pytest.mark.parametrize("bad", UNREADABLE, ids=name_of)
def test_example_of_reading_is_of_its_kind(bad: Bad) -> None:
    """One of its sentences is made from the words of that kind."""
    slip = SLIPS[bad.kind]
    words = re.escape(f": {slip.found}; {slip.allowed}. {slip.remedy}")
    pattern = re.sub(r"\\\{[^{}]*\\\}", ".*", words)
    assert any(re.search(pattern + "$", sentence) for sentence in bad.sentences)


@pytest.mark.parametrize("bad", SENSELESS, ids=name_of)
def test_example_of_a_check_is_found_by_it(bad: Bad, edit: Pen) -> None:
    bad.spoil(edit)
    own = [told(finding) for finding in CHECK_NAMES[bad.kind](read_case(edit.folder))]
    assert own
    assert set(own) <= set(bad.sentences)


def test_no_kind_of_finding_is_without_a_bad_input() -> None:
    assert {bad.kind for bad in UNREADABLE} | {"no folder"} == set(SLIPS)
    assert {bad.kind for bad in SENSELESS} == set(CHECK_NAMES)
    assert len(BAD_INPUTS) >= 45


def test_missing_folder_is_told(tmp_path: Path) -> None:
    [finding] = found_in(tmp_path / "nowhere")
    assert finding.sentence == (
        f"{tmp_path / 'nowhere'}: there is no such folder; "
        "a station is a folder with station.yaml and its tables. Give the path of that folder."
    )


def test_all_of_reading_is_told_at_once(edit: Pen) -> None:
    edit.setting("price_year", "soon")
    edit.cell("units", 2, "capacity_mw", "-1")
    edit.cell("actions", 3, "days", "")
    edit.cell("actions", 4, "cost", "free")
    edit.path("conditions").unlink()
    places = [finding.place for finding in found_in(edit.folder)]
    assert places == [
        "actions.csv row 3, days",
        "actions.csv row 4, cost",
        "conditions.csv",
        "station.yaml row 5, price_year",
        "units.csv row 2, capacity_mw",
    ]


def test_all_of_the_checks_is_told_at_once_errors_first(edit: Pen) -> None:
    edit.setting("price_year", "2030")
    edit.cell("families", 3, "area", "TX")
    edit.cell("outages", 3, "freeze_date", "2034-01-01")
    edit.cell("components", 3, "renewed_date", "2040-01-01")
    edit.drop_row("budgets", 3)
    found = found_in(edit.folder)
    assert [(finding.level, finding.place) for finding in found] == [
        ("error", "components.csv row 3, renewed_date"),
        ("error", "families.csv row 3, area"),
        ("error", "outages.csv row 3, freeze_date"),
        ("error", "station.yaml, price_year"),
        ("note", "budgets.csv, year"),
    ]


def test_a_sentence_stays_short_and_printable(edit: Pen) -> None:
    edit.cell("components", 2, "component", "\x1b[2J" + "x" * 5000)
    [finding] = found_in(edit.folder)
    assert finding.sentence.isprintable()
    assert len(finding.sentence) < 300


def test_tiny_has_neither_errors_nor_notes(edit: Pen) -> None:
    assert found_in(edit.folder) == []


def test_correlations_may_add_up_to_one(edit: Pen) -> None:
    edit.setting("system_correlation", "0.9")
    edit.setting("cause_correlation", "0.1")
    assert found_in(edit.folder) == []


def test_demo_has_no_errors(demo_folder: Path) -> None:
    found = found_in(demo_folder)
    assert [finding.sentence for finding in found if finding.level == "error"] == []
