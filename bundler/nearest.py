"""The known word that comes nearest to an unknown one."""

from collections.abc import Iterable
from difflib import get_close_matches


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word that is most like `word`, "" where none is like it."""
    folded = {name.casefold(): name for name in sorted(known, reverse=True)}
    found = get_close_matches(word.casefold()[:100], sorted(folded), n=1, cutoff=0.6)
    return folded[found[0]] if found else ""


def asked(near: str) -> str:
    """Return 'Did you mean "...?" ' with a blank behind it, "" for no word."""
    return f'Did you mean "{near}"? ' if near else ""


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return the question for the nearest known word, "" where none is near."""
    return asked(nearest(word, known))
