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
    # An identifier and no text, although it may be a word: text counts as space, and the sign before it would close up.
    first = f"<mi>{escape(shown)}</mi>"
    if not below:
        return first
    second = f"<mn>{below}</mn>" if below.isdigit() else f"<mtext>{escape(below)}</mtext>"
    return f"<msub>{first}{second}</msub>"


_QUANTITY = re.compile(
    r"(?P<number>[-−]?[0-9][0-9., \u2009\u202f]*?(?:\s?×\s?10[⁻⁰¹²³⁴-⁹]+)?)(?:[ \u00a0](?P<unit>\S.*)|(?P<degrees>°))?"
)


def quantity_mathml(shown: str) -> str:
    """Return a shown value such as `68.2 V` as MathML, the unit upright; words stay words."""
    match = _QUANTITY.fullmatch(shown)
    if match is None:
        return f"<mi>{escape(shown)}</mi>"
    number = match["number"]
    sign = ""
    if number[0] in "-−":
        sign, number = f"<mo>{MINUS}</mo>", number[1:]
    unit = match["unit"] or match["degrees"]
    if unit is None:
        return f"<mrow>{sign}<mn>{escape(number)}</mn></mrow>"
    # A degree sign stands close to its figure, every other unit a little off.
    space = "" if unit == "°" else '<mspace width="0.17em"/>'
    return f"<mrow>{sign}<mn>{escape(number)}</mn>{space}<mtext>{escape(unit)}</mtext></mrow>"


_EXPONENT = re.compile(r"(?P<figures>[0-9.]+)[eE](?P<power>[-+]?[0-9]+)(?P<rest>.*)")


def _number_text(node: Number) -> str:
    """Return a number as its author wrote it, with a no-break space before its unit and powers of ten set out."""
    if node.text == "pi":
        return "π"
    text = (node.text or f"{node.value:.12g}").replace(" ", NO_BREAK)
    match = _EXPONENT.fullmatch(text)
    if match is None:
        return text
    return f"{match['figures']}{NO_BREAK}{TIMES}{NO_BREAK}10{raised(int(match['power']))}{match['rest']}"


