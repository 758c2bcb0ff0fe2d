"""How checks tell what they found."""

from collections.abc import Iterable
from difflib import get_close_matches

from bundler.errors import Finding


def error(table: str, row: int, column: str, *parts: str) -> Finding:
    """Return a finding that stops the run; parts: what was found, what is allowed, what to do."""
    found, allowed, remedy = parts
    return Finding(f"{table}.csv", row, column, found, allowed, remedy)


def note(table: str, row: int, column: str, *parts: str) -> Finding:
    """Return a finding that goes on to the report."""
    found, allowed, remedy = parts
    return Finding(f"{table}.csv", row, column, found, allowed, remedy, "note")


def setting(column: str, *parts: str) -> Finding:
    """Return a finding on a setting that stops the run."""
    found, allowed, remedy = parts
    return Finding("station.yaml", 0, column, found, allowed, remedy)


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return 'Did you mean "...?" ' with a blank behind it, "" where no known word is near."""
    folded = {name.casefold(): name for name in sorted(known, reverse=True)}
    found = get_close_matches(word.casefold(), sorted(folded), n=1, cutoff=0.6)
    return f'Did you mean "{folded[found[0]]}"? ' if found else ""
