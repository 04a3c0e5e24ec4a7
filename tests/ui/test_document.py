"""The document: undo without end, nothing typed is lost, saving keeps every spelling."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import Faults
from engcalc.case.text import FORMAT, CaseText, Number
from engcalc.errors import FileFault
from ui.document import Document, TextChange, label_of

PATHS = (
    "radiator.core_height",
    "radiator.core_width",
    "engine.fuel",
    "job.complaint",
    "vehicle.mass",
    "duties[0].grade",
    "duties[0].name",
    "evidence.before.ambient",
)

texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=12)
edits = st.one_of(
    st.tuples(st.just("edit"), st.sampled_from(PATHS), texts),
    st.tuples(st.just("extra"), st.sampled_from(PATHS[:2]), texts),
    st.tuples(st.just("insert"), st.just("duties"), texts),
    st.tuples(st.just("remove"), st.just("duties"), texts),
    st.tuples(st.just("move"), st.just("duties"), texts),
    st.tuples(st.just("end"), st.just(""), texts),
)


def apply(document: Document, kind: str, path: str, text: str) -> None:
    count = len(document.text.get("duties") or [])
    if kind == "edit":
        document.edit(path, text)
    elif kind == "extra":
        document.edit_extra(path, basis=text[:3], uncertainty=text[3:])
    elif kind == "insert":
        document.insert_item(path, len(text) % (count + 1), {"name": text})
    elif kind == "remove" and count:
        document.remove_item(path, len(text) % count)
    elif kind == "move" and count:
        document.move_item(path, len(text) % count, 0)
    elif kind == "end":
        document.end_step()


@given(st.lists(edits, max_size=25))
def test_undo_gives_back_every_text_and_redo_goes_the_same_way(steps):
    document = Document(CaseText({"format": FORMAT, "duties": [{"name": "Idle"}]}))
    start = document.text
    for step in steps:
        apply(document, *step)
    end = document.text
    seen = [end]
    while document.undo_name is not None:
        document.undo()
        seen.append(document.text)
    assert document.text == start
    assert not document.dirty
    for text in reversed(seen[:-1]):
        document.redo()
        assert document.text == text
    assert document.redo_name is None
    assert document.text == end


@given(st.lists(edits, max_size=12))
def test_what_is_saved_is_read_back_and_is_no_longer_dirty(tmp_path_factory, steps):
    path = tmp_path_factory.mktemp("case") / "a.heatcase.json"
    document = Document()
    for step in steps:
        apply(document, *step)
    document.save(path)
    assert not document.dirty
    assert read_case(path) == document.text
    assert Document.read(path).text == document.text


def test_edits_of_one_field_are_one_step_until_the_field_is_left():
    document = Document()
    for typed in ("3", "38", "380", "380 mm"):
        document.edit("radiator.core_height", typed)
    assert document.undo_name == "Change Core height"
    document.end_step()
    document.edit("radiator.core_height", "390 mm")
    document.edit("radiator.core_width", "500 mm")
    document.undo()
    document.undo()
    assert document.text.typed("radiator.core_height") == "380 mm"
    document.undo()
    assert document.text == CaseText()
    assert document.redo_name == "Change Core height"


def test_a_new_edit_forgets_what_was_taken_back():
    document = Document()
    document.edit("engine.fuel", "diesel")
    document.undo()
    document.edit("engine.fuel", "LPG")
    assert document.redo_name is None


def test_clearing_a_field_leaves_no_trace_in_the_file():
    document = Document()
    document.edit("radiator.core_height", "380 mm")
    document.end_step()
    document.edit("radiator.core_height", "")
    assert document.text == CaseText()
    assert not document.dirty


def test_retyping_a_value_keeps_its_basis():
    measured = {"value": "380 mm", "basis": "measured"}
    document = Document(CaseText({"format": FORMAT, "radiator": {"core_height": measured}}))
    for typed in ("38", "", "4", "400 mm"):
        document.edit("radiator.core_height", typed)
    assert document.text.get("radiator.core_height") == {"value": "400 mm", "basis": "measured"}


def test_basis_and_uncertainty_come_and_go():
    document = Document()
    document.edit("vehicle.mass", "1500 kg")
    document.edit_extra("vehicle.mass", basis="measured", uncertainty="20 kg")
    assert document.text.get("vehicle.mass") == {"value": "1500 kg", "basis": "measured", "uncertainty": "20 kg"}
    case = document.resolve()
    assert isinstance(case, Case)
    assert case.given["vehicle.mass"].uncertainty == pytest.approx(20.0)  # kg, as typed
    document.edit_extra("vehicle.mass", basis="", uncertainty="")
    assert document.text.get("vehicle.mass") == "1500 kg"


def test_wrong_text_is_kept_as_typed_and_the_last_good_case_stays(tmp_path):
    document = Document()
    good = document.good
    document.edit("radiator.core_height", "9**9**9 m")
    answer = document.resolve()
    assert isinstance(answer, Faults)
    assert [fault.path for fault in document.faults] == ["radiator.core_height"]
    assert document.good is good
    document.save(tmp_path / "wrong.heatcase.json")
    assert Document.read(tmp_path / "wrong.heatcase.json").text.typed("radiator.core_height") == "9**9**9 m"


def test_numbers_keep_their_spelling_through_edit_and_save(tmp_path):
    radiator = {"tube_rows": Number("1.50"), "unknown key": [1, None]}
    document = Document(CaseText({"format": FORMAT, "radiator": radiator}))
    document.edit("vehicle.mass", "1500 kg")
    document.save(tmp_path / "a.heatcase.json")
    assert '"tube_rows": 1.50' in (tmp_path / "a.heatcase.json").read_text(encoding="utf-8")
    assert Document.read(tmp_path / "a.heatcase.json").text.get("radiator.unknown key") == ["1", None]


def test_a_fault_that_stand_in_duties_repeat_is_named_once():
    document = Document()
    document.edit("evidence.before.ambient", "400 degC")
    assert [fault.path for fault in document.faults] == ["evidence.before.ambient"]


def test_listeners_hear_of_each_change_until_they_leave():
    document, heard = Document(), []
    leave = document.subscribe(heard.append)
    document.edit("engine.fuel", "diesel")
    document.insert_item("duties", 0, {"name": "Idle"})
    document.undo()
    leave()
    document.undo()
    assert heard == [TextChange("engine.fuel", False), TextChange("duties", True), TextChange("duties", True)]


def test_saving_without_a_place_or_into_nowhere_says_so(tmp_path):
    document = Document()
    with pytest.raises(FileFault, match="choose where"):
        document.save()
    with pytest.raises(FileFault, match="cannot be written"):
        document.save(tmp_path / "no folder" / "a.heatcase.json")
    assert document.path is None


@pytest.mark.parametrize(
    ("path", "label"),
    [
        ("radiator.core_height", "Core height"),
        ("duties[1].grade", "Grade"),
        ("duties", "Duties"),
        ("evidence.before.seen.level_low", "Seen or not seen"),
        ("evidence.before.curve[2][1]", "Minutes and coolant temperature"),
    ],
)
def test_steps_are_named_by_their_labels(path, label):
    assert label_of(path) == label
