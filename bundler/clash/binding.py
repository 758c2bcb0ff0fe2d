"""The limits and links of a clash in words, with amounts."""

from collections.abc import Iterable, Iterator, Sequence

import pandas as pd

from bundler.case import Case
from bundler.clash.asked import because, listed
from bundler.clash.found import Lack
from bundler.clash.movers import NEVER, mover
from bundler.tables import rows

#: the link that holds the agreed plan; the only one that somebody may move
CHANGES = "changes"
#: parts that a line tells before it counts the others; our choice
MOST_PARTS = 2


def joined(parts: Sequence[str]) -> str:
    """Return parts of a line in words: the first few, and how many more."""
    rest = len(parts) - MOST_PARTS
    return "; ".join(parts[:MOST_PARTS]) + (f"; and {rest} more" if rest > 0 else "")


def amount_words(amount: float, unit: str) -> str:
    """Return an amount with its unit, with digits after the point where it is small."""
    return f"{amount:,.0f} {unit}" if abs(amount) >= 10 else f"{amount:.3g} {unit}"


def worst_first(lacks: Iterable[Lack], limits: dict[str, pd.Series]) -> list[Lack]:
    """Return one lack of each title, that which lacks the most, the worst first."""

    def order(lack: Lack) -> tuple[float, str]:
        return -round(lack.short_amount / max(lack.there_amount, 1.0), 9), lack.limit

    best: dict[str, Lack] = {}
    for lack in sorted(lacks, key=order):
        best.setdefault(str(limits[lack.limit]["title"]), lack)
    return list(best.values())


def lack_words(lack: Lack, limit: pd.Series, longest_days: float, currency: str) -> str:
    """Return what a limit lacks: needed, there and missing, and what help leaves missing."""
    who, missing = mover(limit, currency), lack.needed_amount - lack.there_amount
    needed, there, short = (
        amount_words(amount, who.unit)
        for amount in (lack.needed_amount, lack.there_amount, missing)
    )
    text = f"{limit['title']}: {needed} needed, {there} there, {short} missing"
    if lack.short_amount < missing - 1e-6:
        helps = [f"{longest_days:.0f} d of extension"] * bool(limit["extension_amount"] > 0)
        helps += ["all overtime"] * bool(limit["overtime"])
        text += f", {amount_words(lack.short_amount, who.unit)} even with {' and '.join(helps)}"
    return text if who.role else f"{text} ({NEVER})"


def links_of(keys: Iterable[str]) -> dict[str, list[str]]:
    """Return the links of a clash by name, with the components that they tie."""
    found: dict[str, list[str]] = {}
    for key in keys:
        for tie in key.split("#")[0].split("+"):
            name, _, pair = tie.partition(":")
            found.setdefault(name, []).extend(part for part in pair.split(">") if part)
    return {name: list(dict.fromkeys(parts)) for name, parts in found.items()}


def link_words(case: Case, links: dict[str, list[str]]) -> Iterator[str]:
    """Yield each link with its components and its reason."""
    reasons = {str(row.link): str(row.why) for row in rows(case["links"])}
    for name, parts in links.items():
        if name == CHANGES:
            yield f"at most {case.settings.most_changes_count} changes to the agreed plan"
            continue
        tied = f" ({listed(parts)})" if parts else ""
        yield f"{name}{tied}{because(reasons.get(name, ''))} ({NEVER})"
