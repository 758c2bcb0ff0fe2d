"""All that binds the placements of a case, as rows."""

from dataclasses import dataclass

import pandas as pd

from bundler.case import Case
from bundler.limits import access as access_sets
from bundler.limits.agreed import agreed_rows, tied
from bundler.limits.areas import area_limits
from bundler.limits.chains import chain_limits
from bundler.limits.crews import crew_limits, overtimes, pool_limits
from bundler.limits.dose import dose_limits, person_dose_limits
from bundler.limits.engineering import engineering_limits
from bundler.limits.levelled import levelled_limits
from bundler.limits.links import link_rows
from bundler.limits.money import budget_limits
from bundler.limits.out_together import out_together_limits
from bundler.limits.rows import LimitRows, joined
from bundler.limits.stocks import stock_limits
from bundler.limits.supplies import supply_limits
from bundler.limits.windows import period_windows


@dataclass(frozen=True)
class Binding:
    """Limits with their uses, access sets, overtime bands and link rules."""

    rows: LimitRows
    access: pd.DataFrame
    access_members: pd.DataFrame
    overtimes: pd.DataFrame
    links: pd.DataFrame
    link_terms: pd.DataFrame


def build_limits(
    case: Case, placements: pd.DataFrame, payments: pd.DataFrame, fits: pd.DataFrame,
    periods: pd.DataFrame,
) -> Binding:  # fmt: skip
    """Return everything that limits or ties the placements; `fits` as in `courses`."""
    members = access_sets.access_members(case, placements)
    sets = access_sets.access(case, members, fits, periods)
    windows = period_windows(placements, periods)
    given = sets[~sets["is_given"]]
    parts = [
        crew_limits(case, placements, given, windows, periods),
        pool_limits(case, placements, given, periods),
        area_limits(case, placements, given, windows, periods),
        supply_limits(case, placements, windows, periods),
        engineering_limits(case, placements),
        dose_limits(placements, periods),
        person_dose_limits(case, placements, periods),
        budget_limits(case, placements, payments, given),
        chain_limits(case, placements),
        out_together_limits(case, placements, periods),
        stock_limits(case, placements),
    ]
    levelled = levelled_limits(case, joined(parts), placements, given, periods)
    rows = joined([*parts, levelled])
    links, terms = tied(
        [link_rows(case, placements, periods), agreed_rows(case, placements, periods)]
    )
    bands = overtimes(case, periods)
    used = bands["overtime"].isin(set(rows.limits["overtime"]))
    return Binding(rows, sets, members, bands[used].reset_index(drop=True), links, terms)
