"""All lives of a family, or of every family, stretched by one ratio in the tables."""

from typing import Any

import pandas as pd

from bundler.case import Case
from bundler.life.evidence import posterior
from bundler.life.given import given_lives
from bundler.tables import rows

#: columns of a component in which a life by records is written down
BY_RECORDS = ("life_years", "shape_ratio", "life_sigma_ratio")


def _steps_name(steps: str, ratio: float) -> str:
    """Return a name for stretched rates that no table can hold, as names have no blanks."""
    return f"{steps} x {ratio!r}"


def _families(table: pd.DataFrame, is_meant: pd.Series, ratio: float) -> pd.DataFrame:
    """Return families with their lives stretched, and as given."""
    steps = [
        _steps_name(name, ratio) if meant and name else name
        for name, meant in zip(table["steps"], is_meant, strict=True)
    ]
    return table.assign(
        life_years=table["life_years"].where(~is_meant, table["life_years"] * ratio),
        guarantee_years=table["guarantee_years"].where(~is_meant, table["guarantee_years"] * ratio),
        life_from=table["life_from"].where(~is_meant, "given"),
        steps=pd.Series(steps, index=table.index, dtype=table["steps"].dtype),
    )


def _by_records(case: Case, names: set[str]) -> dict[str, tuple[float, float, float]]:
    """Return life, shape and sigma that records give to components of families, by component."""
    seen: dict[Any, tuple[float, float, float]] = {}
    found: dict[str, tuple[float, float, float]] = {}
    for part in rows(given_lives(case)):
        if part.life_from != "records" or part.family not in names:
            continue
        key = (part.family, part.unit, part.life_years, part.shape_ratio, part.life_sigma_ratio)
        if key not in seen:
            told = posterior(case, part)
            life, shape = told.life_percentile_years(0.5), told.shape_percentile_ratio(0.5)
            seen[key] = (life, shape, told.life_spread_ratio)
        found[part.component] = seen[key]
    return found


def _components(case: Case, names: set[str], ratio: float) -> pd.DataFrame:
    """Return components with their own lives stretched; those by records are written down first."""
    table, told = case["components"], _by_records(case, names)
    for place, column in enumerate(BY_RECORDS):
        own = table["component"].map({name: life[place] for name, life in told.items()})
        table = table.assign(**{column: own.astype("float64").fillna(table[column])})
    is_meant = table["family"].isin(names)
    life = table["life_years"]
    return table.assign(life_years=life.where(~is_meant, life * ratio))


def _curve_steps(case: Case, names: set[str], ratio: float) -> pd.DataFrame:
    """Return stepped rates with stretched ones beside them: ages times, rates over the ratio."""
    steps, families = case["curve_steps"], case["families"]
    used = set(families.loc[families["family"].isin(names), "steps"])
    own = steps[steps["steps"].isin(used)]
    own = own.assign(
        steps=[_steps_name(name, ratio) for name in own["steps"]],
        from_age_years=own["from_age_years"] * ratio,
        failure_rate_per_year=own["failure_rate_per_year"] / ratio,
    ).astype(steps.dtypes.to_dict())
    return pd.concat([steps, own]).sort_values(["steps", "from_age_years"], ignore_index=True)


def lives(case: Case, family: str, ratio: float) -> dict[str, pd.DataFrame]:
    """Return the tables of a case in which the lives of a family ("": of all) are `ratio` times.

    Stretched are the lives assumed, those that records have told (written down as own lives of the
    components, so that records do not pull them back), those of new designs, guarantees and the
    ages of stepped rates. What readings have measured stays until the first failure or work; so do
    qualified lives and caps on failures.
    """
    families = case["families"]
    is_meant = (families["family"] == family) | (family == "")
    names = set(families.loc[is_meant, "family"])
    actions = case["actions"]
    new = actions["new_life_years"]
    return {
        "families": _families(families, is_meant, ratio),
        "components": _components(case, names, ratio),
        "curve_steps": _curve_steps(case, names, ratio),
        "actions": actions.assign(
            new_life_years=new.where(~actions["family"].isin(names), new * ratio)
        ),
    }
