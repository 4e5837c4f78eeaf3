from __future__ import annotations

import pytest

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import dimension_of, read_expression
from tutor.quantities import AMPERE, DIMENSIONLESS, FARAD, OHM, RATIO, SECOND, VOLT, WATT, Dimension

KNOWN = {
    "V1": VOLT.dimension, "I1": AMPERE.dimension, "R1": OHM.dimension, "R2": OHM.dimension, "C1": FARAD.dimension,
    "k": RATIO.dimension,
}  # fmt: skip

RIGHT = [
    ("V1", VOLT.dimension),
    ("V1*R2/(R1 + R2)", VOLT.dimension),
    ("V1/R1", AMPERE.dimension),
    ("V1**2/R1", WATT.dimension),
    ("R1*C1", SECOND.dimension),
    ("sqrt(V1*V1)", VOLT.dimension),
    ("V1**0.5*V1**0.5", VOLT.dimension),
    ("V1**(1/3)*V1**(2/3)", VOLT.dimension),
    ("parallel(R1, R2, 10 kΩ)", OHM.dimension),
    ("max(V1, 20 V)", VOLT.dimension),
    ("abs(-V1)", VOLT.dimension),
    ("k**k", DIMENSIONLESS),
    ("exp(-1 ms/(R1*C1))", DIMENSIONLESS),
    ("db(R1/R2)", DIMENSIONLESS),
    ("atan(2*pi*50 Hz*R1*C1)", DIMENSIONLESS),
    ("0.1 < R2/R1 and V1 > 20 V", DIMENSIONLESS),
    ("not V1 == V1", DIMENSIONLESS),
    (" + ".join(["V1"] * 300), VOLT.dimension),
]


@pytest.mark.parametrize(("text", "dimension"), RIGHT)
def test_an_expression_has_the_dimension_of_its_arithmetic(text: str, dimension: Dimension) -> None:
    assert dimension_of(read_expression(text), KNOWN) == dimension


WRONG = [
    ("V1 + R1", "V1 + R1", "V1 is a voltage and R1 a resistance: they can be neither added nor compared"),
    ("R1 - R2 + V1", "R1 - R2 + V1",
     "R1 - R2 is a resistance and V1 a voltage: they can be neither added nor compared"),
    ("1 + k*V1", "1 + k*V1", "1 is a plain ratio and k*V1 a voltage: they can be neither added nor compared"),
    ("V1 > 20", "V1 > 20", "V1 is a voltage and 20 a plain ratio: they can be neither added nor compared"),
    ("0 < k < V1", "0 < k < V1", "0 is a plain ratio and V1 a voltage: they can be neither added nor compared"),
    ("min(V1, I1)", "min(V1, I1)", "V1 is a voltage and I1 a current: they can be neither added nor compared"),
    ("parallel(R1, 2)", "parallel(R1, 2)",
     "R1 is a resistance and 2 a plain ratio: they can be neither added nor compared"),
    ("exp(V1)", "exp(V1)", "exp wants a plain number, and V1 is a voltage"),
    ("log10(R1*C1)", "log10(R1*C1)", "log10 wants a plain number, and R1*C1 is a time"),
    ("db(V1)", "db(V1)", "db wants a plain number, and V1 is a voltage"),
    ("k**V1", "k**V1", "the exponent V1 must be a plain number"),
    ("V1**k", "V1**k", "a voltage can only be raised to a fixed power"),
    ("R3", "R3", "it has no unit here; known are V1, I1, R1, R2, C1, k"),
    ("sqrt(R3)", "R3", "it has no unit here; known are V1, I1, R1, R2, C1, k"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "piece", "reason"), WRONG)
def test_unlike_quantities_are_not_mixed(text: str, piece: str, reason: str) -> None:
    with pytest.raises(ExpressionError) as caught:
        dimension_of(read_expression(text), KNOWN)
    assert str(caught.value) == f"cannot read {piece!r} as an expression: {reason}"
