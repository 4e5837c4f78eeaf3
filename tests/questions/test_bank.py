from __future__ import annotations

from pathlib import Path

import pytest

from tests.questions.templates import BENCH, HEAD, asking
from tutor.circuits.errors import CircuitError
from tutor.errors import FaultyFileError
from tutor.questions.bank import Circuits, Library, Topic, read_library, read_template_file
from tutor.questions.errors import UnknownTemplateError

TOPICS = "samples: {title: Samples}\nothers: {title: Others, needs: [samples]}\n"


def write(folder: Path, files: dict[str, str]) -> Path:
    """Write files below a folder."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def template(name: str, formula: str = "V1", topic: str = "samples") -> str:
    return (
        asking(f"{{formula: {formula}}}")
        .replace("template: sample", f"template: {name}")
        .replace("topic: samples", f"topic: {topic}")
    )


@pytest.fixture
def banks(tmp_path: Path) -> Path:
    """Two banks; topics stand in the first."""
    return write(
        tmp_path,
        {
            "one/topics.yaml": TOPICS,
            "one/samples/first.yaml": template("first"),
            "one/samples/second.yaml": template("second"),
            "one/courses/course.yaml": "course: no template\n",
            "one/circuits/divider.yaml": "circuit: divider\nparts: {}\n",
            "two/others/third.yaml": template("third", topic="others"),
            "notes/readme.txt": "no bank",
        },
    )


def faults(library: Library) -> list[str]:
    return [str(fault) for fault in library.faults]


def test_every_bank_below_a_folder_is_read(banks: Path) -> None:
    library = read_library([banks])
    assert faults(library) == []
    assert sorted(library.templates) == ["first", "second", "third"]
    assert library.templates["third"].bank == "two"
    assert library.templates["third"].file == "two/others/third.yaml"
    assert library.topics == {"samples": Topic("samples", "Samples"), "others": Topic("others", "Others", ("samples",))}


def test_a_folder_may_be_a_bank_itself(banks: Path) -> None:
    assert sorted(read_library([banks / "one"]).templates) == ["first", "second"]


def test_a_folder_that_is_not_there_holds_nothing(tmp_path: Path) -> None:
    library = read_library([tmp_path / "nowhere"])
    assert (library.templates, library.topics, library.faults) == ({}, {}, [])


def test_a_broken_template_hides_no_other(banks: Path) -> None:
    write(banks, {
        "one/samples/broken.yaml": template("broken", "V1 + 3 A"),
        "one/samples/no-yaml.yaml": "text: [unclosed\n",
        "two/others/empty.yaml": "",
    })  # fmt: skip
    library = read_library([banks])
    assert sorted(library.templates) == ["first", "second", "third"]
    assert [fault.split(": ")[0] for fault in faults(library)] == [
        "one/samples/broken.yaml:9", "one/samples/no-yaml.yaml:2", "two/others/empty.yaml",
    ]  # fmt: skip
    assert faults(library)[0] == (
        "one/samples/broken.yaml:9: ask.x.formula: cannot read 'V1 + 3 A' as an expression: V1 is a voltage and 3 A a "
        "current: they can be neither added nor compared"
    )


def test_a_file_that_is_no_text_hides_no_other(banks: Path) -> None:
    (banks / "one/samples/picture.yaml").write_bytes(b"\x89PNG\r\n\xff\xfe")
    library = read_library([banks])
    assert len(library.templates) == 3
    assert faults(library) == ["one/samples/picture.yaml:1: the file is no UTF-8 text; save it as UTF-8"]


def test_a_name_is_taken_once(banks: Path) -> None:
    write(banks, {"two/others/first.yaml": template("first", topic="others")})
    library = read_library([banks])
    assert faults(library) == [
        "two/others/first.yaml:1: template: the name 'first' is taken by one/samples/first.yaml; give one of them another"
    ]
    assert library.templates["first"].bank == "one"


def test_a_template_is_called_as_its_file(banks: Path) -> None:
    write(banks, {"one/samples/file.yaml": template("other")})
    assert faults(read_library([banks])) == [
        "one/samples/file.yaml:1: template: found 'other'; the file is called 'file'"
    ]


def test_a_topic_must_be_defined(banks: Path) -> None:
    write(banks, {"one/samples/fourth.yaml": template("fourth", topic="sampels")})
    assert faults(read_library([banks])) == [
        "one/samples/fourth.yaml:3: topic: nobody defined the topic 'sampels'; did you mean samples?; there are samples, "
        "others"
    ]


def test_a_topic_of_an_ask_must_be_defined_too(banks: Path) -> None:
    text = template("fourth").replace("formula: V1}", "formula: V1, topic: othres}")
    write(banks, {"one/samples/fourth.yaml": text})
    assert faults(read_library([banks])) == [
        "one/samples/fourth.yaml:9: ask.x.topic: nobody defined the topic 'othres'; did you mean others?; there are "
        "samples, others"
    ]


@pytest.mark.parametrize(
    ("topics", "fault"),
    [
        ("samples: Samples\n", "one/topics.yaml:1: samples: a topic has a `title:`, and perhaps `needs:`"),
        ("samples: {needs: [a]}\n", "one/topics.yaml:1: samples: a topic has a `title:`, and perhaps `needs:`"),
        ("samples: [unclosed\n", "one/topics.yaml:2: "),
        ("- samples\n", "one/topics.yaml:1: topics are listed by name, each with a `title:`"),
    ],
)
def test_faulty_topics_are_told(banks: Path, topics: str, fault: str) -> None:
    write(banks, {"one/topics.yaml": topics})
    (banks / "two/others/third.yaml").unlink()
    assert any(found.startswith(fault) for found in faults(read_library([banks])))


# -- one template ----------------------------------------------------------------------------------------------------
def test_a_template_is_found_by_its_name_or_its_whole_path(banks: Path) -> None:
    library = read_library([banks])
    assert library.template("first") is library.template("one/samples/first")


def test_an_unknown_template_names_near_ones(banks: Path) -> None:
    with pytest.raises(UnknownTemplateError, match=r"^there is no template 'frist'; did you mean first\?$"):
        read_library([banks]).template("frist")


def test_one_file_is_read_with_the_circuits_of_its_bank() -> None:
    template = read_template_file(BENCH / "dividers" / "loaded-divider.yaml")
    assert template.network is not None
    assert [part.reference for part in template.network.parts] == ["V1", "R1", "R2", "RL"]
    assert template.bank == "bench"


def test_one_faulty_file_tells_its_faults(tmp_path: Path) -> None:
    write(tmp_path, {"one/samples/broken.yaml": HEAD})
    with pytest.raises(FaultyFileError) as caught:
        read_template_file(tmp_path / "one/samples/broken.yaml")
    assert str(caught.value) == (
        "broken.yaml:1: ask: it is missing; give it\nbroken.yaml:1: text: it is missing; give it"
    )


# -- shared circuits -------------------------------------------------------------------------------------------------
def test_a_shared_circuit_gives_its_parts(banks: Path) -> None:
    write(banks, {"one/circuits/good.yaml": "circuit: good\nparts: {R1: {kind: resistor, nodes: [a, 0]}}\n"})
    circuits = Circuits(banks / "one" / "circuits")
    assert circuits.names() == ("divider", "good")
    assert circuits("good") == {"R1": {"kind": "resistor", "nodes": ["a", "0"]}}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("circuit: bad\n", "circuits/bad.yaml: it has no `parts:`"),
        ("- a\n", "circuits/bad.yaml: it has no `parts:`"),
        ("parts: [a\n", "circuits/bad.yaml:2: "),
    ],
)
def test_a_shared_circuit_that_is_none_says_why(banks: Path, text: str, message: str) -> None:
    write(banks, {"one/circuits/bad.yaml": text})
    with pytest.raises(CircuitError) as caught:
        Circuits(banks / "one" / "circuits")("bad")
    assert str(caught.value).startswith(message)


@pytest.mark.parametrize("name", ["../secret", "/etc/passwd", "..", ""])
def test_a_circuit_is_looked_for_in_its_folder_only(banks: Path, name: str) -> None:
    write(banks, {"one/secret.yaml": "parts: {}\n"})
    with pytest.raises(CircuitError, match="there is no circuit"):
        Circuits(banks / "one" / "circuits")(name)
