"""The case file: every spelling kept, refused in words, replaced in one step."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.case.file import case_bytes, parse_case, read_case, write_case
from engcalc.case.text import FORMAT, CaseText, Number
from engcalc.errors import FileFault, InputError

HEAD = '{"format": "heatdocket-case/1"'


def test_spelling_order_and_unknown_keys_survive(tmp_path: Path) -> None:
    data = (
        HEAD + ', "zeta": {"b": 1.50, "a": -0.0e1}, "coolant": {"volume": "6,0 L"}, "duties": [{"grade": 0.050}]}'
    ).encode()
    case = parse_case(data)
    write_case(case, tmp_path / "a.heatcase.json")
    again = read_case(tmp_path / "a.heatcase.json")
    assert again == case
    assert b"1.50" in case_bytes(again)
    assert b"-0.0e1" in case_bytes(again)
    assert list(again.tree) == ["format", "zeta", "coolant", "duties"]
    assert case_bytes(parse_case(case_bytes(case))) == case_bytes(case)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "not JSON"),
        (b"{", "line 1"),
        (b"[]", "one JSON object"),
        (b"{}", "should read"),
        (b'{"format": 3}', "should read"),
        (b'{"format": "heatdocket-case/2"}', "newer program"),
        (b'{"format": "other/1"}', "should read"),
        (b"\xff\xfe", "not UTF-8"),
        ((HEAD + ', "x": NaN}').encode(), "finite"),
        ((HEAD + ', "x": ' + "[" * 5000).encode(), "nested|JSON"),
        ((HEAD + ', "x": ' + "[" * 60 + "]" * 60 + "}").encode(), "nested"),
        ((HEAD + ', "a": 1, "a": 2}').encode(), "twice"),
    ],
)
def test_what_is_no_case_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        parse_case(data)


def test_missing_folder_and_oversized_files_are_refused(tmp_path: Path) -> None:
    with pytest.raises(FileFault, match="cannot be read"):
        read_case(tmp_path / "none.heatcase.json")
    with pytest.raises(FileFault, match="cannot be read"):
        read_case(tmp_path)
    big = tmp_path / "big"
    big.write_bytes(b" " * (17 * 1024 * 1024))
    with pytest.raises(FileFault, match="at most"):
        read_case(big)
    with pytest.raises(FileFault, match="cannot be written"):
        write_case(CaseText(), tmp_path / "no" / "where.heatcase.json")


def test_a_failed_write_leaves_the_old_file_and_nothing_beside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.heatcase.json"
    write_case(CaseText(), path)
    before = path.read_bytes()

    def refuse(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("engcalc.case.file.os.fsync", refuse)
    with pytest.raises(FileFault, match="No space left"):
        write_case(CaseText().with_value("job.title", "x"), path)
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.text()
    | st.from_regex(r"-?(0|[1-9][0-9]{0,5})(\.[0-9]{1,4})?", fullmatch=True).map(Number),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=20,
)


@given(st.dictionaries(st.text().filter(lambda k: k != "format"), VALUES, max_size=6))
def test_any_tree_survives_the_file(tree: dict[str, Any]) -> None:
    case = CaseText({"format": FORMAT, **tree})
    assert parse_case(case_bytes(case)) == case
    json.loads(case_bytes(case))


@given(
    st.sampled_from(["job.title", "duties[0].grade", "radiator.core_height", "evidence.before.spots[0].value"]),
    st.text(min_size=1, max_size=20),
)
def test_an_edit_leaves_the_old_text_as_it_was(path: str, typed: str) -> None:
    old = CaseText({"format": FORMAT, "duties": [{"grade": Number("0.050")}]})
    new = old.with_typed(path, typed)
    assert new.typed(path) == typed
    assert old.typed("duties[0].grade") == "0.050"
    assert new.with_typed(path, "").typed(path) == ""


def test_an_edit_keeps_basis_and_uncertainty_and_lists_take_and_lose_items() -> None:
    case = CaseText().with_value("engine.rated_power", {"value": "90 kW", "basis": "measured"})
    assert case.with_typed("engine.rated_power", "95 kW").get("engine.rated_power") == {
        "value": "95 kW",
        "basis": "measured",
    }
    twice = case.with_item("duties", 0, {"name": "b"}).with_item("duties", 0, {"name": "a"})
    assert [d["name"] for d in twice.get("duties")] == ["a", "b"]
    assert [d["name"] for d in twice.without_item("duties", 0).get("duties")] == ["b"]
    with pytest.raises(InputError, match="the list has 2 items"):
        twice.with_value("duties[5].name", "c")


def test_a_case_that_was_not_changed_keeps_its_bytes() -> None:
    data = b'{"vehicle":{"mass":"1450 kg"},\r\n "format":"heatdocket-case/1"}'
    case = parse_case(data)
    assert case_bytes(case) == data
    changed = case.with_typed("vehicle.mass", "1500 kg")
    assert b"1500 kg" in case_bytes(changed)
    assert case_bytes(changed.with_typed("vehicle.mass", "1450 kg")).startswith(b"{\n")
    assert changed.with_typed("vehicle.mass", "1450 kg") == case
