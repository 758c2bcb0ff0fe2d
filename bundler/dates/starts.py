"""An outage at one of its possible starts, and the days in which it can share another."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import pandas as pd

from bundler.calendar import spans
from bundler.case import Case
from bundler.intervals import Stretch, Stretches, union
from bundler.tables import rows


@dataclass(frozen=True)
class Start:
    """An outage at one of its possible starts; all days are counted from the planning date.

    `shared` holds the days on which a station-wide outage costs its unit nothing, `barred` those
    on which none may fall; both are empty until `with_spans` has filled them.
    """

    outage: str
    unit: str
    kind: str
    side: str
    drawn_days: float
    start_days: float
    end_days: float
    due_days: float
    shared: Stretches = ()
    barred: Stretches = ()

    @property
    def stretch(self) -> Stretch:
        """First day, and the day of the return to service."""
        return self.start_days, self.end_days

    @property
    def is_drawn(self) -> bool:
        """Whether this is the start in the table of outages."""
        return self.start_days == self.drawn_days


def at(start: Start, day: float) -> Start:
    """Return the outage at another first day, its spans not yet known."""
    length = start.end_days - start.start_days
    return replace(start, start_days=day, end_days=day + length, shared=(), barred=())


def _windows(case: Case, names: Mapping[Start, str]) -> pd.DataFrame:
    """Return the windows of the conditions asked for; rows of one outage once for each start."""
    kinds, windows = case["outage_kinds"], case["windows"]
    asked = set(kinds["shared_condition"]) | set(kinds["barred_condition"])
    windows = windows[windows["condition"].isin(asked)]
    pairs = pd.DataFrame(
        [(start.outage, name) for start, name in names.items()], columns=["outage", "name"]
    )
    own = windows.merge(pairs, on="outage").drop(columns="outage")
    own = own.rename(columns={"name": "outage"})[windows.columns]
    return pd.concat([windows[windows["outage"] == ""], own], ignore_index=True)


def _held(case: Case, names: Mapping[Start, str]) -> dict[tuple[str, str], Stretches]:
    """Return by start and condition the days on which it holds, by the rules of the calendar."""
    facts = [(name, s.kind, s.side, s.start_days, s.end_days) for s, name in names.items()]
    periods = pd.DataFrame(facts, columns=["period", "kind", "side", "start_days", "end_days"])
    tables = {**case.tables, "windows": _windows(case, names)}
    found: dict[tuple[str, str], list[Stretch]] = {}
    for row in rows(spans(replace(case, tables=tables), periods)):
        found.setdefault((row.period, row.condition), []).append((row.start_days, row.end_days))
    return {key: union(parts) for key, parts in found.items()}


def with_spans(case: Case, starts: Iterable[Start]) -> dict[Start, Start]:
    """Return each start with the days on which the two conditions of its kind hold."""
    names = {start: str(number) for number, start in enumerate(dict.fromkeys(starts))}
    held = _held(case, names) if names else {}
    kinds = {row.kind: row for row in rows(case["outage_kinds"])}
    return {
        start: replace(
            start,
            shared=held.get((name, kinds[start.kind].shared_condition), ()),
            barred=held.get((name, kinds[start.kind].barred_condition), ()),
        )
        for start, name in names.items()
    }
