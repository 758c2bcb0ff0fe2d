"""What each component may do: every course that keeps its dates, bridges, cap and pins."""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from bundler.calendar import date_at
from bundler.case import Case
from bundler.choice import IntArray
from bundler.courses.capped import Worst, keeps, worst_of
from bundler.courses.costing import Costing
from bundler.courses.lives import works_of
from bundler.courses.pins import hits, keep_pinned, reason_of
from bundler.courses.rules import Due, bridge_rules, due_dates, due_rules
from bundler.courses.sequences import DueRule, all_sequences
from bundler.tables import rows


@dataclass(frozen=True)
class Asked:
    """What law and people ask of each component, by its name: due dates and pins."""

    case: Case
    dues: dict[str, list[Due]]
    pins: dict[str, pd.DataFrame]


def asked(case: Case, parts: pd.DataFrame) -> Asked:
    """Return what is asked of the described components."""
    pins = {str(name): own for name, own in case["pins"].groupby("component")}
    return Asked(case, due_dates(case, parts), pins)


@dataclass
class Kept:
    """The courses of one component after each rule in turn, and what the rules left out.

    steps : the courses that keep every rule so far; barred : placements that no course holds any
    more, as rows of what is ruled out; stuck : why there is no course at all, "" where there is.
    """

    asked: Asked
    part: pd.Series
    own: pd.DataFrame
    steps: IntArray
    barred: list[pd.DataFrame] = field(default_factory=list)
    stuck: str = ""

    @property
    def name(self) -> str:
        """The component."""
        return str(self.part["component"])

    @property
    def pins(self) -> pd.DataFrame:
        """The pins of the component."""
        return self.asked.pins.get(self.name, self.asked.case["pins"].iloc[:0])

    def narrow(self, steps: IntArray, reason: str, detail: str) -> None:
        """Go on with fewer courses, and tell which placements are in none of them any more."""
        numbers = np.arange(len(self.own))
        left = np.isin(numbers, steps)
        gone = np.isin(numbers, self.steps) & ~left
        if gone.any():
            told = _told(self.asked.case, self.own[gone], self.own[left])
            self.barred.append(told.assign(reason=reason, detail=detail))
        self.steps = steps


def _told(case: Case, gone: pd.DataFrame, left: pd.DataFrame) -> pd.DataFrame:
    """Return placements as rows of what is ruled out, with when the same action is possible."""
    first = left.groupby("action")["start_days"].min()
    dates = {action: date_at(case, days).isoformat() for action, days in first.items()}
    earliest = [dates.get(action, "") for action in gone["action"]]
    out = gone[["component", "action", "period"]]
    return out.assign(ready_date="", earliest_date=earliest, offer="")


def _sequences(kept: Kept, rules: tuple[DueRule, ...]) -> IntArray:
    """Return every choice of works of a component that keeps some due rules."""
    return all_sequences(
        kept.own["effect_days"].to_numpy(),
        kept.own["done_days"].to_numpy(),
        most=int(kept.part["most_works"]),
        rules=rules,
        end_days=float(kept.part["end_days"]),
    )


def _keep_dates(kept: Kept) -> None:
    """Keep the courses that keep statutory dates and a qualified age, then what bridges ask."""
    dues = due_rules(kept.asked.dues.get(kept.name, []), kept.own)
    bridges = bridge_rules(kept.own)
    if dues:
        first = date_at(kept.asked.case, min(rule.first_due_days for rule in dues))
        told = f"no course with it keeps every due date, first {first}"
        kept.narrow(_sequences(kept, dues), "statutory date", told)
        if len(kept.steps) == 0:
            kept.stuck = _no_dates(kept, f"first due {first}")
            return
    if bridges:
        told = "no whole work can follow it before the years that it bridges are over"
        kept.narrow(_sequences(kept, (*dues, *bridges)), "bridge", told)
        if len(kept.steps) == 0:
            kept.stuck = _no_dates(kept, "with whole work after each half measure in time")


