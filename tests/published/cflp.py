"""Capacitated facility location: a site's set-up is paid once, its customers need it, it has a capacity.

A site is an access set, a customer a component, each site a course of it; a limit a site says that
its customers ask for no more than it has, once it is set up. A customer may be served from several
sites in part, so courses are taken in shares here.

Beasley (1988), European Journal of Operational Research 33, 314-325, from OR-Library (Beasley 1990).
Pages are from memory.
"""

import time
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bundler.choice import Choices, FloatArray
from bundler.program.build import build_program
from bundler.solve.find import find_plan
from bundler.solve.highs import Options
from tests.published.answer import Answer, Checked, answer_from, solve_program
from tests.published.folder import Known, counts, known_of, numbers, take
from tests.published.tables import PERIOD, limit_names, option_tables

#: how far shares may miss 1, and a load its capacity as a share of it: the solver's tolerance
TOLERANCE_SHARE = 2e-6


@dataclass(frozen=True)
class Raw:
    """What a file says: capacity, fixed [sites]; demand [customers]; cost [customers, sites].

    cost is that of serving all of a customer's demand from a site.
    """

    capacity: FloatArray
    fixed: FloatArray
    demand: FloatArray
    cost: FloatArray


def known() -> list[Known]:
    """Return the instances."""
    return known_of("cflp", {"": "cflp"})


def read(known: Known) -> Raw:
    """Return the raw instance; where the file says "capacity", the instance's name has its value."""
    source = numbers(known.path, capacity=float(known.instance.partition(":")[2] or "nan"))
    sites, customers = counts(source, 2)
    site = take(source, sites, 2)
    customer = take(source, customers, 1 + sites)
    return Raw(site[:, 0], site[:, 1], customer[:, 0], customer[:, 1:])


def tables(raw: Raw) -> Choices:
    """Return our tables; option number = customer x sites + site."""
    customers, sites = raw.cost.shape
    names = np.asarray(limit_names(sites))
    option = np.arange(customers * sites)
    site = option % sites
    uses = pd.DataFrame({
        "limit": names[site], "placement": option, "amount": np.repeat(raw.demand, sites),
    })  # fmt: skip
    plain = option_tables(option // sites, raw.cost.ravel(), uses, pd.Series(0.0, names))
    access = pd.DataFrame({
        "access": names, "access_set": names, "pv_cost": raw.fixed, "is_given": False,
        "period": PERIOD,
    })  # fmt: skip
    return replace(
        plain, access=access,
        access_members=pd.DataFrame({"access": names[site], "placement": option}),
        access_uses=pd.DataFrame({"limit": names, "access": names, "amount": -raw.capacity}),
    )  # fmt: skip


def check(raw: Raw, share: FloatArray, is_open: np.ndarray) -> Checked:
    """Return the value and the faults of shares [customers, sites] served from open sites."""
    total, load = share.sum(1), raw.demand @ share
    faults = [
        f"customer {c} is served {total[c]:.9g} times"
        for c in np.flatnonzero(abs(total - 1) > TOLERANCE_SHARE)
    ]
    room = np.where(is_open, raw.capacity, 0.0) + TOLERANCE_SHARE * raw.capacity
    faults += [f"site {s} has {load[s]:.9g}" for s in np.flatnonzero(load > room)]
    if (share < -TOLERANCE_SHARE).any():
        faults.append("a share is below 0")
    return Checked(float((raw.cost * share).sum() + raw.fixed[is_open].sum()), tuple(faults))


def answer(known: Known, options: Options) -> Answer:
    """Return the plan of an instance, checked; the whole program, as its courses are shares."""
    raw = read(known)
    began = time.perf_counter()
    program = build_program(tables(raw))
    for variable in program.x.values():
        variable.cat = "Continuous"
    objective, bound, status = solve_program(program, options)
    seconds = time.perf_counter() - began
    share = np.array([x.varValue or 0.0 for x in program.x.values()]).reshape(raw.cost.shape)
    is_open = np.array([(y.varValue or 0.0) > 0.5 for y in program.y.values()])
    checked = check(raw, share, is_open)
    return answer_from(known, (objective, bound), seconds, status, checked)


def answer_undivided(known: Known, options: Options) -> Answer:
    """Return the plan in which each customer is served from one site; its value is no less."""
    raw = read(known)
    began = time.perf_counter()
    solved = find_plan(tables(raw), options, lambda stage, share: None)
    seconds = time.perf_counter() - began
    share = np.isin(np.arange(raw.cost.size), solved.courses).reshape(raw.cost.shape).astype(float)
    is_open = np.isin(limit_names(len(raw.fixed)), solved.access)
    checked = check(raw, share, is_open)
    figures = (solved.objective_pv_cost, solved.bound_pv_cost)
    return answer_from(known, figures, seconds, solved.status, checked)
