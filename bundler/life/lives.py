"""Records of lives: failed, still running, found failed at an inspection, seen only from an age."""

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bundler.life.curves import FloatArray

BoolArray = NDArray[np.bool_]


def _refuse(where: BoolArray, what: str) -> None:
    """Raise ValueError naming the first record where something is not allowed."""
    if where.any():
        raise ValueError(f"Record {int(np.argmax(where))} of the lives: {what}")


@dataclass(frozen=True, eq=False)
class Lives:
    """Lives of items, one place an item or group of equal items, all arrays of one length.

    The arrays are copied and made read-only. Raises ValueError, naming the record (from 0), where
    an age or weight is not allowed.

    Parameters
    ----------
    entry_years : age from which the item was watched; 0 is from new [years]. It is known to have
        been alive then, and had it failed earlier it would not be in the record (late entry). An
        item repaired to the age it had (minimal repair) gives a record for each stretch between
        failures, its entry being the age at the failure before: the likelihood is the same.
    low_years : age up to which the item is known to have lived [years].
    high_years : age by which it had failed [years]: low where the failure was seen, inf where it
        still runs or was withdrawn, above low where it was found failed at an inspection.
    weight_count : how many equal items the record stands for; a fraction where the record of a
        sister unit is to count for less [-].
    mode : mode of each failure, "" where the item runs or the mode is not known.
    """

    entry_years: FloatArray
    low_years: FloatArray
    high_years: FloatArray
    weight_count: FloatArray
    mode: tuple[str, ...]

    def __post_init__(self) -> None:
        for field in fields(self)[:-1]:
            kept = np.array(getattr(self, field.name), dtype=float, ndmin=1)
            kept.setflags(write=False)
            object.__setattr__(self, field.name, kept)
        object.__setattr__(self, "mode", tuple(self.mode))
        self._check_shapes()
        self._check_ages()

    def _check_shapes(self) -> None:
        lengths = {field.name: np.shape(getattr(self, field.name)) for field in fields(self)}
        if len(set(lengths.values())) > 1 or self.low_years.ndim != 1:
            raise ValueError(f"The columns of lives differ in length: {lengths}; give one each.")

    def _check_ages(self) -> None:
        entry, low, high, weight = (getattr(self, field.name) for field in fields(self)[:-1])
        _refuse(~(np.isfinite(entry) & (entry >= 0)), "entry_years has to be an age of 0 or more.")
        _refuse(~(np.isfinite(low) & (low >= 0)), "low_years has to be an age of 0 or more.")
        _refuse(~(high >= low), "high_years has to be low_years or more, inf where it runs.")
        _refuse(~(np.isfinite(weight) & (weight > 0)), "weight_count has to be above 0.")
        _refuse((high == 0), "a failure at age 0 has no life; give the age by which it was found.")
        _refuse(
            entry > low,
            "entry_years is above low_years, yet the item was alive at its entry; "
            "raise low_years to the entry, or leave the record out.",
        )
        _refuse(
            (entry > 0) & (entry == high),
            "it fails at the age of its entry; give the age at which watching began before that.",
        )

    @property
    def is_exact(self) -> BoolArray:
        """True where the age at failure is known."""
        return np.asarray(self.low_years == self.high_years)

    @property
    def is_running(self) -> BoolArray:
        """True where no failure was seen."""
        return np.isinf(self.high_years)

    @property
    def is_interval(self) -> BoolArray:
        """True where it was found failed, having been known to be alive after its entry or at 0."""
        return ~self.is_exact & ~self.is_running & ~self.is_left

    @property
    def is_left(self) -> BoolArray:
        """True where it was found failed at its first look (left censored): low is its entry."""
        at_entry = self.low_years == self.entry_years
        return np.asarray(~self.is_exact & ~self.is_running & at_entry)

    @property
    def has_late_entry(self) -> bool:
        """True if an item was watched only from an age above 0."""
        return bool((self.entry_years > 0).any())

    @property
    def items_count(self) -> float:
        """Return the number of items, by their weights [-]."""
        return float(self.weight_count.sum())

    @property
    def failures_count(self) -> float:
        """Return the number of failures of every kind of record, by their weights [-]."""
        return self.count(~self.is_running)

    @property
    def failure_records_count(self) -> int:
        """Return the number of records that hold a failure, whatever their weight [-]."""
        return int((~self.is_running).sum())

    def count(self, where: BoolArray) -> float:
        """Return the number of items where this holds, by their weights [-]."""
        return float(self.weight_count[where].sum())

    def of_mode(self, mode: str) -> "Lives":
        """Return the lives as this mode sees them: a failure by another mode is a withdrawal.

        The withdrawal is at the age up to which the item is known to have lived. Raises ValueError
        if a failure has no mode, for it can be counted neither way.
        """
        _refuse(
            ~self.is_running & np.array([word == "" for word in self.mode], dtype=bool),
            "it failed but has no mode; give it one, or fit all modes together.",
        )
        own = np.array([word == mode for word in self.mode], dtype=bool)
        high = np.where(own, self.high_years, np.inf)
        kept = tuple(word if word == mode else "" for word in self.mode)
        return replace(self, high_years=high, mode=kept)

    def weighted(self, factor: float) -> "Lives":
        """Return the lives with every weight times this factor, above 0 [-]."""
        return replace(self, weight_count=self.weight_count * factor)


def lives_from(
    low_years: ArrayLike,
    high_years: ArrayLike | None = None,
    *,
    entry_years: ArrayLike = 0.0,
    weight_count: ArrayLike = 1.0,
    mode: str | tuple[str, ...] = "",
) -> Lives:
    """Return lives from their columns; what is given once holds for every record.

    Without `high_years` every record is a failure at `low_years`. See `Lives` for the meaning.
    """
    high = low_years if high_years is None else high_years
    ages = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(a, dtype=float)) for a in (entry_years, low_years, high)),
        np.asarray(weight_count, dtype=float),
    )
    modes = (mode,) * len(ages[0]) if isinstance(mode, str) else mode
    return Lives(ages[0], ages[1], ages[2], ages[3], modes)


def failed_and_running(
    failed_years: ArrayLike,
    running_years: ArrayLike = (),
    *,
    running_count: ArrayLike = 1.0,
) -> Lives:
    """Return lives watched from new: ages at failure, then ages of those that run or left.

    `running_count` is how many items run at each of these ages.
    """
    running = lives_from(running_years, np.inf, weight_count=running_count)
    return together(lives_from(failed_years), running)


def together(*lives: Lives) -> Lives:
    """Return one record of all these lives, in their order."""
    if not lives:
        return lives_from(())
    columns = [
        np.concatenate([getattr(part, field.name) for part in lives])
        for field in fields(Lives)[:-1]
    ]
    modes = tuple(word for part in lives for word in part.mode)
    return Lives(columns[0], columns[1], columns[2], columns[3], modes)
