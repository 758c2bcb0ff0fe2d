"""What to leave out first when an outage is too long or a crew too short; what to add when not."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.choice import FloatArray
from bundler.errors import DataError, Finding
from bundler.level.confidence import Outcomes, joined
from bundler.level.draws import Doubt, Runs, drawn
from bundler.level.paths import Network, StartRule, Wiring, come_forward, finish, forward
from bundler.plan.network import SAME_DAYS

PROMISE_CHANCE = 0.8
#: what goes out with a task, by task
Groups = Mapping[str, Collection[str]]


@dataclass(frozen=True)
class Trials:
    """An outage in runs that stay the same whatever is left out (common random numbers).

    A task left out takes no time, is not waited for and waits for nothing of its own: its
    discoveries, deliveries, starts and lags are gone. Its crews go on as they did, at once; who
    comes after whom stays. So a new levelling may save more.
    """

    network: Network
    runs: Runs
    rule: StartRule

    def finishes(self, left_out: Collection[str] = ()) -> Outcomes:
        """Return the finish of each run without some tasks [d]."""
        is_out = np.isin(self.network.tasks["task"].to_numpy(dtype=object), list(left_out))
        held = self.rule(self.runs.earliest, self.network.tasks["start_days"].to_numpy(dtype=float))
        durations = np.asfortranarray(np.where(is_out, 0.0, self.runs.durations))
        arcs = self.network.arcs
        is_kept = ~(arcs["first"].isin(left_out) | arcs["second"].isin(left_out))
        lags = arcs["lag_days"].where(is_kept, arcs["lag_days"].clip(upper=0.0))
        wiring = Wiring.of(replace(self.network, arcs=arcs.assign(lag_days=lags)))
        starts = forward(wiring, durations, np.where(is_out, 0.0, held))
        return Outcomes(finish(starts[:, ~is_out], durations[:, ~is_out]))


def trials(
    network: Network,
    doubt: Doubt,
    *,
    rng: np.random.Generator,
    runs_count: int = 10_000,
    rule: StartRule = come_forward,
) -> Trials:
    """Return the runs in which leaving out is tried; parameters as those of `confidence`.

    By `come_forward`, unlike there: what is planned after a work left out would be planned sooner.
    """
    joined(network, doubt)
    own = replace(network, tasks=network.tasks.sort_values("task", ignore_index=True))
    return Trials(own, drawn(own.tasks, doubt, rng=rng, runs_count=runs_count), rule)


def saved_days(
    tried: Trials, names: Collection[str], chance: float = PROMISE_CHANCE,
    groups: Groups | None = None,
) -> pd.DataFrame:  # fmt: skip
    """Return by how much the finish with a chance is sooner without each of some tasks alone [d].

    `groups` names what goes out with a task. Columns task and saved_days. Chains side by side hide
    each other: two tasks that save nothing alone may save days together.
    """
    whole, told = tried.finishes().at(chance), groups or {}
    saved = [
        whole - tried.finishes({name, *told.get(name, ())}).at(chance) for name in sorted(names)
    ]
    return pd.DataFrame({"task": sorted(names), "saved_days": np.array(saved, dtype=float)})


def _listed(works: pd.DataFrame, order: FloatArray) -> pd.DataFrame:
    """Return works by `order`, then by name, each with its step and the totals so far."""
    table = works.assign(order=order).sort_values(["order", "task"], kind="stable")
    table = table.drop(columns="order").reset_index(drop=True)
    numbers = [name for name in works.columns if name != "task"]
    table.insert(0, "step", np.arange(1, len(table) + 1))
    totals = table[numbers].cumsum().add_prefix("total_")
    return pd.concat([table, totals], axis=1)


def _checked(works: pd.DataFrame, short: str) -> None:
    """Raise DataError for works without value or without what is short."""
    found = [
        Finding("works", 0, name, "no such column", "it is needed", "Add it.")
        for name in ("task", "value_cost", short)
        if name not in works
    ] or [
        Finding("works", number, name, f"{value:g}", "0 or more is allowed", "Correct it.")
        for name in ("value_cost", short)
        for number, value in enumerate(works[name], start=1)
        if not value >= 0
    ]
    if found:
        raise DataError(found)


def drop_list(works: pd.DataFrame, short: str) -> pd.DataFrame:
    """Return works in the order in which to leave them out: least value per unit of what is short.

    Parameters
    ----------
    works : task; value_cost, what leaving it out costs; what it frees, one column each, such as
        saved_days or hours of a trade.
    short : the column of what is short. Works that free none of it are not listed.

    Columns step, those of works, and their totals so far. No works that free as much together as
    those of the first steps have less value (Dantzig 1957); but days of several works do not add
    up, `with_finish` and `drop_for_days` count them.
    """
    _checked(works, short)
    own = works[works[short] > 0]
    return _listed(own, (own["value_cost"] / own[short]).to_numpy(dtype=float))


def add_list(works: pd.DataFrame, short: str) -> pd.DataFrame:
    """Return candidates in the order in which to add them: most value per unit of what is short.

    Parameters and columns as those of `drop_list`; value_cost is what adding a work saves, and the
    other columns what it takes. Those that take none of what is short come first.
    """
    _checked(works, short)
    value, used = works["value_cost"].to_numpy(dtype=float), works[short].to_numpy(dtype=float)
    per_unit = np.divide(value, used, out=np.full(len(works), np.inf), where=used > 0)
    return _listed(works, -per_unit)


def with_finish(
    listed: pd.DataFrame, tried: Trials, chance: float = PROMISE_CHANCE,
    groups: Groups | None = None,
) -> pd.DataFrame:  # fmt: skip
    """Return a drop-list with the finish that has a chance after each of its steps [d].

    `groups` names what goes out with a task.
    """
    gone, told, days = set[str](), groups or {}, []
    for name in listed["task"]:
        gone |= {name, *told.get(name, ())}
        days.append(tried.finishes(gone).at(chance))
    return listed.assign(finish_days=np.array(days, dtype=float))


def drop_for_days(
    tried: Trials, works: pd.DataFrame, until_days: float, chance: float = PROMISE_CHANCE,
    groups: Groups | None = None,
) -> pd.DataFrame:  # fmt: skip
    """Return what to leave out, step by step, until the finish with a chance is soon enough [d].

    Parameters
    ----------
    works : task and value_cost of all that may be left out, each by itself.
    until_days : the finish wanted [d].
    groups : what goes out with a task; what is among `works` counts with its value.

    At each step the least value per day saved, all days counted anew without what is out already;
    ends early where none saves a day alone. Columns step, task, value_cost, saved_days, their
    totals, and finish_days after the step.
    """
    left, told = works.set_index("task")["value_cost"].sort_index(), groups or {}
    out: list[dict[str, float | str]] = []
    gone, now = set[str](), tried.finishes().at(chance)
    while now > until_days + SAME_DAYS:
        whole = {name: {name, *told.get(name, ())} for name in left.index}
        saved = {n: now - tried.finishes(gone | whole[n]).at(chance) for n in left.index}
        value = {n: float(left.reindex(sorted(whole[n])).sum()) for n in left.index}
        able = [name for name in left.index if saved[name] > SAME_DAYS]
        if not able:
            break
        best = min(able, key=_value_per(value, saved))
        now -= saved[best]
        row = {"value_cost": value[best], "saved_days": saved[best], "finish_days": now}
        out.append({"task": best, **row})
        gone |= whole[best]
        left = left.drop([name for name in left.index if name in gone])
    table = pd.DataFrame(out, columns=["task", "value_cost", "saved_days", "finish_days"])
    listed = _listed(table.drop(columns="finish_days"), np.arange(len(table), dtype=float))
    return listed.assign(finish_days=table["finish_days"])


def _value_per(
    value: dict[str, float], saved: dict[str, float]
) -> Callable[[str], tuple[float, str]]:
    """Return the key by which a work is left out: value for each day saved, then the name."""
    return lambda name: (value[name] / saved[name], name)
