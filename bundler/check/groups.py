"""Redundancy groups that tell what is lost: lines, repair, losses."""

from collections.abc import Iterator

import pandas as pd

from bundler.calendar import STATION
from bundler.case import Case
from bundler.check.told import error
from bundler.errors import Finding
from bundler.tables import rows

#: with more lines there are too many states to try
MOST_LINES = 8
#: what makes one line, by the words of `groups.line_by`
LINES = {"component": "component", "position": "position_count", "train": "train"}


def _with_states(case: Case) -> pd.DataFrame:
    return case["groups"][case["groups"]["group"].isin(case["group_states"]["group"])]


def _members(case: Case) -> pd.DataFrame:
    """Return the members of groups with states: group, component, owner, place and line."""
    members = case["group_members"].drop(columns="file_row")
    table = _with_states(case).drop(columns="name").merge(members, on="group")
    names = ["component", "unit", "family", "train", "position_count"]
    table = table.merge(case["components"][names], on="family", suffixes=("_only", ""))
    table = table[table["train_only"].isin([""]) | (table["train_only"] == table["train"])]
    table = table.drop_duplicates(["group", "component"])
    is_all, by_train = table["match"] == "station", table["match"] == "train"
    owner = table["unit"].where(~is_all, STATION)
    place = owner + (" train " + table["train"]).where(by_train, "")
    line = pd.Series("", index=table.index)
    for word, column in LINES.items():
        line = line.where(table["line_by"] != word, table[column].astype("str"))
    return table.assign(owner=owner, place=place, line=line).reset_index(drop=True)


def _lines(case: Case) -> pd.DataFrame:
    """Return how many lines each group with states has at each of its places."""
    table = _members(case).groupby(["group", "file_row", "place", "owner"], as_index=False)
    return table.agg({"line": "nunique"})


def groups_have_lines(case: Case) -> Iterator[Finding]:
    """A group that tells what is lost has 2 to 8 lines wherever it is."""
    lines = _lines(case)
    remedy = "Correct match, line_by or its rows in group_members.csv."
    allowed = f"a group with states has 2 to {MOST_LINES} lines"
    for row in rows(lines[(lines["line"] < 2) | (lines["line"] > MOST_LINES)]):
        found = f"{row.group} has {row.line} line{'s' * (row.line > 1)} in {row.place}"
        yield error("groups", row.file_row, "line_by", found, allowed, remedy)
    groups = _with_states(case)
    for row in rows(groups[~groups["group"].isin(lines["group"])]):
        found = f"{row.group} has no component"
        yield error("groups", row.file_row, "group", found, allowed, remedy)


def groups_have_repair(case: Case) -> Iterator[Finding]:
    """A group that tells what is lost tells how long a repair takes."""
    groups = _with_states(case)
    for row in rows(groups[groups["repair_days"] <= 0]):
        found = f"{row.group} tells what is lost and takes {row.repair_days:g} days to repair"
        allowed = "a group with states takes more than 0 days"
        remedy = "Give repair_days, or delete its rows in group_states.csv."
        yield error("groups", row.file_row, "repair_days", found, allowed, remedy)


def groups_have_output(case: Case) -> Iterator[Finding]:
    """A unit whose groups tell what is lost has a capacity."""
    owners, units = set(_members(case)["owner"]), case["units"]
    for row in rows(units[units["capacity_mw"] <= 0]):
        if not owners.isdisjoint({row.unit, STATION}):
            found = f"{row.unit} has a capacity of {row.capacity_mw:g} MW"
            allowed = "with group_states.csv it is above 0"
            remedy = "Give its net electrical capacity."
            yield error("units", row.file_row, "capacity_mw", found, allowed, remedy)


def group_members_mend(case: Case) -> Iterator[Finding]:
    """Members of a group that tells what is lost are repaired or renewed after a failure."""
    families = case["families"]
    own = families[families["family"].isin(_members(case)["family"])]
    for row in rows(own[own["on_failure"] == "stand"]):
        found = f"{row.family} stands failed and is in a group with states"
        allowed = "members of such a group are mended within its repair_days"
        remedy = "Choose repair or renew, or take it out of group_members.csv."
        yield error("families", row.file_row, "on_failure", found, allowed, remedy)


def groups_share_nothing(case: Case) -> Iterator[Finding]:
    """What a component's failure loses is told by one group only."""
    members = _members(case).sort_values(["component", "file_row"])
    firsts = members.groupby("component")["group"].transform("first")
    table = members.assign(first=firsts)[members["group"] != firsts]
    for row in rows(table.drop_duplicates(["group", "first"])):
        found = f"{row.component} is in {row.group} and in {row.first}"
        allowed = "a component is in one group with states at most"
        remedy = "Take it out of one, or delete the states of one."
        yield error("groups", row.file_row, "group", found, allowed, remedy)


def group_states_reached(case: Case) -> Iterator[Finding]:
    """No state has more lines out than there are."""
    most = _lines(case).groupby("group")["line"].max().to_dict()
    for row in rows(case["group_states"]):
        if row.out_count > most.get(row.group, row.out_count):
            found = f"{row.out_count} lines of {row.group} are out"
            allowed = f"it has {most[row.group]} lines"
            remedy = "Delete the row, or add members."
            yield error("group_states", row.file_row, "out_count", found, allowed, remedy)


def group_states_within_capacity(case: Case) -> Iterator[Finding]:
    """No state loses more than there is."""
    capacity = dict(zip(case["units"]["unit"], case["units"]["capacity_mw"], strict=True))
    capacity[STATION] = sum(capacity.values())
    table = _lines(case)
    most = table.assign(mw=table["owner"].map(capacity)).groupby("group")["mw"].min().to_dict()
    for row in rows(case["group_states"]):
        for column in ("summer_lost_mw", "winter_lost_mw"):
            mw, limit = getattr(row, column), most.get(row.group, float("inf"))
            if mw > limit:
                found = f"{row.group} loses {mw:g} MW"
                allowed = f"there are {limit:g} MW to lose"
                remedy = "Lower it to what is lost."
                yield error("group_states", row.file_row, column, found, allowed, remedy)


def group_states_rise(case: Case) -> Iterator[Finding]:
    """With more lines out at least as much is lost."""
    for _, own in case["group_states"].sort_values("out_count").groupby("group"):
        for column in ("summer_lost_mw", "winter_lost_mw"):
            for row in rows(own[own[column] < own[column].cummax()]):
                most = own.loc[own["out_count"] < row.out_count, column].max()
                found = f"{getattr(row, column):g} MW with {row.out_count} lines of {row.group} out"
                allowed = f"with fewer out {most:g} MW are lost, with more at least as much"
                remedy = "Correct one of the rows."
                yield error("group_states", row.file_row, column, found, allowed, remedy)


#: all of the above
OWN = (
    groups_have_lines,
    groups_have_repair,
    groups_have_output,
    group_members_mend,
    groups_share_nothing,
    group_states_reached,
    group_states_within_capacity,
    group_states_rise,
)
