"""Access that works share is made once if any of them is done."""

from bundler.program.model import Program

NAME = "access"
FORMULA = "sum over works of c that need s: z[p] <= y[s]"
PRICE = "what the access would have to cost less for the work to go in"


def add(program: Program) -> None:
    """Add one row a component and access set that is not made anyway."""
    choices = program.choices
    members = choices.access_members[choices.access_members["access"].isin(program.y)]
    placed = choices.placements[["placement", "component"]]
    members = members[["access", "placement"]].merge(placed, on="placement")
    for (access, component), own in members.groupby(["access", "component"], sort=True):
        terms = [(program.z[p], 1.0) for p in own["placement"]]
        program.add_row(
            NAME, (access, component), [*terms, (program.y[str(access)], -1.0)], "<=", 0.0
        )
