"""Formulas as MathML and as plain text, from expression trees.

Subscripts as the trade writes them (R₁, r_a, g_m, µ), units upright, a true minus, no script needed. The tree is
shown as its author wrote it; with `numbers` every name is replaced by its value, so that a step reads first in
symbols and then in the member's own figures.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape

from tutor.circuits.expressions import Binary, Call, Comparison, Expression, Logic, Name, Negative, Number
from tutor.circuits.expressions.evaluation import describe

MINUS = "\u2212"
TIMES = "\u00d7"
INVISIBLE_TIMES = "\u2062"
NO_BREAK = "\u00a0"

GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "eta": "η", "theta": "θ", "lambda": "λ",
    "mu": "µ", "rho": "ρ", "sigma": "σ", "tau": "τ", "phi": "φ", "omega": "ω", "Delta": "Δ", "Omega": "Ω", "pi": "π",
}  # fmt: skip
_TRADE_SYMBOLS = re.compile(r"(?P<base>[A-Za-z])(?P<rest>[A-Za-z]{0,3}[0-9]{0,3})")
_PAIRS = re.compile(r"(?P<base>VR|LS|TR|HT|SW|FS|PIV)(?P<rest>[0-9]*)")  # two letters that stay together
_WORD = re.compile(r"[a-z]{4,}")
_FUNCTION_NAMES = {"log10": "log", "log": "ln", "atan": "arctan", "sin": "sin", "cos": "cos", "tan": "tan",
                   "min": "min", "max": "max", "exp": "exp"}  # fmt: skip
_OPERATORS = {"<=": "≤", ">=": "≥", "!=": "≠", "==": "=", "<": "<", ">": ">"}
_STRENGTH = {"+": 1, "-": 1, "*": 2, "/": 2, "**": 4}


def split_name(name: str) -> tuple[str, str]:
    """Return the base and the subscript of a name.

    >>> split_name("R1"), split_name("v_tap"), split_name("ra"), split_name("VR1"), split_name("gain")
    (('R', '1'), ('v', 'tap'), ('r', 'a'), ('VR', '1'), ('gain', ''))
    """
    base, _, below = name.partition("_")
    below = below.replace("_", " ")
    if base in GREEK or _WORD.fullmatch(base):
        return base, below
    greek = next((g for g in GREEK if base.startswith(g) and base[len(g) :].isdigit()), None)
    if greek:
        return greek, (base[len(greek) :] + " " + below).strip()
    pair = _PAIRS.fullmatch(base)
    if pair:
        return pair["base"], (pair["rest"] + " " + below).strip()
    match = _TRADE_SYMBOLS.fullmatch(base)
    if match is None:
        return base, below
    return match["base"], (match["rest"] + " " + below).strip()


def name_mathml(name: str) -> str:
    """Return a name as MathML."""
    base, below = split_name(name)
    shown = GREEK.get(base, base)
    upright = ' mathvariant="normal"' if len(shown) == 1 and base in ("pi",) else ""
    first = f"<mi{upright}>{escape(shown)}</mi>" if len(shown) == 1 else f"<mtext>{escape(shown)}</mtext>"
    if not below:
        return first
    second = f"<mn>{below}</mn>" if below.isdigit() else f"<mtext>{escape(below)}</mtext>"
    return f"<msub>{first}{second}</msub>"


_QUANTITY = re.compile(
    r"(?P<number>[-−]?[0-9][0-9., \u2009\u202f]*?(?:\s?×\s?10[⁻⁰¹²³⁴-⁹]+)?)(?:[ \u00a0](?P<unit>\S.*))?"
)


def quantity_mathml(shown: str) -> str:
    """Return a shown value such as `68.2 V` as MathML, the unit upright; words stay words."""
    match = _QUANTITY.fullmatch(shown)
    if match is None:
        return f"<mtext>{escape(shown)}</mtext>"
    number = match["number"]
    sign = ""
    if number[0] in "-−":
        sign, number = f"<mo>{MINUS}</mo>", number[1:]
    if match["unit"] is None:
        return f"<mrow>{sign}<mn>{escape(number)}</mn></mrow>"
    # A degree sign stands close to its figure, every other unit a little off.
    space = "" if match["unit"] == "°" else '<mspace width="0.17em"/>'
    return f"<mrow>{sign}<mn>{escape(number)}</mn>{space}<mtext>{escape(match['unit'])}</mtext></mrow>"


def mathml(expression: Expression, numbers: Mapping[str, str] | None = None) -> str:
    """Return an expression as MathML, without the surrounding `<math>`.

    Args:
        expression: The tree.
        numbers: Shown values (`220 kΩ`) to put in the place of names, or None for symbols.
    """
    return _Writer(numbers or {}).write(expression, 0)


def math_element(inner: str, alternative: str = "") -> str:
    """Return a `<math>` element around MathML, with a text for those who need one."""
    described = f' alttext="{escape(alternative)}"' if alternative else ""
    return f'<math displaystyle="true"{described}><mrow>{inner}</mrow></math>'


class _Writer:
    """Writes a tree as MathML; the strength of the surrounding operator decides on brackets."""

    def __init__(self, numbers: Mapping[str, str]) -> None:
        self._numbers = numbers

    def write(self, node: Expression, outer: int) -> str:
        match node:
            case Number():
                return self._number(node)
            case Name(name):
                return self._name(name, outer)
            case Negative(operand):
                return self._bracketed(f"<mo>{MINUS}</mo>{self.write(operand, 2)}", outer > 1)
            case Binary("/", left, right):
                above, below = self.write(left, 0), self.write(right, 0)
                fraction = f"<mfrac><mrow>{above}</mrow><mrow>{below}</mrow></mfrac>"
                return self._bracketed(fraction, outer > 3)
            case Binary("**", left, right):
                return f"<msup><mrow>{self.write(left, 4)}</mrow><mrow>{self.write(right, 0)}</mrow></msup>"
            case Binary("*", left, right):
                product = f"{self.write(left, 2)}{self._times(left, right)}{self.write(right, 2)}"
                return self._bracketed(product, outer > 2)
            case Binary(operator, left, right):
                sign = MINUS if operator == "-" else "+"
                body = f"{self.write(left, 1)}<mo>{sign}</mo>{self.write(right, 2 if operator == '-' else 1)}"
                return self._bracketed(body, outer > 1)
            case Call(function, arguments):
                return self._call(function, arguments, outer)
            case Comparison(operators, operands):
                return self._chain([f"<mo>{escape(_OPERATORS[o])}</mo>" for o in operators], operands)
            case Logic("not", operands):
                return f"<mtext>not{NO_BREAK}</mtext>{self.write(operands[0], 2)}"
            case Logic(word, operands):
                return self._chain([f"<mtext>{NO_BREAK}{word}{NO_BREAK}</mtext>"] * (len(operands) - 1), operands)

    def _number(self, node: Number) -> str:
        if node.text == "pi":
            return '<mi mathvariant="normal">π</mi>'
        return quantity_mathml(node.text.replace(" ", NO_BREAK) if node.text else f"{node.value:g}")

    def _name(self, name: str, outer: int) -> str:
        shown = self._numbers.get(name)
        if shown is None:
            return name_mathml(name)
        return self._bracketed(quantity_mathml(shown), shown[0] in "-−" and outer > 0)

    def _times(self, left: Expression, right: Expression) -> str:
        """Return the sign between two factors: × where a figure stands to its right, a thin space elsewhere."""
        if self._begins_with_figure(right) or (self._ends_with_figure(left) and not isinstance(right, Name | Call)):
            return f"<mo>{TIMES}</mo>"
        if isinstance(right, Name) and right.name in self._numbers:
            return f"<mo>{TIMES}</mo>"
        if self._numbers and (self._ends_with_figure(left) or self._begins_with_figure(right)):
            return f"<mo>{TIMES}</mo>"
        return f'<mo>{INVISIBLE_TIMES}</mo><mspace width="0.12em"/>'

    def _begins_with_figure(self, node: Expression) -> bool:
        match node:
            case Number():
                return node.text != "pi"
            case Name(name):
                return name in self._numbers
            case Binary("*" | "**", left, _):
                return self._begins_with_figure(left)
            case _:
                return False

    def _ends_with_figure(self, node: Expression) -> bool:
        match node:
            case Name(name):
                return name in self._numbers
            case Binary("*", _, right):
                return self._ends_with_figure(right)
            case _:
                return False

    def _call(self, function: str, arguments: tuple[Expression, ...], outer: int) -> str:
        if function == "sqrt":
            return f"<msqrt><mrow>{self.write(arguments[0], 0)}</mrow></msqrt>"
        if function == "abs":
            return f'<mrow><mo fence="true">|</mo>{self.write(arguments[0], 0)}<mo fence="true">|</mo></mrow>'
        if function == "parallel":
            body = "<mo>∥</mo>".join(self.write(a, 3) for a in arguments)
            return self._bracketed(body, outer > 0)
        if function == "db":
            body = f"<mn>20</mn>{self._log10()}{self._argument(arguments)}"
            return self._bracketed(body, outer > 1)
        if function == "log10":
            return f"{self._log10()}{self._argument(arguments)}"
        if function == "exp":
            return f'<msup><mi mathvariant="normal">e</mi><mrow>{self.write(arguments[0], 0)}</mrow></msup>'
        return f"<mi>{_FUNCTION_NAMES[function]}</mi>{self._argument(arguments)}"

    @staticmethod
    def _log10() -> str:
        return '<mspace width="0.17em"/><msub><mi>log</mi><mn>10</mn></msub>'

    def _argument(self, arguments: tuple[Expression, ...]) -> str:
        inner = "<mo>,</mo>".join(self.write(a, 0) for a in arguments)
        return f"<mo>(</mo>{inner}<mo>)</mo>"

    def _chain(self, signs: list[str], operands: tuple[Expression, ...]) -> str:
        text = self.write(operands[0], 1)
        for sign, operand in zip(signs, operands[1:], strict=True):
            text += sign + self.write(operand, 1)
        return text

    @staticmethod
    def _bracketed(inner: str, needed: bool) -> str:
        return f"<mrow><mo>(</mo>{inner}<mo>)</mo></mrow>" if needed else inner


# -- plain text, for the terminal, mail and screen readers -----------------------------------------------------------
def plain(expression: Expression, numbers: Mapping[str, str] | None = None) -> str:
    """Return an expression as a line of text, names replaced by shown values where given.

    >>> from tutor.circuits.expressions import read_expression
    >>> plain(read_expression("V1*R2/(R1 + R2)"))
    'V1·R2/(R1 + R2)'
    """
    text = describe(expression)
    pieces = re.split(r"([A-Za-z_][A-Za-z0-9_]*)", text)
    known = numbers or {}
    shown = "".join(known.get(piece, GREEK.get(piece, piece)) for piece in pieces)
    power = re.sub(r"\*\*(\d)\b", lambda match: "⁰¹²³⁴⁵⁶⁷⁸⁹"[int(match[1])], shown)
    return power.replace("**", "^").replace("*", f" {TIMES} " if known else "·").replace("-", MINUS)
