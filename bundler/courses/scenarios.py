"""Scenarios of lives: one factor a family on all its lives, drawn once from a stated seed."""

from statistics import NormalDist

import numpy as np
import pandas as pd

from bundler.case import Case
from bundler.choice import Choices, FloatArray
from bundler.courses.costing import Costing
from bundler.courses.described import described
from bundler.courses.factors import NODES, Progress, interpolated, risk_at_factors


def sigma_by_family(case: Case) -> pd.Series:
    """Return the standard deviation of ln life factor of each family [-], sorted by family.

    What its table says; evidence on a component is looked at in `life_ratios`.
    """
    families = case["families"].sort_values("family").set_index("family")
    return families["life_sigma_ratio"].astype(float)


def normal_strata(count: int, rng: np.random.Generator) -> FloatArray:
    """Return one standard normal draw from each of `count` equally likely strata, shuffled.

    The strata are mirrored (z and -z), so that the draws add up to zero, which a place drawn
    freely in each would only do on average; a stratum in the middle gives 0.
    """
    low = (np.arange(count // 2) + rng.random(count // 2)) / count
    below = np.array([NormalDist().inv_cdf(max(share, 1e-12)) for share in low])
    middle = np.zeros(count % 2)
    return rng.permutation(np.concatenate([below, middle, -below]))


def draw_scenarios(case: Case, count: int, *, rng: np.random.Generator) -> pd.DataFrame:
    """Return scenarios of lives: one row a scenario and family; all are equally likely.

    Columns scenario, family, life_ratio (on every life of the family) and chance. ln life_ratio
    is normal with mean 0 and the family's sigma: the assumed life is the median. Families are
    independent; each takes one draw from each of `count` strata (Latin hypercube sampling, McKay,
    Beckman and Conover 1979).
    """
    sigma = sigma_by_family(case)
    ratios = np.array([np.exp(own * normal_strata(count, rng)) for own in sigma])
    digits = len(str(count))
    names = [f"S{number:0{digits}d}" for number in range(1, count + 1)]
    return pd.DataFrame(
        {
            "scenario": np.repeat(names, len(sigma)),
            "family": np.tile(sigma.index.to_numpy(), count),
            "life_ratio": ratios.reshape(len(sigma), count).T.ravel().round(6),
            "chance": 1 / count,
        }
    )


def life_ratios(case: Case, scenarios: pd.DataFrame) -> pd.DataFrame:
    """Return the life ratio of each component (row) in each scenario (column) [-].

    Where a component's life is better or worse known than its family's, by its own sigma, its
    ratio is the family's to the power of own sigma over the family's: the same chance of being so
    far off. So the lives of a family move together, which is the cautious side for the tail.
    """
    table = scenarios.pivot(index="family", columns="scenario", values="life_ratio")
    parts = described(case).set_index("component")
    power = parts["life_sigma_ratio"] / parts["family"].map(sigma_by_family(case))
    ratios = table.loc[parts["family"]].to_numpy() ** power.to_numpy()[:, None]
    return pd.DataFrame(ratios, index=parts.index, columns=table.columns)


def scenario_risk(
    case: Case,
    choices: Choices,
    costing: Costing,
    scenarios: pd.DataFrame,
    progress: Progress | None = None,
) -> FloatArray:
    """Return the present value of the risk of each course in each scenario [n, S].

    Rows in the order of `choices.courses`, columns in the order of the scenarios' names. Exact
    where all ratios together are few, else read from a table at as many lives as `NODES`.
    """
    ratios = life_ratios(case, scenarios)
    nodes = np.unique(ratios.to_numpy())
    if len(nodes) > len(NODES):
        low, high = nodes[0], nodes[-1]
        nodes = np.geomspace(low, high, len(NODES))
        nodes[0], nodes[-1] = low, high
    risks = risk_at_factors(case, choices, costing, nodes, progress)
    return interpolated(risks, nodes, ratios.loc[choices.courses["component"]].to_numpy())
