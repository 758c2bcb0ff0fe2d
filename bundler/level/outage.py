"""One outage of a plan as a problem to be levelled, with what turns slots back into days."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

import pandas as pd

from bundler.case import Case
from bundler.choice import Choices
from bundler.level.heads import (
    PARTS,
    Outage,
    bands,
    base_profile,
    floors,
    heads_of,
    outage_of,
    pools,
    runs,
    supplies,
)
from bundler.level.modes import free_amounts, modes_of, needs_of
from bundler.level.problem import COLUMNS, Levelled, Problem
from bundler.level.tasks import LOAD, VALUE, area_name, loads_of, planned_works, tasks_of
from bundler.level.ties import (
    Follow,
    Own,
    Taken,
    access_ties,
    lines_apart,
    lines_out,
    links,
    series,
    unique_pairs,
)
from bundler.plan.chosen import Chosen
from bundler.tables import rows

HELD = ["period", "resource", "start_days", "end_days", "heads_count"]


@dataclass(frozen=True)
class Laid:
    """One outage laid out to be levelled.

    problem : in slots of the outage.
    tasks : one row a task, also of those that fit nowhere; as `tasks_of`.
    loads : what each task takes in all of each resource; as `loads_of`.
    heads : crews of the outage; as `heads_of`.
    unfit : tasks that fit nowhere by themselves, so that they are not in the problem, and those
        that need them: `UNFIT` of `modes`, because_of (the other task).
    """

    outage: Outage
    problem: Problem
    tasks: pd.DataFrame
    loads: pd.DataFrame
    heads: pd.DataFrame
    unfit: pd.DataFrame


def no_held() -> pd.DataFrame:
    """Return the table of heads held by outages levelled before, without any."""
    return pd.DataFrame({name: pd.Series(dtype="str") for name in HELD[:2]}).assign(
        **{name: pd.Series(dtype="float64") for name in HELD[2:]}
    )


def _resources(
    case: Case, choices: Choices, outage: Outage, heads: pd.DataFrame, held: pd.DataFrame
) -> tuple[list[tuple[str, int]], list[Taken]]:
    """Return what there is of each resource, and what others take of it."""
    found = [(row.resource, round(row.heads_count * PARTS)) for row in rows(heads)]
    taken = [
        run
        for row in rows(heads)
        for run in runs(row.resource, base_profile(outage, row.base_heads_count))
    ]
    other = held[held["period"] != outage.period]
    pooled, used = pools(case, choices.periods, outage, heads, other)
    trains = sorted({"", *case["components"]["train"]})
    for row in rows(floors(case)):
        for train in trains if row.is_by_train else ("",):
            name = area_name(row.area, train, is_by_train=row.is_by_train)
            found.append((name, int(row.heads_count * PARTS)))
    for row in rows(supplies(case, outage)):
        found.append((f"supply.{row.supply}", round(row.amount * PARTS)))
    return found + pooled, taken + used


def _asking(needed: Iterable[tuple[str, str]], out: Iterable[str]) -> dict[str, str]:
    """Return the tasks that cannot run without those of `out`, each with the one it lacks."""
    why = {name: name for name in out}
    pairs, grew = list(needed), True
    while grew:
        more = {two: why[one] for one, two in pairs if one in why and two not in why}
        grew = bool(more)
        why |= more
    return why


def _without(tasks: pd.DataFrame, follows: list[Follow], unfit: pd.DataFrame) -> pd.DataFrame:
    """Return the tasks that cannot run, with those that need them; because_of names that one."""
    needed = [(first, second) for first, second, _, is_needed in follows if is_needed]
    why = _asking(needed, unfit["task"])
    names = sorted(name for name in why if name in set(tasks["task"]))
    table = pd.DataFrame({"task": names, "because_of": [why[name] for name in names]}, dtype="str")
    told = unfit.rename(columns={"task": "because_of"})
    table = table.merge(told, on="because_of", how="left")
    own = table["because_of"].where(table["because_of"] != table["task"], "")
    return table.assign(because_of=own)


def _problem(tables: Mapping[str, pd.DataFrame], is_out: Collection[str]) -> Problem:
    """Return the problem without some tasks, with the columns and types it is described by."""
    names = {"tasks": ["task"], "modes": ["task"], "needs": ["task"]}
    names |= {"follows": ["first", "second"], "apart": ["first", "second"]}
    own = {name: tables[name][~tables[name][keys].isin(is_out).any(axis=1)]
           for name, keys in names.items()}  # fmt: skip
    tables = {**tables, **own}
    typed = {name: tables[name][list(kinds)].astype(kinds) for name, kinds in COLUMNS.items()}
    return Problem(**{name: table.reset_index(drop=True) for name, table in typed.items()})


def _valued(case: Case, works: pd.DataFrame, values: Mapping[str, int] | None) -> pd.DataFrame:
    """Return the works with what leaving each out costs, and with its area."""
    told = values or {}
    areas = case["families"].set_index("family")["area"]
    return works.assign(
        value=[int(told.get(name, VALUE)) for name in works["component"]],
        area=works["family"].map(areas),
    )


def _ties(
    case: Case, choices: Choices, picked: Chosen, outage: Outage, tasks: pd.DataFrame
) -> tuple[list[Follow], pd.DataFrame]:
    """Return what follows what in an outage, and what is kept apart."""
    works, own = planned_works(picked, outage), Own(tasks)
    follows, apart = links(case, picked, outage, own)
    follows += [*own.both_ways(outage), *access_ties(tasks, choices.access_members, outage, own)]
    apart += [*series(case, works, own), *lines_apart(case, choices, works, own)]
    return sorted(set(follows)), unique_pairs(apart)


def outage_problem(
    case: Case, choices: Choices, picked: Chosen, period: str, *,
    held: pd.DataFrame | None = None, values: Mapping[str, int] | None = None,
) -> Laid:  # fmt: skip
    """Return one outage of a plan, laid out on its slots.

    held : heads of outages levelled before (`HELD`, days from planning), which share the site's
        pool. values : what leaving out the work on a component costs [k$]; 0, it may not be left
        out; `VALUE` where nothing is said.
    """
    outage = outage_of(choices.periods, period, picked.extension_days)
    works = _valued(case, planned_works(picked, outage), values)
    sets = picked.access[(picked.access["period"] == period) & ~picked.access["is_given"]]
    tasks = tasks_of(case, choices, works, sets, outage)
    heads, loads = heads_of(case, outage), loads_of(case, tasks, works, outage)
    found, used = _resources(case, choices, outage, heads, no_held() if held is None else held)
    lines, kept, on_lines = lines_out(case, choices, works, Own(tasks), outage)
    taken = pd.DataFrame(used + kept, columns=list(COLUMNS["taken"]))
    loads = pd.concat([loads, pd.DataFrame(on_lines, columns=LOAD).astype(loads.dtypes)])
    resources = pd.DataFrame(found + lines, columns=["resource", "amount"]).assign(is_total=False)
    loads = loads[loads["resource"].isin(set(resources["resource"]))].reset_index(drop=True)
    weeks, most = bands(case, outage, heads)
    free, more = free_amounts(resources, taken, weeks, outage.slots)
    modes, stuck = modes_of(tasks, loads, outage, free, more)
    follows, apart = _ties(case, choices, picked, outage, tasks)
    unfit = _without(tasks, follows, stuck)
    tables = {
        "tasks": tasks,
        "modes": modes,
        "needs": needs_of(modes, loads, outage),
        "resources": resources,
        "taken": taken,
        "follows": pd.DataFrame(follows, columns=list(COLUMNS["follows"])),
        "apart": apart,
        "bands": weeks,
        "band_most": most,
    }
    return Laid(outage, _problem(tables, set(unfit["task"])), tasks, loads, heads, unfit)


def idle_access(laid: Laid, levelled: Levelled) -> set[str]:
    """Return the access sets that a schedule makes for nobody, by their number in the plan."""
    kinds = laid.tasks.set_index("task")
    ran = kinds.loc[list(levelled.starts["task"])]
    works = set(ran.index[ran["placement"] >= 0])
    asked = laid.problem.follows[laid.problem.follows["is_needed"]]
    used = kinds.loc[asked.loc[asked["second"].isin(works), "first"], "access"]
    return set(ran["access"]) - set(used) - {""}


def without_idle(laid: Laid, levelled: Levelled) -> Laid:
    """Return an outage without the access sets that a schedule makes for nobody.

    Their works are left out of it too. A problem cannot say that a task runs only if one of
    several does, so a schedule may make access although all who need it are left out. Level what
    comes out again: the heads of such access are free there. The same object where there is none.
    """
    idle = idle_access(laid, levelled)
    if not idle:
        return laid
    asked = laid.problem.follows[laid.problem.follows["is_needed"]]
    needed = zip(asked["first"], asked["second"], strict=True)
    own = laid.tasks.loc[laid.tasks["access"].isin(idle), "task"]
    return replace(laid, problem=_problem(vars(laid.problem), set(_asking(needed, own))))
