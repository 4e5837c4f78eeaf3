"""Expressions: the arithmetic of formulas, conditions and code spans, read through a whitelist.

One small tree (`tree`) is read from text (`reading`), evaluated (`evaluation`), checked for its dimensions
(`dimensions`), turned into source code for arrays of draws (`evaluation.as_source`) and into a quotient of polynomials
for proofs (`algebra`). Text is never handed to `eval` or to a parser that evaluates.
"""

from tutor.circuits.expressions.derivatives import derivative
from tutor.circuits.expressions.dimensions import dimension_of
from tutor.circuits.expressions.evaluation import evaluate
from tutor.circuits.expressions.reading import read_expression
from tutor.circuits.expressions.tree import (
    Binary,
    Call,
    Comparison,
    Expression,
    Logic,
    Name,
    Negative,
    Number,
    names_in,
    substitute,
)

__all__ = [
    "Binary",
    "Call",
    "Comparison",
    "Expression",
    "Logic",
    "Name",
    "Negative",
    "Number",
    "derivative",
    "dimension_of",
    "evaluate",
    "names_in",
    "read_expression",
    "substitute",
]
