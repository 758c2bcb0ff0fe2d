"""Courses that lose to themselves without one of their works, whatever else is chosen."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray, IntArray


@dataclass(frozen=True)
class Fewer:
    """Pairs of courses of a component: rows of one, and of the same without one of its works.

    The work taken out is one that no link asks for: what is left uses no more of anything.
    """

    row: IntArray
    row_without: IntArray


def fewer_works(choices: Choices) -> Fewer:
    """Return all pairs of courses that differ by one work which no link asks for."""
    asked = set(choices.link_terms.loc[choices.link_terms["factor"] < 0, "placement"])
    held = choices.works.groupby("course")["placement"].agg(frozenset).to_dict()
    numbers = zip(choices.courses["component"], choices.courses["course"], strict=True)
    keys = [(name, held.get(course, frozenset())) for name, course in numbers]
    row_of = {key: row for row, key in enumerate(keys)}
    pairs = [
        (row, row_of[name, works - {gone}])
        for row, (name, works) in enumerate(keys)
        for gone in works
        if gone not in asked and (name, works - {gone}) in row_of
    ]
    table = np.array(pairs, dtype=np.int64).reshape(-1, 2)
    return Fewer(table[:, 0], table[:, 1])


def useful(fewer: Fewer, pv_cost: FloatArray) -> pd.Series:
    """Return which courses cost less than themselves without one of their works (a mask).

    Leaving the others out changes no optimum.
    """
    is_kept = np.ones(len(pv_cost), dtype=bool)
    is_kept[fewer.row[pv_cost[fewer.row_without] <= pv_cost[fewer.row]]] = False
    return pd.Series(is_kept)
