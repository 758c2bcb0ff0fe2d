"""Which work may go into which period, and if not, why not and when at the earliest."""

import numpy as np
import pandas as pd

from bundler.calendar import dates_at
from bundler.case import Case
from bundler.courses.pins import is_action
from bundler.tables import rows, words

#: reasons in the order in which they are looked for; the first that holds is told
REASONS = (
    "condition", "common system", "technical limit", "frozen", "notice", "engineering", "parts",
    "window", "test",
)  # fmt: skip
RULED_OUT = (
    "component", "action", "period", "reason", "detail", "ready_date", "earliest_date", "offer",
)  # fmt: skip


def _pinned(case: Case, table: pd.DataFrame) -> pd.Series:
    """Return which rows a person has forced into their very outage, whatever the freeze."""
    pins = case["pins"]
    forced = pins[(pins["rule"] == "in") & (pins["outage"] != "")]
    hits = pd.Series(False, index=table.index)
    for pin in rows(forced):
        same = table["component"] == pin.component
        same &= table["period"] == pin.outage
        hits |= same & is_action(table, pin.action)
    return hits


def _stopped_by_units(table: pd.DataFrame, room: pd.Series) -> pd.Series:
    """Return which works would fit but for what a common system needs of its units."""
    is_short = (table["days"] > room) & (table["days"] <= table["alone_days"])
    return (table["units_text"] != "") & (~table["has_conditions"] | is_short)


def reasons(case: Case, table: pd.DataFrame) -> pd.Series:
    """Return for each candidate the first reason against it; "" where it may be placed.

    condition: the plant conditions do not hold in that period; common system: what it needs of
    the connected units leaves too few days; technical limit: the work is longer than a single
    work may be there; frozen: scope freeze has passed; notice: it opens before the notice that
    its conditions ask for; engineering: drawings come too late; parts: delivery comes too late;
    window: it does not fit even with the most extension; test: the condition of its test does
    not hold long enough after it.
    """
    gate = table["open_days"] - table["design_days"]
    too_long = table["extension_days"] > table["max_extension_days"]
    room = table["span_end_days"] - table["open_span_days"] + table["max_extension_days"]
    checks = [
        ~table["has_conditions"] & (table["units_text"] == ""),
        _stopped_by_units(table, room),
        table["days"] > table["longest_days"],
        (table["freeze_days"] <= 0) & ~_pinned(case, table),
        table["open_days"] < table["notice_ready_days"],
        table["is_outage"] & (table["design_months"] > 0) & (table["design_ready_days"] > gate),
        too_long & (table["days"] <= room),
        too_long,
        table["test_missing_days"] > 0,
    ]
    return pd.Series(np.select(checks, list(REASONS), default=""), table.index)


def _named(needs: str, names: dict[str, str]) -> str:
    """Return conditions in words, with what is wrong with them."""
    words = [f"{code} ({names.get(code, code)})" for code in needs.split("+")]
    return " and ".join(words) + ", which does not hold then"


def _texts(table: pd.DataFrame, names: dict[str, str]) -> pd.Series:
    """Return one clause a row that says what stands against it, with its numbers."""
    late = table["ready_days"] - (table["end_days"] - table["days"] + table["max_extension_days"])
    span = (table["span_end_days"] - table["open_span_days"]).fillna(0)
    left = (table["span_end_days"] - table["span_start_days"]).fillna(0)
    notice = table["notice_ready_days"] - table["open_days"]
    design = table["design_ready_days"] - (table["open_days"] - table["design_days"])
    texts = {
        "condition": ["needs " + _named(text, names) for text in table["needs"]],
        "common system": [
            f"takes {a:.0f} d; its units leave {b:.0f} d of {c:.0f} d, for {text}"
            for a, b, c, text in zip(
                table["days"], left, table["alone_days"], table["units_text"], strict=True
            )
        ],
        "technical limit": [
            f"takes {a:.0f} d where {b:.0f} d is the longest single work allowed"
            for a, b in zip(table["days"], table["longest_days"], strict=True)
        ],
        "frozen": "scope was frozen before the planning date",
        "notice": [f"opens {a:.0f} d before the notice it needs can be given" for a in notice],
        "engineering": [f"drawings are {a:.0f} d too late" for a in design],
        "parts": [f"parts are {a:.0f} d too late even with the longest extension" for a in late],
        "window": [
            f"takes {a:.0f} d; the window has {b:.0f} d and may grow by {c:.0f} d"
            for a, b, c in zip(table["days"], span, table["max_extension_days"], strict=True)
        ],
        "test": [
            f"{a:.0f} d of its test do not fit: {text} ({names.get(text, text)}) does not hold "
            "long enough after it"
            for a, text in zip(table["test_missing_days"], table["test_condition"], strict=True)
        ],
    }
    columns = pd.DataFrame(texts, index=table.index)
    return pd.Series(
        [
            row[reason]
            for row, reason in zip(columns.to_dict("records"), table["reason"], strict=True)
        ],
        index=table.index,
        dtype="str",
    )


def _offers(out: pd.DataFrame, placed: pd.DataFrame) -> pd.Series:
    """Return the other works on the same component that can go into the same period."""
    able = placed[["component", "period", "action"]].drop_duplicates()
    names = able.groupby(["component", "period"])["action"].agg(" ".join).rename("offer")
    return words(out.merge(names, on=["component", "period"], how="left")["offer"], "")


def split(case: Case, table: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the candidates that may be placed, and those ruled out with reason and dates.

    `ready_date` of a ruled-out row is the day from which parts and drawings are there;
    `earliest_date` the first day on which the same work could start in a period that fits, empty
    where there is none; `offer` names other works that could go in instead. On-line periods,
    where most work can never go, are told in one row for each component, action and reason.
    """
    table, names = table.assign(reason=reasons(case, table)), case["conditions"]
    placed = table[table["reason"] == ""].drop(columns="reason").reset_index(drop=True)
    out = table[table["reason"] != ""].copy()
    first = placed.groupby(["component", "action"])["start_days"].min().rename("first_days")
    out = out.merge(first, on=["component", "action"], how="left")
    out["detail"] = _texts(out, dict(zip(names["condition"], names["name"], strict=True)))
    out["ready_date"] = dates_at(case, out[["ready_days", "design_ready_days"]].max(axis=1))
    out["earliest_date"] = dates_at(case, out["first_days"])
    out["offer"] = _offers(out, placed)
    out["period"] = np.where(out["is_outage"], out["period"], "on line")
    out = out[list(RULED_OUT)].drop_duplicates(["component", "action", "period", "reason"])
    return placed, out.sort_values(list(RULED_OUT[:4])).reset_index(drop=True)
