"""Why works are forced in, in words: pins with who decided them, dates, ages and caps."""

from collections.abc import Iterable, Iterator

import pandas as pd

from bundler.case import Case
from bundler.tables import rows

#: names that a line tells before it counts the others, and the longest reason; our choice
MOST_NAMED, LONGEST_REASON = 3, 90


def listed(names: Iterable[str], most: int = MOST_NAMED) -> str:
    """Return names as words: the first few, and how many more."""
    every = list(names)
    if len(every) > most:
        return f"{', '.join(every[:most])} and {len(every) - most} more"
    return " and ".join([", ".join(every[:-1]), every[-1]] if len(every) > 1 else every)


def because(reason: str, most: int = LONGEST_REASON) -> str:
    """Return a reason in words, if there is one and it is short."""
    return f": {reason}" if 0 < len(reason) <= most else ""


def pins_of(case: Case, components: Iterable[str], *, is_in: bool) -> pd.DataFrame:
    """Return the pins of some components that force work in, or those that keep it away."""
    pins = case["pins"]
    return pins[pins["component"].isin(list(components)) & ((pins["rule"] == "in") == is_in)]


def pin_words(case: Case, components: Iterable[str]) -> Iterator[str]:
    """Yield the works forced in by pins, those of one person and outage together."""
    pins = pins_of(case, components, is_in=True)
    groups = list(pins.groupby(["who", "outage"], sort=True))
    for (who, outage), own in groups:
        named = listed(own["component"], MOST_NAMED if len(groups) == 1 else MOST_NAMED - 1)
        actions, reasons = set(own["action"]), set(own["why"])
        where = f" in {outage}" if outage else ""
        work = f"{min(actions) or 'any work'} of {named}{where}"
        if len(actions) > 1:
            work = f"{len(own)} works{where} ({named})"
        reason = because(min(reasons), most=40) if len(reasons) == 1 else ""
        yield f"{work} by the {who}{reason}"


def away_words(case: Case, components: Iterable[str]) -> Iterator[str]:
    """Yield the works that pins keep out of outages, those of one person and outage together."""
    pins = pins_of(case, components, is_in=False)
    for (who, rule, outage), own in pins.groupby(["who", "rule", "outage"], sort=True):
        works = listed(sorted({action or "any work" for action in own["action"]}))
        where = f" {'but in' if rule == 'only' else 'of'} {outage}" if outage else ""
        named = listed(sorted(set(own["component"])))
        yield f"{works} of {named} kept out{where} by the {who}"


def _dated(case: Case, names: list[str]) -> Iterator[tuple[str, str]]:
    """Yield each component with a statutory date, and the date with its reason."""
    mandates = case["mandates"]
    for row in rows(mandates[mandates["component"].isin(names)]):
        last = (row.due_date + pd.Timedelta(days=row.grace_days)).date()
        grace = f" with its grace of {row.grace_days:.0f} d" if row.grace_days else ""
        again = row.interval_months
        every = "" if pd.isna(again) else f", then every {again:.0f} months"
        yield row.component, f"due {last}{grace}{every}{because(row.why)}"


def _aged(case: Case, names: list[str]) -> Iterator[tuple[str, str]]:
    """Yield each component whose family has an age limit or a cap on failures, and which."""
    parts = case["components"][["component", "family"]].merge(case["families"], on="family")
    for row in rows(parts[parts["component"].isin(names)]):
        if not pd.isna(row.age_limit_years):
            yield row.component, f"qualified for {row.age_limit_years:g} years only"
        if not pd.isna(row.most_failures_per_year):
            yield row.component, f"allowed {row.most_failures_per_year:g} failures a year at most"


def date_words(case: Case, components: Iterable[str]) -> Iterator[str]:
    """Yield the works forced in by dates, ages and caps, equal ones together."""
    names = list(components)
    told = set(pins_of(case, names, is_in=True)["component"])
    unpinned = [name for name in names if name not in told]
    found: dict[str, list[str]] = {}
    for component, reason in [*_dated(case, names), *_aged(case, unpinned)]:
        found.setdefault(reason, []).append(component)
        told.add(component)
    rest = [name for name in names if name not in told]
    if rest:
        found["not possible without work"] = rest
    for reason, own in found.items():
        yield f"{listed(own)} {reason}"