def raised(number: int) -> str:
    """Return a whole number in raised figures.

    >>> raised(-12)
    '⁻¹²'
    """
    return str(number).translate(str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻"))


def _sign_first(node: Expression) -> Expression:
    """Return a product or quotient with the sign of its first factor in front: −(a·b) for (−a)·b."""
    match node:
        case Binary("*" | "/" as operator, left, right):
            first = _sign_first(left)
            if isinstance(first, Negative):
                return Negative(Binary(operator, first.operand, right))
            return Binary(operator, first, right)
        case _:
            return node


def _is_root(node: Expression) -> bool:
    """Tell whether a factor ends with a root."""
    match node:
        case Binary("*", _, right):
            return _is_root(right)
        case Call(function):
            return function == "sqrt"
        case _:
            return False


def _is_whole(node: Expression) -> bool:
    """Tell whether a node is a plain whole number, which stands raised as an exponent."""
    return isinstance(node, Number) and node.text.isdigit()


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

    def __init__(self, numbers: Mapping[str, str], *, in_exponent: bool = False) -> None:
        self._numbers, self._in_exponent = numbers, in_exponent

    def write(self, node: Expression, outer: int) -> str:
        match _sign_first(node):
            case Number() as number:
                return self._number(number, outer)
            case Name(name):
                return self._name(name, outer)
            case Negative(operand):
                # In a row of its own, so that the sign stands close to what it turns.
                return self._bracketed(f"<mrow><mo>{MINUS}</mo>{self.write(operand, 2)}</mrow>", outer > 1)
            case Binary("/", left, right):
                return self._quotient(left, right, outer)
            case Binary("**", left, right):
                power = f"<msup><mrow>{self.write(left, 4)}</mrow><mrow>{self._raised(right)}</mrow></msup>"
                return self._bracketed(power, outer > 3)
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
                return f"<mtext>not{NO_BREAK}</mtext>{self._condition(operands[0])}"
            case Logic(word, operands):
                return f"<mtext>{NO_BREAK}{word}{NO_BREAK}</mtext>".join(self._condition(one) for one in operands)

    def _condition(self, node: Expression) -> str:
        return self._bracketed(self.write(node, 0), isinstance(node, Logic))

    def _quotient(self, left: Expression, right: Expression, outer: int) -> str:
        if self._in_exponent:
            body = f"{self.write(left, 2)}<mo>/</mo>{self.write(right, 3)}"
            return self._bracketed(body, outer > 2)
        # Fractions within fractions keep their size: small figures are hard on old eyes.
        above, below = (f'<mrow displaystyle="true">{self.write(side, 0)}</mrow>' for side in (left, right))
        return self._bracketed(f"<mfrac>{above}{below}</mfrac>", outer > 3)

    def _raised(self, exponent: Expression) -> str:
        """Return an exponent, fractions on one line."""
        return _Writer(self._numbers, in_exponent=True).write(exponent, 0)

    def _number(self, node: Number, outer: int) -> str:
        if node.text == "pi":
            return '<mi mathvariant="normal">π</mi>'
        text = _number_text(node)
        return self._bracketed(quantity_mathml(text), outer > 3 and not text.replace(".", "").isdigit())

    def _name(self, name: str, outer: int) -> str:
        shown = self._numbers.get(name)
        if shown is None:
            return name_mathml(name)
        # A power goes with the whole value, unit and all: (20 V)², not 20 V².
        loose = (shown[0] in "-−" and outer > 0) or (outer > 3 and not shown.replace(".", "").isdigit())
        return self._bracketed(quantity_mathml(shown), loose)

    def _times(self, left: Expression, right: Expression) -> str:
        """Return the sign between two factors: × where a figure stands to its right, a thin space elsewhere."""
        if self._begins_with_figure(right) or (self._ends_with_figure(left) and not isinstance(right, Name | Call)):
            return f"<mo>{TIMES}</mo>"
        if isinstance(right, Name) and right.name in self._numbers:
            return f"<mo>{TIMES}</mo>"
        if self._numbers and (self._ends_with_figure(left) or self._begins_with_figure(right)):
            return f"<mo>{TIMES}</mo>"
        # Behind a root Chromium leaves room enough of its own.
        space = "" if _is_root(left) else '<mspace width="0.12em"/>'
        return f"<mo>{INVISIBLE_TIMES}</mo>{space}"

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
            return self._bracketed(body, outer > 2)
        if function == "log10":
            return f"{self._log10()}{self._argument(arguments)}"
        if function == "exp":
            return f'<msup><mi mathvariant="normal">e</mi><mrow>{self._raised(arguments[0])}</mrow></msup>'
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
    >>> plain(read_expression("V1**2/parallel(R1, R2)"), {"V1": "20 V", "R1": "1 kΩ", "R2": "2 kΩ"})
    '(20 V)² / (1 kΩ ∥ 2 kΩ)'
    """
    return _PlainWriter(numbers or {}).write(expression, 0)


class _PlainWriter:
    """Writes a tree as a line of text; the strength of the surrounding operator decides on brackets."""

    def __init__(self, numbers: Mapping[str, str]) -> None:
        self._numbers = numbers
        self._times, self._over = (f" {TIMES} ", " / ") if numbers else ("·", "/")

    def write(self, node: Expression, outer: int) -> str:
        match _sign_first(node):
            case Number() as number:
                text = _number_text(number)
                return self._bracketed(text, outer > 3 and not text.replace(".", "").isalnum())
            case Name(name):
                return self._name(name, outer)
            case Negative(operand):
                return self._bracketed(f"{MINUS}{self.write(operand, 2)}", outer > 1)
            case Binary("**", left, right):
                return self._bracketed(f"{self.write(left, 4)}{self._exponent(right)}", outer > 3)
            case Binary("*", left, right):
                # (a/b)·c: on one line a/b·c might be read as a/(b·c).
                fraction = isinstance(left, Binary) and left.operator == "/"
                return self._bracketed(
                    f"{self.write(left, 3 if fraction else 2)}{self._times}{self.write(right, 2)}", outer > 2
                )
            case Binary("/", left, right):
                return self._bracketed(f"{self.write(left, 2)}{self._over}{self.write(right, 3)}", outer > 2)
            case Binary(operator, left, right):
                sign = MINUS if operator == "-" else "+"
                body = f"{self.write(left, 1)} {sign} {self.write(right, 2 if operator == '-' else 1)}"
                return self._bracketed(body, outer > 1)
            case Call(function, arguments):
                return self._call(function, arguments, outer)
            case Comparison(operators, operands):
                return self._joined([f" {_OPERATORS[operator]} " for operator in operators], operands)
            case Logic("not", operands):
                return f"not {self._condition(operands[0])}"
            case Logic(word, operands):
                return f" {word} ".join(self._condition(operand) for operand in operands)

    def _condition(self, node: Expression) -> str:
        return self._bracketed(self.write(node, 0), isinstance(node, Logic))

    def _name(self, name: str, outer: int) -> str:
        shown = self._numbers.get(name)
        if shown is None:
            base = split_name(name)[0]
            return f"{GREEK[base]}{name[len(base) :]}" if base in GREEK else name
        loose = (shown[0] in "-−" and outer > 0) or (outer > 3 and not shown.replace(".", "").isalnum())
        return self._bracketed(shown, loose)

    def _exponent(self, node: Expression) -> str:
        if _is_whole(node):
            return raised(int(node.text))  # type: ignore[union-attr]  # a number, see above
        if isinstance(node, Negative) and _is_whole(node.operand):
            return raised(-int(node.operand.text))  # type: ignore[union-attr]  # as above
        return f"^{self.write(node, 4)}"

    def _call(self, function: str, arguments: tuple[Expression, ...], outer: int) -> str:
        listed = ", ".join(self.write(argument, 0) for argument in arguments)
        match function:
            case "sqrt":
                single = isinstance(arguments[0], Name | Number) and " " not in listed and NO_BREAK not in listed
                return f"√{listed}" if single else f"√({listed})"
            case "abs":
                return f"|{listed}|"
            case "parallel":
                return self._bracketed(" ∥ ".join(self.write(argument, 3) for argument in arguments), outer > 0)
            case "db":
                return self._bracketed(f"20{self._times}log10({listed})", outer > 2)
            case "log10" | "exp":
                return f"{function}({listed})"
            case _:
                return f"{_FUNCTION_NAMES[function]}({listed})"

    def _joined(self, signs: list[str], operands: tuple[Expression, ...]) -> str:
        text = self.write(operands[0], 0)
        for sign, operand in zip(signs, operands[1:], strict=True):
            text += sign + self.write(operand, 0)
        return text

    @staticmethod
    def _bracketed(text: str, needed: bool) -> str:
        return f"({text})" if needed else text
