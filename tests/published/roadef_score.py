"""The full score of the challenge: mean risk, and how far the quantile of scenarios exceeds it.

Each period t has an excess e[t] >= 0. In ceil(quantile x S) of its S scenarios, those that count
(b = 1), the risk over the mean is at most e[t]: sum over[q, s] x[q] - M (1 - b[s]) <= e[t]. The
least e[t] is then what the quantile exceeds the mean by, or 0.
"""

import math
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pulp

from bundler.choice import Choices, FloatArray, IntArray
from bundler.program.build import build_program
from bundler.program.model import Program
from bundler.solve.highs import Options
from tests.published.answer import Answer, Checked, answer_from, solve_program
from tests.published.folder import Known
from tests.published.roadef_raw import Raw


def _add_excess(program: Program, period: int, over: FloatArray, count: int) -> pulp.LpVariable:
    """Add the rows of a period, `over` [options, S] being risk less mean; return its excess."""
    excess = program.problem.add_variable(f"excess_{period}", 0)
    scenarios = range(over.shape[1])
    is_in = [program.problem.add_variable(f"b_{period}_{s}", 0, 1, "Binary") for s in scenarios]
    first = np.flatnonzero(~program.choices.courses["component"].duplicated())
    most = np.maximum.reduceat(over, first).sum(0).clip(min=0.0)
    for s in scenarios:
        terms = [(program.x[q], over[q, s]) for q in np.flatnonzero(over[:, s])]
        own = [(is_in[s], most[s]), (excess, -1.0)]
        program.add_row("excess", (period, s), [*terms, *own], "<=", most[s])
    program.add_row("counted", period, [(b, 1.0) for b in is_in], "==", count)
    return excess


def score_program(raw: Raw, choices: Choices) -> Program:
    """Return the program of the full score; `choices` are those of the mean risk."""
    courses = choices.courses.assign(pv_cost=raw.alpha * choices.courses["pv_cost"])
    program = build_program(replace(choices, courses=courses))
    price = (1 - raw.alpha) / raw.periods_count
    pairs = []
    for period, risk in enumerate(raw.risk):
        over = risk - risk.mean(1, keepdims=True)
        count = math.ceil(risk.shape[1] * raw.quantile)
        pairs.append((_add_excess(program, period, over, count), price))
    objective = program.problem.objective
    assert objective is not None, "a program has an objective"
    program.problem.setObjective(objective + pulp.lpSum_vars_coefs(pairs))
    return program


def solve_score(
    known: Known, raw: Raw, choices: Choices, options: Options, check: Callable[[IntArray], Checked]
) -> Answer:
    """Return the answer of the whole program of the full score."""
    began = time.perf_counter()
    program = score_program(raw, choices)
    objective, bound, status = solve_program(program, options)
    seconds = time.perf_counter() - began
    chosen = [q for q, x in program.x.items() if (x.varValue or 0.0) > 0.5]
    checked = check(np.array(chosen, dtype=np.int64))
    return answer_from(known, (objective, bound), seconds, status, checked)
