"""Numbers of electrodes on their bases."""

from __future__ import annotations

from tutor.bootstrap.places import banks_folder
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.questions.electrodes import pin_numbers
from tutor.questions.fragments import schematic_of


def test_two_triodes_of_a_type_are_the_systems_of_one_envelope() -> None:
    # ECC83, base B9A: a', g', k' on 6, 7, 8 and a, g, k on 1, 2, 3 (Philips data sheet; transcribed in types.yaml).
    assert pin_numbers([("V1", "ECC83"), ("V2", "12AX7"), ("V3", "ECC83")]) == {
        "V1": {"anode": "6", "grid": "7", "cathode": "8"},
        "V2": {"anode": "1", "grid": "2", "cathode": "3"},
        "V3": {"anode": "6", "grid": "7", "cathode": "8"},
    }


def test_an_electrode_that_shares_its_pin_has_its_number() -> None:
    # EL84, base B9A: g1 on 2, k and g3 on 3, a on 7, g2 on 9 (Philips data sheet; transcribed in types.yaml).
    assert pin_numbers([("V1", "EL84")])["V1"] == {
        "grid": "2", "cathode": "3", "suppressor": "3", "anode": "7", "screen": "9",
    }  # fmt: skip


def test_what_is_known_from_memory_alone_or_not_at_all_gets_no_numbers() -> None:
    assert pin_numbers([("V1", "6SN7"), ("V2", "a triode"), ("V3", "")]) == {}


def test_the_drawing_and_its_words_tell_the_numbers() -> None:
    compiled = CompiledCache().compiled(read_library([banks_folder()]).template("anode-output-resistance"))
    questions = (draw(compiled, serial) for serial in range(50))
    drawing = schematic_of(next(q for q in questions if any(part["value"] == "ECC83" for part in q.parts)), "c")
    assert [f">{number}</text>" in drawing.svg for number in "678"] == [True, True, True]
    assert "ECC83, on the base anode 6, grid 7, cathode 8" in drawing.words
    assert drawing.faults == ()
