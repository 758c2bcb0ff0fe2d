"""Every work on every component in every period, with the piece in which it would have to fit."""

from collections.abc import Mapping

import numpy as np
import pandas as pd

from bundler.calendar import DAYS_A_YEAR, days_from_planning
from bundler.case import Case
from bundler.choice import FloatArray
from bundler.courses.connected import needs_of_units
from bundler.courses.discovery import with_outlook
from bundler.courses.pieces import KEY, SPAN, held, inside, longest, need_spans, pieces_of
from bundler.intervals import outside
from bundler.tables import rows

#: hours of a work in a period over those of the first of its kind, by family, action and period
Learned = Mapping[tuple[str, str, str], float]
NOT_LEARNED: Learned = {}


def resolve_conditions(conditions: str, train: str) -> str:
    """Return the plant conditions with each star replaced by the component's train."""
    return conditions.replace("*", train)


def _after_months(case: Case, months: pd.Series) -> pd.Series:
    """Return days from the planning date to the same day so many months later [days].

    Part of a month is taken from an average one.
    """
    start = pd.Timestamp(case.settings.planning_date)
    whole = np.floor(months + 1e-9).astype(int)
    ends = {count: start + pd.DateOffset(months=int(count)) for count in whole.unique()}
    rest = (months - whole).clip(lower=0.0) * (DAYS_A_YEAR / 12)
    days: pd.Series = days_from_planning(case, whole.map(ends)) + rest
    return days


def _approval_months(case: Case, lead_months: pd.Series) -> pd.Series:
    """Return months for specification and approval, by the band of the lead time [months]."""
    bands = case["approval_times"].sort_values("lead_from_months")
    index = np.searchsorted(bands["lead_from_months"], lead_months, side="right") - 1
    months = bands["approval_months"].to_numpy()
    if bands.empty:
        return pd.Series(0.0, lead_months.index)
    return pd.Series(np.where(index >= 0, months[np.maximum(index, 0)], 0.0), lead_months.index)


def _notice_months(case: Case, works: pd.DataFrame) -> pd.Series:
    """Return the longest notice that the conditions of each work and its test ask for [months]."""
    table = case["conditions"]
    notice = dict(zip(table["condition"], table["notice_months"], strict=True))
    every = works["needs"] + "+" + works["test_condition"]
    most = {text: max(notice.get(word, 0.0) for word in text.split("+")) for text in set(every)}
    return every.map(most).astype("float64")


def possible_works(case: Case) -> pd.DataFrame:
    """Return one row a component and action, with when parts and drawings can be ready.

    Adds needs (plant conditions without star), lead_days, ready_days (parts on site and
    kitted), design_ready_days and notice_ready_days (notice of its conditions given), all in
    days from the planning date, and what may be found.
    """
    actions = case["actions"].drop(columns=["file_row", "note"])
    parts = case["components"][["component", "unit", "family", "train", "position_count"]]
    works = with_outlook(case, parts.merge(actions, on="family"))
    works["needs"] = pd.Series(
        [
            resolve_conditions(text, train)
            for text, train in zip(works["conditions"], works["train"], strict=True)
        ],
        works.index,
        dtype="str",
    )
    approval = _approval_months(case, works["lead_months"])
    ordered = _after_months(case, approval)
    works["approval_days"] = ordered
    works["lead_days"] = _after_months(case, approval + works["lead_months"]) - ordered
    has_lead = works["lead_months"] > 0
    ready = ordered + works["lead_days"] + case.settings.receive_days
    works["ready_days"] = np.where(has_lead, ready, 0.0)
    works["design_ready_days"] = _after_months(case, works["design_months"])
    works["notice_ready_days"] = _after_months(case, _notice_months(case, works))
    return works


def setup_days(case: Case) -> pd.Series:
    """Return the longest set-up of access that each kind of work waits for [days].

    By family and action; with action "" that of any work of the family.
    """
    table = case["access_members"].merge(case["access_sets"], on="access_set")
    return table.groupby(["family", "action"])["setup_days"].max()


def _access_wait_days(case: Case, works: pd.DataFrame) -> FloatArray:
    """Return the days that each work in an outage waits for its access [days].

    A work waits for what its family, itself and the work it is like ask for.
    """
    longest_setup = setup_days(case)
    names = [pd.Series("", works.index), works["action"], works["like"]]
    keys = [pd.MultiIndex.from_arrays([works["family"], name]) for name in names]
    waits = [longest_setup.reindex(key).fillna(0.0).to_numpy() for key in keys]
    return np.where(works["is_outage"], np.maximum.reduce(waits), 0.0)


