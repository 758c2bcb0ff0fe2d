"""Demos that cannot be planned: each is told in at most six lines, with who may move what."""

from collections.abc import Sequence
from pathlib import Path

from bundler.choice import lean
from bundler.clash import told
from bundler.compose import choices_of
from bundler.errors import NoPlanError
from bundler.run import load_case
from tests.end_to_end.test_demo import edited

NOT_ALLOWED = "NOT ALLOWED, shown only to tell how far it is: the nearest plan breaks "


def pinned(
    folder: Path, works: Sequence[str], who: str = "asset manager", rule: str = "in"
) -> Path:
    """Force works ("component,action,outage") into their outages, or out of them."""
    with (folder / "pins.csv").open("a", encoding="utf-8") as pins:
        pins.writelines(f"{work},{rule},{who},as drawn\n" for work in works)
    return folder


def explained(folder: Path) -> list[str]:
    """Return the lines that tell why a station cannot be planned."""
    case, _ = load_case(folder)
    try:
        text = told(case, lean(choices_of(case)[0]))
    except NoPlanError as fault:
        text = str(fault)
    lines = text.splitlines()
    assert 1 <= len(lines) <= 6
    assert all(len(line) < 260 for line in lines), lines
    assert lines[0].startswith("No plan keeps every rule: ")
    return lines


def test_three_rotors_in_series(tmp_path: Path) -> None:
    """70 d each one after the other, 154 d from delivery to the end of the window, 30 d more at
    most: 210 - 154 - 30 = 26 d, 17 % of 154. What counts as the same work is pinned out."""
    folder = edited(tmp_path, "pins", {}, "component")
    others = ("replace_expedited", "replace_two_cranes")
    pinned(folder, [f"Q1-TG-LP-{n},{w},M1" for n in (1, 2, 3) for w in others], rule="out")
    lines = explained(pinned(folder, [f"Q1-TG-LP-{n},replace,M1" for n in (1, 2, 3)]))
    assert "forced works alone exceed the days for chain lifts in M1." in lines[0]
    names = "Q1-TG-LP-1, Q1-TG-LP-2 and Q1-TG-LP-3"
    assert lines[1] == (
        f"Pinned: replace of {names} in M1 by the asset manager: as drawn; replace_expedited and "
        f"replace_two_cranes of {names} kept out of M1 by the asset manager."
    )
    assert lines[2] == (
        "What binds: days for chain lifts in M1: 210 d needed, 154 d there, 56 d missing, "
        "26 d even with 30 d of extension."
    )
    assert lines[3] == "The asset manager may take out a pin or lengthen M1."
    assert lines[4].startswith(f"{NOT_ALLOWED}days for chain lifts in M1 by 26 d (17%); it would ")
    assert lines[4].endswith(" million $ in present value.")


def test_boilermakers_of_one_outage(tmp_path: Path) -> None:
    """Ten heaters, two bundles, two half condensers with their boxes, and 26 heads: the smallest
    clash leaves out what would fit, the nearest plan counts all."""
    folder = edited(tmp_path, "pins", {}, "component")
    path = folder / "crews.csv"
    text = path.read_text(encoding="utf-8")
    assert "B,mid_life,30," in text
    path.write_text(text.replace("B,mid_life,30,", "B,mid_life,26,"), encoding="utf-8")
    heaters = [f"Q1-FWH-N-{n},replace,M1" for n in range(1, 7)]
    heaters += [f"Q1-FWH-HP-{n},replace,M1" for n in range(1, 5)]
    halves = [f"Q1-CON-{work},M1" for n in "AB" for work in (f"TUB-{n},retube", f"WBX-{n},recoat")]
    pinned(folder, heaters, "outage scoper")
    lines = explained(pinned(folder, [*halves, *(f"Q1-MSR-BUN-{n},replace,M1" for n in (1, 2))]))
    assert "exceed the boilermaker hours in M1" in lines[0]
    assert "by the asset manager" in lines[1] and "in M1 by the outage scoper" in lines[1]
    assert "What binds: boilermaker hours in M1" in lines[2]
    assert "d of extension and all overtime" in lines[2]
    assert lines[3] == (
        "The asset manager may take out a pin or lengthen M1; the outage scoper may take out a "
        "pin or add heads."
    )
    assert lines[4].startswith(f"{NOT_ALLOWED}boilermaker hours in M1")


def test_both_diesels_at_once_are_never_given_up(tmp_path: Path) -> None:
    """Windows of both trains drawn over the same 50 d, two overhauls of 40 d."""
    folder = edited(tmp_path, "pins", {}, "component")
    with (folder / "windows.csv").open("a", encoding="utf-8") as windows:
        windows.writelines(f"mid_life,E{side},M1,,start,160,start,210,\n" for side in "AB")
    lines = explained(pinned(folder, [f"Q1-EDG-{side},major_overhaul,M1" for side in "AB"]))
    assert "2 of " in lines[0]
    assert lines[1].startswith("Pinned: major_overhaul of Q1-EDG-A and Q1-EDG-B in M1 by the ")
    assert "never given up" in lines[2]
    assert lines[3] == "The asset manager may take out a pin; nobody may move the rest."
    assert lines[4].startswith("There is no nearest plan either")
    assert not any("NOT ALLOWED" in line for line in lines)


def test_the_money_of_one_year(tmp_path: Path) -> None:
    """Orders and progress payments for M1 fall in 2029, whose budget is cut to 12 million."""
    folder = edited(tmp_path, "budgets", {"2029": {"limit_cost": "12000"}}, "year")
    works = ["Q1-MOT,replace,M1", "Q2-MOT,replace,M2"]
    works += [f"Q1-CON-TUB-{side},retube,M1" for side in "AB"]
    lines = explained(pinned(folder, works))
    assert "exceed the budget in 2029" in lines[0]
    assert "12,000 k$ there" in lines[2]
    assert "asset manager may take out a pin or raise the budget" in lines[3]
    assert lines[4].startswith(f"{NOT_ALLOWED}budget in 2029 by ")


def test_a_statutory_date_against_the_dose_of_outages(tmp_path: Path) -> None:
    """Safety valves are exchanged every five years for 1 person-mSv; 0.8 are there."""
    change = {"planned": {"dose_limit_person_msv": "0.8"}}
    lines = explained(edited(tmp_path, "outage_kinds", change, "kind"))
    assert "exceeds the dose in P" in lines[0]
    assert lines[1].startswith("Never given up: Q")
    assert "with its grace of 90 d, then every 60 months" in lines[1]
    assert "1 person-mSv needed, 0.8 person-mSv there" in lines[2]
    assert lines[3].startswith("The asset manager may raise the dose budget of P")
    assert lines[4].startswith(f"{NOT_ALLOWED}dose in P")


def test_a_statutory_date_before_any_window(tmp_path: Path) -> None:
    """Due in 2027 with 90 d of grace; the first window after that opens in April 2028."""
    change = {"Q1-MS-SRV": {"due_date": "2027-12-31"}}
    lines = explained(edited(tmp_path, "mandates", change, "component"))
    assert len(lines) == 1
    assert "Q1-MS-SRV: no choice of works keeps its statutory dates" in lines[0]
    assert "first due 2028-03-30" in lines[0]
