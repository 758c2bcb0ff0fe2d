"""What records and readings say about a life, on one screen."""

from collections.abc import Iterator

import numpy as np
from rich.console import Console
from rich.table import Table
from rich.text import Text

from bundler.case import Case
from bundler.errors import BundlerError
from bundler.explain.life_report import LifeReport, life_report
from bundler.explain.own_life import OwnLife
from bundler.explain.reading_trend import ReadingTrend
from bundler.explain.record_repairs import ModeLife
from bundler.life.bounds import Bounds
from bundler.nearest import did_you_mean
from bundler.report import CAUTIONS
from bundler.report.component import known_name
from bundler.tables import rows

#: readings of an indicator on the screen, the last ones
ROWS = 6
#: what a failure does, by `families.on_failure`, and so what the lives are
LIVES = {
    "repair": "A failure leaves the age as it is (minimal repair): lives are stretches of running "
    "age that enter at the failure before.",
    "renew": "A failure renews the item: the gaps between failures are its lives.",
    "stand": "A failed item stands until its next work: each start is a life of its own.",
}
#: what the record did to the prior of a unit, by its word
SAYS = {
    "speaks": "speaks",
    "says little": "says little",
    "contradicts": "contradicts: check both",
}


def number(value: float, digits: int = 3) -> str:
    """Return a number with so many significant figures, and no power of ten where it can be."""
    if not np.isfinite(value):
        return "open"
    if abs(value) >= 100:
        return f"{value:,.0f}"
    return f"{value:.{digits}g}"


def counted(count: float, one: str, many: str = "") -> str:
    """Return a count with its noun."""
    return f"{count:,.6g} {one if count == 1 else many or one + 's'}"


def side(bounds: Bounds, where: str) -> str:
    """Return one side of bounds with its unit; "open" where the record does not limit it."""
    if where in bounds.open_sides:
        return "open"
    return _with_unit(bounds, bounds.low if where == "below" else bounds.high)


def _with_unit(bounds: Bounds, value: float) -> str:
    return f"{number(value)}{' years' if bounds.name.endswith('_years') else ''}"


def _plain(title: str, *columns: str) -> Table:
    """Return an empty table; its first column stands left, the others right."""
    table = Table(title=title, title_justify="left", title_style="bold", box=None, pad_edge=False)
    for place, name in enumerate(columns):
        table.add_column(name, justify="left" if place == 0 else "right")
    return table


def _record(report: LifeReport) -> Iterator[str]:
    lives, what = report.lives, f" by {report.mode}" if report.mode else ""
    held = counted(lives.items_count, "record")
    failed = f"{counted(lives.failures_count, 'failure')}{what}"
    by_unit = ", ".join(
        f"{row.unit} {row.records_count:g} ({row.failures_count:g})" for row in rows(report.by_unit)
    )
    yield f"Record: {held}, {failed}; by unit, failures in brackets: {by_unit}."
    late, found = (lives.entry_years > 0), ~lives.is_exact & ~lives.is_running
    if late.any():
        yield f"{lives.count(late):g} of them watched only from an age above 0 (late entry)."
    if found.any():
        yield f"{counted(lives.count(found), 'failure')} found at an inspection only."


def _trend(report: LifeReport) -> Iterator[str]:
    items = report.items
    if items.trend is None:
        yield f"Trend: not told. {items.why_not}"
    else:
        yield f"Trend of {counted(len(items.histories), 'item')}: {items.trend.verdict}"
    if items.left_out_count:
        yield f"{counted(items.left_out_count, 'failure')} in rows of several items left out of it."
    yield LIVES[report.on_failure]
    is_moving = items.trend is not None and items.trend.word in ("deteriorating", "improving")
    if is_moving and report.on_failure == "renew":
        yield "Yet with a trend the gaps are no lives of one kind: take what follows with care."


