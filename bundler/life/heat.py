"""Temperatures over a load profile to how much faster than assumed a component ages."""

from typing import Any

import pandas as pd

from bundler.life.thermal import arrhenius_ratio, mean_ageing_ratio, plain_paper_ratio


def ageing_ratio(indicator: Any, own: pd.DataFrame) -> float:
    """Return the mean ageing over a load profile against that at the reference temperature [-].

    Insulation: paper that is not upgraded, IEC 60076-7; arrhenius: by the activation energy. The
    last profile read counts, its steps weighted by their share of the time.
    """
    last = own[own["reading_date"] == own["reading_date"].max()]
    reference = float(indicator.reference_celsius)
    value = last["reading_value"].to_numpy(dtype=float)
    if pd.isna(reference):
        raise ValueError("heat needs the temperature for which the life holds: reference_celsius.")
    if indicator.model == "insulation":
        speed = plain_paper_ratio(value) / plain_paper_ratio(reference)
    else:
        if pd.isna(indicator.activation_ev):
            raise ValueError("ageing by heat needs an activation energy: activation_ev.")
        speed = arrhenius_ratio(reference, value, float(indicator.activation_ev))
    return mean_ageing_ratio(last["time_share"].to_numpy(dtype=float), speed)
