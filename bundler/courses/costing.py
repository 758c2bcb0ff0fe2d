"""The cost of courses, component after component, remembered where components are equal."""

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.choice import FloatArray, IntArray
from bundler.courses import costs
from bundler.courses.around import NOTHING, Around
from bundler.courses.exposure import Exposure, Works, with_extra
from bundler.courses.lives import at_life
from bundler.courses.risk import stretch_risk
from bundler.courses.stretches import stretches


class Costing:
    """Costs the courses of one component after another, and remembers equal ones.

    `around` is what the rest of a plan means for them.
    """

    def __init__(
        self, case: Case, periods: pd.DataFrame, fitting: dict[str, FloatArray],
        around: Around = NOTHING,
    ) -> None:  # fmt: skip
        self.case, self.periods, self.fitting = case, periods, fitting
        self.around = around
        self.times: dict[tuple[str, float], costs.UnitTime] = {}
        self.known: dict[object, FloatArray] = {}

    def time(self, part: pd.Series) -> costs.UnitTime:
        """Return the risk grid of a described component's unit."""
        key = (part["unit"], part["end_days"])
        if key not in self.times:
            self.times[key] = costs.unit_time(self.case, self.periods, *key)
        return self.times[key]

    def own_sight(self, part: pd.Series) -> Exposure:
        """Return what its failures cost over time by themselves."""
        days = self.fitting.get(part["component"], np.zeros(0))
        return costs.exposure(self.case, part, self.time(part), days)

    def sight(self, part: pd.Series) -> Exposure:
        """Return what the failures of a described component cost over time, with extras."""
        own, more = self.own_sight(part), self.around.extras.get(part["component"])
        return own if more is None else with_extra(own, more)

    def risks(
        self, sight: Exposure, works: Works, steps: IntArray, ratios: tuple[float, ...]
    ) -> FloatArray:
        """Return the risk of each course in present value at each life ratio [n, R]."""
        key = (costs.risk_key(sight, works), steps.tobytes(), ratios)
        if key not in self.known:
            cut = stretches(sight, works, steps)
            found = [stretch_risk(*at_life(sight, works, ratio), cut) for ratio in ratios]
            self.known[key] = np.column_stack(found)
        return self.known[key]

    def risk(self, sight: Exposure, works: Works, steps: IntArray) -> FloatArray:
        """Return the risk of each course in present value."""
        return self.risks(sight, works, steps, (1.0,))[:, 0]
