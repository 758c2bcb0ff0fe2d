"""Groups of lines of which some have to stay in service."""

from collections.abc import Iterator

import pandas as pd

from bundler.calendar import STATION
from bundler.case import Case
from bundler.check.told import error
from bundler.errors import Finding
from bundler.tables import rows

#: what makes one line, by the words of `groups.line_by`
LINES = {"component": "component", "position": "position_count", "train": "train"}


def _lines(case: Case) -> pd.DataFrame:
    """Return the components of groups with needs: group, component, train, place and line."""
    groups = case["groups"][case["groups"]["group"].isin(case["group_needs"]["group"])]
    table = groups.merge(case["group_members"].drop(columns="file_row"), on="group")
    table = table.rename(columns={"train": "only_train"})
    names = ["component", "unit", "family", "train", "position_count"]
    table = table.merge(case["components"][names], on="family")
    table = table[(table["only_train"] == "") | (table["only_train"] == table["train"])]
    line = [str(getattr(row, LINES[row.line_by])) for row in rows(table)]
    place = table["unit"].where(table["match"] != STATION, STATION)
    train = (" train " + table["train"]).where(table["match"] == "train", "")
    return table.assign(line=pd.Series(line, table.index, dtype="str"), place=place + train)


def lines_to_keep(case: Case) -> Iterator[Finding]:
    """A group that has to keep lines in service has components."""
    groups, there = case["groups"], set(_lines(case)["group"])
    for row in rows(groups[groups["group"].isin(case["group_needs"]["group"])]):
        if row.group not in there:
            found, allowed = f"{row.group} has no component", "lines to keep in service are there"
            remedy = "Correct its rows in group_members.csv."
            yield error("groups", row.file_row, "group", found, allowed, remedy)


def lines_by_train(case: Case) -> Iterator[Finding]:
    """A component of a group by trains has a train."""
    table = _lines(case)
    is_lacking = (table["match"] == "train") | (table["line_by"] == "train")
    is_lacking &= table["train"] == ""
    lacking: pd.DataFrame = table[is_lacking]
    lacking = lacking.sort_values(by=["file_row", "component"])
    for row in rows(lacking.drop_duplicates("group")):
        found = f"{row.component} has no train"
        allowed = f"{row.group} is made of trains"
        remedy = "Write A or B into its row of components.csv, or group in another way."
        yield error("groups", row.file_row, "line_by", found, allowed, remedy)


def lines_enough(case: Case) -> Iterator[Finding]:
    """No more lines have to stay in service than there are."""
    lines: dict[str, dict[str, set[str]]] = {}
    for part in rows(_lines(case)):
        lines.setdefault(part.group, {}).setdefault(part.place, set()).add(part.line)
    for row in rows(case["group_needs"]):
        if row.group not in lines:
            continue
        count, place = min((len(own), place) for place, own in lines[row.group].items())
        if row.in_service_count > count:
            found = f"{row.in_service_count} lines of {row.group} have to stay in service"
            allowed = f"{place} has {count}"
            remedy = "Lower it, or add members to the group."
            yield error("group_needs", row.file_row, "in_service_count", found, allowed, remedy)


def lines_conditions(case: Case) -> Iterator[Finding]:
    """A condition in which lines have to stay in service holds in that kind of period."""
    held = set(zip(case["windows"]["kind"], case["windows"]["condition"], strict=True))
    for row in rows(case["group_needs"]):
        if row.condition and (row.kind, row.condition) not in held:
            found = f"{row.group} speaks of {row.condition} in kind {row.kind}"
            allowed = "a condition has a row in windows.csv where it counts"
            remedy = "Correct the condition, or add its row."
            yield error("group_needs", row.file_row, "condition", found, allowed, remedy)


#: all of the above
OWN = (
    lines_to_keep,
    lines_by_train,
    lines_enough,
    lines_conditions,
)
