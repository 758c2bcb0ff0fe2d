"""The program of a case: variables, objective, and every rule in order."""

from collections.abc import Collection
from dataclasses import replace

import pandas as pd
import pulp

from bundler.choice import Choices
from bundler.program import access, limits, links, one_course, outage_days, tail
from bundler.program.model import Program
from bundler.tables import rows

#: every rule, in the order in which its rows are added
RULES = (one_course, limits, outage_days, access, links, tail)


def _needed_placements(choices: Choices) -> list[int]:
    """Return the placements that some row other than one_course speaks of."""
    rows = limits.binding_limits(choices)["limit"]
    used = [choices.uses.loc[choices.uses["limit"].isin(rows), "placement"]]
    used += [choices.access_members["placement"], choices.link_terms["placement"]]
    long = choices.placements["extension_days"] > 0
    used.append(choices.placements.loc[long, "placement"])
    return sorted(set(pd.concat(used)))


def _add_variables(program: Program) -> None:
    choices, problem = program.choices, program.problem
    courses = list(choices.courses["course"])
    names = problem.add_variable_matrix("x", (courses,), 0, 1, "Binary")
    program.x.update(zip(courses, names, strict=True))
    placements = _needed_placements(choices)
    if placements:
        columns = problem.add_variable_matrix("z", (placements,), 0, 1)
        program.z.update(zip(placements, columns, strict=True))
    sets = choices.access[~choices.access["is_given"]]
    for number, name in enumerate(sets["access"]):
        program.y[name] = problem.add_variable(f"y_{number}", 0, 1, "Binary")
    longer = choices.periods[choices.periods["max_extension_days"] > 0]
    for number, row in enumerate(rows(longer)):
        program.e[row.period] = problem.add_variable(f"e_{number}", 0, row.max_extension_days)
    for number, row in enumerate(rows(choices.overtimes)):
        program.t[row.overtime] = problem.add_variable(f"t_{number}", 0, row.most_hours)


def course_cost(choices: Choices) -> list[float]:
    """Return what each course costs in the objective; with scenarios of lives, the mean's part."""
    if choices.tail is None:
        return [float(cost) for cost in choices.courses["pv_cost"]]
    mean = choices.tail.risk_pv_cost @ choices.tail.chances
    planned = choices.courses["planned_pv_cost"].to_numpy()
    return [float(c) for c in planned + (1 - choices.tail.lives.weight_share) * mean]


def _add_objective(program: Program) -> None:
    choices = program.choices
    pairs = list(zip(program.x.values(), course_cost(choices), strict=True))
    prices = dict(zip(choices.access["access"], choices.access["pv_cost"], strict=True))
    pairs += [(variable, float(prices[name])) for name, variable in program.y.items()]
    days = dict(zip(choices.periods["period"], choices.periods["day_pv_cost"], strict=True))
    pairs += [(variable, float(days[name])) for name, variable in program.e.items()]
    bands = choices.overtimes
    hours = dict(zip(bands["overtime"], bands["pv_cost_per_hour"], strict=True))
    pairs += [(variable, float(hours[name])) for name, variable in program.t.items()]
    pairs += tail.objective_terms(program)
    if choices.shared_pv_cost:
        program.one = program.problem.add_variable("one", 1, 1)
        pairs.append((program.one, choices.shared_pv_cost))
    program.problem.setObjective(pulp.lpSum_vars_coefs(pairs))


def build_program(choices: Choices) -> Program:
    """Return the integer program: minimise risk, planned work, access, extension and overtime.

    Variables and rows enter in key order, so the order of input rows never changes a plan.
    """
    program = Program(pulp.LpProblem("scope", pulp.LpMinimize), choices)
    _add_variables(program)
    tail.add_variables(program)
    _add_objective(program)
    for rule in RULES:
        rule.add(program)
    return program


def build_elastic(choices: Choices, breakable: Collection[str]) -> Program:
    """Return the program in which `breakable` limits may be overfilled and only that costs.

    Minimise the sum over these limits of what is missing, in shares of the limit; for telling
    what stands in the way when no plan keeps everything.
    """
    choices = replace(choices, tail=None)
    program = Program(pulp.LpProblem("clash", pulp.LpMinimize), choices)
    _add_variables(program)
    able = limits.binding_limits(choices)
    able = able[able["limit"].isin(breakable)]
    for number, name in enumerate(able["limit"]):
        program.s[name] = program.problem.add_variable(f"s_{number}", 0)
    shares = zip(program.s.values(), 1 / able["amount"].clip(lower=1.0), strict=True)
    program.problem.setObjective(
        pulp.lpSum_vars_coefs([(variable, float(share)) for variable, share in shares])
    )
    for rule in RULES:
        rule.add(program)
    return program


def ask_cheapest(program: Program, most_shares: float) -> None:
    """Turn an elastic program to its least cost with at most `most_shares` missing in all."""
    shares = program.problem.objective
    assert shares is not None, "a program has an objective"
    program.problem.addConstraint(shares <= most_shares, "breach")
    _add_objective(program)
