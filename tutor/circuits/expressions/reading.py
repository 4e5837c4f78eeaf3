"""Reading expressions: Python's arithmetic through a whitelist, with bounds.

The grammar, loosest first (as in Python, so that nobody has to learn another)::

    condition   or: and: not: comparison        (and, or, not join conditions; all else joins numbers)
    comparison  sum (< <= > >= == != sum)*
    sum         product ((+ | -) product)*
    product     signed ((* | /) signed)*
    signed      (+ | -)* power
    power       atom (** signed)?
    atom        number unit? | name | function(…, …) | pi | ( condition )

A hand-written reader because of the units: `20 V` is no Python. It never evaluates text, refuses what is too long, too
deep or too large before working on it, and says at which character it stopped.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

from tutor.circuits.errors import ExpressionError, NoValueError, did_you_mean, shortened
from tutor.circuits.expressions.evaluation import FUNCTIONS, describe, evaluate
from tutor.circuits.expressions.tree import (
    Binary,
    Call,
    Comparison,
    Expression,
    Logic,
    Name,
    Negative,
    Number,
    children,
    walk,
)
from tutor.quantities import DEGREE, RATIO, UnitError, WrittenUnit, read_unit

LONGEST = 2000  # characters
DEEPEST = 50  # brackets within brackets, and signs upon signs
MOST_NODES = 600
MOST_FIGURES = 30  # of one number
LARGEST_EXPONENT = 64

WORDS = ("and", "or", "not")
CONSTANTS = {"pi": math.pi}
TYPED_FOR = {"^": "**", "−": "-", "–": "-", "×": "*", "·": "*", "÷": "/", "²": "**2", "³": "**3", "&": "and", "|": "or"}
"""What people type or paste for an operator, and what it is here."""

_Rule: TypeAlias = Callable[[], Expression]
_ANGLES = ("sin", "cos", "tan")

_TOKEN = re.compile(
    r"\s*(?:(?P<number>(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,4})?)"
    r"|(?P<name>[A-Za-z_][A-Za-z0-9_]*)"
    r"|(?P<operator>\*\*|<=|>=|==|!=|[-+*/<>(),])"
    r"|(?P<end>$))"
)
_UNIT_AFTER_NUMBER = re.compile(r"[ \u00a0\u202f]?(?P<unit>[A-Za-zµμΩΩ°%]+)")


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str
    position: int
    number: Number | None = None


def read_expression(text: str) -> Expression:
    """Read text into an expression tree.

    Args:
        text: For example `V1*R2/(R1 + R2)` or `0.1 < R2/R1 and v_tap > 20 V`.

    Returns:
        The tree, as written.

    Raises:
        ExpressionError: For anything outside the grammar, longer than 2000 characters or 600 pieces, nested deeper than
            50, with a constant exponent beyond ±64 or a constant part that has no finite value; says where and why.

    >>> read_expression("R1 + 2").right
    Number(value=2.0, unit=Unit(symbol='', dimension=..., kind=''), text='2')
    """
    if len(text) > LONGEST:
        raise ExpressionError(text[:61], f"it has {len(text)} characters; {LONGEST} are the most that is read")
    reader = _Reader(text, _tokens(text))
    expression = reader.condition()
    reader.expect_end()
    _refuse_endless_constants(text, expression)
    return expression


def _tokens(text: str) -> list[_Token]:
    tokens: list[_Token] = []
    position = 0
    while True:
        match = _TOKEN.match(text, position)
        if match is None:
            at = position + len(text[position:]) - len(text[position:].lstrip())
            hint = f"; write {TYPED_FOR[text[at]]}" if text[at] in TYPED_FOR else ""
            raise ExpressionError(text, f"found {text[at]!r}, which has no meaning here{hint}", at)
        kind = match.lastgroup or "end"
        start, position = match.start(kind), match.end()
        if kind == "number":
            number, position = _number(text, match["number"], start, position)
            tokens.append(_Token(kind, match["number"], start, number))
        else:
            tokens.append(_Token(kind, match[kind], start))
        if len(tokens) > MOST_NODES:
            raise ExpressionError(text, f"it has more than {MOST_NODES} pieces", start)
        if kind == "end":
            return tokens


def _number(text: str, digits: str, start: int, position: int) -> tuple[Number, int]:
    """Read a number and the unit that may follow it; return both and where reading goes on."""
    if len(digits) > MOST_FIGURES:
        raise ExpressionError(text, f"a number of {len(digits)} figures; {MOST_FIGURES} are the most", start)
    value = float(digits)
    if not math.isfinite(value):
        raise ExpressionError(text, f"{digits} is too large a number", start)
    unit_match = _UNIT_AFTER_NUMBER.match(text, position)
    if unit_match is None or unit_match["unit"] in WORDS:
        return Number(value, RATIO, digits), position
    try:
        written = _unit(unit_match["unit"])
    except UnitError as error:
        reason = f"found {unit_match['unit']!r} after {digits}: it is no unit ({error}); write * to multiply"
        raise ExpressionError(text, reason, unit_match.start("unit")) from error
    value *= written.factor
    if not math.isfinite(value):
        raise ExpressionError(text, f"{digits} {unit_match['unit']} is too large", start)
    return Number(value, written.unit, f"{digits} {unit_match['unit']}"), unit_match.end()


def _unit(text: str) -> WrittenUnit:
    """Read a unit; a small letter forgiven elsewhere is rather a name here: `2a` means 2*a and not two amperes."""
    written = read_unit(text)
    if len(text) == 1 and written.unit.symbol == text.upper() != text:
        raise UnitError(text, (written.unit.symbol,))
    return written


def _refuse_endless_constants(text: str, expression: Expression) -> None:
    """Refuse a tree whose constant branches have no finite value, and exponents beyond bounds."""
    nodes = list(walk(expression))
    constant: dict[int, bool] = {}
    for node in reversed(nodes):  # operands before what they are operands of
        constant[id(node)] = not isinstance(node, Name) and all(constant[id(child)] for child in children(node))
    for node in nodes:
        if isinstance(node, Binary) and node.operator == "**" and constant[id(node.right)]:
            exponent = _constant(text, node.right)
            if abs(exponent) > LARGEST_EXPONENT:
                raise ExpressionError(text, f"the exponent {exponent:g} is beyond ±{LARGEST_EXPONENT}")
    # The outermost constant branches; what lies within them is worked out with them.
    waiting = [expression]
    while waiting:
        node = waiting.pop()
        if constant[id(node)]:
            _constant(text, node)
        else:
            waiting.extend(children(node))


def _constant(text: str, expression: Expression) -> float:
    try:
        return float(evaluate(expression, {}))
    except NoValueError as error:
        raise ExpressionError(text, f"a constant part of it has no finite value ({error.reason})") from error


class _Reader:
    """Recursive descent over the tokens; one method a line of the grammar."""

    def __init__(self, text: str, tokens: list[_Token]) -> None:
        self._text = text
        self._tokens = tokens
        self._at = 0
        self._depth = 0

    # -- helpers -----------------------------------------------------------------------------------------------------
    @property
    def _now(self) -> _Token:
        return self._tokens[self._at]

    def _fail(self, reason: str, token: _Token | None = None) -> ExpressionError:
        return ExpressionError(self._text, reason, (token or self._now).position)

    def _take(self, *texts: str) -> _Token | None:
        token = self._now
        if token.kind in ("operator", "name") and token.text in texts:
            self._at += 1
            return token
        return None

    def _deeper(self) -> None:
        self._depth += 1
        if self._depth > DEEPEST:
            raise self._fail(f"it is nested deeper than {DEEPEST}")

    def expect_end(self) -> None:
        if self._now.kind != "end":
            raise self._fail(f"found {shortened(self._now.text)!r} where an operator or the end was expected")

    # Scalars would forgive `R1 and R2` and `(a < b) + 1`; arrays of draws read them otherwise, or not at all.
    def _want_conditions(self, token: _Token, *operands: Expression) -> None:
        for operand in operands:
            if not isinstance(operand, Comparison | Logic):
                found = shortened(describe(operand))
                raise self._fail(f"{token.text} joins conditions such as `R1 < R2`, and {found} is a number", token)

    def _want_numbers(self, token: _Token, *operands: Expression) -> None:
        for operand in operands:
            if isinstance(operand, Comparison | Logic):
                found = shortened(describe(operand))
                raise self._fail(f"{token.text} wants numbers, and {found} is a condition", token)

    # -- the grammar -------------------------------------------------------------------------------------------------
    def condition(self) -> Expression:
        return self._logic("or", lambda: self._logic("and", self._negated))

    def _logic(self, word: str, operand: _Rule) -> Expression:
        operands = [operand()]
        while token := self._take(word):
            operands.append(operand())
            self._want_conditions(token, *operands[-2:])
        return operands[0] if len(operands) == 1 else Logic(word, tuple(operands))

    def _negated(self) -> Expression:
        token = self._take("not")
        if token is None:
            return self._comparison()
        self._deeper()
        inner = self._negated()
        self._depth -= 1
        self._want_conditions(token, inner)
        return Logic("not", (inner,))

    def _comparison(self) -> Expression:
        operands, operators = [self._sum()], []
        while token := self._take("<", "<=", ">", ">=", "==", "!="):
            operators.append(token.text)
            operands.append(self._sum())
            self._want_numbers(token, *operands[-2:])
        return Comparison(tuple(operators), tuple(operands)) if operators else operands[0]

    def _sum(self) -> Expression:
        return self._joined(("+", "-"), self._product)

    def _product(self) -> Expression:
        return self._joined(("*", "/"), self._signed)

    def _joined(self, operators: tuple[str, str], operand: _Rule) -> Expression:
        left = operand()
        while token := self._take(*operators):
            right = operand()
            self._want_numbers(token, left, right)
            left = Binary(token.text, left, right)
        return left

    def _signed(self) -> Expression:
        token = self._take("+", "-")
        if token is None:
            return self._power()
        self._deeper()
        operand = self._signed()
        self._depth -= 1
        self._want_numbers(token, operand)
        return Negative(operand) if token.text == "-" else operand

    def _power(self) -> Expression:
        base = self._atom()
        token = self._take("**")
        if token is None:
            return base
        self._deeper()
        exponent = self._signed()
        self._depth -= 1
        self._want_numbers(token, base, exponent)
        return Binary("**", base, exponent)

    def _atom(self) -> Expression:
        token = self._now
        if token.kind == "end":
            raise self._fail("it ends where a value was expected")
        self._at += 1
        if token.number is not None:
            return token.number
        if token.text == "(":
            self._deeper()
            inner = self.condition()
            if not self._take(")"):
                raise self._fail("a bracket is not closed")
            self._depth -= 1
            return inner
        if token.kind == "name" and token.text not in WORDS:
            return self._called(token) if self._take("(") else self._named(token)
        raise self._fail(f"found {shortened(token.text)!r} where a value was expected", token)

    def _named(self, token: _Token) -> Expression:
        if token.text in CONSTANTS:
            return Number(CONSTANTS[token.text], RATIO, token.text)
        if token.text in FUNCTIONS:
            raise self._fail(f"{token.text} is a function and wants its argument in brackets", token)
        return Name(token.text)

    def _called(self, token: _Token) -> Expression:
        function = FUNCTIONS.get(token.text)
        if function is None:
            known = ", ".join(FUNCTIONS)
            near = did_you_mean(token.text, FUNCTIONS)
            raise self._fail(f"there is no function {shortened(token.text)!r}{near}; there are {known}", token)
        self._deeper()
        arguments = [self._sum()]
        while self._take(","):
            arguments.append(self._sum())
        if not self._take(")"):
            raise self._fail(f"the bracket of {token.text} is not closed")
        self._depth -= 1
        if not function.fewest <= len(arguments) <= function.most:
            wanted = "one argument" if function.most == 1 else "two arguments or more"
            raise self._fail(f"{token.text} wants {wanted}, found {len(arguments)}", token)
        self._want_numbers(token, *arguments)
        if token.text in _ANGLES and any(isinstance(n, Number) and n.unit == DEGREE for n in walk(arguments[0])):
            raise self._fail(f"{token.text} wants radians; write 30*pi/180 for 30°", token)
        return Call(token.text, tuple(arguments))
