"""Each component follows exactly one course."""

from bundler.program.model import Program

NAME = "one_course"
FORMULA = "sum over courses q of c: x[c,q] = 1"
PRICE = "none: every component follows a course, whatever it costs"


def add(program: Program) -> None:
    """Add one row a component, and tie placements to the courses that hold them."""
    choices = program.choices
    for component, courses in choices.courses.groupby("component", sort=True)["course"]:
        program.add_row(NAME, component, [(program.x[q], 1.0) for q in courses], "==", 1.0)
    works = choices.works[choices.works["placement"].isin(program.z)]
    for placement, courses in works.groupby("placement", sort=True)["course"]:
        terms = [(program.x[q], 1.0) for q in courses]
        program.add_row(
            "placed", placement, [*terms, (program.z[int(str(placement))], -1.0)], "==", 0.0
        )
