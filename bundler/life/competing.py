"""Competing modes: each fitted with the others as withdrawals, then all at work together."""

from bundler.life.fit import Fit, fit
from bundler.life.lives import Lives
from bundler.life.mixed import CompetingModes


def modes_of(lives: Lives) -> tuple[str, ...]:
    """Return the different modes that failures have, in the order of the alphabet."""
    return tuple(sorted({word for word in lives.mode if word}))


def fit_modes(lives: Lives, kinds: str | dict[str, str] = "weibull") -> dict[str, Fit]:
    """Return a fit of each mode that has failures, by its name.

    A failure by another mode is a withdrawal: right where modes act independently, which no record
    can tell. `kinds` is one word for all, or a word for each mode. Raises ValueError if a mode has
    no word or a failure has no mode, and what `fit` raises, for instance TooFewFailures.
    """
    modes = modes_of(lives)
    words = dict.fromkeys(modes, kinds) if isinstance(kinds, str) else kinds
    missing = [mode for mode in modes if mode not in words]
    if missing:
        raise ValueError(f"No kind is given for the mode {missing[0]!r}; give one for each mode.")
    return {mode: fit(lives.of_mode(mode), words[mode]) for mode in modes}


def competing_curve(fits: dict[str, Fit]) -> CompetingModes:
    """Return the life under all these modes: the product of their survivals."""
    return CompetingModes(tuple(fits[mode].curve for mode in sorted(fits)))
