"""Trouble codes: published titles, spellings, codes nobody listed, and texts that are none."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.words.diagnosis.codes import CODES, SUBSTITUTE, TitleOrigin, code_sentences, trouble_code

# SAE J2012 wording, as open code lists transcribe it (python-OBD 0.7.3, obd/codes.py)
TITLES = {
    "P0115": "Engine Coolant Temperature Circuit",
    "P0118": "Engine Coolant Temperature Circuit High",
    "P0125": "Insufficient Coolant Temperature for Closed Loop Fuel Control",
    "P0126": "Insufficient Coolant Temperature for Stable Operation",
    "P0128": "Coolant Thermostat (Coolant Temperature Below Thermostat Regulating Temperature)",
    "P0217": "Engine Coolant Over Temperature Condition",
    "P0483": "Fan Rationality Check",
    "P2181": "Cooling System Performance",
    "P2560": "Engine Coolant Level Low",
}


@pytest.mark.parametrize("code", TITLES)
def test_published_titles(code: str) -> None:
    found = trouble_code(code)
    assert (found.title, found.origin) == (TITLES[code], TitleOrigin.TRANSCRIBED)


@pytest.mark.parametrize(
    "text", ["p0128", " P0128 ", "P0128-00", "P0128 (pending)", "P 0128", "P0128 00", "P0128: stored", "P0128\n"]
)
def test_spellings(text: str) -> None:
    assert trouble_code(text) is CODES["P0128"]


@pytest.mark.parametrize("code", ["P0115", "P0116", "P0117", "P0118", "P0119"])
def test_circuit_codes_warn_that_the_reading_may_be_a_substitute(code: str) -> None:
    assert SUBSTITUTE in trouble_code(code).says


def test_only_circuit_codes_discredit_the_sensor() -> None:
    assert {c for c, entry in CODES.items() if SUBSTITUTE in entry.says} == {f"P011{i}" for i in range(5, 10)}


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("P0420", "not one of the cooling codes"),
        ("P1299", "maker's own"),
        ("P3001", "maker's own"),
        ("U0100", "network"),
        ("B1342", "maker's own"),
    ],
)
def test_codes_that_are_not_in_the_list(code: str, words: str) -> None:
    found = trouble_code(code)
    assert (found.code, found.known, found.causes) == (code, False, ())
    assert words in found.says


@pytest.mark.parametrize("text", ["", "P01", "overheats", "X0128", "0128"])
def test_what_is_no_code(text: str) -> None:
    assert not trouble_code(text).known
    assert "does not read as a trouble code" in trouble_code(text).says


def test_every_entry_says_something_and_points_to_known_causes() -> None:
    for code, entry in CODES.items():
        assert entry.code == code
        assert entry.title
        assert entry.says.endswith(".")
        assert set(entry.causes) <= set(CAUSES) - {"not_in_list"}
        assert len(set(entry.causes)) == len(entry.causes)


@given(st.text(max_size=300))
def test_any_text_is_answered(text: str) -> None:
    found = trouble_code(text)
    assert found.says
    assert len(found.code) <= 60


def test_the_codes_of_a_case_are_told_once_each_with_their_titles() -> None:
    noted = {"before": {"codes": ["P0128", "p0128 (pending)", "P9999"]}, "after": {"codes": ["P0128"]}}
    case = resolve(CaseText({"format": FORMAT, "evidence": noted}))
    assert isinstance(case, Case)
    told = code_sentences(case)
    assert len(told) == 2
    assert told[0].startswith(f"P0128, {TITLES['P0128']}: ")
    assert told[1].startswith("P9999: ")
