"""Half measures: whole work follows before the years that they bridge are over."""

import math
from collections.abc import Iterator

import pandas as pd

from bundler.judge.dates import CLOSE_DAYS, YEAR_DAYS, date_of
from bundler.judge.reading import Reading
from bundler.judge.verdict import Breach
from bundler.judge.works import Work, works_by_component


def restores(work: Work) -> bool:
    """Tell whether a work takes age away or brings a new design."""
    new = (work.action.new_life_years, work.action.new_shape_ratio)
    return work.action.restoration_share > 0 or not all(pd.isna(value) for value in new)


def _is_half(work: Work) -> bool:
    return not pd.isna(work.action.bridge_years)


def _whole_after(works: list[Work], half: Work) -> float:
    """Return when the first whole work after a half measure is done; infinite if never."""
    later = [work for work in works if work.period.effect > half.period.effect]
    whole = [work.finish for work in later if restores(work) and not _is_half(work)]
    return min(whole, default=math.inf)


def check_bridges(reading: Reading) -> Iterator[Breach]:
    """Hold that each half measure is followed in time, unless its component's life ends before."""
    planning = reading.site.settings.planning_date
    for name, works in works_by_component(reading.works).items():
        end = reading.site.ends[works[0].component.unit]
        for half in filter(_is_half, works):
            years = float(half.action.bridge_years)
            due = half.finish + years * YEAR_DAYS
            late = min(_whole_after(works, half), end) - due
            if late > CLOSE_DAYS:
                text = (
                    f"{half.name}: it bridges {years:g} years, to {date_of(planning, due)}; "
                    f"no whole work follows for {late:.0f} days more."
                )
                yield Breach("bridge", name, text, late)
