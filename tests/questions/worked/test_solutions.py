"""Solutions, hints and feedback that come from automatic steps."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace

import pytest

from tests.questions.templates import PINNED, STEPS, faults_of, question_of, read, with_values
from tutor.bootstrap.places import banks_folder
from tutor.drawing.maths import NO_BREAK
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.checking.solutions import _findings, check_solutions
from tutor.questions.draw import draw, draw_solved
from tutor.questions.fragments import text_of
from tutor.questions.marking import mark
from tutor.questions.question import Question
from tutor.questions.template import ALL
from tutor.questions.text import Filled
from tutor.web.views import question_view

LIBRARY = read_library([banks_folder()])
CACHE = CompiledCache()
PINNED_STEPS = with_values(STEPS, PINNED)


def without(text: str, *keys: str) -> str:
    """Return a template's text without some of its top keys."""
    for key in keys:
        text = re.sub(rf"^{key}:.*\n(?:[ -].*\n)*", "", text, flags=re.MULTILINE)
    return text


BARE = without(PINNED_STEPS, "solution", "hints")


def lines(texts: tuple[Filled, ...]) -> list[str]:
    return [text_of(text).replace(NO_BREAK, " ") for text in texts]


def told(question: Question, **answers: str) -> str:
    return text_of(mark(question, answers).asks[next(reversed(answers))].says).replace(NO_BREAK, " ")


# -- every shipped template --------------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", sorted(LIBRARY.templates))
def test_the_automatic_solution_of_a_shipped_template_ends_at_its_keys(name: str) -> None:
    report = check_solutions(LIBRARY.template(name), 3, CACHE)
    assert report.findings == ()
    assert report.most > 0


def test_most_circuits_are_reasoned_through_and_the_rest_goes_by_the_authored_formula() -> None:
    reports = [check_solutions(template, 1, CACHE) for template in LIBRARY.templates.values()]
    asks = [a for t in LIBRARY.templates.values() for a in t.asks if a.kind == "number" and a.circuit is not None]
    # What is not reasoned asks for a value of the circuit that the member is not told, or has a feedback loop.
    assert sum(report.reasoned for report in reports) > 0.6 * len(asks)


@pytest.mark.parametrize("name", sorted(LIBRARY.templates))
def test_a_solution_page_stays_small(name: str) -> None:
    """60 KB are the most for a page; 8 KB of it are for head, form and foot."""
    compiled = CACHE.compiled(LIBRARY.template(name))
    automatic = replace(compiled, template=replace(compiled.template, plan=(ALL,), hints=()))
    for one in (compiled, automatic):
        view = question_view(draw(one, 5), "c0123456789abcdef")
        pieces = [view.text, view.drawing, view.drawing_words, *view.hints]
        pieces += [f"{step.text}{step.parts}" for step in view.solution]
        assert sum(len(piece.encode()) for piece in pieces) < 52_000


# -- plans -------------------------------------------------------------------------------------------------------------
def test_a_template_without_a_solution_gets_one_with_hints() -> None:
    question = question_of(BARE)
    assert lines(question.solution) == [
        "R2 and RL lie side by side from the tap to earth; together they are r_tap = R2·RL/(R2 + RL) = "
        "47 kΩ × 100 kΩ / (47 kΩ + 100 kΩ) = 32.0 kΩ.",
        "R1 and r_tap are a divider from the input to earth; the tap gets v_tap = V1·r_tap/(R1 + r_tap) = "
        "250 V × 32.0 kΩ / (22 kΩ + 32.0 kΩ) = 148 V.",
        "The voltage across RL drives a current of i_load = v_tap/RL = 148 V / 100 kΩ = 1.48 mA.",
        "The power in RL is p_load = i_load²·RL = (1.48 mA)² × 100 kΩ = 0.219 W.",
    ]
    assert question.lit == (("R2", "RL"), ("R1", "R2", "RL"), ("RL",), ("RL",))
    idea, symbols, figures = lines(question.hints)
    assert idea == "Which parts share both of their ends? Take R2 and RL as one."
    assert symbols.endswith("together they are r_tap = R2·RL/(R2 + RL).")
    assert figures == lines(question.solution)[0]


def test_auto_says_the_same_as_leaving_the_solution_out() -> None:
    assert question_of(BARE + "solution: auto\n").solution == question_of(BARE).solution


def test_a_templates_own_solution_and_hints_always_win() -> None:
    question = question_of(PINNED_STEPS)
    assert lines(question.solution)[0].startswith("The foot with its load is")
    assert len(question.hints) == 2


