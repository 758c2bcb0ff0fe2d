"""A whole plan by its courses: what it costs, and whether it keeps every row."""

import numpy as np

from bundler.choice import Choices
from bundler.standing.left import standing
from bundler.standing.relief import TOLERANCE
from bundler.standing.settle import as_it_stands, by_component
from bundler.standing.site import site_of


def holds(choices: Choices, courses: tuple[int, ...]) -> bool:
    """Say whether a plan keeps every limit and link, with what days and overtime can relieve."""
    site = site_of(choices)
    state = standing(site, by_component(choices, courses))
    small = TOLERANCE * np.maximum(np.abs(site.most), 1.0)
    if (state.used - site.most > small)[site.firm].any():
        return False
    return bool(np.isfinite(as_it_stands(choices, courses).pv_cost))


def same_plan(choices: Choices, works: frozenset[tuple[str, str, str]]) -> tuple[int, ...]:
    """Return the courses that hold these works (component, action, period) and nothing else.

    Where a component has no such course any more, because it can no longer be the best, the one
    that lacks the fewest of them.
    """
    wanted: dict[str, set[tuple[str, str]]] = {}
    for component, action, period in works:
        wanted.setdefault(component, set()).add((action, period))
    placed = choices.placements.set_index("placement")
    keys = dict(
        zip(placed.index, zip(placed["action"], placed["period"], strict=True), strict=True)
    )
    held = choices.works.groupby("course")["placement"].agg(list).to_dict()
    best: dict[str, tuple[int, int]] = {}
    for component, course in zip(
        choices.courses["component"], choices.courses["course"], strict=True
    ):
        own = {keys[p] for p in held.get(course, [])}
        ask = wanted.get(component, set())
        if own <= ask:
            told = (len(ask - own), int(course))
            best[component] = min(best.get(component, told), told)
    missing = set(choices.courses["component"]) - set(best)
    if missing:  # it has to do something else: its course of fewest other works
        for component in sorted(missing):
            table = choices.courses[choices.courses["component"] == component]
            told = min(
                (len({keys[p] for p in held.get(q, [])} ^ wanted.get(component, set())), int(q))
                for q in table["course"]
            )
            best[component] = told
    return tuple(sorted(course for _, course in best.values()))
