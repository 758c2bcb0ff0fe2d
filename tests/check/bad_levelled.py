"""Bad inputs: what levelling found to fit, and how its durations hang together."""

# ruff: noqa: E501
from tests.check.bad import Bad
from tests.read.pen import Pen


def row(pen: Pen, **cells: str) -> None:
    """Add a row of what fits."""
    given = {"outage": "P1", "resource": "M", "from_days": "5", "to_days": "20", "amount": "100"}
    pen.row("levelled", **given | cells)


BAD_LEVELLED = [
    Bad(
        "levelled_resources",
        lambda pen: row(pen, resource="area.TBB"),
        'levelled.csv row 2, resource: there is no resource "area.TBB"; a trade, crane or supply, or area. with its name, is allowed. Did you mean "area.TB"? Correct it, or take the row out.',
    ),
    Bad(
        "levelled_forward",
        lambda pen: row(pen, to_days="5"),
        "levelled.csv row 2, to_days: it ends on day 5 and begins on day 5; a window begins before it ends. Correct one of the two, or take the row out.",
    ),
    Bad(
        "correlations_add_up",
        lambda pen: pen.setting("system_correlation", "0.5"),
        "station.yaml, cause_correlation: with system_correlation it adds up to 1.1; both together are at most 1. Lower one of the two.",
    ),
    Bad(
        "correlations_add_up",
        lambda pen: (
            pen.setting("system_correlation", "0.8"),
            pen.setting("cause_correlation", "0.21"),
        ),
        "station.yaml, cause_correlation: with system_correlation it adds up to 1.01; both together are at most 1. Lower one of the two.",
    ),
]