def _with_units(case: Case, table: pd.DataFrame, spans: pd.DataFrame) -> pd.DataFrame:
    """Return the works with what systems common to several units need of these.

    Adds alone_days, the days there would be without those needs, and units_text, the needs that
    take days away, "" where none does.
    """
    needs, pieces = needs_of_units(case), pieces_of(spans)
    texts, found = [""] * len(table), table[SPAN].to_numpy(copy=True)
    kinds = zip(table["family"], table["action"], strict=True)
    bound = [at for at, kind in enumerate(kinds) if kind in needs]
    for at, row in zip(bound, rows(table.iloc[bound]), strict=True):
        left = held(pieces, row.period, row.needs)
        own = needs[row.family, row.action]
        texts[at] = "; ".join(need.text for need in own if inside(left, outside(need.days)))
        for need in own:
            left = inside(left, need.days)
        found[at] = longest(left)
    return table.assign(
        alone_days=table["span_end_days"] - table["span_start_days"],
        units_text=pd.Series(texts, table.index, dtype="str"),
        has_conditions=np.isfinite(found[:, 0]),
        **{name: found[:, number] for number, name in enumerate(SPAN)},
    )


def _with_days(table: pd.DataFrame, learned: Learned) -> pd.DataFrame:
    """Return the works with learning_ratio, work_days and days, all that the window has to hold.

    days = make ready + work x learning + what is likely to be found + test, unless it is made in
    a plant condition of its own.
    """
    names = table["like"].where(table["like"] != "", table["action"])
    keys = zip(table["family"], names, table["period"], strict=True)
    table["learning_ratio"] = [float(learned.get(key, 1.0)) for key in keys]
    table["work_days"] = table["days"] * table["learning_ratio"]
    test = table["test_days"].where(table["test_condition"] == "", 0.0)
    table["days"] = table["work_days"] + table["make_ready_days"] + table["found_days"] + test
    return table


def _test_missing_days(table: pd.DataFrame, spans: pd.DataFrame) -> FloatArray:
    """Return by how many days each test does not fit behind its work at the earliest [days].

    Where the work lengthens its outage, the piece of the test ends so much later.
    """
    pieces, missing = pieces_of(spans), np.zeros(len(table))
    is_tested = ((table["test_condition"] != "") & table["has_conditions"]).to_numpy()
    for at, row in zip(np.flatnonzero(is_tested), rows(table[is_tested]), strict=True):
        finish, left = row.start_days + row.days, 0.0
        for piece in pieces.get((row.period, row.test_condition), []):
            end = min(piece.end_days + row.extension_days, piece.last_days)
            left = max(left, end - max(piece.start_days, finish))
        missing[at] = max(row.test_days - left, 0.0)
    return missing.round(6)


def candidates(
    case: Case, periods: pd.DataFrame, spans: pd.DataFrame, learned: Learned = NOT_LEARNED
) -> pd.DataFrame:
    """Return one row a component, action and period of its unit, possible or not.

    `learned` tells hours and days of a work in a period over those of the first of its kind.
    Adds open_span_days (conditions hold and access is made), start_days (and parts are there),
    end_days, extension_days, the days by which the outage would have to be longer for this
    work alone, max_extension_days, as far as its piece grows with the outage, and
    test_missing_days.
    """
    works = possible_works(case)
    table = works.merge(need_spans(works, periods, spans), on=KEY)
    own = periods.rename(columns={"start_days": "open_days", "end_days": "close_days"})
    table = table.merge(own.drop(columns=["unit", "days"]), on="period")
    table = _with_days(_with_units(case, table, spans), learned)
    table["open_span_days"] = table["span_start_days"] + _access_wait_days(case, table)
    table["start_days"] = np.maximum(table["open_span_days"], table["ready_days"])
    table["end_days"] = table["span_end_days"]
    growth = table["last_days"] - table["end_days"]
    table["max_extension_days"] = np.fmin(table["max_extension_days"], growth)
    short = table["days"] - (table["end_days"] - table["start_days"])
    table["extension_days"] = np.maximum(short, 0.0).round(6)
    table["test_missing_days"] = _test_missing_days(table, spans)
    order = ["component", "open_days", "period", "action"]
    return table.sort_values(order).reset_index(drop=True)
