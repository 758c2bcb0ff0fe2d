"""Bad inputs: works and families that do not fit."""

# ruff: noqa: E501
from tests.check.bad import Bad

BAD_WORKS = [
    Bad(
        "payment_shares",
        lambda pen: pen.setting("order_payment_share", "0.6"),
        "station.yaml, middle_payment_share: with order_payment_share 0.6 they sum to 1.1; payments before delivery are at most 1 in all. Lower one of the two.",
    ),
    Bad(
        "families_with_work",
        lambda pen: pen.row(
            "families", family="FAN", name="fan", area="TB", life_years="20", shape_ratio="2"
        ),
        "families.csv row 4, family: family FAN has no action; each family has at least one. Add its work to actions.csv, or take the family out.",
        "note: families.csv row 4, family: no component belongs to family FAN; it has no part in the plan. Check the family of its components.",
    ),
    Bad(
        "life_parameters",
        lambda pen: pen.cell("families", 2, "shape_ratio", ""),
        "families.csv row 2, shape_ratio: the cell is empty; curve weibull needs it. Fill it, or give it for each component of the family.",
    ),
    Bad(
        "life_parameters",
        lambda pen: pen.cell("families", 3, "life_years", ""),
        "families.csv row 3, life_years: the cell is empty; curve exponential needs it. Fill it, or give it for each component of the family.",
    ),
    Bad(
        "trains_for_stars",
        lambda pen: (pen.cell("components", 2, "train", ""), pen.path("access_members").unlink()),
        "components.csv row 2, train: the cell of PUMP-A is empty; PUMP overhaul needs L*, and the star stands for the train. Write A or B into the cell.",
    ),
    Bad(
        "trains_for_access",
        lambda pen: pen.row("access_members", access_set="LOOP", family="VALVE"),
        "components.csv row 4, train: the cell of VALVE-1 is empty; its family shares access LOOP, of which each train has one. Write A or B into the cell.",
    ),
    Bad(
        "crews_for_work",
        lambda pen: pen.drop_row("crews", 5),
        "crews.csv, resource: M has no row for kind planned; PUMP overhaul needs 200 hours of it there. Add a row, with 0 heads if there are none.",
    ),
    Bad(
        "links_by_train",
        lambda pen: (
            pen.cell("links", 2, "match", "train"),
            pen.cell("links", 2, "second_family", "VALVE"),
        ),
        "links.csv row 2, second_family: no component of VALVE has a train; a link matched by train ties components of one train. Fill the trains, or match by unit.",
    ),
]
