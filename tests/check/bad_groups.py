"""Bad inputs: redundancy groups whose lost output cannot be told."""

# ruff: noqa: E501
from tests.check.bad import Bad
from tests.read.pen import Pen


def pair(
    pen: Pen, states: tuple[tuple[str, str, str], ...] = (("2", "100", "50"),), **cells: str
) -> None:
    """Add the two pumps as a group; states are lines out, MW lost in summer and in winter."""
    plain = {"group": "SW", "name": "service water", "repair_days": "10"}
    pen.row("groups", **(plain | cells))
    pen.row("group_members", group="SW", family="PUMP")
    for count, summer, winter in states:
        pen.row(
            "group_states",
            group="SW",
            out_count=count,
            summer_lost_mw=summer,
            winter_lost_mw=winter,
        )


BAD_GROUPS = [
    Bad(
        "groups_have_lines",
        lambda pen: pair(pen, (("1", "100", "50"),), match="train"),
        "groups.csv row 2, line_by: SW has 1 line in U1 train A; a group with states has 2 to 8 lines. Correct match, line_by or its rows in group_members.csv.",
        "groups.csv row 2, line_by: SW has 1 line in U1 train B; a group with states has 2 to 8 lines. Correct match, line_by or its rows in group_members.csv.",
    ),
    Bad(
        "groups_have_lines",
        lambda pen: (
            pen.row("groups", group="SW", name="service water", repair_days="10"),
            pen.row(
                "group_states", group="SW", out_count="1", summer_lost_mw="1", winter_lost_mw="1"
            ),
        ),
        "groups.csv row 2, group: SW has no component; a group with states has 2 to 8 lines. Correct match, line_by or its rows in group_members.csv.",
    ),
    Bad(
        "groups_have_lines",
        lambda pen: (
            pair(pen),
            [
                pen.row(
                    "components",
                    component=f"PUMP-{number}",
                    unit="U1",
                    family="PUMP",
                    train="A",
                    position_count=str(number),
                )
                for number in range(3, 10)
            ],
        ),
        "groups.csv row 2, line_by: SW has 9 lines in U1; a group with states has 2 to 8 lines. Correct match, line_by or its rows in group_members.csv.",
    ),
    Bad(
        "groups_have_repair",
        lambda pen: pair(pen, repair_days="0"),
        "groups.csv row 2, repair_days: SW tells what is lost and takes 0 days to repair; a group with states takes more than 0 days. Give repair_days, or delete its rows in group_states.csv.",
    ),
    Bad(
        "groups_have_output",
        lambda pen: (pen.cell("units", 2, "capacity_mw", "0"), pair(pen, (("2", "0", "0"),))),
        "units.csv row 2, capacity_mw: U1 has a capacity of 0 MW; with group_states.csv it is above 0. Give its net electrical capacity.",
    ),
    Bad(
        "group_members_mend",
        lambda pen: (pair(pen), pen.cell("families", 2, "on_failure", "stand")),
        "families.csv row 2, on_failure: PUMP stands failed and is in a group with states; members of such a group are mended within its repair_days. Choose repair or renew, or take it out of group_members.csv.",
    ),
    Bad(
        "groups_share_nothing",
        lambda pen: (
            pair(pen),
            pen.row("groups", group="CW", name="cooling water", repair_days="5"),
            pen.row("group_members", group="CW", family="PUMP"),
            pen.row(
                "group_states", group="CW", out_count="2", summer_lost_mw="10", winter_lost_mw="10"
            ),
        ),
        "groups.csv row 3, group: PUMP-A is in CW and in SW; a component is in one group with states at most. Take it out of one, or delete the states of one.",
    ),
    Bad(
        "group_states_reached",
        lambda pen: pair(pen, (("2", "100", "50"), ("3", "200", "200"))),
        "group_states.csv row 3, out_count: 3 lines of SW are out; it has 2 lines. Delete the row, or add members.",
    ),
    Bad(
        "group_states_within_capacity",
        lambda pen: pair(pen, (("2", "600", "500"),)),
        "group_states.csv row 2, summer_lost_mw: SW loses 600 MW; there are 500 MW to lose. Lower it to what is lost.",
    ),
    Bad(
        "group_states_rise",
        lambda pen: pair(pen, (("1", "100", "50"), ("2", "90", "50"))),
        "group_states.csv row 3, summer_lost_mw: 90 MW with 2 lines of SW out; with fewer out 100 MW are lost, with more at least as much. Correct one of the rows.",
    ),
]
