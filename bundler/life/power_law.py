"""Power-law failure intensity of repairable systems (a Poisson process; Crow, AMSAA)."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import optimize, special, stats

from bundler.life.curves import FloatArray
from bundler.life.repaired import Repaired

#: ln shape is looked for between these ends
LOG_SHAPES = (-8.0, 6.0)


@dataclass(frozen=True)
class PowerLaw:
    """Expected failures of a system by age t: (t / scale) ** shape. Shape above 1 gets worse.

    Parameters
    ----------
    shape_ratio, scale_years : maximum likelihood.
    unbiased_shape_ratio : (m - 1) / n times the shape, n failures, m without those that ended the
        watching; unbiased where all were watched from new (MIL-HDBK-189 1981, appendix C).
    cramer_von_mises_ratio : distance of the failures from the law, at the unbiased shape.
    failures_count : failures n.
    end_years : the age at which watching ended, or the greatest such age.
    systems_count : systems.
    is_plain : all were watched from new to one end that is not a failure.
    """

    shape_ratio: float
    scale_years: float
    unbiased_shape_ratio: float
    cramer_von_mises_ratio: float
    failures_count: int
    end_years: float
    systems_count: int
    is_plain: bool

    @property
    def failures_per_year(self) -> float:
        """Return the intensity of one system at the end, at the maximum likelihood [1/year]."""
        return _intensity(self.shape_ratio, self.scale_years, self.end_years)

    @property
    def mtbf_years(self) -> float:
        """Return the mean time between failures at the end, 1 / intensity [years]."""
        return 1 / self.failures_per_year

    @property
    def unbiased_mtbf_years(self) -> float:
        """Return it at the unbiased shape, with as many failures expected by the end [years].

        Raises ValueError where the systems were not watched from new to one end.
        """
        if not self.is_plain:
            raise ValueError(
                "The unbiased rate and its bounds hold for systems watched from new to one "
                "age that no failure set; use `mtbf_years`, or fit `lives_of_minimal_repair`."
            )
        return (
            self.end_years * self.systems_count / (self.failures_count * self.unbiased_shape_ratio)
        )


def _intensity(shape: float, scale: float, age: float) -> float:
    return float(shape / scale * (age / scale) ** (shape - 1))


def _power_sums(systems: Sequence[Repaired], shape: float, top: float) -> tuple[float, float]:
    """Return sum of x^shape from start to end, and of x^shape ln x, x = age / top."""
    ends = np.array([system.end_years for system in systems]) / top
    starts = np.array([system.start_years for system in systems]) / top
    powers = ends**shape, starts**shape
    logs = special.xlogy(powers[0], ends) - special.xlogy(powers[1], np.maximum(starts, 1e-300))
    return float((powers[0] - powers[1]).sum()), float(logs.sum())


def power_law(systems: Sequence[Repaired]) -> PowerLaw:
    """Return the maximum likelihood fit of a power-law intensity to these systems.

    n / b + sum ln t = n d/db ln sum (end^b - start^b); n scale^b = sum (end^b - start^b).
    Closed form n / sum ln(end / t) where all are watched from new to one end. Crow (1974).

    Raises ValueError for fewer than 3 failures, or where they fix no shape.
    """
    ages = np.concatenate([system.failed_years for system in systems]) if systems else np.empty(0)
    number, inner = len(ages), sum(len(system.inner_years) for system in systems)
    if inner < 3:
        raise ValueError(
            f"A power law needs 3 failures or more beside those that ended the watching; {inner} "
            "are given. Use a constant rate (`rate_bounds`)."
        )
    top = max(system.end_years for system in systems)
    logs = float(np.log(ages / top).sum())

    def slope(log_shape: float) -> float:
        shape = float(np.exp(log_shape))
        powers, power_logs = _power_sums(systems, shape, top)
        return number / shape + logs - number * power_logs / powers

    if not slope(LOG_SHAPES[0]) > 0 > slope(LOG_SHAPES[1]):
        raise ValueError("The failures fix no power law: they all lie at one end of the watching.")
    shape = float(np.exp(optimize.brentq(slope, *LOG_SHAPES, xtol=1e-14, rtol=1e-14)))
    powers, _ = _power_sums(systems, shape, top)
    unbiased = shape * (inner - 1) / number
    return PowerLaw(
        shape,
        float(top * (powers / number) ** (1 / shape)),
        unbiased,
        _cramer_von_mises(systems, unbiased),
        number,
        top,
        len(systems),
        all(s.start_years == 0 and s.end_years == top and not s.ends_at_failure for s in systems),
    )


def _cramer_von_mises(systems: Sequence[Repaired], shape: float) -> float:
    """Return 1 / (12 m) + sum (u_i - (2 i - 1) / (2 m))^2, u the share of the failures by then."""
    shares: list[FloatArray] = []
    for system in systems:
        low, high = system.start_years**shape, system.end_years**shape
        shares.append((system.inner_years**shape - low) / (high - low))
    u = np.sort(np.concatenate(shares))
    even = (2 * np.arange(1, len(u) + 1) - 1) / (2 * len(u))
    return float(1 / (12 * len(u)) + ((u - even) ** 2).sum())


def mtbf_bounds(law: PowerLaw, *, level: float = 0.80) -> tuple[float, float]:
    """Return approximate two-sided bounds of the mean time between failures at the end [years].

    Around the unbiased one, by the formulae of the NIST/SEMATECH e-Handbook 8.4.5.2. Raises
    ValueError where the systems were not watched from new to one end.
    """
    middle, n = law.unbiased_mtbf_years, law.failures_count
    z = float(stats.norm.ppf((1 + level) / 2))
    wide = n + z**2 / 4 + np.sqrt(n * z**2 / 2 + z**4 / 16)
    narrow = n - z * np.sqrt(n / 2)
    high = middle * n * (n - 1) / narrow**2 if narrow > 0 else np.inf
    return float(middle * n * (n - 1) / wide**2), float(high)
