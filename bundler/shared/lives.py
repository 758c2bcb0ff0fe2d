"""What components that share a loss risk in scenarios of lives, with a plan around them in each."""

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray
from bundler.courses.costing import Costing
from bundler.courses.exposure import with_extra
from bundler.courses.lives import at_life
from bundler.courses.risk import stretch_risk
from bundler.courses.seen import all_seen
from bundler.courses.stretches import stretches
from bundler.shared.shared import Shared


def with_shared_risk(
    shared: Shared, choices: Choices, costing: Costing, works: pd.DataFrame,
    ratios: pd.DataFrame, risks: FloatArray,
) -> FloatArray:  # fmt: skip
    """Return the risk of each course in each scenario [n, S], of members with what they share.

    In each scenario the courses of a member are charged what its failures add while the others do
    as in a plan at the lives of that scenario. What of the loss no course is charged there, beside
    `choices.shared_pv_cost`, is laid on all members in equal parts: every plan has one course of
    each, so no plan gains by it, and the plan itself costs what it truly does in each scenario.

    Parameters
    ----------
    costing : that of the courses; what it charges them for sharing does not count.
    works : all placed works of the plan.
    ratios : life ratio of each component (row) in each scenario (column) [-].
    risks : risk of each course, of members without or with what they share [n, S; present value].
    """
    if not shared.members:
        return risks
    plans = [
        shared.plan(works, {str(name): float(ratio) for name, ratio in own.items()})
        for _, own in ratios.items()
    ]
    extras = [shared.extras(plan) for plan in plans]
    rest = np.array([shared.constant_pv(plan) for plan in plans]) - choices.shared_pv_cost
    found = risks.copy()
    parts = pd.DataFrame([shared.parts[name] for name in shared.members])
    plain = Costing(costing.case, costing.periods, costing.fitting)
    for rows, view in all_seen(plain, choices, parts):
        name = str(view.part["component"])
        cut = stretches(view.exposure, view.works, view.steps)
        for column, ratio in enumerate(ratios.loc[name]):
            own, after = at_life(view.exposure, view.works, float(ratio))
            own = with_extra(own, extras[column][name])
            found[rows, column] = stretch_risk(own, after, cut)
    member = choices.courses["component"].isin(shared.members).to_numpy()
    found[member] += rest / len(shared.members)
    return found
