"""A work that is longer than its window lengthens the outage, at the price of the day."""

from bundler.program.model import Program

NAME = "outage_days"
FORMULA = "sum over works of c in o: missing days[p] z[p] <= e[o], 0 <= e[o] <= most extension"
PRICE = "what one day more in the outage would save"


def add(program: Program) -> None:
    """Add one row a component and outage in which some work of it is too long."""
    placements = program.choices.placements
    long = placements[placements["extension_days"] > 0]
    for (period, component), own in long.groupby(["period", "component"], sort=True):
        terms = [
            (program.z[p], days)
            for p, days in zip(own["placement"], own["extension_days"], strict=True)
        ]
        if str(period) in program.e:
            terms.append((program.e[str(period)], -1.0))
        program.add_row(NAME, (period, component), terms, "<=", 0.0)
