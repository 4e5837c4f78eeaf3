from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.circuits.expressions import Binary, Call, Expression, Name, Negative, Number, evaluate, read_expression
from tutor.drawing.maths import (
    math_element,
    mathml,
    name_mathml,
    plain,
    quantity_mathml,
    raised,
    split_name,
)

NUMBERS = {
    "V1": "250 V",
    "V2": "−3 V",
    "R1": "220 kΩ",
    "R2": "47 kΩ",
    "f": "1 kHz",
    "n": "18",
    "level": "−23.3 dB",
    "C1": "22 nF",
}


def text_of(expression: str, numbers: dict[str, str] | None = None) -> str:
    return plain(read_expression(expression), numbers).replace("\N{NO-BREAK SPACE}", " ")


def words_of(inner: str) -> str:
    """Return what MathML shows, one sign after the other, with marks for what is stacked."""
    root = ElementTree.fromstring(f"<mrow>{inner}</mrow>")

    def say(node: ElementTree.Element) -> str:
        children = [say(child) for child in node]
        match node.tag:
            case "mfrac":
                return f"{{{children[0]}|{children[1]}}}"
            case "msup":
                return f"{children[0]}^{{{children[1]}}}"
            case "msub":
                return f"{children[0]}_{children[1]}"
            case "msqrt":
                return f"√{{{''.join(children)}}}"
            case "mspace":
                return ""
            case _:
                return (node.text or "").replace("\N{INVISIBLE TIMES}", "·") + "".join(children)

    return say(root).replace("\N{NO-BREAK SPACE}", " ")


# -- names -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("name", "base", "below"),
    [
        ("R1", "R", "1"), ("Ra", "R", "a"), ("ra", "r", "a"), ("gm", "g", "m"), ("v_tap", "v", "tap"), ("mu", "mu", ""),
        ("mu1", "mu", "1"), ("mu_2", "mu", "2"), ("VR1", "VR", "1"), ("HT", "HT", ""), ("gain", "gain", ""), ("k", "k", ""),
        ("gain_open", "gain", "open"), ("f_3dB", "f", "3dB"), ("r_out_sound", "r", "out sound"), ("tau", "tau", ""),
        ("V_max_2", "V", "max 2"), ("beta_w", "beta", "w"), ("level", "level", ""), ("Rg2", "R", "g2"),
    ],
)  # fmt: skip
def test_a_name_has_a_base_and_what_stands_below(name: str, base: str, below: str) -> None:
    assert split_name(name) == (base, below)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("R1", "R_1"),
        ("ra", "r_a"),
        ("mu", "µ"),
        ("tau", "τ"),
        ("v_tap", "v_tap"),
        ("gain", "gain"),
        ("beta_2", "β_2"),
        ("VR1", "VR_1"),
    ],
)
def test_a_name_is_set_with_its_subscript(name: str, words: str) -> None:
    assert words_of(name_mathml(name)) == words


# -- values ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("shown", "html"),
    [
        ("68.2 V", '<mrow><mn>68.2</mn><mspace width="0.17em"/><mtext>V</mtext></mrow>'),
        ("-3 dB", '<mrow><mo>−</mo><mn>3</mn><mspace width="0.17em"/><mtext>dB</mtext></mrow>'),
        ("−3 dB", '<mrow><mo>−</mo><mn>3</mn><mspace width="0.17em"/><mtext>dB</mtext></mrow>'),
        ("30°", "<mrow><mn>30</mn><mtext>°</mtext></mrow>"),
        ("0.46", "<mrow><mn>0.46</mn></mrow>"),
        ("1.2 × 10⁶ Ω", '<mrow><mn>1.2 × 10⁶</mn><mspace width="0.17em"/><mtext>Ω</mtext></mrow>'),
        ("ECC83", "<mi>ECC83</mi>"),
        ("<b>", "<mi>&lt;b&gt;</mi>"),
        ("5 <b>", '<mrow><mn>5</mn><mspace width="0.17em"/><mtext>&lt;b&gt;</mtext></mrow>'),
    ],
)
def test_a_value_is_set_with_its_unit_upright(shown: str, html: str) -> None:
    assert quantity_mathml(shown) == html


def test_whole_numbers_are_raised() -> None:
    assert [raised(2), raised(-12), raised(1034567890)] == ["²", "⁻¹²", "¹⁰³⁴⁵⁶⁷⁸⁹⁰"]