def test_own_and_automatic_steps_stand_in_the_order_of_the_plan() -> None:
    text = BARE + 'solution:\n  - "Foot first."\n  - auto: v_tap\n  - "`i_load = v_tap/RL =`"\n'
    found = lines(question_of(text).solution)
    assert found[0] == "Foot first."
    assert [line.rpartition(" = ")[2] for line in found[1:]] == ["32.0 kΩ.", "148 V.", "1.48 mA"]


def test_auto_within_a_list_stands_for_all_that_is_named_nowhere_else() -> None:
    text = BARE + "solution:\n  - auto\n  - auto: v_tap\n"
    found = lines(question_of(text).solution)
    assert [line.rpartition(" = ")[2] for line in found] == ["1.48 mA.", "0.219 W.", "32.0 kΩ.", "148 V."]


@pytest.mark.parametrize(
    ("solution", "message"),
    [
        ("solution:\n  - auto: v_top\n", "nothing is asked under the name 'v_top'; did you mean v_tap?"),
        ("solution:\n  - auto: v_tap\n  - auto: v_tap\n", "the automatic steps of v_tap stand here a second time"),
        ("solution: automatic\n", 'found "automatic"; known are auto'),
        ("solution:\n  - automatic: v_tap\n", "unknown key; known are auto"),
    ],
)
def test_a_faulty_plan_is_told_with_its_place(solution: str, message: str) -> None:
    (fault, *_) = faults_of(BARE + solution)
    assert "solution" in fault
    assert message in fault


# -- check -------------------------------------------------------------------------------------------------------------
def test_check_finds_a_solution_that_is_longer_than_the_templates_own() -> None:
    short = BARE + 'solution:\n  - "`p_load=`"\n'
    assert check_solutions(read(short), 3).findings == ("4 steps, where its own solution has 1",)
    assert check_solutions(read(PINNED_STEPS), 3).findings == ()


def test_check_finds_steps_that_miss_the_key_and_steps_that_repeat() -> None:
    question, solution = draw_solved(CACHE.compiled(read(BARE)), 1)
    assert list(_findings(question, solution)) == []
    moved = tuple(replace(ask, value=ask.key * 1.001) for ask in question.asks)
    assert any("comes out as" in finding for finding in _findings(replace(question, asks=moved), solution))
    twice = replace(question, solution=(*question.solution, question.solution[0]))
    assert "step 5 repeats another" in list(_findings(twice, solution))
    without_last = replace(solution, worked=solution.worked[:-1])
    assert "no step ends at p_load" in list(_findings(question, without_last))


# -- feedback ----------------------------------------------------------------------------------------------------------
def test_an_answer_that_is_a_value_on_the_way_is_told_where_it_stands() -> None:
    question = question_of(BARE)
    # 47 k beside 100 k: the foot, given where its voltage is asked.
    says = told(question, v_tap="31.97 kΩ")
    assert says.endswith("reads as a resistance. That is r_tap, a value on the way: there is a step still to take.")


def test_the_unit_counts_and_a_value_of_a_later_ask_is_not_told() -> None:
    question = question_of(BARE)
    assert "on the way" not in told(question, v_tap="31.97 V")
    assert "on the way" not in told(question, v_tap="1.481 mA")
    assert "v_tap, a value on the way" in told(question, i_load="148.1 V")


def test_any_other_wrong_answer_is_too_high_or_too_low_by_a_rough_factor() -> None:
    assert told(question_of(BARE), v_tap="61 V") == "Too low, by a factor of about two."


# -- stored questions --------------------------------------------------------------------------------------------------
def test_a_stored_question_keeps_its_way_points_and_an_older_one_does_without() -> None:
    question = question_of(BARE)
    assert Question.from_data(question.to_data()) == question
    older = question.to_data()
    del older["lit"], older["waypoints"]
    assert Question.from_data(older).waypoints == ()


def test_finding_a_solution_loads_neither_algebra_nor_arrays() -> None:
    program = (
        "import sys; from tests.questions.worked.test_solutions import BARE; from tests.questions.templates import read;"
        "from tutor.questions.compiling import compile_template; from tutor.questions.draw import draw;"
        "before = set(sys.modules); [sys.modules.pop(m) for m in list(before) if m.split('.')[0] in ('numpy', 'sympy')];"
        "q = draw(compile_template(read(BARE)), 1); assert q.solution;"
        "print([m for m in sys.modules if m in ('numpy', 'sympy')])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
