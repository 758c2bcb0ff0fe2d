"""Virtual age: what a work takes away from the age of a component."""

import numpy as np

from bundler.life.curves import FloatArray

#: the two ways in which a work can take age away, by their words in `actions.restoration_kind`
KINDS = ("I", "II")


def age_after_work(
    age_before_years: FloatArray,
    age_gained_years: FloatArray,
    restoration_share: FloatArray,
    kind: str,
) -> FloatArray:
    """Return the virtual age just after a work [years].

    Type II: a+ = (1 - r) a-. Type I: a+ = a- minus r times the age gained since the last work.
    With q = 1 - r these are the two models of Kijima (1989).

    Parameters
    ----------
    age_before_years : virtual age just before the work [years].
    age_gained_years : age gained since the last work [years]; type II does not look at it.
    restoration_share : r, 0 leaves the age as it is, 1 takes all of it away [-].
    kind : I or II.
    """
    if kind not in KINDS:
        raise ValueError(f"restoration kind {kind!r} is not known; the kinds are I and II.")
    share = np.asarray(restoration_share, dtype=float)
    before = np.asarray(age_before_years, dtype=float)
    taken = before if kind == "II" else np.asarray(age_gained_years, dtype=float)
    result: FloatArray = before - share * taken
    return result
