"""Discounting and the factors of engineering economics; rates are real unless said otherwise."""

import numpy as np

from bundler.life.curves import FloatArray


def discount_factor(share_per_year: float, years: FloatArray) -> FloatArray:
    """Return (1 + i) ** -t, the present value of 1 paid after t years [-]."""
    result: FloatArray = (1.0 + share_per_year) ** -np.asarray(years, dtype=float)
    return result


def real_share(nominal_share_per_year: float, inflation_share_per_year: float) -> float:
    """Return the real rate: (1 + nominal) = (1 + real)(1 + inflation) [-]."""
    return (1 + nominal_share_per_year) / (1 + inflation_share_per_year) - 1


def present_value(cash: FloatArray, years: FloatArray, share_per_year: float) -> float:
    """Return the present value of cash flows at given times: sum of cash (1 + i) ** -t."""
    return float(np.sum(np.asarray(cash, dtype=float) * discount_factor(share_per_year, years)))


def annuity_factor(share_per_year: float, years_count: float) -> float:
    """Return P/A, the present value of 1 at the end of each of n years [-]."""
    if share_per_year == 0:
        return float(years_count)
    return float(-np.expm1(-years_count * np.log1p(share_per_year)) / share_per_year)


def capital_recovery_factor(share_per_year: float, years_count: float) -> float:
    """Return A/P, the yearly sum over n years that is worth 1 now [-]."""
    return 1 / annuity_factor(share_per_year, years_count)


def mean_discount_by_cell(share_per_year: float, grid_years: FloatArray) -> FloatArray:
    """Return the mean discount factor over each cell of a grid: its integral over its width [K]."""
    grid = np.asarray(grid_years, dtype=float)
    if share_per_year == 0:
        return np.ones(len(grid) - 1)
    result: FloatArray = -np.diff(discount_factor(share_per_year, grid))
    result /= np.log1p(share_per_year) * np.diff(grid)
    return result