# -- formulas --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("expression", "symbols", "figures"),
    [
        ("V1*R2/(R1 + R2)", "V1·R2/(R1 + R2)", "250 V × 47 kΩ / (220 kΩ + 47 kΩ)"),
        ("V1**2/R1", "V1²/R1", "(250 V)² / 220 kΩ"),
        ("n**2*R1", "n²·R1", "18² × 220 kΩ"),
        ("(20 V)**2", "(20 V)²", "(20 V)²"),
        ("n**-1", "n⁻¹", "18⁻¹"),
        ("n**0.5", "n^0.5", "18^0.5"),
        ("n**(V1/V2)", "n^(V1/V2)", "18^(250 V / (−3 V))"),
        ("(n**2)**3", "(n²)³", "(18²)³"),
        ("1/(2*pi*f*C1)", "1/(2·π·f·C1)", "1 / (2 × π × 1 kHz × 22 nF)"),
        ("R1/R2*f", "(R1/R2)·f", "(220 kΩ / 47 kΩ) × 1 kHz"),
        ("R1/(R2/f)", "R1/(R2/f)", "220 kΩ / (47 kΩ / 1 kHz)"),
        ("R1 - (R2 - f)", "R1 − (R2 − f)", "220 kΩ − (47 kΩ − 1 kHz)"),
        ("R1 - R2 + f", "R1 − R2 + f", "220 kΩ − 47 kΩ + 1 kHz"),
        ("V1 - V2", "V1 − V2", "250 V − (−3 V)"),
        ("2*V2", "2·V2", "2 × (−3 V)"),
        ("-mu*R1/(R1 + R2)", "−µ·R1/(R1 + R2)", "−µ × 220 kΩ / (220 kΩ + 47 kΩ)"),
        ("-(R1 + R2)", "−(R1 + R2)", "−(220 kΩ + 47 kΩ)"),
        ("R1*-R2", "R1·(−R2)", "220 kΩ × (−47 kΩ)"),
        ("parallel(R1, R2)", "R1 ∥ R2", "220 kΩ ∥ 47 kΩ"),
        (
            "V1/(R1 + parallel(R2, R1 + f))",
            "V1/(R1 + (R2 ∥ (R1 + f)))",
            "250 V / (220 kΩ + (47 kΩ ∥ (220 kΩ + 1 kHz)))",
        ),
        ("sqrt(2)*V1", "√2·V1", "√2 × 250 V"),
        ("sqrt(n)", "√n", "√18"),
        ("sqrt(V1)", "√V1", "√(250 V)"),
        ("sqrt(R1**2 + R2**2)", "√(R1² + R2²)", "√((220 kΩ)² + (47 kΩ)²)"),
        ("abs(V1 - V2)", "|V1 − V2|", "|250 V − (−3 V)|"),
        ("db(R1/R2)", "20·log10(R1/R2)", "20 × log10(220 kΩ / 47 kΩ)"),
        ("-db(n)", "−20·log10(n)", "−20 × log10(18)"),
        ("log(n)", "ln(n)", "ln(18)"),
        ("exp(-n)", "exp(−n)", "exp(−18)"),
        ("atan(n)*180/pi", "arctan(n)·180/π", "arctan(18) × 180 / π"),
        ("min(R1, R2)", "min(R1, R2)", "min(220 kΩ, 47 kΩ)"),
        ("3e-3*n", "3 × 10⁻³·n", "3 × 10⁻³ × 18"),
        ("0.1 < n <= 3 and n != 2", "0.1 < n ≤ 3 and n ≠ 2", "0.1 < 18 ≤ 3 and 18 ≠ 2"),
        ("(n < 3 or n > 5) and not n == 4", "(n < 3 or n > 5) and (not n = 4)", "(18 < 3 or 18 > 5) and (not 18 = 4)"),
        ("tau*omega", "τ·ω", "τ × ω"),
        ("10**(level/20)", "10^(level/20)", "10^((−23.3 dB) / 20)"),
        ("6.3 V*n", "6.3 V·n", "6.3 V × 18"),
    ],
)
def test_a_formula_is_read_on_one_line(expression: str, symbols: str, figures: str) -> None:
    assert text_of(expression) == symbols
    assert text_of(expression, NUMBERS) == figures


def test_a_value_called_as_a_unit_takes_no_units_place() -> None:
    assert text_of("V/(20 V)", {"V": "110 V"}) == "110 V / 20 V"


