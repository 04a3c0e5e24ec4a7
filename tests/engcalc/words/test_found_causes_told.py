"""A fault that was looked at and found is told as found; odds are told of what else there may be."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.found_causes import _FOUND, found_causes
from engcalc.diagnosis.checks.hand_checks import LEVEL
from engcalc.diagnosis.checks.next_check import CheckValue
from engcalc.diagnosis.odds.diagnosis import CauseOdds, Diagnosis, EarlyOdds, EvidenceWeight, Group, Stage, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.causes import (
    Leaning,
    cause_notes,
    early_sentences,
    evidence_between,
    evidence_sentence,
    leaning,
    rank_words,
)
from engcalc.words.diagnosis.causes_told import (
    LIKELY,
    check_heading,
    customer_lines,
    diagnosis_lines,
    evidence_row,
    known_causes,
    leans,
    named_causes,
    next_by_odds,
    odds_lines,
    offered_checks,
    part_checks,
    told_groups,
)

LITTLE = Effort(prior=16, steps=1, first=8, round=60, rounds=1)
SI = UnitSystem.SI


def case_of(*, ambient: str = "-6 degC", driving: str = "town", reason: str = "no heat", **seen: bool) -> Case:
    record = {
        "ambient": ambient,
        "heater_setting": "high",
        "driving": driving,
        "engine_off_phases": "no",
        "spots": [{"what": "coolant", "at": "20 min", "value": "55 degC", "instrument": "scan_tool"}],
        "seen": seen,
    }
    tree = {
        "format": FORMAT,
        "vehicle": {"class": "family car"},
        "job": {"reason": reason},
        "evidence": {"before": record},
    }
    case = resolve(CaseText(tree))
    assert isinstance(case, Case), case
    return case


@cache
def diagnosed() -> Diagnosis:
    return diagnose(case_of(thermostat_open_when_cold=True, level_low=False), {}, effort=LITTLE)


def test_what_is_missing_of_the_coolant_is_told_once() -> None:
    """A low level and a leak that were both found are missing one share, and no two ranges are told of it."""
    found = diagnose(case_of(level_low=True, coolant_leak=True), {}, effort=LITTLE)
    assert {c.fault for c in known_causes(found)} == {"low_coolant", "external_leak"}
    told = odds_lines(found, SI)
    of_share = [line for line in told if "share of the coolant missing" in line]
    assert len(of_share) == 1
    assert of_share[0].startswith("Found: the coolant is low.")


def test_the_first_line_leads_and_no_other() -> None:
    """As the paper says it: a leader was called likely in the window and most likely on the paper."""
    found = diagnose(case_of(), {}, effort=LITTLE)
    first, *others = odds_lines(found, SI)
    assert rank_words(found.best.probability, leads=True) in first
    assert not any("most likely" in line or "first among several" in line for line in others)


def test_a_thermostat_in_the_hand_is_found_and_has_no_odds() -> None:
    found = diagnosed()
    assert [c.fault for c in known_causes(found)] == ["thermostat_stuck_open"]
    first, *others = odds_lines(found, SI)
    assert first.startswith("Found: the thermostat is stuck open. ")
    assert "in 10" not in first
    assert "in 20" not in first
    assert "If so" not in first
    assert not any("the thermostat is stuck open" in line for line in others)
    assert not any("most likely" in line or "first among" in line for line in others)
    assert customer_lines(found) == ("Found: the thermostat is stuck open.",)


def test_what_was_found_is_never_grouped_nor_asked_for_again() -> None:
    found = diagnosed()
    group = Group(("thermostat_stuck_open", "thermostat_missing"), 0.6, None)
    unsure = replace(found, groups=(group,))
    assert told_groups(unsure) == []
    told = "\n".join(diagnosis_lines(found, SI))
    assert "take it out cold" not in told.lower()
    assert [c.key for c in part_checks(found)] == ["thermostat_seat_and_seal"]
    offered = offered_checks(found, after_another=True)
    assert offered[0].key == "thermostat_seat_and_seal"
    assert "The fault is found" in offered[0].why
    assert not any("whatever the odds" in check.why for check in offered)


def test_a_part_that_was_looked_at_is_not_asked_for_again() -> None:
    """The fan that stands still is found; its fuse was looked at, blown or not. The switch is still to be tried."""
    odds = tuple(
        CauseOdds(key, share, 0.0, (), 50.0, 0.0) for key, share in (("fan_not_running", 0.9), ("healthy", 0.1))
    )
    for fuse in (True, False):
        case = case_of(fan_runs_when_hot=False, fan_fuse_good=fuse)
        found = replace(diagnosed(), case=case, causes=odds, groups=())
        assert [c.key for c in part_checks(found)] == ["fan_relay", "fan_motor", "fan_switch"]
        assert "fan_fuse" not in [check.key for check in offered_checks(found, after_another=True)]


def test_a_second_fault_beside_the_one_found_has_the_odds_of_the_pair() -> None:
    found = diagnosed()
    pair = CauseOdds("thermostat_stuck_open+low_coolant", 0.3, 0.0, (), 50.0, 0.0)
    with_pair = replace(found, causes=(*found.causes[:1], pair, *found.causes[1:]))
    assert any(
        line.startswith("Besides it, the coolant is low: possible, about 3 in 10") for line in odds_lines(with_pair, SI)
    )


def test_early_odds_say_found_too() -> None:
    odds = EarlyOdds(Stage.FIRST, (("thermostat_stuck_open", 0.9), ("low_coolant", 0.06), ("healthy", 0.04)))
    said = early_sentences(odds, ("thermostat_stuck_open",))
    assert said == [
        "Found: the thermostat is stuck open.",
        "The 2 other causes together: about 1 in 10.",
    ]
    assert early_sentences(odds)[0].startswith("The thermostat is stuck open: most likely")


@pytest.mark.parametrize(("told", "causes"), list(_FOUND.items()))
def test_what_a_look_finds_are_causes_of_the_catalogue(told: tuple[str, bool], causes: tuple[str, ...]) -> None:
    fact, answer = told
    assert set(causes) <= set(CAUSES)
    assert found_causes(case_of(**{fact: answer}), "before") == causes
    assert found_causes(case_of(**{fact: not answer}), "before") == ()
    assert found_causes(case_of(**{fact: answer}), "after") == ()


# ---- notes and evidence ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ambient", "driving", "told"),
    [
        ("-6 degC", "idling", True),
        ("-0.1 degC", "idling", True),
        ("0 degC", "idling", False),
        ("33 degC", "idling", False),
        ("-6 degC", "motorway", False),
    ],
)
def test_the_note_on_idling_in_frost_stands_where_it_idled_in_frost(ambient: str, driving: str, told: bool) -> None:
    case = case_of(ambient=ambient, driving=driving)
    assert bool(cause_notes("healthy", case, case.evidence.before)) is told


def test_what_is_not_simulated_and_the_checks_stand_with_the_cause() -> None:
    case = case_of()
    assert "The odds leave out: where the air gathers." in cause_notes("low_coolant", case, case.evidence.before)
    found = diagnosed()
    others = [
        c for c in named_causes(found) if c not in known_causes(found) and c.fault not in ("healthy", "not_in_list")
    ]
    for cause, line in zip(named_causes(found), odds_lines(found, SI), strict=False):
        if cause in others:
            assert "Checks that tell it: " in line


def item(
    measured: float, healthy: float, best: float, to_healthy: float, kind: str = "temperature", off: float = 0.0
) -> EvidenceWeight:
    """A piece of evidence; ``off``: how far the draws of the likeliest cause lie apart from their mean."""
    between = (best - off, best + off)
    return EvidenceWeight("spots[0]", "coolant", measured, healthy, best, between, kind, to_healthy, to_healthy)


K = 273.15


@pytest.mark.parametrize(
    ("piece", "way", "strength"),
    [
        (item(K + 36, K + 88, K + 37, 4.0), Leaning.FOR, "strongly "),
        (item(K + 36, K + 88, K + 37, 1.0), Leaning.FOR, "a little "),
        (item(K + 36, K + 88, K + 37, -2.0), Leaning.WITH_OTHERS, ""),
        (item(K + 80, K + 88, K + 37, -2.0), Leaning.AGAINST, ""),
        (item(K + 80, K + 88, K + 37, 2.0), Leaning.WITH_OTHERS, ""),
        (item(K + 80, K + 88, K + 37, 0.4), Leaning.NEITHER, ""),
        (item(K + 79, K + 80, K + 31, 2.0, off=30.0), Leaning.WITH_OTHERS, ""),  # 18 K out of its draws
        (item(K + 62, K + 80, K + 31, 2.0, off=30.0), Leaning.FOR, ""),  # 1 K out of them, and 18 K off health
        (item(K + 62, K + 80, K + 31, -2.0, off=31.5), Leaning.AGAINST, ""),  # nearer to health than to most of them
        (item(1.0, 0.1, 0.9, 3.0, "seen"), Leaning.FOR, ""),
        (item(1.0, 0.9, 0.1, 2.0, "seen"), Leaning.WITH_OTHERS, ""),
        (item(0.0, 0.9, 0.1, 2.0, "seen"), Leaning.FOR, ""),
    ],
)
def test_no_row_goes_against_the_numbers_that_it_shows(piece: EvidenceWeight, way: Leaning, strength: str) -> None:
    assert leaning(piece, "thermostat_stuck_open") == (strength, way)
    said = evidence_sentence(piece, "thermostat_stuck_open")
    assert ("against the likeliest" in said) is (way is Leaning.AGAINST)
    assert ("for the likeliest cause" in said) is (way is Leaning.FOR)
    assert (
        leans(piece, "thermostat_stuck_open")
        == {
            Leaning.FOR: f"{strength}for it",
            Leaning.AGAINST: f"{strength}against it",
            Leaning.NEITHER: "hardly either way",
            Leaning.WITH_OTHERS: "only with the others",
        }[way]
    )


def test_the_likeliest_cause_is_told_by_the_range_of_its_draws() -> None:
    wide = item(K + 62, K + 83, K + 31, 2.0, off=33.0)
    assert "62 °C; the nearest healthy vehicle would show about 83 °C, the likeliest cause -2 to 64 °C." in (
        evidence_sentence(wide, "thermostat_stuck_open")
    )
    assert evidence_row(wide, "thermostat_stuck_open", SI)[1:4] == ("62 °C", "83 °C", "-2 to 64 °C")
    assert evidence_between(wide, UnitSystem.US) == "28 to 147 °F"
    assert evidence_between(item(K + 62, K + 83, K + 31, 2.0, off=0.2)) == "31 °C"
    assert evidence_between(item(2.0, 0.0, 5.0, 2.0, "temperature difference", off=3.0)) == "2 to 8 K"
    assert evidence_row(item(1.0, 0.1, 0.9, 3.0, "seen"), "thermostat_stuck_open", SI)[1:4] == (
        "yes",
        "yes, about 1 in 10",
        "yes, about 9 in 10",
    )
    assert evidence_row(item(0.0, 0.01, 0.99, 3.0, "seen"), "thermostat_stuck_open", SI)[1:4] == (
        "no",
        "no, nearly always",
        "yes, nearly always",
    )


@pytest.mark.parametrize(
    ("measured", "bits", "way"),
    [
        (K + 88, 2.0, Leaning.FOR),
        (K + 97.9, 2.0, Leaning.FOR),
        (K + 88, -2.0, Leaning.WITH_OTHERS),
        (K + 60, -2.0, Leaning.AGAINST),
    ],
)
def test_where_nothing_is_wrong_a_row_is_held_against_health(measured: float, bits: float, way: Leaning) -> None:
    assert leaning(item(measured, K + 88, K + 88, bits), "healthy")[1] is way


@pytest.mark.parametrize(
    ("healthy", "enough", "heading"),
    [(LIKELY, True, "To be surer"), (LIKELY - 0.01, True, "Next check"), (0.95, False, "Next check")],
)
def test_odds_that_nothing_is_wrong_ask_for_no_check(healthy: float, enough: bool, heading: str) -> None:
    plain = diagnosed()
    best = replace(next(c for c in plain.causes if c.fault == "healthy"), probability=healthy)
    others = tuple(replace(c, probability=0.0) for c in plain.causes if c.fault != "healthy")
    check = CheckValue(LEVEL, 0.1, 5.0, True)
    found = replace(plain, causes=(best, *others), next_checks=(check,), enough=enough)
    assert check_heading(found, after_another=False) == heading
    assert (next_by_odds(found) is None) is (heading == "To be surer")
    assert check_heading(found, after_another=True) == "After that"
    assert any(line.startswith(f"{heading}: ") for line in diagnosis_lines(found, SI))


def test_odds_that_read_the_same_are_called_the_same() -> None:
    """ "About 2 in 10" was "possible" for one cause and "less likely" for the next."""
    called: dict[str, set[str]] = {}
    for thousandths in range(1000):
        word, odds = rank_words(thousandths / 1000.0, leads=False).split(", ")
        called.setdefault(odds, set()).add(word)
    assert {odds: words for odds, words in called.items() if len(words) > 1} == {}
    assert called["about 2 in 10"] == {"possible"}
    assert called["about 1 in 10"] == {"less likely"}
    assert called["about 19 in 20"] == {"likely"}  # beside a fault that was found it was "possible, about 19 in 20"
