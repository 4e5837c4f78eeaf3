from __future__ import annotations

import pytest

from tests.questions.templates import HEAD, LOADED_DIVIDER, STEPS, asking, findings_of, read, report_of
from tutor.circuits.errors import CircuitError
from tutor.questions.cache import CompiledCache
from tutor.questions.checking import Finding, TemplateReport, check_template
from tutor.questions.checking.findings import Evidence
from tutor.questions.checking.report import CHECKS


def test_a_sound_template_is_proved() -> None:
    report = report_of(STEPS)
    assert report.passed
    assert (report.template, report.release, report.file, report.draws) == (
        "sample", read(STEPS).release, "sample.yaml", 60,
    )  # fmt: skip
    assert report.refused == 0.0
    assert report.distinct > 50
    # Foot and load may be equal, and the current in the one is then that in the other.
    assert set(report.slips) == {"v_tap.load-forgotten", "i_load.wrong-resistor", "p_load.not-the-tap"}
    assert report.slips["v_tap.load-forgotten"] == report.slips["p_load.not-the-tap"] == 1.0
    assert 0.8 < report.slips["i_load.wrong-resistor"] < 1.0
    assert report.seconds > 0
    assert report.faults() == []


def test_findings_become_faults_of_the_file_with_their_lines() -> None:
    template = read(STEPS.replace("formula: v_tap/RL", "formula: v_tap/R2"))
    report = check_template(template, 60)
    assert not report.passed
    first = report.faults(template.line_of)[0]
    assert str(first).startswith("sample.yaml:26: ask.i_load.formula: it gives ")


def test_a_circuit_that_cannot_be_solved_is_a_finding_and_no_error() -> None:
    text = asking("{of circuit: {voltage: tap}}", values="V1: 250 V\nR1: 22 kΩ\nR2: 47 kΩ", before=LOADED_DIVIDER)
    report = report_of(text)
    assert report.findings == (
        Finding("circuit", "circuit", "RL has no value; give one in the circuit, or a value RL under `values:`"),
    )
    assert (report.draws, report.distinct) == (0, 0)


def test_a_check_that_meets_an_unsolvable_circuit_is_a_finding_and_no_error() -> None:
    def check_nothing(evidence: Evidence) -> list[Finding]:
        raise CircuitError("it cannot be solved")

    report = check_template(read(STEPS), 20, checks=(check_nothing,))  # type: ignore[arg-type]
    assert report.findings == (Finding("nothing", "", "it cannot be solved"),)


def test_a_template_that_never_draws_fails_and_does_not_raise() -> None:
    report = report_of(STEPS.replace("hints:", "require: [V1 < 1 V]\nhints:"))
    assert not report.passed
    assert report.distinct == 0
    assert report.refused == 1.0
    assert {found.check for found in report.findings} == {"draws"}


def test_a_cache_is_used_when_one_is_given() -> None:
    cache = CompiledCache()
    check_template(read(STEPS), 20, cache)
    assert read(STEPS).release in cache._memory


def test_questions_are_counted_by_their_keys_or_without_numbers_by_their_values() -> None:
    numbers = asking("{formula: V1}", values="V1: {pick: [1 V, 2 V, 3 V]}\nR1: {from: 1 Ω, to: 9 Ω, step: 1 Ω}")
    assert report_of(numbers).distinct == 3
    change = asking(
        "{kind: change, formula: R1/V1, when: {R1: 2*R1}}",
        values="V1: {pick: [1 V, 2 V]}\nR1: {pick: [1 Ω, 2 Ω, 3 Ω]}",
    )
    assert report_of(change).distinct == 6


def test_every_proof_of_the_design_has_its_check() -> None:
    names = {check.__name__ for check in CHECKS}
    assert names == {
        "check_draws", "check_served", "check_choices", "check_answers", "check_circuit", "check_examples",
        "check_tolerances", "check_rounding", "check_slips", "check_solution", "check_texts", "check_givens",
        "check_drawing", "check_plot", "check_caution", "check_supply", "check_faults",
    }  # fmt: skip


def test_reports_are_the_same_every_time() -> None:
    def facts(report: TemplateReport) -> tuple[object, ...]:
        return report.refused, report.distinct, report.slips, report.findings

    broken = STEPS.replace("formula: v_tap/RL", "formula: v_tap/R2")
    assert facts(report_of(broken)) == facts(report_of(broken))


@pytest.mark.parametrize("draws", [1, 2, 10])
def test_few_draws_do(draws: int) -> None:
    assert not [found for found in report_of(STEPS, draws).findings if found.check != "answers"]


def test_a_template_without_values_is_checked_too() -> None:
    text = (
        HEAD
        + "text: A text.\nask:\n  x: {text: What is it?, kind: choice, options: {a: {text: A, right: yes}, b: {text: B}}}\n"
    )
    assert findings_of(text) == []
