"""Failure rates and chances per demand, before and after a record: conjugate Bayes."""

from dataclasses import dataclass

import numpy as np
from scipy import optimize, special

#: 95 % point of the standard normal as printed in the guides, which an error factor is built on
Z95 = 1.645  # NUREG/CR-6823 (from memory)


def _check_record(count: float, exposure: float, weight_share: float) -> None:
    if not (count >= 0 and 0 <= exposure < np.inf and 0 <= weight_share <= 1):
        raise ValueError(
            f"A record of {count:g} events in an exposure of {exposure:g} with weight "
            f"{weight_share:g} is not allowed; counts and exposures are 0 or more, a weight "
            "lies between 0 and 1."
        )


def _check_chance(chance: float) -> None:
    if not 0 < chance < 1:
        raise ValueError(f"chance {chance:g} is not allowed; give one between 0 and 1.")


@dataclass(frozen=True)
class GammaRate:
    """A constant rate known as gamma(a, b): as if a events had been seen in b years.

    Density b^a x^(a-1) exp(-b x) / Gamma(a). NIST/SEMATECH e-Handbook 8.4.6.
    """

    events_count: float
    exposure_years: float

    def __post_init__(self) -> None:
        if not (self.events_count > 0 and 0 <= self.exposure_years < np.inf):
            raise ValueError(
                f"gamma({self.events_count:g}, {self.exposure_years:g}) is not a rate's "
                "distribution; events are above 0 and years are 0 or more."
            )

    @property
    def mean_per_year(self) -> float:
        """Return the mean rate a / b [1/year]; inf where no exposure stands behind it."""
        return self.events_count / self.exposure_years if self.exposure_years else np.inf

    def percentile_per_year(self, chance: float) -> float:
        """Return the rate that is not passed with this chance [1/year]."""
        _check_chance(chance)
        point = float(special.gammaincinv(self.events_count, chance))
        return point / self.exposure_years if self.exposure_years else np.inf

    def mtbf_at_least_years(self, confidence_chance: float) -> float:
        """Return the mean time between failures that is passed with this chance [years].

        1 / G^-1(chance; a, b); 0.5 gives its median. NIST/SEMATECH e-Handbook 8.4.6.
        """
        return 1 / self.percentile_per_year(confidence_chance)

    def updated(
        self, events_count: float, exposure_years: float, weight_share: float = 1.0
    ) -> "GammaRate":
        """Return the rate after a record: a + w r, b + w T.

        `weight_share` w is 1 for the component's own record; for sister units it says how much
        of theirs counts (power prior of Ibrahim & Chen 2000, from memory).
        """
        _check_record(events_count, exposure_years, weight_share)
        return GammaRate(
            self.events_count + weight_share * events_count,
            self.exposure_years + weight_share * exposure_years,
        )


@dataclass(frozen=True)
class BetaChance:
    """A chance per demand known as beta(a, b): as if a demands had failed and b had not."""

    failures_count: float
    successes_count: float

    def __post_init__(self) -> None:
        if not (self.failures_count > 0 and self.successes_count > 0):
            raise ValueError(
                f"beta({self.failures_count:g}, {self.successes_count:g}) is not a chance's "
                "distribution; both counts are above 0."
            )

    @property
    def mean_chance(self) -> float:
        """Return the mean a / (a + b) [-]."""
        return self.failures_count / (self.failures_count + self.successes_count)

    @property
    def spread_chance(self) -> float:
        """Return the standard deviation [-]."""
        total = self.failures_count + self.successes_count
        mean = self.mean_chance
        return float(np.sqrt(mean * (self.successes_count / total) / (total + 1)))

    def percentile_chance(self, chance: float) -> float:
        """Return the failure chance per demand that is not passed with this chance [-]."""
        _check_chance(chance)
        return float(special.betaincinv(self.failures_count, self.successes_count, chance))

    def updated(
        self, failures_count: float, demands_count: float, weight_share: float = 1.0
    ) -> "BetaChance":
        """Return the chance after a record: a + w r, b + w (n - r); w as for a rate."""
        _check_record(failures_count, demands_count, weight_share)
        if failures_count > demands_count:
            raise ValueError(
                f"{failures_count:g} failures in {demands_count:g} demands is not possible; "
                "give every demand, failed or not."
            )
        return BetaChance(
            self.failures_count + weight_share * failures_count,
            self.successes_count + weight_share * (demands_count - failures_count),
        )


