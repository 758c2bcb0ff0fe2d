"""One station's checked input: settings and tables."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import pandas as pd


@dataclass(frozen=True)
class Settings:
    """The single values of a case; units are the last word, meanings stand in columns.csv."""

    station: str
    planning_date: date
    horizon_end_date: date
    currency: str
    price_year: int
    discount_share_per_year: float
    station_value_cost_per_day: float
    escalation_share_per_year: float = 0.0
    forced_repair_ratio: float = 1.0
    forced_outage_cost: float = 0.0
    dose_value_cost_per_person_msv: float = 0.0
    paid_hours_per_week: float = 50.0
    attendance_share: float = 1.0
    overtime_share: float = 0.0
    overtime_cost_ratio: float = 1.5
    overtime_weeks: float = 0.0
    area_per_head_m2: float = 20.0
    shifts_count: int = 2
    learning_ratio: float = 1.0
    feedback_months: float = 0.0
    half_learning_years: float = 1000.0
    receive_days: float = 60.0
    order_payment_share: float = 0.2
    middle_payment_share: float = 0.5
    staged_from_months: float = 12.0
    max_actions_count: int = 2
    grid_years: float = 0.25
    decision_years: float = 10.0
    sister_weight_share: float = 0.5
    most_units_out_count: int = 20
    carry_over_share: float = 0.0
    summer_from_month: int = 6
    summer_to_month: int = 9
    system_correlation: float = 0.3
    cause_correlation: float = 0.6
    discovery_from_chance: float = 0.5
    dose_year_msv: float = 500.0
    dose_five_years_msv: float = 2000.0
    most_changes_count: int = 100000


@dataclass(frozen=True, eq=False)
class Case:
    """A station ready to be planned; itself only is equal to it, so that results can be kept.

    `tables` holds every table of columns.csv but settings, each sorted by its key with a
    plain index, missing text as "", and a last column `file_row` that tells the row in the
    file it came from. `hashes` holds the SHA-256 of each input file.
    """

    settings: Settings
    tables: Mapping[str, pd.DataFrame]
    hashes: Mapping[str, str]

    def __getitem__(self, table: str) -> pd.DataFrame:
        """Return one table by its name."""
        return self.tables[table]


def with_tables(case: Case, **tables: pd.DataFrame) -> Case:
    """Return the case with other tables in the place of its own."""
    return replace(case, tables={**case.tables, **tables})
