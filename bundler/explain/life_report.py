"""What the station's records and readings say about the life of a family or of a component."""

from dataclasses import dataclass

import pandas as pd

from bundler.case import Case
from bundler.explain.own_life import OwnLife, own_life
from bundler.explain.record_fits import RecordFit, record_fit
from bundler.explain.record_items import Items, items_of
from bundler.explain.record_repairs import ModeLife, Repairs, repairs_of, told_modes
from bundler.explain.record_units import Prior, UnitLife, prior_of, records_by_unit, told_lives
from bundler.life.lives import Lives
from bundler.life.register import lives_of, lives_table

ALL_MODES = "Repairs are judged by the failures of all modes together."


@dataclass(frozen=True, eq=False)
class LifeReport:
    """The life of a family by its record, and of one of its components if that was asked for.

    Parameters
    ----------
    name, family, family_name : what was asked for; its family and that family's name.
    mode : the one mode that counts, failures by others being withdrawals; "" for all.
    planning_years : the planning date as a year with its fraction.
    on_failure : repair, renew or stand.
    is_updated : the plan takes the family's life from its records.
    sister_weight_share : weight of a record of another unit.
    lives : the record; with repair each stretch enters at the failure before.
    by_unit : unit, records_count, failures_count.
    prior : the family's life before the record.
    items, fit, repairs : items followed through failures; the fit; how good repairs are.
    units, units_why_not : the life in each unit after the record, or why there is none.
    modes, modes_why_not : the life by each mode, or why there is none.
    own : the component; None where a family was asked for.
    """

    name: str
    family: str
    family_name: str
    mode: str
    planning_years: float
    on_failure: str
    is_updated: bool
    sister_weight_share: float
    lives: Lives
    by_unit: pd.DataFrame
    prior: Prior
    items: Items
    fit: RecordFit
    repairs: Repairs
    units: tuple[UnitLife, ...]
    units_why_not: str
    modes: tuple[ModeLife, ...]
    modes_why_not: str
    own: OwnLife | None

    @property
    def has_record(self) -> bool:
        """Return whether the family has any record."""
        return len(self.lives.low_years) > 0


def _family_of(case: Case, name: str) -> tuple[str, bool]:
    """Return the family of a name, and whether the name is a component; that goes first."""
    parts = case["components"].set_index("component")["family"]
    if name in parts.index:
        return str(parts[name]), True
    if name in set(case["families"]["family"]):
        return name, False
    raise ValueError(f"{name!r} is neither a component nor a family of this station; name one.")


def _year(case: Case) -> float:
    day = case.settings.planning_date
    return day.year + (day.timetuple().tm_yday - 1) / 365.25


def _by_mode(lives: Lives, mode: str) -> tuple[tuple[ModeLife, ...], str]:
    return ((), "") if mode else told_modes(lives)


def _by_unit(case: Case, family: str, lives: Lives, mode: str) -> tuple[tuple[UnitLife, ...], str]:
    if mode:
        return (), "The plan's life is that of all modes together."
    return told_lives(case, family) if len(lives.low_years) else ((), "")


def life_report(case: Case, name: str, mode: str = "") -> LifeReport:
    """Return what records and readings say about the life of a family or a component.

    Parameters
    ----------
    name : a component, or a family; where both have this name, the component.
    mode : count failures by this mode only, those by others as withdrawals; "" for all.

    Raises ValueError where nothing has this name, or a failure has no mode though one is asked for.
    """
    family, is_component = _family_of(case, name)
    row = case["families"][case["families"]["family"] == family].iloc[0]
    table, on_failure = lives_table(case, family), row["on_failure"]
    every = lives_of(table)
    lives = every.of_mode(mode) if mode else every
    items = items_of(case, family, on_failure, mode)
    units, units_why_not = _by_unit(case, family, lives, mode)
    modes, modes_why_not = _by_mode(lives, mode)
    return LifeReport(
        name=name, family=family, family_name=row["name"], mode=mode, planning_years=_year(case),
        on_failure=on_failure, is_updated=row["life_from"] == "records",
        sister_weight_share=case.settings.sister_weight_share,
        lives=lives, by_unit=records_by_unit(table, mode), prior=prior_of(case, family),
        items=items, fit=record_fit(lives, row["curve"]),
        repairs=Repairs((), ALL_MODES) if mode else repairs_of(items, on_failure),
        units=units, units_why_not=units_why_not, modes=modes, modes_why_not=modes_why_not,
        own=own_life(case, name) if is_component else None,
    )  # fmt: skip