@pytest.mark.parametrize(
    ("expression", "symbols", "figures"),
    [
        ("V1*R2/(R1 + R2)", "{V_1·R_2|R_1+R_2}", "{250V×47kΩ|220kΩ+47kΩ}"),
        ("V1**2/R1", "{V_1^{2}|R_1}", "{(250V)^{2}|220kΩ}"),
        ("(20 V)**2", "(20V)^{2}", "(20V)^{2}"),
        ("n**2", "n^{2}", "18^{2}"),
        ("(n**2)**3", "(n^{2})^{3}", "(18^{2})^{3}"),
        ("(R1/R2)**2", "({R_1|R_2})^{2}", "({220kΩ|47kΩ})^{2}"),
        ("2*pi*f*C1", "2·π·f·C_1", "2·π×1kHz×22nF"),
        ("-mu*R1", "−µ·R_1", "−µ×220kΩ"),
        ("V1 - V2", "V_1−V_2", "250V−(−3V)"),
        ("R1*(R2 + f)", "R_1·(R_2+f)", "220kΩ×(47kΩ+1kHz)"),
        ("2*5", "2×5", "2×5"),
        ("n*2", "n×2", "18×2"),
        ("sqrt(2)*V1", "√{2}·V_1", "√{2}×250V"),
        ("10**(-level/20)", "10^{−level/20}", "10^{−(−23.3dB)/20}"),
        ("exp(-n)", "e^{−n}", "e^{−18}"),
        ("db(n)", "20log_10(n)", "20log_10(18)"),
        ("-db(n)", "−20log_10(n)", "−20log_10(18)"),
        ("parallel(R1, R2)*n", "(R_1∥R_2)·n", "(220kΩ∥47kΩ)×18"),
        ("abs(n)", "|n|", "|18|"),
        ("atan(n)", "arctan(n)", "arctan(18)"),
        ("1/(1/R1 + 1/R2)", "{1|{1|R_1}+{1|R_2}}", "{1|{1|220kΩ}+{1|47kΩ}}"),
        ("n < 3 and n > 1", "n<3 and n>1", "18<3 and 18>1"),
    ],
)
def test_a_formula_is_set_as_in_a_book(expression: str, symbols: str, figures: str) -> None:
    tree = read_expression(expression)
    assert words_of(mathml(tree)) == symbols
    assert words_of(mathml(tree, NUMBERS)) == figures


def test_no_hyphen_stands_for_a_minus() -> None:
    for expression in ("-R1", "R1 - R2", "n**-2", "1e-3*n"):
        assert "-" not in plain(read_expression(expression))
        assert ">-<" not in mathml(read_expression(expression))


def test_an_element_carries_its_words() -> None:
    assert math_element("<mi>x</mi>", 'a < "b"') == (
        '<math displaystyle="true" alttext="a &lt; &quot;b&quot;"><mrow><mi>x</mi></mrow></math>'
    )


# -- laws ------------------------------------------------------------------------------------------------------------
LEAVES = st.one_of(
    st.sampled_from(["R1", "R2", "n", "mu", "V_x"]).map(Name),
    st.integers(1, 9).map(lambda value: Number(float(value), text=str(value))),
)


def _grown(inner: st.SearchStrategy[Expression]) -> st.SearchStrategy[Expression]:
    return st.one_of(
        st.builds(Binary, st.sampled_from(["+", "-", "*", "/"]), inner, inner),
        st.builds(Negative, inner),
        inner.map(lambda node: Binary("**", node, Number(2.0, text="2"))),
        st.builds(lambda a, b: Call("parallel", (a, b)), inner, inner),
        inner.map(lambda node: Call("abs", (node,))),
    )


TREES = st.recursive(LEAVES, _grown, max_leaves=12)
VALUES = {"R1": 3.1, "R2": 5.3, "n": 7.7, "mu": 11.9, "V_x": 13.3}


def _read_back(line: str) -> str:
    """Return a line of text as an expression again: what a person would work out from it."""
    for sign, word in (("−", "-"), ("·", "*"), ("²", "**2"), ("µ", "mu"), ("√", "sqrt")):
        line = line.replace(sign, word)
    return line


@given(TREES)
def test_a_line_of_text_means_what_the_tree_means(tree: Expression) -> None:
    line = _read_back(plain(tree))
    if "∥" in line or "|" in line:
        return
    assert _value(read_expression(line)) == pytest.approx(_value(tree), rel=1e-9, abs=1e-12, nan_ok=True)


def _value(tree: Expression) -> float:
    try:
        return evaluate(tree, VALUES)
    except ValueError:
        return float("nan")


@given(TREES, st.booleans())
def test_every_formula_is_well_formed(tree: Expression, figures: bool) -> None:
    ElementTree.fromstring(math_element(mathml(tree, NUMBERS if figures else None), plain(tree)))