def _fits(report: LifeReport) -> Table:
    table = _plain("Fits by AIC", "kind", "AIC", "above the best", "")
    best = report.fit.best
    for row in rows(report.fit.compared):
        if not np.isfinite(row.aic):
            table.add_row(row.kind, "-", "-", "not fitted")
            continue
        note = "used below" if best is not None and row.kind == best.kind else row.note
        table.add_row(row.kind, f"{row.aic:.1f}", f"{row.aic_delta:.1f}", note)
    return table


def _bounds(report: LifeReport) -> Table:
    kind = report.fit.best.kind if report.fit.best else ""
    title = f"The {kind} fit, 90 % profile bounds"
    table = _plain(title, "", "estimate", "from", "to")
    for name, found in report.fit.bounds.items():
        estimate = _with_unit(found, found.estimate)
        table.add_row(name, estimate, side(found, "below"), side(found, "above"))
    return table


def _verdict(report: LifeReport) -> Iterator[Text]:
    yield Text(report.fit.verdict, style="bold")
    if not report.fit.is_identified:
        yield Text(f"The prior is used instead: {report.prior.words}.")
        return
    yield Text(f"Prior of families.csv: {report.prior.words}.")


def _units(report: LifeReport) -> Iterator[Text | Table]:
    if report.units_why_not:
        yield Text(f"Life by unit: not told. {report.units_why_not}")
    if not report.units:
        return
    weight = f"{report.sister_weight_share:.2g}"
    table = _plain(
        f"Prior to posterior by unit (a record of another unit counts {weight})",
        "unit", "parts", "failures", "life before", "after", "90 % of it", "shape", "the record",
    )  # fmt: skip
    for own in report.units:
        table.add_row(
            own.unit, str(own.components_count), number(own.failures_count),
            f"{number(own.prior_years)} years", f"{number(own.life_years)} years",
            f"{number(own.low_years)} to {number(own.high_years)} years",
            f"{number(own.prior_shape_ratio, 2)} to {number(own.shape_ratio, 2)}", SAYS[own.word],
        )  # fmt: skip
    yield table
    if report.is_updated:
        yield Text("The plan uses the life after, in each unit.")
    else:
        yield Text("The plan leaves the record out: life_from of the family is not records.")


def _mode(own: ModeLife) -> tuple[str, ...]:
    if own.scale is None or own.shape is None:
        return own.mode, number(own.failures_count), "not fitted"
    told = [own.mode, number(own.failures_count)]
    for each in (own.scale, own.shape):
        told += [_with_unit(each, each.estimate), f"{side(each, 'below')} to {side(each, 'above')}"]
    return tuple(told)


def _modes(report: LifeReport) -> Iterator[Text | Table]:
    if report.modes_why_not:
        yield Text(f"By mode: not told. {report.modes_why_not}")
    if report.modes:
        title = "By mode, the others as withdrawals (weibull, 90 % profile bounds)"
        table = _plain(title, "mode", "failures", "scale", "90 %", "shape", "90 %")
        for own in report.modes:
            table.add_row(*(Text(word) for word in _mode(own)))
        yield table


def _repairs(report: LifeReport) -> Iterator[Text | Table]:
    if report.repairs.why_not:
        yield Text(f"Repairs: not told. {report.repairs.why_not}")
        return
    table = _plain(
        "Repairs: share r of the age taken away, 90 % bounds",
        "model", "r", "from", "to", "AIC", "as old (r = 0)", "as new (r = 1)",
    )  # fmt: skip
    for found in report.repairs.fits:
        shares = found.restoration_share, 1 - found.left_high_share, 1 - found.left_low_share
        aics = found.aic, found.aic_minimal, found.aic_renewal
        table.add_row(
            f"Kijima {found.kind}", *(f"{share:.2f}" for share in shares),
            *(f"{aic:.1f}" for aic in aics),
        )  # fmt: skip
    yield table
    best = min(report.repairs.fits, key=lambda found: found.aic)
    yield Text(f"Kijima {best.kind}: {best.words}")
    lives = report.lives
    if (~lives.is_exact & ~lives.is_running).any():
        yield Text("There and in the trend, failures stand at the day they were found.")


