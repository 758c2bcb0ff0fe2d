"""Arrays in; choices, fills and moves in compiled loops out. The only place that knows numba.

Compiled loops are kept beside the sources, in one folder for each state of all of them: a loop
holds the code of those that it calls, so one changed file makes all of them old.
"""

import hashlib
from pathlib import Path
from typing import Any

from numba import config

_HERE = Path(__file__).parent
_config: Any = config


def _state() -> str:
    """Return a word for the state of all sources of this folder."""
    told = hashlib.sha256()
    for path in sorted(_HERE.glob("*.py")):
        told.update(path.read_bytes())
    return told.hexdigest()[:16]


_before = _config.CACHE_DIR
_config.CACHE_DIR = str(_HERE / "__pycache__" / f"compiled-{_state()}")
from bundler.solve.compiled import (  # noqa: E402, F401
    chance,
    cheapest,
    moves,
    problem,
    rebuild,
    relief,
    state,
)  # fmt: skip

_config.CACHE_DIR = _before
