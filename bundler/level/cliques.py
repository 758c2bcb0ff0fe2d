"""Pairs that exclude each other, gathered into groups whose members all do."""

from bundler.choice import IntArray


def cliques(pairs: IntArray) -> list[list[int]]:
    """Return groups, each of members that are pairwise in `pairs` [k, 2], that hold every pair.

    Greedy, in the order of the pairs: each that is in no group yet starts one, which grows by
    every later member that is apart from all in it. Not the fewest groups there could be.
    """
    near: dict[int, set[int]] = {}
    for first, second in pairs.tolist():
        near.setdefault(first, set()).add(second)
        near.setdefault(second, set()).add(first)
    held: set[tuple[int, int]] = set()
    groups: list[list[int]] = []
    for first, second in pairs.tolist():
        if (first, second) in held:
            continue
        group = [first, second]
        for other in sorted(near[first] & near[second]):
            if near[other].issuperset(group):
                group.append(other)
        group = sorted(group)
        held |= {(i, j) for n, i in enumerate(group) for j in group[n + 1 :]}
        groups.append(group)
    return groups
