"""Programs: the solution of posed problems as the source of one Python function.

The same source runs on floats, on complex numbers and on NumPy arrays; it needs neither sympy nor NumPy to be loaded.
The variables of parts and values are spelt `x_R1`; temporaries are `t1`, `t2` …
"""

from __future__ import annotations

import cmath
import math
import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tutor.circuits.analysis import S
from tutor.circuits.elimination import solve_on_tape
from tutor.circuits.errors import CircuitError
from tutor.circuits.expressions import Expression
from tutor.circuits.expressions.evaluation import array_namespace, as_source, scalar_namespace
from tutor.circuits.problem import Problem
from tutor.circuits.tape import Tape
from tutor.quantities import Quantity

LONGEST_FOLD = 120
"""Characters of a step up to which it is put into another: brackets within brackets stay readable to Python."""
_TEMPORARY = re.compile(r"\bt[0-9]+\b")
_VARIABLE = re.compile(r"\b(?:x_[A-Za-z0-9_]+|t[0-9]+|s[0-9]+)\b")


def spell(name: str) -> str:
    """Return the variable of a symbol or value."""
    return f"x_{name}"


@dataclass(slots=True)
class ProgramWriter:
    """Collects values, definitions and solved problems, and writes them as one function.

    Attributes:
        inputs: Names of the values that the function is given.
    """

    inputs: tuple[str, ...]
    _lines: list[tuple[str, str]] = field(default_factory=list)  # (variable, right-hand side), in order
    _tape: Tape = field(default_factory=lambda: Tape(spell))
    _outputs: dict[str, str] = field(default_factory=dict)
    _frequencies: dict[str, str] = field(default_factory=dict)
    _latest: dict[str, str] = field(default_factory=dict)  # variable → its latest right-hand side

    def define(self, name: str, expression: Expression) -> None:
        """Let a name stand for an expression over names that are already known."""
        self.define_source(name, as_source(expression, spell))

    def define_source(self, name: str, source: str) -> None:
        """Let a name stand for source text that is already spelt."""
        self._line(spell(name), source)

    def _line(self, variable: str, source: str) -> None:
        if source != variable and self._latest.get(variable) != source:
            self._lines.append((variable, source))
            self._latest[variable] = source

    def _bind(self, symbol: str, source: str) -> None:
        variable = spell(symbol)
        if source != variable and self._latest.get(variable, source) != source:
            raise CircuitError(
                f"{symbol} stands for a figure of the circuit; give what is called {symbol} another name"
            )
        self._line(variable, source)

    def bind(self, problem: Problem) -> None:
        """Define the symbols of a problem's network from their bound values, once each.

        Raises:
            CircuitError: If the name of a symbol has been given to something else.
        """
        for symbol, (_, parameter) in problem.network.parameters().items():
            value = parameter.value
            if value is not None:
                source = repr(value.magnitude) if isinstance(value, Quantity) else as_source(value, spell)
                self._bind(symbol, source)
        for definition in problem.network.definitions():
            source = as_source(definition.real, spell)
            if definition.imaginary is not None:
                source += f" + 1j*{as_source(definition.imaginary, spell)}"
            self._bind(definition.symbol, source)

    def define_solution(self, name: str, problem: Problem, *, frequency: str = "", take: str = "") -> None:
        """Let a name stand for the solution of a problem.

        Args:
            name: The name.
            problem: The posed problem; its symbols must be bound or among the inputs.
            frequency: Source text of the frequency [Hz]; at ac only.
            take: What of a phasor is wanted, one of `asked.TAKES`; "" leaves a phasor as it is.
        """
        self._tape.spell = self._speller(frequency)
        recorded = len(self._tape.lines)
        forms = [form for pair in problem.products for form in pair]
        cells = solve_on_tape(self._tape, problem.equations, problem.side, forms)
        self._lines.extend(self._tape.lines[recorded:])
        if problem.is_power:
            pairs = zip(cells[::2], cells[1::2], strict=True)
            if problem.is_complex:
                text = " + ".join(f"({a.spelt}*conjugate_({b.spelt})).real" for a, b in pairs)
            else:
                text = " + ".join(f"{a.spelt}*{b.spelt}" for a, b in pairs)
        else:
            text = cells[0].spelt
        if problem.reactive is not None:
            stored = spell(problem.reactive.reference)
            capacitor = problem.reactive.kind == "capacitor"
            if problem.is_corner:
                whole = f"{2 * math.pi!r}*{stored}"
                text = f"1/({whole}*({text}))" if capacitor else f"({text})/({whole})"
            else:
                text = f"{text}*{stored}" if capacitor else f"{stored}/{text}"
        self._line(spell(name), f"{take}_({text})" if take else text)

    def _speller(self, frequency: str) -> Callable[[str], str]:
        if not frequency:
            return spell
        if frequency not in self._frequencies:
            variable = f"s{len(self._frequencies) + 1}"
            self._frequencies[frequency] = variable
            self._line(variable, f"{2 * math.pi!r}j*({frequency})")
        variable = self._frequencies[frequency]
        return lambda name: variable if name == S else spell(name)

    def output(self, name: str, expression: Expression) -> None:
        """Add an expression over known names as an output."""
        self._outputs[name] = as_source(expression, spell)

    def output_source(self, name: str, source: str) -> None:
        """Add source text that is already spelt as an output."""
        self._outputs[name] = source

    def source(self, function: str) -> str:
        """Return the source of a function of the inputs that returns a tuple of the outputs, in order."""
        arguments = ", ".join(spell(name) for name in self.inputs)
        results = "".join(f"{text}, " for text in self._outputs.values())
        body = [f"{variable} = {text}" for variable, text in _folded(self._needed(), results)]
        body.append(f"return ({results.rstrip()})")
        return f"def {function}({arguments}):\n" + "".join(f"    {line}\n" for line in body)

    def _needed(self) -> list[tuple[str, str]]:
        """Return the lines that the outputs need, in order."""
        needed = {name for text in self._outputs.values() for name in _VARIABLE.findall(text)}
        kept = []
        for variable, text in reversed(self._lines):
            if variable in needed:
                kept.append((variable, text))
                needed.update(_VARIABLE.findall(text))
        return kept[::-1]

    @property
    def outputs(self) -> tuple[str, ...]:
        """Names of the outputs, in order."""
        return tuple(self._outputs)


