"""How checks tell what they found."""

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
