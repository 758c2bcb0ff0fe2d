"""What members of one batch say about each other: a bad batch, a shock that hits them all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from bundler.life.curves import FloatArray, LifeCurve
from bundler.life.derived import hazard
from bundler.life.mixed import Mixture
from bundler.life.shifted import scaled


@dataclass(frozen=True)
class Member:
    """One of a batch: its curve if the batch is good, the age it reached, whether it failed then.

    Ages count from when the member was new, because a bad batch is bad from the start.
    """

    curve: LifeCurve
    age_years: float
    is_failed: bool

    def __post_init__(self) -> None:
        if not (0 <= self.age_years < np.inf and (self.age_years > 0 or not self.is_failed)):
            raise ValueError(
                f"A member's age of {self.age_years:g} years is not allowed; ages are 0 or more, "
                "and above 0 for a failure."
            )

    def log_likelihood(self, life_ratio: float) -> float:
        """Return the log-likelihood of this member if every life is times this ratio [-]."""
        curve, age = scaled(self.curve, life_ratio), np.array(self.age_years)
        with np.errstate(divide="ignore"):  # a failure before a guarantee time cannot be
            density = float(np.log(hazard(curve, age))) if self.is_failed else 0.0
        return density - float(curve.cumulative_hazard(age))


@dataclass(frozen=True)
class BatchDoubt:
    """The doubt that a batch is bad, and its life then times a ratio below or above 1."""

    bad_chance: float
    life_ratio: float

    def __post_init__(self) -> None:
        if not (0 < self.bad_chance < 1 and 0 < self.life_ratio < np.inf):
            raise ValueError(
                f"A doubt of {self.bad_chance:g} with a life ratio of {self.life_ratio:g} is not "
                "allowed; the chance lies between 0 and 1, the ratio is above 0."
            )


def bad_batch_chance(doubt: BatchDoubt, members: Sequence[Member]) -> float:
    """Return the chance that the batch is bad, after what its members did [-].

    odds = p / (1 - p) x product of the members' likelihoods with and without the ratio (Bayes).
    Raises ValueError where neither a good nor a bad batch could leave such a record.
    """
    bad = sum(member.log_likelihood(doubt.life_ratio) for member in members)
    good = sum(member.log_likelihood(1.0) for member in members)
    if np.isneginf(bad) and np.isneginf(good):
        raise ValueError(
            "A member failed where neither its curve nor the bad batch's allows a failure; look at "
            "its age and its curve's guarantee time."
        )
    return float(special.expit(special.logit(doubt.bad_chance) + bad - good))


def curve_in_batch(doubt: BatchDoubt, curve: LifeCurve, others: Sequence[Member] = ()) -> LifeCurve:
    """Return the life of a member, from new, after what the other members did.

    S(a) = (1 - p) S0(a) + p S0(a / ratio), p from the others alone: what the member itself has
    survived is in the curve already, because its H grows slower the longer it has lived.
    """
    chance = bad_batch_chance(doubt, others)
    bad = scaled(curve, doubt.life_ratio)
    if min(chance, 1 - chance) < 1e-15:
        return bad if chance > 0.5 else curve
    return Mixture((curve, bad), (1 - chance, chance))


@dataclass(frozen=True)
class WithShock:
    """A life that a shock from outside may end too: H = H_own + rate x age.

    The shock ends every member of its group at once (Marshall & Olkin 1967, from memory).
    """

    own: LifeCurve
    shock_rate_per_year: float

    def __post_init__(self) -> None:
        if not 0 <= self.shock_rate_per_year < np.inf:
            raise ValueError(
                f"shock_rate_per_year is {self.shock_rate_per_year:g}; it has to be 0 or more."
            )

    def cumulative_hazard(self, age_years: FloatArray) -> FloatArray:
        """Return H(age) [-]."""
        age = np.asarray(age_years, dtype=float)
        held: FloatArray = self.own.cumulative_hazard(age) + self.shock_rate_per_year * age
        return held

    def hazard_per_year(self, age_years: FloatArray) -> FloatArray:
        """Return h(age) [1/year]."""
        return hazard(self.own, age_years) + self.shock_rate_per_year


def shock_split(failure_rate_per_year: float, beta_share: float) -> tuple[float, float]:
    """Return the own rate and the common rate of a total rate: (1 - beta) h and beta h [1/year].

    The beta factor of Fleming (1975), from memory.
    """
    if not (0 <= beta_share <= 1 and failure_rate_per_year >= 0):
        raise ValueError(
            f"A rate of {failure_rate_per_year:g} with a beta factor of {beta_share:g} is not "
            "allowed; the rate is 0 or more, the factor lies between 0 and 1."
        )
    return (1 - beta_share) * failure_rate_per_year, beta_share * failure_rate_per_year


def all_alive_chance(members: Sequence[WithShock], span_years: Sequence[float]) -> float:
    """Return the chance that every member, new now, is alive after its own span [-].

    exp(-sum of H_own(x_i) - rate x longest span): the one shock is counted once. Raises
    ValueError if the members do not share one shock rate.
    """
    rates = {member.shock_rate_per_year for member in members}
    if len(rates) != 1 or len(members) != len(span_years):
        raise ValueError("Members of one shock need one shock rate and one span each.")
    own = sum(
        float(member.own.cumulative_hazard(np.array(span)))
        for member, span in zip(members, span_years, strict=True)
    )
    return float(np.exp(-own - members[0].shock_rate_per_year * max(span_years)))
