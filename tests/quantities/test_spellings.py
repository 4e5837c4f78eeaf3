from tutor.quantities import spellings
from tutor.quantities.units import read_unit


def test_no_stand_in_for_a_prefix_is_a_prefix_itself() -> None:
    assert not set(spellings.PREFIX_STAND_INS) & set(spellings.PREFIXES)


def test_no_old_spelling_takes_a_symbol_that_means_something_now_but_the_typewriter_s() -> None:
    now = {
        prefix + symbol: spelling
        for prefix in spellings.PREFIXES
        for symbol in spellings.SYMBOLS
        if (spelling := prefix + symbol) in spellings.OLD_SPELLINGS
    }
    assert set(now) == {"PF"}


def test_every_forgiven_symbol_exists() -> None:
    for small, symbol in spellings.FORGIVEN.items():
        assert small == symbol.lower()
        assert symbol in spellings.SYMBOLS or symbol in spellings.UNPREFIXED


def test_milli_and_mega_and_second_and_siemens_are_never_swapped() -> None:
    assert not {"s", "m", "t", "n", "k"} & set(spellings.FORGIVEN)


def test_every_word_is_small_and_every_table_is_reachable() -> None:
    for word in spellings.WORDS:
        assert word == word.lower()
        assert read_unit(word).unit == spellings.WORDS[word]
    for table in (spellings.SYMBOLS, spellings.UNPREFIXED, spellings.ELIDED, spellings.OLD_SPELLINGS):
        for text, (power, unit) in table.items():
            assert (read_unit(text).factor, read_unit(text).unit) == (float(f"1e{power}"), unit)
    for text, factor in spellings.LONG_TIMES.items():
        assert read_unit(text).factor == factor