#: Jeffreys priors: the least that can be said before a record (NUREG/CR-6823, from memory)
JEFFREYS_RATE = GammaRate(0.5, 0.0)
JEFFREYS_CHANCE = BetaChance(0.5, 0.5)


def gamma_from_percentiles(
    low_chance: float, low_per_year: float, high_chance: float, high_per_year: float
) -> GammaRate:
    """Return the rate that stays below two given values [1/year] with two given chances.

    a solves G^-1(high; a) / G^-1(low; a) = ratio of the values, which falls in a; b follows.
    NIST/SEMATECH e-Handbook 8.4.6. Raises ValueError if chances or values do not rise.
    """
    _check_chance(low_chance)
    _check_chance(high_chance)
    if not (0 < low_per_year < high_per_year < np.inf and low_chance < high_chance):
        raise ValueError(
            f"{low_per_year:g} at {low_chance:g} and {high_per_year:g} at {high_chance:g} do not "
            "rise; give the lower rate with the lower chance, both above 0."
        )
    wanted = float(np.log(high_per_year / low_per_year))

    def over(log_events: float) -> float:
        points = special.gammaincinv(np.exp(log_events), [low_chance, high_chance])
        return 700.0 if points[0] < 1e-300 else float(np.log(points[1] / points[0])) - wanted

    lowest, highest = float(np.log(1e-3)), float(np.log(1e9))
    if over(lowest) < 0 or over(highest) > 0:
        raise ValueError(
            f"No gamma rate holds {low_per_year:g} and {high_per_year:g} apart in this way; "
            "give values that lie closer together, or wider apart."
        )
    events = float(np.exp(optimize.brentq(over, lowest, highest, xtol=1e-14)))
    return GammaRate(events, float(special.gammaincinv(events, low_chance)) / low_per_year)


def error_factor_sigma(error_factor_ratio: float) -> float:
    """Return sigma of the logarithm for an error factor, the 95 % point over the median [-]."""
    if not 1 < error_factor_ratio < np.inf:
        raise ValueError(
            f"error factor {error_factor_ratio:g} is not allowed; it is the 95 % point over the "
            "median, above 1."
        )
    return float(np.log(error_factor_ratio) / Z95)


def lognormal_median_per_year(mean_per_year: float, error_factor_ratio: float) -> float:
    """Return the median of a lognormal rate with this mean: mean exp(-sigma^2 / 2) [1/year]."""
    return float(mean_per_year * np.exp(-(error_factor_sigma(error_factor_ratio) ** 2) / 2))


def gamma_from_error_factor(mean_per_year: float, error_factor_ratio: float) -> GammaRate:
    """Return the gamma rate with mean and variance of the lognormal of this error factor.

    a = 1 / (exp(sigma^2) - 1), b = a / mean: moments are matched, so its own 95 % point over
    its median is not the error factor.
    """
    if not 0 < mean_per_year < np.inf:
        raise ValueError(f"mean {mean_per_year:g} per year is not allowed; give one above 0.")
    events = float(1 / np.expm1(error_factor_sigma(error_factor_ratio) ** 2))
    return GammaRate(events, events / mean_per_year)


def exposure_to_show_years(
    prior: GammaRate, target_mtbf_years: float, confidence_chance: float, events_count: float
) -> float:
    """Return the exposure that shows the target with at most so many events [years].

    T = M G^-1(confidence; a + r, 1) - b, 0 where the prior shows it alone.
    NIST/SEMATECH e-Handbook 8.3.1.5.
    """
    _check_chance(confidence_chance)
    _check_record(events_count, target_mtbf_years, 1.0)
    point = float(special.gammaincinv(prior.events_count + events_count, confidence_chance))
    return max(target_mtbf_years * point - prior.exposure_years, 0.0)