def _no_dates(kept: Kept, when: str) -> str:
    """Return the sentence for a component that cannot keep its dates."""
    away = kept.pins[kept.pins["rule"] != "in"]["file_row"]
    named = ", ".join(str(row) for row in away)
    pins = f", or take out what pins.csv forces out in row {named}" if named else ""
    return (
        f"{kept.name}: no choice of works keeps its statutory dates and age limit, "
        f"{when}. These are never given up: give it a window in time, or correct the date in "
        f"mandates.csv or families.csv{pins}."
    )


def worst_of_courses(costing: Costing, kept: Kept) -> Worst:
    """Return the most failures in a year of each course that a component has left."""
    sight = costing.own_sight(kept.part)
    works = works_of(costing.case, kept.part, kept.own, sight.grid_years)
    return worst_of(sight, works, kept.steps, kept.own)


def _keep_cap(kept: Kept, costing: Costing) -> None:
    """Keep the courses whose failures in a year never exceed the cap of the family."""
    cap = float(kept.part["most_failures_per_year"])
    if np.isnan(cap):
        return
    worst = worst_of_courses(costing, kept)
    told = f"no course with it keeps the cap of {cap:g} expected failures a year"
    kept.narrow(kept.steps[keeps(worst, cap)], "risk cap", told)
    if len(kept.steps) == 0:
        best = int(worst.failures_per_year.argmin())
        year = date_at(kept.asked.case, float(worst.from_days[best])).year
        kept.stuck = (
            f"{kept.name}: no choice of works keeps most_failures_per_year {cap:g} of its family; "
            f"the best reaches {worst.failures_per_year[best]:.3g} in the year from {year}. "
            "Give it a window in time, or raise the cap in families.csv."
        )


def _keep_pins(kept: Kept, out: pd.DataFrame) -> None:
    """Keep the courses that hold every work forced in."""
    forced = kept.pins[kept.pins["rule"] == "in"]
    if forced.empty:
        return
    told = "; ".join(reason_of(pin) for pin in rows(forced))
    before = len(kept.barred)
    kept.narrow(keep_pinned(kept.steps, forced, kept.own), "lock", told)
    if len(kept.steps) == 0:
        out = pd.concat([out[out["component"] == kept.name], *kept.barred[:before]])
        named = "; ".join(_unheld(kept, out))
        who = " or the ".join(sorted(set(forced["who"])))
        kept.stuck = (
            f"{kept.name}: no choice of works keeps {named}. "
            f"The {who} may correct or take out the pin."
        )


def _unheld(kept: Kept, out: pd.DataFrame) -> Iterator[str]:
    """Yield each work forced in with what stands against it; `out` is what is ruled out."""
    actions = kept.asked.case["actions"]
    family = actions[actions["family"] == kept.part["family"]][["action", "like"]]
    out = out.merge(family, on="action", how="left")
    for pin in rows(kept.pins[kept.pins["rule"] == "in"]):
        against = out[hits(pin, out)]["detail"]
        because = f", because: {against.iloc[0]}" if len(against) else ""
        work = f"{pin.action} {pin.outage}".strip() or "any work"
        yield f"pins.csv row {pin.file_row} ({work}){because}"


def kept_courses(
    asked: Asked, costing: Costing, part: pd.Series, own: pd.DataFrame, out: pd.DataFrame
) -> Kept:
    """Return the courses of a described component that keep its dates, bridges, cap and pins.

    `own` are its placements and `out` what is ruled out already, of all components.
    """
    kept = Kept(asked, part, own, np.zeros((0, 0), dtype=np.int64))
    kept.steps = _sequences(kept, ())
    _keep_dates(kept)
    if not kept.stuck:
        _keep_cap(kept, costing)
    if not kept.stuck:
        _keep_pins(kept, out)
    return kept


def is_agreed(case: Case, placed: pd.DataFrame) -> np.ndarray:
    """Return which placements are works of the plan agreed before."""
    names = ["component", "action", "outage"]
    agreed = set(case["agreed"][names].itertuples(index=False, name=None))
    works = placed[["component", "action", "period"]].itertuples(index=False, name=None)
    return np.array([work in agreed for work in works], dtype=bool)
