"""Schedules task by task, each as early as it fits: the start of the search, and an answer at once.

Serial schedule generation (Kolisch 1996) by priority rules, then by the best schedule's own order
shaken with a fixed seed; each pushed to the right and back to the left again, which closes gaps
(double justification: Valls, Ballestin and Quintanilla 2005).
"""

from heapq import heappop, heappush

import numpy as np

from bundler.choice import FloatArray, IntArray
from bundler.level.arrays import Parts, turned
from bundler.level.board import Board, Placed
from bundler.level.bounds import reach

#: how far an order is shaken, as parts of its spread, in turn; our choice, by trial on PSPLIB
#: weights of value beside the latest start in the rules by value; our choice
WORTH_SHARES = (0.3, 1.0, 3.0)
SHAKEN_SHARES, SEED = (0.01, 0.02, 0.05, 0.1), 20261128
#: how many schedules are kept to go on from
POOL_COUNT = 12


def _sequence(board: Board, priority: FloatArray) -> list[int]:
    """Return tasks by priority, least first, each after all it follows."""
    waits = [len(before) for before in board.before]
    after: list[list[int]] = [[] for _ in waits]
    for task, before in enumerate(board.before):
        for first, _, _ in before:
            after[first].append(task)
    heap = [(float(priority[task]), task) for task, count in enumerate(waits) if not count]
    heap.sort()
    found = []
    while heap:
        task = heappop(heap)[1]
        found.append(task)
        for other in after[task]:
            waits[other] -= 1
            if not waits[other]:
                heappush(heap, (float(priority[other]), other))
    return found


def put_in(board: Board, priority: FloatArray, runs: IntArray | None = None) -> Placed | None:
    """Return the schedule of a list of priorities [n], least first; only of tasks `runs` if told.

    None where a task that may not be left out does not fit after those before it.
    """
    board.clear()
    for task in _sequence(board, priority):
        if runs is None or runs[task]:
            board.put(task)
    if runs is not None:
        return board.placed() if (board.mode[runs > 0] >= 0).all() else None
    return board.placed() if _is_whole(board.parts, board.mode) else None


def _is_whole(parts: Parts, mode: IntArray) -> bool:
    """Whether all run that may not be left out, and nothing without what it needs."""
    arcs = parts.follows
    alone = arcs.is_needed & (mode[arcs.second] >= 0) & (mode[arcs.first] < 0)
    return not (mode[parts.value == 0] < 0).any() and not alone.any()


def _worth(parts: Parts) -> FloatArray:
    """Return the value of each task, or of the dearest that asks for it [n]; 1 for the most."""
    worth = parts.value.astype(np.float64)
    arcs = parts.follows
    for _ in range(len(worth)):
        before = worth.copy()
        needed = np.where(arcs.is_needed, worth[arcs.second], 0.0)
        np.maximum.at(worth, arcs.first, needed)
        if (worth == before).all():
            break
    return worth / max(float(worth.max(initial=1.0)), 1.0)


def _rules(parts: Parts) -> list[FloatArray]:
    """Return priorities by rule: latest finish, latest start, least slack, most work behind it.

    Where tasks may be left out also the dearest first, alone and in shares with the latest start.
    """
    way = reach(parts, np.ones(len(parts.tasks), dtype=bool))
    finish = int((way.early + way.length + way.tail).max(initial=0))
    late = np.minimum(parts.latest, finish - way.tail).astype(np.float64)
    start = late - way.length
    plain = [late, start, start - way.early, -(way.tail + way.length).astype(np.float64)]
    if not (parts.value > 0).any():
        return plain
    worth, part = _worth(parts), start / max(parts.horizon, 1)
    return [*plain, part - 1e3 * worth, *(part - share * worth for share in WORTH_SHARES)]


def _allowed(parts: Parts) -> list[IntArray]:
    """Return sets of bands to try: none, and the first ones of each resource."""
    resource = parts.bands.resource
    rank = np.arange(len(resource)) - np.searchsorted(resource, resource)
    some = np.flatnonzero(rank < parts.bands.most[resource])
    return [some[:0], some] if len(some) else [some]


class _Shaker:
    """The best schedules that may use some bands, and how they are made better."""

    def __init__(self, parts: Parts, allowed: IntArray) -> None:
        self.parts = parts
        self.board = Board(parts, allowed)
        self.back = Board(turned(parts), allowed)
        self.rng = np.random.default_rng(SEED)
        self.pool: list[Placed] = []

    @property
    def best(self) -> Placed | None:
        """The best schedule so far."""
        return self.pool[0] if self.pool else None

    def justified(self, placed: Placed) -> Placed:
        """Return a schedule pushed to the right and back, or itself where that is no better."""
        parts, end = self.parts, placed.end(self.parts)
        self.back.begin(parts.horizon - np.minimum(parts.latest, int(end.max(initial=0))))
        late = put_in(self.back, -end.astype(np.float64), (placed.mode >= 0).astype(np.int64))
        if late is None:
            return placed
        start = parts.horizon - late.end(self.back.parts)
        order = np.where(late.mode >= 0, start, parts.horizon).astype(np.float64)
        again = put_in(self.board, order)
        return again if again and again.rank(parts) <= placed.rank(parts) else placed

    def take(self, placed: Placed | None) -> None:
        """Put a schedule into the pool, best first, if it is new and among the best."""
        if placed is None:
            return
        placed = self.justified(placed)
        rank = placed.rank(self.parts)
        if any((placed.start == one.start).all() for one in self.pool):
            return
        place = sum(one.rank(self.parts) <= rank for one in self.pool)
        self.pool = [*self.pool[:place], placed, *self.pool[place:]][:POOL_COUNT]

    def _middles(self, placed: Placed) -> FloatArray:
        """Return where tasks lie in a schedule [n]; those left out, anywhere."""
        end = placed.end(self.parts)
        anywhere = self.rng.uniform(0.0, float(end.max(initial=1)), len(end))
        return np.where(placed.mode >= 0, (placed.start + end) / 2, anywhere)

    def _order(self) -> FloatArray:
        """Return the order of a schedule of the pool with a stretch of another's."""
        if not self.pool:
            return _rules(self.parts)[0]
        one, other = (
            self._middles(self.pool[n]) for n in self.rng.integers(len(self.pool), size=2)
        )
        begin, end = np.sort(self.rng.uniform(0.0, one.max(initial=1.0), 2))
        return np.where((one >= begin) & (one < end), one, other)

    def shake(self, share: float) -> None:
        """Try an order made of two, shaken by a share of its spread."""
        base = self._order()
        size = share * float(base.max(initial=1.0))
        self.take(put_in(self.board, base + self.rng.normal(0.0, size, len(base))))


def serial(parts: Parts, *, finish: int, tries: int) -> Placed | None:
    """Return the best schedule of a few rules and of so many shaken orders; None without any.

    Ends early where nothing is left out, no band used, and the finish is no more than `finish`.
    """
    found: list[Placed] = []
    for allowed in _allowed(parts):
        shaker = _Shaker(parts, allowed)
        for rule in _rules(parts):
            shaker.take(put_in(shaker.board, rule))
        for number in range(tries):
            if shaker.best and shaker.best.rank(parts) <= (0, finish, 0):
                return shaker.best
            shaker.shake(SHAKEN_SHARES[number % len(SHAKEN_SHARES)])
        found += [shaker.best] if shaker.best else []
    return min(found, key=lambda one: one.rank(parts)) if found else None
