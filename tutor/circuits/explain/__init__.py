"""Worked solutions found by reasoning: from a circuit and an ask to the steps that a good technician would take.

`Explainer.explain(Wanted(…))` returns an `Explanation`. Inside: `setting` lays the circuit out, `reduction` combines
series and parallel, `rules` (with `valves` and `thevenin`) derive facts one step at a time, `ports` looks into two
nodes, `loops` and `fallbacks` (node equations) serve where rules do not reach, `ledger` keeps the facts and tells
them, and `truth` is the full solution that every step is held against. Nothing here loads sympy or NumPy.
"""

from tutor.circuits.explain.errors import NoExplanationError
from tutor.circuits.explain.explainer import Explainer
from tutor.circuits.explain.step import Method, Step
from tutor.circuits.explain.wanted import Explanation, Wanted

__all__ = ["Explainer", "Explanation", "Method", "NoExplanationError", "Step", "Wanted"]
