"""Values that have to fit each other."""

from collections.abc import Iterator

import pandas as pd

from bundler.calendar import ON_LINE
from bundler.case import Case
from bundler.errors import Finding
from bundler.tables import rows


def payment_shares(case: Case) -> Iterator[Finding]:
    """Payments at order and in the middle leave something of 0 or more for delivery."""
    total = case.settings.order_payment_share + case.settings.middle_payment_share
    if total > 1:
        yield Finding(
            "station.yaml",
            0,
            "middle_payment_share",
            f"payments at order and in the middle sum to {total:g}",
            "1 at most is allowed",
            "Lower one of both.",
        )


def life_parameters(case: Case) -> Iterator[Finding]:
    """Curves have the parameters they need."""
    needs = {
        "weibull": ("life_years", "shape_ratio"), "gamma": ("life_years", "shape_ratio"),
        "lognormal": ("life_years", "shape_ratio"), "exponential": ("life_years",), "stepped": (),
    }  # fmt: skip
    for row in rows(case["families"]):
        for column in needs[row.curve]:
            if pd.isna(getattr(row, column)):
                yield Finding(
                    "families.csv",
                    row.file_row,
                    column,
                    f"{row.family} has none",
                    f"a {row.curve} curve needs it",
                    "Give it, or choose another curve.",
                )


def pins_agree(case: Case) -> Iterator[Finding]:
    """Nobody forces the same work in and out."""
    pins = case["pins"]
    forced = {(r.component, r.action, r.outage): r for r in rows(pins[pins["rule"] == "in"])}
    for row in rows(pins[pins["rule"] == "out"]):
        for (component, action, outage), other in forced.items():
            same = (
                component == row.component
                and row.action in ("", action)
                and row.outage in ("", outage)
            )
            if same:
                yield Finding(
                    "pins.csv",
                    row.file_row,
                    "rule",
                    f"{row.component} is forced out here and in by row {other.file_row}",
                    "one of both is allowed",
                    "Take one of them out.",
                )


def pins_in_own_outage(case: Case) -> Iterator[Finding]:
    """A pin names an outage of the component's own unit."""
    units = dict(zip(case["outages"]["outage"], case["outages"]["unit"], strict=True))
    own = dict(zip(case["components"]["component"], case["components"]["unit"], strict=True))
    for row in rows(case["pins"]):
        if row.outage in units and own.get(row.component, units[row.outage]) != units[row.outage]:
            yield Finding(
                "pins.csv",
                row.file_row,
                "outage",
                f"{row.outage} is of {units[row.outage]}, {row.component} of {own[row.component]}",
                "outages of its own unit are allowed",
                "Name another outage.",
            )


def crews_for_work(case: Case) -> Iterator[Finding]:
    """Every trade that work uses has crews in every kind of outage that there is."""
    given = set(zip(case["crews"]["resource"], case["crews"]["kind"], strict=True))
    used = sorted(set(case["action_hours"]["resource"]))
    kinds = sorted(set(case["outages"]["kind"]))
    for kind in kinds:
        for resource in used:
            if (resource, kind) not in given:
                yield Finding(
                    "crews.csv",
                    0,
                    "heads_count",
                    f"{resource} has no row for {kind}",
                    "each trade that work uses needs its heads there",
                    "Add a row, with 0 heads if there are none.",
                )


def links_by_train(case: Case) -> Iterator[Finding]:
    """A link matched by train is between families whose components have trains."""
    parts = case["components"]
    trained = set(parts.loc[parts["train"] != "", "family"])
    for row in rows(case["links"]):
        for side in ("first_family", "second_family"):
            family = getattr(row, side)
            if row.match == "train" and family in set(parts["family"]) - trained:
                yield Finding(
                    "links.csv",
                    row.file_row,
                    side,
                    f"components of {family} have no train",
                    "a match by train needs one",
                    "Give trains, or match by unit.",
                )


def kinds_of_time(case: Case) -> Iterator[Finding]:
    """No outage is of the kind that stands for the time between outages."""
    for row in rows(case["outages"]):
        if row.kind == ON_LINE:
            yield Finding(
                "outages.csv",
                row.file_row,
                "kind",
                f"{row.outage} is of kind {ON_LINE}",
                "on-line time is made between outages by itself",
                "Give the outage another kind.",
            )
