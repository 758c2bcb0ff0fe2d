"""The value of information against textbook decision problems and closed forms."""

import numpy as np
import pytest
from scipy import stats

from bundler.risk.information import (
    least_expected,
    normal_states,
    perfect_information,
    reading_likelihood,
    sample_information,
)

WILDCATTER = (
    np.array([[0.0, 0.0, 0.0], [70.0, -50.0, -200.0]]),  # cost: do not drill, drill
    np.array([0.5, 0.3, 0.2]),  # dry, wet, soaking
)
SOUNDING = np.array([[0.6, 0.3, 0.1], [0.3, 0.4, 0.4], [0.1, 0.3, 0.5]])  # no, open, closed


def test_oil_wildcatter() -> None:
    """Raiffa (1968), Decision Analysis: EV 20, EVPI 35, with a free test 32.5 (EVSI 12.5).

    Payoffs from memory; likelihoods as printed in a statistics vendor's documentation.
    """
    cost, chance = WILDCATTER
    assert -least_expected(cost, chance) == pytest.approx(20, rel=1e-9)
    assert perfect_information(cost, chance) == pytest.approx(35, rel=1e-9)
    assert sample_information(cost, chance, SOUNDING) == pytest.approx(12.5, rel=1e-9)
    joint = SOUNDING * chance
    assert joint.sum(axis=1) == pytest.approx([0.41, 0.35, 0.24])
    after = joint / joint.sum(axis=1, keepdims=True)
    assert after[0] == pytest.approx([0.731707, 0.219512, 0.048780], abs=1e-6)
    assert after[2] == pytest.approx([0.208333, 0.375, 0.416667], abs=1e-6)


def test_land_drill_or_sell() -> None:
    """Hillier and Lieberman (from memory): EV 100, EVPI 142.5, value of the survey 53."""
    cost = np.array([[-90.0, -90.0], [-700.0, 100.0]])  # sell, drill; oil, dry
    chance = np.array([0.25, 0.75])
    survey = np.array([[0.6, 0.2], [0.4, 0.8]])
    assert -least_expected(cost, chance) == pytest.approx(100)
    assert perfect_information(cost, chance) == pytest.approx(142.5)
    assert sample_information(cost, chance, survey) == pytest.approx(53)
    with_survey = -least_expected(cost, chance) + sample_information(cost, chance, survey) - 30
    assert with_survey == pytest.approx(123)  # the survey costs 30


def test_joint_table() -> None:
    """Marginals and posteriors of a joint table, as printed in a published exercise."""
    joint = np.array([[0.32, 0.15, 0.03], [0.04, 0.10, 0.11], [0.04, 0.05, 0.16]])
    chance = joint.sum(axis=1)  # dry, wet, soaking
    likelihood = (joint / chance[:, None]).T
    signals = (likelihood * chance).sum(axis=1)
    assert signals == pytest.approx([0.4, 0.3, 0.3])
    assert likelihood[:, 0] * chance[0] / signals == pytest.approx([0.8, 0.5, 0.1])


def test_two_actions_with_a_normal_state_closed_form() -> None:
    """Linear loss |slope (m - s)| on one side: EVPI = slope sd L(|m| / sd), the unit normal loss.

    L(u) = phi(u) - u Phi(-u): Raiffa and Schlaifer (1961), formula from memory. With a reading of
    error e the same formula holds with sd^2 / sqrt(sd^2 + e^2) in the place of sd.
    """
    z, chance = normal_states(2001, 7.0)
    mean, sd, error = 0.4, 1.5, 0.8
    states = mean + sd * z
    cost = np.vstack([np.zeros_like(states), states])

    def unit_loss(spread: float) -> float:
        u = abs(mean) / spread
        return float(spread * (stats.norm.pdf(u) - u * stats.norm.sf(u)))

    assert perfect_information(cost, chance) == pytest.approx(unit_loss(sd), rel=1e-5)
    likelihood = reading_likelihood(states, error, 1.0, 4001)
    after = sd**2 / np.sqrt(sd**2 + error**2)
    assert sample_information(cost, chance, likelihood) == pytest.approx(unit_loss(after), rel=1e-4)


def test_a_reading_that_shows_nothing_is_worth_nothing() -> None:
    z, chance = normal_states()
    cost = np.vstack([np.zeros_like(z), z - 0.1])
    whole = sample_information(cost, chance, reading_likelihood(z, 0.5, 1.0))
    half = sample_information(cost, chance, reading_likelihood(z, 0.5, 0.5))
    assert sample_information(cost, chance, reading_likelihood(z, 0.5, 0.0)) == pytest.approx(0)
    assert half == pytest.approx(whole / 2)
    assert 0 < whole < perfect_information(cost, chance)
    sharp = sample_information(cost, chance, reading_likelihood(z, 0.01, 1.0))
    assert sharp == pytest.approx(perfect_information(cost, chance), rel=1e-3)


@pytest.mark.parametrize(
    ("cost", "chance", "word"),
    [
        (np.zeros((2, 3)), np.array([0.5, 0.5]), "one chance a state"),
        (np.zeros((2, 2)), np.array([0.5, 0.6]), "sum to 1"),
    ],
)
def test_bad_input_is_told(cost: np.ndarray, chance: np.ndarray, word: str) -> None:
    with pytest.raises(ValueError, match=word):
        perfect_information(cost, chance)


def test_bad_reading_is_told() -> None:
    with pytest.raises(ValueError, match="above 0"):
        reading_likelihood(np.zeros(3), 0.0, 1.0)
    with pytest.raises(ValueError, match="signals"):
        sample_information(np.zeros((2, 2)), np.array([0.5, 0.5]), np.ones((2, 2)))
