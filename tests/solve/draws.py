"""Small cases by chance, as `drawn` costs them.

Each case has two outages; works of a component go into either or both of them. Some limits are
relieved by days of extension, by hours of overtime or by both, one holds over both outages.
"""

from itertools import product

import numpy as np

from tests.solve.drawn import PERIODS, Access, Drawn, Limit, Work

#: plans of one case at most, so that all can be looked at
MOST_PLANS = 2500


def _drawn_limits(rng: np.random.Generator, most_hours: list[float]) -> list[Limit]:
    found = []
    for period in range(len(PERIODS)):
        for number in range(int(rng.integers(1, 4))):
            days = float(rng.integers(1, 5)) if rng.random() < 0.5 else 0.0
            part = float(rng.choice([0.5, 1.0])) if rng.random() < 0.5 else 0.0
            amount = float(rng.integers(4, 16))
            found.append(Limit(f"r{period}{number}", period, amount, days,
                               part if most_hours[period] > 0 else 0.0))  # fmt: skip
    return [*found, Limit("both", None, float(rng.integers(8, 30)))]


def _drawn_works(
    rng: np.random.Generator, component: int, limits: list[Limit], sets: list[Access]
) -> list[Work]:
    found = []
    for period in range(len(PERIODS)):
        for _ in range(int(rng.integers(1, 3))):
            own = [r for r, limit in enumerate(limits) if limit.period in (period, None)]
            uses = {r: float(rng.integers(1, 9)) for r in own if rng.random() < 0.7}
            if uses and rng.random() < 0.15:  # a work that frees something
                uses[int(rng.choice(list(uses)))] = -float(rng.integers(1, 5))
            missing = float(rng.integers(1, 4)) if rng.random() < 0.2 else 0.0
            here = [s for s, own_set in enumerate(sets) if own_set.period == period]
            needs = tuple(s for s in here if rng.random() < 0.4)
            found.append(Work(component, period, missing, uses, needs))
    return found


def _held(
    works: list[Work], courses: list[tuple[float, tuple[int, ...]]], first: int
) -> tuple[list[Work], list[tuple[float, tuple[int, ...]]]]:
    """Return the works that some course holds, and the courses with these numbered from `first`."""
    kept = sorted({p for _, placed in courses for p in placed})
    number = {p: first + place for place, p in enumerate(kept)}
    renamed = [(cost, tuple(number[p] for p in placed)) for cost, placed in courses]
    return [works[p] for p in kept], renamed


def _drawn_courses(
    rng: np.random.Generator, works: list[Work]
) -> list[tuple[float, tuple[int, ...]]]:
    """Return courses of none, one and two works (in different outages)."""
    price = [float(rng.integers(1, 40)) for _ in works]
    courses: list[tuple[float, tuple[int, ...]]] = []
    if rng.random() < 0.8:
        courses.append((float(rng.integers(20, 120)), ()))
    courses += [
        (float(rng.integers(5, 50)) + price[p], (p,))
        for p in range(len(works)) if rng.random() < 0.8
    ]  # fmt: skip
    for a, b in product(range(len(works)), repeat=2):
        if works[a].period < works[b].period and rng.random() < 0.35:
            both = float(rng.integers(0, 15)) + price[a] + price[b]
            courses.append((both, (a, b)))
    return courses or [(float(rng.integers(20, 120)), ())]


def _drawn_links(
    rng: np.random.Generator, works: list[Work], count: int
) -> list[tuple[dict[int, float], float]]:
    found = []
    for _ in range(int(rng.integers(0, 3))):
        a, b = (int(c) for c in rng.choice(count, 2, replace=False))
        mine = [p for p, work in enumerate(works) if work.component == a]
        other = [p for p, work in enumerate(works) if work.component == b]
        if not mine:
            continue
        if rng.random() < 0.5:  # apart in one outage
            period = int(rng.integers(len(PERIODS)))
            found.append(({p: 1.0 for p in mine + other if works[p].period == period}, 1.0))
        else:  # the first work of a needs one of b in its outage
            terms = {p: -1.0 for p in other if works[p].period == works[mine[0]].period}
            found.append(({mine[0]: 1.0, **terms}, 0.0))
    return found


def drawn(seed: int) -> Drawn:
    """Return the case of a seed."""
    rng = np.random.default_rng([seed, 5])
    count = int(rng.integers(2, 7))
    hours = [float(rng.integers(2, 9)) if rng.random() < 0.7 else 0.0 for _ in PERIODS]
    limits = _drawn_limits(rng, hours)
    sets = []
    for period in range(len(PERIODS)):
        for number in range(2):
            own = [r for r, limit in enumerate(limits) if limit.period in (period, None)]
            uses = {r: float(rng.integers(1, 4)) for r in own if rng.random() < 0.3}
            sets.append(Access(f"s{period}{number}", period, float(rng.integers(0, 30)),
                               bool(rng.random() < 0.15), uses))  # fmt: skip
    works: list[Work] = []
    courses: list[list[tuple[float, tuple[int, ...]]]] = []
    plans = 1
    for _ in range(count):
        own_works = _drawn_works(rng, len(courses), limits, sets)
        own_works, own = _held(own_works, _drawn_courses(rng, own_works), len(works))
        if plans * len(own) > MOST_PLANS:
            break
        plans *= len(own)
        works, courses = works + own_works, [*courses, own]
    return Drawn(
        works, courses, limits, sets, _drawn_links(rng, works, len(courses)),
        [float(rng.integers(1, 20)) for _ in PERIODS],
        [float(rng.integers(0, 4)) for _ in PERIODS],
        [float(rng.integers(1, 6)) for _ in PERIODS], hours,
        float(rng.choice([0.0, 137.5])),
    )  # fmt: skip


def cases(count: int, first: int = 0) -> list[Drawn]:
    """Return so many cases that have a plan, from the seeds `first` on."""
    found, seed = [], first
    while len(found) < count:
        case = drawn(seed)
        seed += 1
        if np.isfinite(case.best):
            found.append(case)
    return found
