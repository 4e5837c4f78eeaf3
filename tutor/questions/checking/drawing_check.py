"""The drawing: it holds every part of the circuit, and its nets are those of the circuit."""

from __future__ import annotations

from collections.abc import Iterator

from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.draw import draw
from tutor.questions.errors import QuestionError
from tutor.questions.fragments import schematic_of


def check_drawing(evidence: Evidence) -> Iterator[Finding]:
    """Yield findings about a drawing that leaves a part out or joins what is not joined."""
    template = evidence.template
    if template.network is None or not evidence.draws:
        return
    serial = int(evidence.serials[evidence.admitted][0])
    try:
        question = draw(evidence.compiled, serial)
    except QuestionError as error:
        yield finding("drawing", ("circuit",), str(error))
        return
    drawing = schematic_of(question, "check")
    for part in template.network.parts:
        if part.pins and f'id="check-{part.reference}"' not in drawing.svg:
            yield finding("drawing", ("circuit",), f"the drawing leaves out {part.reference}")
    for fault in drawing.faults:
        yield finding("drawing", ("circuit",), f"the drawing has a flaw: {fault}")
