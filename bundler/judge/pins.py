"""What people have decided: works forced in, forced out, held in one outage."""

from collections.abc import Iterator
from typing import Any

from bundler.judge.reading import Reading
from bundler.judge.site import Site
from bundler.judge.verdict import Breach
from bundler.judge.works import Work
from bundler.tables import rows


def counts_as(work: Work, action: str) -> bool:
    """Tell whether a work is of a kind, or like it; "" is any."""
    return action in ("", work.action.action) or (bool(action) and action == work.action.like)


def _names(row: Any, work: Work) -> bool:
    return row.component == work.component.component and counts_as(work, row.action)


def is_forced_in(site: Site, work: Work) -> bool:
    """Tell whether a person has forced a work into its very outage."""
    return any(
        row.rule == "in" and row.outage == work.period.name and _names(row, work)
        for row in rows(site.case["pins"])
    )


def is_forced_out(site: Site, work: Work) -> bool:
    """Tell whether a person has forced a work out of its outage."""
    for row in rows(site.case["pins"]):
        is_there = row.outage in ("", work.period.name)
        if row.rule != "in" and _names(row, work) and is_there == (row.rule == "out"):
            return True
    return False


def check_pins(reading: Reading) -> Iterator[Breach]:
    """Hold what people have decided."""
    for row in rows(reading.site.case["pins"]):
        own = [work for work in reading.works if _names(row, work)]
        here = sum(row.outage in ("", work.period.name) for work in own)
        place = f"{row.component} {row.action} {row.outage}".strip()
        if row.rule == "only":
            away = len(own) - here
            if away:
                text = f"{place}: held there by {row.who}, but {away} such works are elsewhere."
                yield Breach("pin", place, text, float(away))
        elif (row.rule == "in") != (here > 0):
            text = f"{place}: pinned {row.rule} by {row.who}, but {here} such works are planned."
            yield Breach("pin", place, text, float(max(here, 1)))
