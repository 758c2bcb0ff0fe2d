"""The integer program as a record: its variables by key and its rows by rule and key."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import pulp

from bundler.choice import Choices


@dataclass
class Program:
    """The program being built: variables by key, rows by (rule, key).

    x[q] is 1 if course q is chosen; z[p] is 1 if placement p is (a sum of x); y[s] if access set
    s is made; e[o] days of extension of outage o; t[b] hours worked in overtime band b; s[r], only
    when nothing fits, what limit r lacks; eta and u[s], only with a tail of uncertain lives, the
    loss at its edge and by how much scenario s exceeds it; one is 1, and carries the cost that is
    the same for every plan.
    """

    problem: pulp.LpProblem
    choices: Choices
    x: dict[int, pulp.LpVariable] = field(default_factory=dict)
    z: dict[int, pulp.LpVariable] = field(default_factory=dict)
    y: dict[str, pulp.LpVariable] = field(default_factory=dict)
    e: dict[str, pulp.LpVariable] = field(default_factory=dict)
    t: dict[str, pulp.LpVariable] = field(default_factory=dict)
    s: dict[str, pulp.LpVariable] = field(default_factory=dict)
    u: dict[int, pulp.LpVariable] = field(default_factory=dict)
    eta: pulp.LpVariable | None = None
    one: pulp.LpVariable | None = None
    rows: dict[tuple[str, Any], pulp.LpConstraint] = field(default_factory=dict)

    def chosen(self) -> tuple[int, ...]:
        """Return the courses that the variables hold."""
        return tuple(course for course, x in self.x.items() if (x.varValue or 0.0) > 0.5)

    def add_row(
        self, rule: str, key: Any, terms: Iterable[tuple[Any, float]], sense: str, amount: float
    ) -> None:
        """Add the row sum(factor x variable) <= or == amount under its rule and key."""
        total = pulp.lpSum_vars_coefs([(variable, float(factor)) for variable, factor in terms])
        row = total <= amount if sense == "<=" else total == amount
        name = f"{rule}_{len(self.rows)}"
        self.rows[rule, key] = self.problem.addConstraint(row, name)
