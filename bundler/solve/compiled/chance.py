"""Random numbers that are the same on every machine, compiled."""

import numpy as np
from numba import njit

from bundler.solve.compiled.problem import IntArray

#: how far a double reaches below 1
_PARTS = 9007199254740992.0


def seeded(seed: int) -> IntArray:
    """Return the state of a generator [1] from a seed."""
    return np.random.default_rng(seed).integers(1, 2**63, size=1).astype(np.uint64)


@njit(cache=True, nogil=True)
def draw(state: IntArray) -> float:
    """Return the next number in [0, 1) (xorshift of Marsaglia 2003, from memory)."""
    x = state[0]
    x ^= x << np.uint64(13)
    x ^= x >> np.uint64(7)
    x ^= x << np.uint64(17)
    state[0] = x
    return float(x >> np.uint64(11)) / _PARTS
