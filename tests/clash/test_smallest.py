"""The smallest clash and the nearest plan against every combination of choices."""

from collections.abc import Collection
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from bundler.clash.found import find_clash
from bundler.clash.members import Member, forced, involved, members
from bundler.clash.nearest import nearest
from bundler.clash.smallest import is_possible, smallest
from tests.choices import Small, choices, cost_of, exhaustive

LONG = 1e4


def held_small(small: Small, held: Collection[Member]) -> Small:
    """Return the small problem in which only the held members bind."""
    keys = {(member.kind, member.key) for member in held}
    idle = [
        cost if ("demand", f"c{c:02d}") in keys else cost or 0.0
        for c, cost in enumerate(small.idle_costs)
    ]
    return replace(
        small,
        idle_costs=idle,
        limits={name: a for name, a in small.limits.items() if ("limit", name) in keys},
        links=[link for i, link in enumerate(small.links) if ("link", f"l{i}") in keys],
        most_days=small.most_days if ("extension", "O") in keys else LONG,
        day_costs={"O": 1.0},
    )


def has_plan(small: Small, held: Collection[Member]) -> bool:
    return bool(np.isfinite(exhaustive(held_small(small, held))))


def drawn(seed: int, *, has_days: bool = True) -> Small:
    """Draw a small problem with forced and free components, limits, access, links and days."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(3, 6))
    works = []
    for _ in range(count):
        own = []
        for _ in range(int(rng.integers(1, 3))):
            used = {f"r{i}": float(rng.integers(1, 9)) for i in range(3) if rng.random() < 0.6}
            missing = float(rng.integers(1, 4)) if has_days and rng.random() < 0.2 else 0.0
            access = "s0" if rng.random() < 0.3 else ""
            own.append((float(rng.integers(5, 50)), "O", used, access, missing))
        works.append(own)
    links = []
    for _ in range(int(rng.integers(0, 4))):
        a, b = rng.choice(count, 2, replace=False)
        needs, apart, instead = ([1.0, -1.0], 0.0), ([1.0, 1.0], 1.0), ([-1.0, -1.0], -1.0)
        factors, most = [needs, apart, instead][int(rng.choice(3, p=[0.5, 0.3, 0.2]))]
        terms = [
            (int(c), w, f)
            for c, f in zip((a, b), factors, strict=True)
            for w in range(len(works[c]))
        ]
        links.append((terms, most))
    return Small(
        [None if rng.random() < 0.6 else float(rng.integers(5, 50)) for _ in range(count)],
        works,
        {f"r{i}": float(rng.integers(4, 16)) for i in range(3)},
        per_day={"r0": 1.0} if has_days else {},
        access={"s0": (7.0, {"r1": 2.0})},
        day_costs={"O": 1.0},
        most_days=2.0 if has_days else 0.0,
        links=links,
    )  # fmt: skip


def test_every_smallest_clash_is_one_and_none_of_its_members_can_be_left_out() -> None:
    """Of 80 problems those without a plan; both sides by enumeration of all choices."""
    seen = 0
    for seed in range(80):
        small = drawn(seed)
        if np.isfinite(exhaustive(small)):
            continue
        seen += 1
        found = find_clash(choices(small)).members
        assert found, seed
        assert not has_plan(small, found), seed
        for member in found:
            assert has_plan(small, [other for other in found if other != member]), (seed, member)
    assert seen > 25


def test_the_components_involved_decide_for_any_part_of_the_members() -> None:
    """Left-out components change nothing, whichever members bind: against all choices of all."""
    rng, fewer = np.random.default_rng(1), 0
    for seed in range(60):
        small = drawn(seed)
        few = involved(choices(small))
        every = members(few)
        fewer += few.courses["component"].nunique() < len(small.works)
        for share in (1.0, 0.8, 0.5):
            held = [member for member in every if rng.random() < share]
            assert is_possible(few, held) == has_plan(small, held), (seed, share)
    assert fewer > 15


def over_shares(small: Small, picks: tuple[int, ...]) -> float:
    """Return by how much a choice overfills the limits in all [shares]; links are kept."""
    bare = replace(small, limits={})
    if not np.isfinite(cost_of(bare, picks)):
        return np.inf
    chosen = [small.works[c][w] for c, w in enumerate(picks) if w >= 0]
    opened = {work[3] for work in chosen} - {""}
    total = 0.0
    for name, amount in small.limits.items():
        used = sum(work[2].get(name, 0.0) for work in chosen)
        used += sum(small.access[s][1].get(name, 0.0) for s in opened)
        total += max(used - amount, 0.0) / amount
    return total


def test_the_nearest_plan_has_the_least_breach_and_then_the_least_cost() -> None:
    seen = 0
    for seed in range(60):
        small = drawn(seed, has_days=False)
        if np.isfinite(exhaustive(small)):
            continue
        every = list(product(*(range(-1, len(own)) for own in small.works)))
        over = np.array([over_shares(small, picks) for picks in every])
        whole = choices(small)
        near = nearest(whole, involved(whole))
        if not np.isfinite(over.min()):
            assert near is None
            continue
        seen += 1
        best = over.min()
        bare = replace(small, limits={})
        cost = min(cost_of(bare, p) for p, o in zip(every, over, strict=True) if o <= best + 1e-9)
        assert near is not None
        assert near.shares == pytest.approx(best, abs=1e-6)
        assert sum(a / small.limits[n] for n, a in near.missing.items()) == pytest.approx(
            best, abs=1e-4
        )
        assert near.pv_cost is not None and near.bound_pv_cost is not None
        assert near.bound_pv_cost <= cost + 1e-6
        assert cost - 1e-6 <= near.pv_cost <= cost * 1.021 + 1e-6
    assert seen > 15


def test_two_works_that_could_only_be_split() -> None:
    """Two crews of 10 h, three works of 6 h in either: 18 h of 20 h if split, never as they are."""
    either = [(1.0, "O", {"r0": 6.0}, "", 0.0), (1.0, "O", {"r1": 6.0}, "", 0.0)]
    small = Small([None] * 3, [either] * 3, {"r0": 10.0, "r1": 10.0})
    clash = find_clash(choices(small))
    assert clash.keys("demand") == ["c00", "c01", "c02"]
    assert clash.keys("limit") == ["r0", "r1"]
    assert clash.nearest is not None and sum(clash.nearest.missing.values()) == pytest.approx(2.0)
    assert clash.lacks[0].needed_amount == pytest.approx(12.0)


def test_of_two_clashes_the_worse_is_told() -> None:
    """r0 lacks 1 of 10, r1 5 of 10; each by a forced work of its own."""
    works = [[(1.0, "O", {"r0": 11.0}, "", 0.0)], [(1.0, "O", {"r1": 15.0}, "", 0.0)]]
    clash = find_clash(choices(Small([None, None], works, {"r0": 10.0, "r1": 10.0})))
    assert set(clash.members) == {Member("limit", "r1"), Member("demand", "c01")}
    assert clash.nearest is not None
    assert clash.nearest.missing == pytest.approx({"r0": 1.0, "r1": 5.0})


def test_what_is_needed_by_a_forced_work_is_involved_and_nothing_else() -> None:
    """c0 is forced and needs c1, which needs c2; c3 is free and only c0 would help it."""
    works = [[(1.0, "O", {"r0": 2.0}, "", 0.0)] for _ in range(4)]
    needs = [([(a, 0, 1.0), (b, 0, -1.0)], 0.0) for a, b in ((0, 1), (1, 2), (3, 0))]
    whole = choices(Small([None, 0.0, 0.0, 0.0], works, {"r0": 5.0}, links=needs))
    few = involved(whole)
    assert forced(whole) == ["c00"]
    assert set(few.courses["component"]) == {"c00", "c01", "c02"}
    assert set(find_clash(whole).members) == {
        Member("demand", "c00"), Member("link", "l0"), Member("link", "l1"), Member("limit", "r0")
    }  # fmt: skip


def test_a_limit_below_nothing_clashes_by_itself() -> None:
    """The base scope alone takes more than there is; no work is forced."""
    small = Small([0.0], [[(1.0, "O", {"r0": 1.0}, "", 0.0)]], {"r0": -3.0})
    assert find_clash(choices(small)).members == (Member("limit", "r0"),)


def test_the_halving_finds_a_smallest_part_of_many() -> None:
    """Against a rule made by hand: it clashes if 3, 17 and 40, or 5 and 60, are all there."""
    clashes = [{3, 17, 40}, {5, 60}]
    every = [Member("limit", f"{n:02d}") for n in range(64)]
    asked = []

    def test(held: Collection[Member]) -> bool:
        asked.append(len(held))
        return not any(own <= {int(member.key) for member in held} for own in clashes)

    found = {int(member.key) for member in smallest(every, test)}
    assert found in clashes
    assert len(asked) <= 2 * 3 * 5 + 2 * 3 + 1  # 2 k log2(n / k) + 2 k, Junker 2004
