"""Drafts: nothing overwritten, everything undone at will, nothing taken in half."""

from __future__ import annotations

import pytest

from tests.questions.authoring.drafts import divider
from tutor.bootstrap.club import Club
from tutor.circuits.source import LARGEST
from tutor.learning.drafts import Draft
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.records import Member
from tutor.learning.workshop.errors import EditClashError, ImportRefusedError, RoleError
from tutor.questions.authoring.writing import write_template


def test_of_two_trainers_on_one_draft_the_second_is_told_and_nothing_is_overwritten(
    club: Club, tom: Member, ines: Member, draft: Draft
) -> None:
    drafting = club.workshop.drafting
    saved = drafting.save(ines, draft.id, draft.version, divider(tolerance="3 %"), "tolerance")
    with pytest.raises(EditClashError, match="Nothing was overwritten") as caught:
        drafting.save(tom, draft.id, draft.version, divider(tolerance="5 %"), "tolerance")
    assert caught.value.says == ("Ask v_tap, tolerance was given: “3 %”.",)
    assert drafting.draft(draft.id) == saved
    assert drafting.draft(draft.id).changed_by == ines.id


def test_saving_what_is_there_already_makes_no_version(club: Club, tom: Member, draft: Draft) -> None:
    assert club.workshop.drafting.save(tom, draft.id, draft.version, divider(), "again") == draft


def test_the_order_of_asks_counts_as_a_change(club: Club, tom: Member, draft: Draft) -> None:
    data = divider()
    data["ask"] = {"other": {"text": "?", "of circuit": {"current": "RL"}}} | data["ask"]
    two = club.workshop.drafting.save(tom, draft.id, draft.version, data, "added")
    turned = data | {"ask": dict(reversed(list(data["ask"].items())))}
    assert club.workshop.drafting.save(tom, draft.id, two.version, turned, "turned").version == two.version + 1


def test_undo_goes_back_step_by_step_and_forgets_nothing(club: Club, tom: Member, draft: Draft) -> None:
    drafting = club.workshop.drafting
    second = drafting.save(tom, draft.id, draft.version, divider(tolerance="3 %"), "tolerance 3 %")
    third = drafting.save(tom, draft.id, second.version, divider(tolerance="5 %"), "tolerance 5 %")
    back = drafting.undo(tom, draft.id, third.version)
    assert back.data == second.data
    further = drafting.undo(tom, draft.id, back.version)
    assert further.data == draft.data
    says = [version.says for version in drafting.history(draft.id)]
    assert says[:3] == ["undone: tolerance 5 %", "undone: tolerance 5 %", "tolerance 5 %"] or says[0].startswith(
        "undone"
    )
    blank = drafting.undo(tom, draft.id, further.version)
    assert "ask" not in blank.data
    with pytest.raises(ClosedError, match="nothing left to undo"):
        drafting.undo(tom, draft.id, blank.version)
    again = drafting.bring_back(tom, draft.id, blank.version, third.version)
    assert again.data == third.data


def test_the_history_says_who_changed_what_and_when(club: Club, tom: Member, ines: Member, draft: Draft) -> None:
    club.workshop.drafting.save(ines, draft.id, draft.version, divider(tolerance="3 %"), "tolerance")
    found = [(version.by, version.says) for version in club.workshop.drafting.history(draft.id)]
    assert found == [(ines.id, "tolerance"), (tom.id, "filled in"), (tom.id, "begun")]


def test_the_trash_is_emptied_by_the_organiser_alone(club: Club, tom: Member, ada: Member, draft: Draft) -> None:
    drafting = club.workshop.drafting
    drafting.put_into_trash(draft.id)
    assert [found.id for found in drafting.trash()] == [draft.id]
    with pytest.raises(UnknownError):
        drafting.draft(draft.id)
    with pytest.raises(RoleError, match="Only the organiser"):
        drafting.empty_trash(tom)
    drafting.take_out_of_trash(draft.id)
    assert drafting.empty_trash(ada) == 0
    drafting.put_into_trash(draft.id)
    assert drafting.empty_trash(ada) == 1
    assert drafting.trash() == []


def test_a_draft_in_the_trash_cannot_be_changed(club: Club, tom: Member, draft: Draft) -> None:
    club.workshop.drafting.put_into_trash(draft.id)
    with pytest.raises(UnknownError):
        club.workshop.drafting.save(tom, draft.id, draft.version, divider(tolerance="3 %"), "late")


def test_a_copy_of_a_template_on_the_shelf_holds_its_circuit(club: Club, tom: Member) -> None:
    copy = club.workshop.drafting.begin_from(tom, "loaded-divider")
    assert copy.origin == "loaded-divider"
    assert isinstance(copy.data["circuit"], dict)
    assert club.workshop.drafting.reading(copy).template is not None


def test_a_circuit_of_the_library_comes_with_its_values(club: Club, tom: Member) -> None:
    begun = club.workshop.drafting.begin_with_circuit(tom, "loaded-divider", "Another question")
    assert "ask" not in begun.data
    assert club.workshop.drafting.bench(begun).sound


# -- taking in -------------------------------------------------------------------------------------------------------
def test_a_file_with_a_taken_name_is_renamed_and_the_trainer_told(club: Club, tom: Member) -> None:
    draft, says = club.workshop.drafting.take_in(tom, write_template(divider() | {"template": "loaded-divider"}))
    assert draft.name == "loaded-divider-2"
    assert says == "The key 'loaded-divider' is taken here, so this one is called 'loaded-divider-2'."


def test_what_is_exported_is_taken_in_with_the_same_release(club: Club, tom: Member, draft: Draft) -> None:
    before = club.workshop.drafting.reading(draft).template
    text = write_template(draft.data)
    club.workshop.drafting.put_into_trash(draft.id)
    again, says = club.workshop.drafting.take_in(tom, text)
    after = club.workshop.drafting.reading(again).template
    assert before is not None
    assert after is not None
    assert (after.release, says, write_template(again.data)) == (before.release, "", text)


BOMB = "a: &a [x, x, x, x, x, x, x, x]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a]\nc: [*b, *b, *b, *b, *b, *b, *b, *b]\n"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "a template file begins with"),
        ("- a\n- b\n", "a template file begins with"),
        ("PK\x03\x04", "check the indentation"),
        (BOMB, "anchors and aliases are not used here"),
        ("title: [" * 40, "nested deeper than 30"),
        ("x: " + "y" * (LARGEST + 1), "are the most that is read"),
        ("template: x\ntemplate: y\n", "this key is given twice"),
        (write_template(divider(formula="V1*Q")), "no value has this name"),
        (write_template(divider() | {"circuit": "from-elsewhere"}), "there is no circuit 'from-elsewhere' here"),
        (write_template(divider() | {"script": "<script>"}), "unknown key"),
        ("!!python/object/apply:os.system ['true']", "the tag"),
    ],
)
def test_what_cannot_be_taken_in_is_refused_with_words_and_nothing_is_kept(
    club: Club, tom: Member, text: str, says: str
) -> None:
    with pytest.raises(ImportRefusedError) as caught:
        club.workshop.drafting.take_in(tom, text)
    assert any(says in fault.message for fault in caught.value.faults), caught.value.faults
    assert club.workshop.drafting.drafts() == []


def test_a_draft_that_grows_beyond_a_file_is_refused(club: Club, tom: Member, draft: Draft) -> None:
    with pytest.raises(ClosedError, match="256 KiB at the most"):
        club.workshop.drafting.save(tom, draft.id, draft.version, divider(text="y" * (LARGEST + 1)), "too much")
