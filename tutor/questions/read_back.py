"""Reading an answer back while it is typed: what it is read as, before anything is marked.

The same reader as marking, and nothing of the question but the unit printed beside the field: no key can show through.
"""

from __future__ import annotations

from tutor.quantities import QuantityFormatError, WrittenUnit, read_quantity, show_exact, show_in
from tutor.questions.unit_slips import in_kind_of


def read_back(typed: str, printed: WrittenUnit) -> str | None:
    """Return a typed value as it would be read, for people; None where it cannot be read.

    Args:
        typed: As typed.
        printed: The unit printed beside the field; one without text where none is.

    >>> from tutor.quantities import read_unit
    >>> read_back("3k3", read_unit("Ω")).split()
    ['3.3', 'kΩ']
    >>> read_back("about so", read_unit("V")) is None
    True
    """
    try:
        quantity = in_kind_of(read_quantity(typed, printed), printed.unit).quantity
    except QuantityFormatError:
        return None
    value = float(f"{quantity.magnitude:.6g}")
    # A share stays in per cent where that is printed, as the mark will say it.
    same_kind = quantity.unit.dimension == printed.unit.dimension and quantity.unit.kind in ("", printed.unit.kind)
    return show_in(value, printed, 6) if printed.text == "%" and same_kind else show_exact(value, quantity.unit)
