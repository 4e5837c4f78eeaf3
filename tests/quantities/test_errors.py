import inspect
import pickle

import pytest

from tutor.errors import QuiescentError
from tutor.quantities import errors

EXAMPLES: list[errors.QuantityError] = [
    errors.QuantityError("something"),
    errors.QuantityFormatError("ten", "expected a number, then a unit"),
    errors.QuantityFormatError("ten", "expected a number, then a unit", "3.3 V"),
    errors.UnitError("voltz", ["volts"]),
    errors.DimensionError("2 %", "level", "write 0.2 dB"),
    errors.SeriesError("E13", ["E12"], "E12"),
    errors.PreferredValueError(-1.0, "it must be positive"),
    errors.CodeError("pink", "no"),
    errors.ToleranceError("5", "no unit", "write 5 %"),
]


@pytest.mark.parametrize("error", EXAMPLES, ids=lambda error: type(error).__name__)
def test_every_error_comes_back_from_another_process_with_its_facts(error: errors.QuantityError) -> None:
    error.add_note("seen on the way")
    returned = pickle.loads(pickle.dumps(error))
    assert type(returned) is type(error)
    assert str(returned) == str(error)
    facts = {name: fact for name, fact in vars(error).items() if name != "__notes__"}
    assert vars(returned) == facts


def test_every_error_of_the_layer_stands_in_the_tree_of_the_docstring() -> None:
    classes = [each for _, each in inspect.getmembers(errors, inspect.isclass) if each.__module__ == errors.__name__]
    assert len(classes) == 8
    for each in classes:
        assert issubclass(each, errors.QuantityError)
        assert issubclass(each, QuiescentError)
        assert each is errors.QuantityError or issubclass(each, ValueError)
        assert each.__name__ in (errors.__doc__ or "")


def test_a_choice_is_listed_as_a_person_would() -> None:
    assert errors.one_of([]) == ""
    assert errors.one_of(["a"]) == "a"
    assert errors.one_of(["a", "b"]) == "a or b"
    assert errors.one_of(["a", "b", "c"]) == "a, b or c"


def test_long_texts_are_cut_to_what_an_error_keeps() -> None:
    assert errors.shortened("x" * 100) == "x" * 100
    assert errors.shortened("x" * 101) == "x" * 99 + "…"
