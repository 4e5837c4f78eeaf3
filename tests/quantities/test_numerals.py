import pytest

from tutor.quantities.numerals import Numeral, NumeralError, plain_figures, read_numeral


@pytest.mark.parametrize(
    ("body", "figures"),
    [
        ("1500", "1500"),
        ("1.5", "1.5"),
        ("1,5", "1.5"),
        ("1 500", "1500"),
        ("1,234,567.8", "1234567.8"),
        ("1.234.567,8", "1234567.8"),
        ("0.000 047", "0.000047"),
        (",5", ".5"),
    ],
)
def test_figures_lose_their_separators(body: str, figures: str) -> None:
    assert plain_figures(body) == figures


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        ("1,500", "1,500 may mean 1500 or 1.500; type one or the other"),
        ("1 50", "there is more than one number in it"),
        ("1.2.3", "1.2.3 groups its figures in no usual way"),
        ("1,,5", "1,,5 groups its figures in no usual way"),
        ("0 500", "there is more than one number in it"),
    ],
)
def test_unclear_grouping_is_an_error(body: str, reason: str) -> None:
    with pytest.raises(NumeralError) as caught:
        plain_figures(body)
    assert caught.value.reason == reason
    assert str(caught.value) == reason


def test_the_text_after_a_number_is_handed_back() -> None:
    assert read_numeral("3.3 x 10^-3 A") == (Numeral("3.3", -3), " A")
    assert read_numeral("10^6 Ω") == (Numeral("1", 6), " Ω")
    assert read_numeral("68.2 V") == (Numeral("68.2"), " V")
    assert read_numeral("volts") is None


def test_value_last_figure_and_significance_come_from_the_typed_figures() -> None:
    numeral = Numeral("1.50", 3)
    assert numeral.value() == 1500.0
    assert numeral.value(-6) == 1.5e-3
    assert numeral.last_figure() == 10.0
    assert numeral.last_figure(-6) == 1e-5
    assert numeral.significant == 3
