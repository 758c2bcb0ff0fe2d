"""What a plan chooses from: placements, courses and everything that binds them."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

IntArray = NDArray[np.int64]
FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Choices:
    """All that the program, the judge and the reports need to know of a case.

    Attributes
    ----------
    periods : one row an outage or on-line period; period, unit, kind, start_days, end_days,
        is_outage, day_cost, max_extension_days.
    placements : one row a work that can be placed; placement (0, 1, ...), component, action,
        period, start_days, end_days, days, extension_days, effect_days, planned_pv_cost ...
    ruled_out : one row a work that cannot be placed in an outage, with its reason.
    courses : one row a component and course; course (0, 1, ...), component, risk_pv_cost,
        planned_pv_cost, pv_cost; sorted by component.
    works : course and placement of each work of each course.
    limits : one row a limit; limit, measure, resource, period, amount, extension_amount, overtime.
    uses : limit, placement, amount.
    access : one row an access set in an outage; access, access_set, unit, train, period, pv_cost,
        is_given.
    access_members : access, placement.
    access_uses : limit, access, amount.
    overtimes : overtime, period, resource, most_hours, pv_cost_per_hour.
    links : one row a linear rule over placements; link, rule, most.
    link_terms : link, placement, factor.
    """

    periods: pd.DataFrame
    placements: pd.DataFrame
    ruled_out: pd.DataFrame
    courses: pd.DataFrame
    works: pd.DataFrame
    limits: pd.DataFrame
    uses: pd.DataFrame
    access: pd.DataFrame
    access_members: pd.DataFrame
    access_uses: pd.DataFrame
    overtimes: pd.DataFrame
    links: pd.DataFrame
    link_terms: pd.DataFrame