def _folded(lines: list[tuple[str, str]], results: str) -> list[tuple[str, str]]:
    """Return the lines with every temporary that is used once put into the place of its use, in brackets.

    The steps and their order of rounding stay as they were; Python has fewer names to compile, store and load.
    """
    uses = Counter(name for _, text in lines for name in _VARIABLE.findall(text))
    uses.update(_VARIABLE.findall(results) * 2)  # what is returned keeps its name
    held: dict[str, str] = {}
    kept = []
    for variable, text in lines:
        if held:
            text = _TEMPORARY.sub(lambda match: held.pop(match[0], match[0]), text)
        if variable[0] == "t" and uses[variable] == 1 and len(text) <= LONGEST_FOLD:
            held[variable] = f"({text})"
        else:
            kept.append((variable, text))
    return kept


def _phase(value: complex) -> float:
    return math.degrees(cmath.phase(value))


def _decibels(value: complex) -> float:
    return 20 * math.log10(abs(value))


def program_scalars() -> dict[str, Any]:
    """Return the namespace in which programs run on single numbers."""
    return scalar_namespace() | {
        "magnitude_": abs,
        "phase_": _phase,
        "decibels_": _decibels,
        "real_": lambda value: value.real,
        "imaginary_": lambda value: value.imag,
        "conjugate_": lambda value: value.conjugate(),
    }


def program_arrays() -> dict[str, Any]:
    """Return the namespace in which programs run on arrays of draws."""
    import numpy as np

    return array_namespace() | {
        "magnitude_": np.abs,
        "phase_": lambda value: np.degrees(np.angle(value)),
        "decibels_": lambda value: 20 * np.log10(np.abs(value)),
        "real_": np.real,
        "imaginary_": np.imag,
        "conjugate_": np.conjugate,
    }


def load_function(source: str, function: str, namespace: Mapping[str, Any]) -> Callable[..., tuple[Any, ...]]:
    """Return the function that generated source defines.

    The source is written by `ProgramWriter` from trees that a whitelist has read: names are spelt with a prefix, and
    nothing in it comes from text as it was typed.
    """
    scope: dict[str, Any] = {"__builtins__": {}, **namespace}
    exec(compile(source, f"<program {function}>", "exec"), scope)  # noqa: S102 - our own generated source, see above
    loaded: Callable[..., tuple[Any, ...]] = scope[function]
    return loaded


def run_in_chunks(
    function: Callable[..., tuple[Any, ...]], inputs: Sequence[Any], draws: int, chunk: int = 4096
) -> tuple[Any, ...]:
    """Run an array function block by block, which keeps its temporaries in the cache.

    Args:
        function: A loaded program with array namespace.
        inputs: Arrays of shape (draws,) or single numbers.
        draws: Number of draws.
        chunk: Draws in one block.

    Returns:
        Arrays of shape (draws,), one an output.
    """
    import numpy as np

    blocks = []
    for start in range(0, draws, chunk):
        size = min(chunk, draws - start)
        part = [value if np.ndim(value) == 0 else value[start : start + chunk] for value in inputs]
        with np.errstate(all="ignore"):
            blocks.append([np.broadcast_to(result, (size,)) for result in function(*part)])
    return tuple(np.concatenate(columns) for columns in zip(*blocks, strict=True))
