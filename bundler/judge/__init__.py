"""A case and the bare facts of a plan go in; every rule or cost that does not hold comes out.

The plan is read afresh from the input tables, without the solver and without the code that
built it.
"""

from bundler.judge.judge import judge, recomputed
from bundler.judge.verdict import Breach, PlanFacts

__all__ = ["Breach", "PlanFacts", "judge", "recomputed"]
