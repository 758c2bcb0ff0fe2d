"""The plan's risk in bad scenarios of lives counts: mean and conditional value at risk."""

from dataclasses import replace
from typing import Any

from bundler.choice import Choices, FloatArray
from bundler.program.model import Program

NAME = "tail"
FORMULA = "sum risk[q,s] x[q] <= eta + u[s], u[s] >= 0"
PRICE = "how much scenario s counts in the tail, times the weight w of the tail"


def weighted(choices: Choices, weights: FloatArray) -> Choices:
    """Return the choices with the risk of each course at fixed weights [S] of its scenarios.

    Without a tail, so that the plain program is built from them.
    """
    if choices.tail is None:
        return choices
    risk = choices.tail.risk_pv_cost @ weights
    total = choices.courses["planned_pv_cost"].to_numpy() + risk
    return replace(
        choices, courses=choices.courses.assign(risk_pv_cost=risk, pv_cost=total), tail=None
    )


def counts(choices: Choices) -> bool:
    """Say whether the tail has a weight; without one only the mean over scenarios counts."""
    return choices.tail is not None and choices.tail.lives.weight_share > 0


def add_variables(program: Program) -> None:
    """Add eta, the loss at the edge of the tail, and u[s], by how much scenario s exceeds it."""
    tail = program.choices.tail
    if tail is not None and counts(program.choices):
        program.eta = program.problem.add_variable("eta")
        for number in range(len(tail.chances)):
            program.u[number] = program.problem.add_variable(f"u_{number}", 0)


def objective_terms(program: Program) -> list[tuple[Any, float]]:
    """Return what the tail adds to the objective: w (eta + sum chance[s] u[s] / (1 - alpha)).

    At its best that is w times the conditional value at risk (Rockafellar and Uryasev 2000). What
    does not differ between scenarios (work, access, days, overtime) stays outside: it moves mean
    and tail alike.
    """
    tail = program.choices.tail
    if tail is None or not counts(program.choices):
        return []
    weight, worst = tail.lives.weight_share, tail.lives.worst_share
    terms = [(program.u[s], weight * float(p) / worst) for s, p in enumerate(tail.chances)]
    return [(program.eta, weight), *terms]


def add(program: Program) -> None:
    """Add one row a scenario, where the tail has a weight."""
    tail = program.choices.tail
    if tail is None or not counts(program.choices):
        return
    for number in range(len(tail.chances)):
        risks = zip(program.x.values(), tail.risk_pv_cost[:, number], strict=True)
        terms = [(variable, float(risk)) for variable, risk in risks if risk != 0]
        program.add_row(
            NAME, number, [*terms, (program.eta, -1.0), (program.u[number], -1.0)], "<=", 0.0
        )
