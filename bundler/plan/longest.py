"""The longest chain of works in each outage of a plan: works that have to follow each other."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.plan.chosen import Chosen
from bundler.plan.network import FOLLOWS, SAME_DAYS, critical_chain, from_the_end
from bundler.plan.series import chained as chains_of
from bundler.tables import rows

WORK = [
    "work", "component", "action", "like", "period", "kind", "start_days", "end_days", "days",
]  # fmt: skip
SOURCES = {
    "period_first": "period", "work_first": "first", "work_second": "second",
    "lag_days": "lag_days",
}  # fmt: skip


def _of(table: pd.DataFrame, which: str) -> pd.Series:
    """Return which rows of pairs of works are of the action that their link speaks of."""
    action = table[f"{which}_action"]
    same = (table[f"action_{which}"] == action) | (table[f"like_{which}"] == action)
    result: pd.Series = (action == "") | same
    return result


def _linked(works: pd.DataFrame, tied: pd.DataFrame) -> pd.DataFrame:
    """Return the works that follow each other by a link in an outage; period, `FOLLOWS`.

    A work whose first has been done in an earlier outage already does not wait for it again.
    """
    before, own = tied[tied["rule"] == "before"], works[WORK]
    table = before.merge(own.add_suffix("_first"), left_on="first", right_on="component_first")
    table = table.merge(own.add_suffix("_second"), left_on="second", right_on="component_second")
    is_kind = (table["only_kind"] == "") | (table["only_kind"] == table["kind_second"])
    table = table[_of(table, "first") & _of(table, "second") & is_kind]
    done = table["start_days_first"] + table["days_first"] + table["lag_days"]
    is_done = done <= table["end_days_second"] - table["days_second"] + SAME_DAYS
    is_same = table["period_first"] == table["period_second"]
    key = ["link", "component_first", "work_second", "period_second"]
    served = (is_done & ~is_same).groupby([table[name] for name in key]).transform("any")
    kept: pd.DataFrame = table.loc[is_same & ~served.astype(bool), list(SOURCES)]
    return kept.rename(columns=SOURCES)


def _followed(own: pd.DataFrame, here: pd.DataFrame, chains: pd.DataFrame) -> pd.DataFrame:
    """Return how the works of one outage follow each other: by links (`here`) and by chains.

    A chain gives no order: of the works that nothing has to follow, the one whose span ends last
    goes last. With links this order is late least (Lawler 1973; from memory).
    """
    ranks = own.sort_values(["end_days", "start_days", "component"])["work"]
    rank = {name: number for number, name in enumerate(ranks)}
    order = from_the_end(own["work"], here, rank.__getitem__)
    place = {name: number for number, name in enumerate(order)}
    pairs = [
        (first, second, 0.0)
        for _, members in chains.groupby("key", sort=True)
        for first, second in pairwise(sorted(members["work"], key=place.__getitem__))
    ]
    queued = pd.DataFrame(pairs, columns=FOLLOWS)
    both = pd.concat([table[FOLLOWS] for table in (here, queued) if len(table)] or [queued])
    return both.groupby(FOLLOWS[:2], as_index=False)[["lag_days"]].max()


def _float_days(chain: pd.DataFrame, lags: Sequence[float], longer_days: float) -> float:
    """Return the days by which any work of a chain may slip, each held in its own span [d].

    The least of latest less earliest start; below 0 where the chain does not fit.
    """
    starts, free = [], -np.inf
    for row, lag in zip(rows(chain), [0.0, *lags], strict=True):
        starts.append(max(free + lag, row.start_days))
        free = starts[-1] + row.days
    late, slack = np.inf, np.inf
    for row, start, lag in zip(rows(chain[::-1]), starts[::-1], [0.0, *lags[::-1]], strict=True):
        late = min(late - lag, row.end_days + longer_days) - row.days
        slack = min(slack, late - start)
    return slack


def longest_chains(case: Case, picked: Chosen, tied: pd.DataFrame) -> pd.DataFrame:
    """Return the longest chain of works in each outage that has works, sorted by outage.

    `tied` holds the pairs of components that links tie: link, rule, first, first_action, second,
    second_action, only_kind, lag_days. chain_days adds up works and lags [d]; span_days runs from
    the first day on which one of the works can be done to the last, with the days by which the
    outage is lengthened; float_days is the least room of a work, each held in its own span.
    Raises ValueError where works wait for each other in a ring.
    """
    works = picked.works[picked.works["is_outage"]]
    works = works.assign(work=works["component"] + " " + works["action"])
    linked, chained = _linked(works, tied), chains_of(case, works)
    found = []
    for outage, own in works.groupby("period", sort=True):
        here, queue = (table[table["period"] == outage] for table in (linked, chained))
        follows = _followed(own, here, queue)
        names = critical_chain(own.set_index("work")["days"], follows)
        lag = follows.set_index(FOLLOWS[:2])["lag_days"].to_dict()
        lags = [lag[pair] for pair in pairwise(names)]
        chain = own.set_index("work", drop=False).loc[names]
        longer = picked.extension_days.get(str(outage), 0.0)
        span = chain["end_days"].max() + longer - chain["start_days"].min()
        room = _float_days(chain, lags, longer)
        words = " > ".join(chain["component"])
        found.append((outage, chain["days"].sum() + sum(lags), span, words, room))
    table = pd.DataFrame(
        found, columns=["outage", "chain_days", "span_days", "works", "float_days"]
    )
    days = ["chain_days", "span_days", "float_days"]
    return table.assign(**table[days].astype("float64").round(1))
