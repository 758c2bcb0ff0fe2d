"""Works that need, exclude, follow or trigger each other."""

from bundler.program.model import Program

NAME = "links"
FORMULA = "sum factor[l,p] z[p] <= most[l]"
PRICE = "what breaking the link would save; never for sale"


def add(program: Program) -> None:
    """Add one row a link between two components (and period or work)."""
    choices = program.choices
    most = dict(zip(choices.links["link"], choices.links["most"], strict=True))
    for link, own in choices.link_terms.groupby("link", sort=True):
        terms = [
            (program.z[p], factor)
            for p, factor in zip(own["placement"], own["factor"], strict=True)
        ]
        program.add_row(NAME, link, terms, "<=", most[link])
