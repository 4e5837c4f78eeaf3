from __future__ import annotations

from tutor.errors import QuiescentError
from tutor.questions.errors import AskError, DrawError, QuestionError, UnknownTemplateError


def test_an_unknown_template_names_near_ones() -> None:
    error = UnknownTemplateError("loaded-dividr", ["loaded-divider", "plain-divider", "smoothing"])
    assert str(error) == "there is no template 'loaded-dividr'; did you mean loaded-divider, plain-divider?"
    assert (error.name, error.known) == ("loaded-dividr", ("loaded-divider", "plain-divider", "smoothing"))
    assert isinstance(error, LookupError)


def test_an_unknown_template_like_no_other_names_none() -> None:
    assert str(UnknownTemplateError("zzz", ["loaded-divider"])) == "there is no template 'zzz'"


def test_a_draw_that_fails_names_template_serial_and_reason() -> None:
    error = DrawError("loaded-divider", 7, "a serial is a whole number")
    assert str(error) == "loaded-divider, serial 7: a serial is a whole number"
    assert (error.template, error.serial, error.reason) == ("loaded-divider", 7, "a serial is a whole number")
    assert isinstance(error, ValueError)


def test_an_answer_to_nothing_names_what_is_asked() -> None:
    error = AskError("v", ["v_tap", "i_load"])
    assert str(error) == "nothing is asked under 'v'; asked are v_tap, i_load"
    assert isinstance(error, LookupError)


def test_all_are_errors_meant_for_people() -> None:
    for kind in (UnknownTemplateError, DrawError, AskError):
        assert issubclass(kind, QuestionError)
    assert issubclass(QuestionError, QuiescentError)
