"""Bad inputs: evidence from which no life follows, or that is doubted."""

# ruff: noqa: E501
from tests.check.bad import Bad
from tests.check.bad_lives import life, recorded
from tests.check.bad_readings import indicator, read
from tests.read.pen import Pen


def batch(pen: Pen, **values: str) -> None:
    """Put both pumps into a batch, but for these cells."""
    pen.row("batches", **({"batch": "b1", "bad_chance": "0.1", "bad_life_ratio": "0.5"} | values))
    pen.cell("components", 2, "batch", "b1")
    pen.cell("components", 3, "batch", "b1")


def stepped_valve(pen: Pen) -> None:
    """Give the valve a stepped curve."""
    pen.cell("families", 3, "curve", "stepped")
    pen.cell("families", 3, "steps", "net")
    pen.row("curve_steps", steps="net", from_age_years="0", failure_rate_per_year="0.1")


def falling(pen: Pen) -> None:
    """Let one inspector grade young pumps 2 and an old one 1; those before went from 1 to 3."""
    indicator(pen, "grade", limit_value="3")
    for name in ("PUMP-C", "PUMP-D"):
        pen.row(
            "components", component=name, unit="U1", family="PUMP", train="B",
            position_count="3" if name == "PUMP-C" else "4", renewed_date="2016-12-01",
        )  # fmt: skip
    for name in ("PUMP-B", "PUMP-C", "PUMP-D"):
        read(pen, name, "2008-01-01 1", "2010-01-01 3", "2018-01-01 2", inspector="R1")
    read(pen, "PUMP-A", "2010-01-01 1", "2012-01-01 1", "2015-01-01 1", inspector="R1")


BAD_EVIDENCE = [
    Bad(
        "batches_in_doubt",
        lambda pen: batch(pen, bad_chance="1"),
        "batches.csv row 2, bad_chance: it is 1; a batch in doubt lies between 0 and 1. Give the chance, or set life_years of its components instead.",
    ),
    Bad(
        "batches_in_doubt",
        lambda pen: batch(pen, bad_chance="0"),
        "batches.csv row 2, bad_chance: it is 0; a batch in doubt lies between 0 and 1. Give the chance, or set life_years of its components instead.",
    ),
    Bad(
        "evidence_on_curves",
        lambda pen: (
            stepped_valve(pen),
            indicator(pen, "insulation", family="VALVE"),
            read(pen, "VALVE-1", "2020-01-01 90"),
        ),
        "components.csv row 4, component: VALVE-1 has curve stepped and readings; only curves with a life can be moved by evidence. Choose another curve for VALVE, or take the evidence out.",
    ),
    Bad(
        "evidence_on_curves",
        lambda pen: (
            stepped_valve(pen),
            batch(pen),
            pen.cell("components", 4, "batch", "b1"),
        ),
        "components.csv row 4, component: VALVE-1 has curve stepped and a batch; only curves with a life can be moved by evidence. Choose another curve for VALVE, or take the evidence out.",
    ),
    Bad(
        "evidence_usable",
        lambda pen: (indicator(pen, "wall"), read(pen, "PUMP-A", "2020-01-01 8")),
        "readings.csv row 2, reading_value: PUMP-A: one reading tells no rate; a life has to follow from it. Give rate_value_per_year with its standard deviation in indicators.csv, or a second reading.",
    ),
    Bad(
        "evidence_usable",
        lambda pen: (indicator(pen, "wall"), read(pen, "PUMP-A", "2018-01-01 6", "2020-01-01 4.9")),
        "readings.csv row 3, reading_value: PUMP-A: the last reading 4.9 is at or beyond the limit 5; the component counts as failed. Correct the reading or the limit, or plan its work with a pin.",
    ),
    Bad(
        "evidence_usable",
        lambda pen: (indicator(pen, "wall"), read(pen, "PUMP-A", "2018-01-01 8", "2020-01-01 9")),
        "readings.csv row 3, reading_value: PUMP-A: the readings show no wear towards the limit; a life has to follow from it. Give rate_value_per_year, or take the readings out: they do not limit the life.",
    ),
    Bad(
        "evidence_usable",
        lambda pen: (indicator(pen, "tubes"), read(pen, "PUMP-A", "2020-01-01 0")),
        "readings.csv row 2, reading_value: PUMP-A: no tube of 1000 is plugged, which tells no rate; a life has to follow from it. Take the reading out: the life of the family holds.",
    ),
    Bad(
        "evidence_usable",
        lambda pen: (
            indicator(pen, "gamma"),
            read(pen, "PUMP-A", "2010-01-01 2", "2020-01-01 1"),
            read(pen, "PUMP-B", "2018-01-01 1", "2020-01-01 2"),
        ),
        "readings.csv row 3, reading_value: PUMP-A: of the steps between readings, 1 do not grow, which a gamma process always does; a life has to follow from it. Use the model wiener with the error of a reading.",
    ),
    Bad(
        "evidence_usable",
        lambda pen: (
            indicator(pen, "grade"),
            read(pen, "PUMP-A", "2010-01-01 1", "2020-01-01 2"),
            read(pen, "PUMP-B", "2018-01-01 1", "2020-01-01 2"),
        ),
        "readings.csv row 3, reading_value: PUMP-A: Grade 1 was left 2 times in the pairs; at least 3 are needed. Merge it with the grade next to it, or take the chain of a neighbouring family.",
    ),
    Bad(
        "evidence_twice",
        lambda pen: (
            pen.cell("components", 2, "age_ratio", "1.2"),
            indicator(pen, "insulation"),
            read(pen, "PUMP-A", "2020-01-01 98"),
        ),
        "note: components.csv row 2, age_ratio: PUMP-A has an age ratio of 1.2 and readings; the same evidence may count twice. Empty the cell if the ratio stands for what they tell.",
    ),
    Bad(
        "evidence_twice",
        lambda pen: (
            pen.cell("components", 3, "age_ratio", "0.8"),
            recorded(pen),
            life(pen, failed_date="", last_good_date="2026-12-31"),
        ),
        "note: components.csv row 3, age_ratio: PUMP-B has an age ratio of 0.8 and records of its family; the same evidence may count twice. Empty the cell if the ratio stands for what they tell.",
    ),
    Bad(
        "inspectors_rise",
        falling,
        "note: readings.csv row 4, inspector: 6 grades of sign by R1 fall with age; grades rise with age, and 0.0086 is the chance of this by luck. Ask whether the best grade was counted as the worst.",
    ),
    Bad(
        "records_agree",
        lambda pen: (
            recorded(pen, shape_sigma_ratio="0.1"),
            [life(pen, life=f"L{n}", start_date=f"{2010 + n}-01-01") for n in range(6)],
        ),
        "note: families.csv row 2, life_years: in U1 6 failures move the life from 30 to 11.16 years and its spread from 0.25 to 0.22, the shape from 3 to 2.96; a record moves a life by less than two of its spreads. Check the life and the record before either is used.",
    ),
]
