"""The verdict on a schedule: the works of a plan on days, from the input tables alone.

A schedule is a table with one row a task: outage, kind (work, test, set-up, alongside, lift),
component, action, is_left_out, start_days and end_days [days from breaker open], and condition by
the words of the tables. The last three kinds, the tasks of access, have the unit as component, the
access set as action, and train.
"""

from collections.abc import Callable, Iterator

import pandas as pd

from bundler.case import Case
from bundler.judge.reading import read_plan
from bundler.judge.schedule_access import check_access_days, check_set_days, check_set_order
from bundler.judge.schedule_days import (
    check_idle_tests,
    check_lengths,
    check_listed,
    check_spans,
    check_test_days,
)
from bundler.judge.schedule_lines import check_lines_out
from bundler.judge.schedule_loads import (
    check_day_areas,
    check_day_heads,
    check_day_pools,
    check_day_supplies,
)
from bundler.judge.schedule_order import (
    check_days_apart,
    check_days_before,
    check_days_chained,
    check_days_needed,
)
from bundler.judge.schedule_reading import Timetable, read_schedule
from bundler.judge.verdict import Breach, PlanFacts

CHECKS: tuple[Callable[[Timetable], Iterator[Breach]], ...] = (
    check_listed,
    check_spans,
    check_lengths,
    check_test_days,
    check_idle_tests,
    check_set_days,
    check_access_days,
    check_set_order,
    check_day_heads,
    check_day_pools,
    check_day_areas,
    check_day_supplies,
    check_days_before,
    check_days_needed,
    check_days_chained,
    check_days_apart,
    check_lines_out,
)


def judge_schedule(case: Case, facts: PlanFacts, schedule: pd.DataFrame) -> list[Breach]:
    """Return everything that does not hold in the schedule of a plan; empty if it holds.

    Only outages that are in the schedule are looked at.
    """
    table = read_schedule(read_plan(case, facts), schedule)
    found = list(table.unread)
    for check in CHECKS:
        found += check(table)
    return found
