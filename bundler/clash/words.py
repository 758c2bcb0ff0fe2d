"""A clash in at most six lines that a manager understands."""

from collections.abc import Iterator, Sequence

import pandas as pd

from bundler.case import Case
from bundler.choice import Choices
from bundler.clash import binding
from bundler.clash.asked import away_words, date_words, listed, pin_words, pins_of
from bundler.clash.found import Clash, Lack, find_clash
from bundler.clash.members import forced
from bundler.clash.movers import MANAGER, mover
from bundler.clash.nearest import Nearest

START = "No plan keeps every rule: "
#: who may allow more changes to the agreed plan
BOARD = "scope board"


def millions(amount: float, currency: str) -> str:
    """Return money in millions of the currency; one that starts with k counts thousands."""
    is_thousands = currency.startswith("k")
    size = amount / (1e3 if is_thousands else 1e6)
    name = currency[1:] if is_thousands else currency
    return f"{size:,.0f} million {name}" if abs(size) >= 100 else f"{size:.3g} million {name}"


def _works(clash: Clash) -> tuple[str, str]:
    """Return the forced works of a clash in words, and the ending of their verb."""
    every, count = len(forced(clash.few)), len(clash.keys("demand"))
    if not count:
        return "the base scope", "s"
    works = f"{count} forced work{'' if count == 1 else 's'}"
    if every > count:
        works = f"{count} of {every} forced works alone"
    return works, "s" if count == 1 else ""


def summary(clash: Clash, worst: Sequence[Lack], links: Sequence[str]) -> str:
    """Return what clashes, in one sentence."""
    if not clash.members:
        return f"{START}there is none even without any forced work; see the dates of outages."
    works, ending = _works(clash)
    rules = f"{'a rule' if len(links) == 1 else f'{len(links)} rules'} between works"
    titles = listed(f"the {clash.limits[lack.limit]['title']}" for lack in worst)
    if worst:
        given = f"with {rules}, " if links else ""
        return f"{START}{given}{works} exceed{ending} {titles}."
    if not clash.keys("demand"):
        return f"{START}{rules} ask for more than can be done."
    return f"{START}{works} break{ending} {rules}."


def _forced(case: Case, demands: Sequence[str], spoken: Sequence[str]) -> Iterator[str]:
    """Yield the lines of forced works: pins, then what is never given up."""
    pins = [*pin_words(case, demands), *away_words(case, spoken)]
    if pins:
        yield f"Pinned: {binding.joined(pins)}."
    dates = list(date_words(case, demands))
    if dates:
        yield f"Never given up: {binding.joined(dates)}."


def _bound(case: Case, clash: Clash, worst: Sequence[Lack], links: dict[str, list[str]]) -> str:
    """Return the line of limits and links; "" where there are none."""
    periods, limits = clash.few.periods, clash.limits
    longest = dict(zip(periods["period"], periods["max_extension_days"], strict=True))
    told = []
    for lack in worst:
        row = limits[lack.limit]
        days = float(longest.get(str(row["period"]), 0.0))
        told.append(binding.lack_words(lack, row, days, case.settings.currency))
    told += binding.link_words(case, links)
    return f"What binds: {binding.joined(told)}." if told else ""


def _acts(
    case: Case, clash: Clash, spoken: Sequence[str], worst: Sequence[Lack]
) -> Iterator[tuple[str, str]]:
    """Yield who may do what about a clash; the role "" may do nothing."""
    pins = pd.concat([pins_of(case, spoken, is_in=is_in) for is_in in (True, False)])
    for role in sorted(set(pins["who"])):
        yield role, "take out a pin"
    limits = clash.limits
    for lack in worst:
        who = mover(limits[lack.limit], case.settings.currency)
        yield who.role, who.act
    for period in clash.keys("extension"):
        yield MANAGER, f"lengthen {period}"
    for link in binding.links_of(clash.keys("link")):
        yield (BOARD, "allow more changes") if link == binding.CHANGES else ("", "")


def may_words(acts: Iterator[tuple[str, str]]) -> str:
    """Return the line of who may move what."""
    by_role: dict[str, list[str]] = {}
    for role, act in acts:
        by_role.setdefault(role, []).append(act)
    rest = by_role.pop("", None)
    if not by_role:
        return "Nobody may move any of this: correct the tables, or give the work another window."
    told = [f"the {role} may {' or '.join(dict.fromkeys(own))}" for role, own in by_role.items()]
    text = "; ".join(told) + ("; nobody may move the rest" if rest else "")
    return f"{text[0].upper()}{text[1:]}."


def nearest_words(near: Nearest | None, limits: dict[str, pd.Series], currency: str) -> str:
    """Return the line of the nearest plan: which limits it breaks by how much, and its cost."""
    if near is None:
        return (
            "There is no nearest plan either: even if every limit that somebody may move is "
            "broken, what is never given up clashes."
        )
    told: dict[tuple[str, str], str] = {}
    for name, amount in near.worst_first(limits):
        row = limits[name]
        share = f" ({amount / row['amount']:.0%})" if row["amount"] >= 1 else ""
        missing = binding.amount_words(amount, mover(row, currency).unit)
        key = (str(row["resource"]), str(row["period"]))
        told.setdefault(key, f"{row['title']} by {missing}{share}")
    cost = "its cost was not found in time"
    if near.pv_cost is not None:
        cost = f"it would cost about {millions(near.pv_cost, currency)} in present value"
    start = "NOT ALLOWED, shown only to tell how far it is: the nearest plan breaks"
    return f"{start} {binding.joined(list(told.values()))}; {cost}."


def clash_words(case: Case, clash: Clash) -> list[str]:
    """Return the lines that tell a clash, at most six."""
    if not clash.is_there:
        return [
            "No plan was found, although nothing clashes as long as losses that components share "
            "and hours that are learned are left out. Allow more time for the search."
        ]
    limits, links = clash.limits, binding.links_of(clash.keys("link"))
    worst = binding.worst_first(clash.lacks, limits)
    demands = clash.keys("demand")
    spoken = sorted({*demands, *(name for parts in links.values() for name in parts)})
    lines = [
        summary(clash, worst, list(links)),
        *_forced(case, demands, spoken),
        _bound(case, clash, worst, links),
        may_words(_acts(case, clash, spoken, worst)),
        nearest_words(clash.nearest, limits, case.settings.currency),
    ]
    return [line for line in lines if line]


def told(case: Case, choices: Choices) -> str:
    """Return what stands in the way when choices hold no plan, in at most six lines."""
    return "\n".join(clash_words(case, find_clash(choices)))