def _readings(trend: ReadingTrend) -> Iterator[str]:
    told, measure = trend.readings.tail(ROWS), trend.measure
    words = []
    for row in rows(told):
        error = f" +/- {row.error_value:.2g}" if row.error_value > 0 else ""
        part = f" for {row.time_share * 100:.0f} % of the time" if row.time_share < 1 else ""
        words.append(f"{row.reading_date.date()}: {row.reading_value:.3g}{error} {measure}{part}")
    more = len(trend.readings) - len(told)
    yield f"Readings, {trend.name}: {'; '.join(words)}{f'; {more} before' if more else ''}."
    if trend.earlier_count:
        yield f"{counted(trend.earlier_count, 'reading')} of an earlier life left out."
    if len(trend.ahead):
        spread = trend.rate_sd_value_per_year
        spread_words = f" +/- {spread:.2g}" if np.isfinite(spread) else ""
        yield (
            f"Trend {trend.rate_value_per_year:+.2g}{spread_words} {measure} a year; "
            f"limit {trend.limit_value:.3g} {measure}."
        )


def _own(report: LifeReport, own: OwnLife) -> Iterator[str]:
    left = own.median_left_years
    half = f"half would last {number(left)} years more" if np.isfinite(left) else "half never fail"
    yield (
        f"Age {own.age_years:.1f} years at the planning date; chance of failing in the next "
        f"5 years {own.chance_5_years:.2g}, 10 years {own.chance_10_years:.2g}; {half}."
    )
    life = "" if np.isnan(own.life_years) else f", life {number(own.life_years)} years"
    shape = "" if np.isnan(own.shape_ratio) else f", shape {own.shape_ratio:.2g}"
    taken = "; until its first failure the evidence takes its place" if own.is_replaced else ""
    yield f"Curve: {own.kind}{life}{shape}{taken}. Sigma of ln life {own.sigma_ratio:.2g}."
    evidence = own.evidence or "none of its own; the life is that of its family"
    yield f"Evidence: {evidence.rstrip('.')}."
    for trend in own.trends:
        yield from _readings(trend)
    if own.note:
        yield f"Known: {own.note}"


def _parts(report: LifeReport) -> Iterator[Text | Table | str]:
    if report.own is not None:
        yield Text(f"{report.name}  {report.family_name}, unit {report.own.unit}", style="bold")
        yield from _own(report, report.own)
    yield Text(f"Family {report.family}  {report.family_name}", style="bold")
    if not report.has_record:
        yield from _verdict(report)
        return
    yield " ".join(_record(report))
    yield " ".join(_trend(report))
    yield _fits(report)
    if report.fit.best is not None:
        yield _bounds(report)
    yield from _verdict(report)
    yield from _units(report)
    yield from _modes(report)
    yield from _repairs(report)


def _check_mode(case: Case, family: str, mode: str) -> None:
    """Raise a BundlerError where a family's record cannot be asked for one mode."""
    lives = case["lives"][case["lives"]["family"] == family]
    failed = lives[lives["failed_date"].notna()]
    known = sorted(set(failed["mode"]) - {""})
    if mode not in known:
        names = f"Its modes are {', '.join(known)}." if known else "No failure names its mode."
        near = did_you_mean(mode, known)
        raise BundlerError(f"{family} has no failure by {mode!r} in lives.csv. {near}{names}")
    if (failed["mode"] == "").any():
        raise BundlerError(f"Some failures of {family} have no mode; name all in lives.csv first.")


def show_life(case: Case, name: str, mode: str, console: Console) -> LifeReport:
    """Print what records and readings say about a family or component, and return it.

    Raises BundlerError with near misses where nothing has this name, or the mode is not known.
    """
    name = known_name(case, name)
    if mode:
        parts = case["components"].set_index("component")["family"]
        _check_mode(case, str(parts.get(name, name)), mode)
    report = life_report(case, name, mode)
    for part in _parts(report):
        console.print(part, markup=False)
    console.print(f"Caution: {CAUTIONS[0]} {CAUTIONS[2]}", style="italic")
    return report
