"""Odds in words, the table of results, cautions and glossary."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.declare import Basis
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.quantity_kinds import KINDS
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.system.state import Regime, Status
from engcalc.units import UnitSystem
from engcalc.verdict import Verdict
from engcalc.words.answer.results import BY_KEY, RESULTS
from engcalc.words.page.cautions import ALL, CAUTIONS, Situation
from engcalc.words.terms.glossary import RESULT_WORDS, TERMS
from engcalc.words.terms.numbers import chance, difference, heat, minutes, share, span, temperature


@cache
def track() -> Check:
    case = resolve(read_case(Path(worked_examples.__file__).parent / "track-day-car.heatcase.json"))
    assert isinstance(case, Case)
    return check(case, members=20)


@pytest.mark.parametrize(
    ("p", "words"),
    [
        (1.0, "over 19 in 20"),
        (0.975, "over 19 in 20"),
        (0.974, "about 19 in 20"),
        (0.925, "about 19 in 20"),
        (0.924, "about 9 in 10"),
        (0.84, "about 8 in 10"),
        (0.5, "about 5 in 10"),
        (0.27, "about 3 in 10"),
        (0.075, "about 1 in 10"),
        (0.074, "about 1 in 20"),
        (0.025, "about 1 in 20"),
        (0.024, "under 1 in 20"),
        (0.0, "under 1 in 20"),
    ],
)
def test_odds_are_counted_in_tenths_and_at_the_ends_in_twentieths(p: float, words: str) -> None:
    assert chance(p) == words


def test_numbers_as_a_person_says_them() -> None:
    assert temperature(388.15, UnitSystem.SI) == "115 °C"
    assert temperature(388.15, UnitSystem.US) == "239 °F"
    assert temperature(273.0, UnitSystem.SI) == "0 °C"
    assert difference(-5.4, UnitSystem.SI) == "5 K"
    assert difference(0.2, UnitSystem.SI) == "less than 1 K"
    assert span(347.15, 361.15, UnitSystem.SI) == "74 to 88 °C"
    assert span(361.1, 361.2, UnitSystem.SI) == "88 °C"
    assert heat(77_735.0, UnitSystem.SI) == "78 kW"
    assert heat(1234.0, UnitSystem.SI) == "1.2 kW"
    assert heat(77_735.0, UnitSystem.US) == "265000 BTU/h"
    assert share(0.874) == "87 %"
    assert minutes(1800.0) == "30 min"
    assert minutes(40.0) == "40 s"


# keys that scripts rely on
PROMISED = {
    "fuel_power_W",
    "heat_to_coolant_W",
    "coolant_flow_kg_s",
    "radiator_flow_kg_s",
    "heater_flow_kg_s",
    "air_velocity_m_s",
    "coolant_out_degC",
    "radiator_out_degC",
    "coolant_rise_K",
    "thermostat_opening",
    "ntu",
    "capacity_ratio",
    "effectiveness",
    "ua_W_K",
    "radiator_heat_W",
    "heater_heat_W",
    "vent_degC",
    "boiling_degC",
    "margin_K",
    "air_to_boil_degC",
    "limiting_ambient_degC",
    "energy_residual_W",
}


def test_the_table_holds_every_promised_key_once_and_explains_each() -> None:
    keys = [row.key for row in RESULTS]
    assert len(keys) == len(set(keys))
    assert set(keys) >= PROMISED
    assert set(RESULT_WORDS) == set(keys)
    assert len({row.label for row in RESULTS}) == len(RESULTS)
    assert all(row.kind in KINDS for row in RESULTS)


def test_getters_give_finite_numbers_in_SI() -> None:
    for duty in track().duties:
        for row in RESULTS:
            value = row.getter(duty)
            assert value is None or math.isfinite(value), row.key
    lap = track().duties[2]
    assert BY_KEY["coolant_out_degC"].getter(lap) == pytest.approx(float(lap.point.coolant_out[0]))
    # heat given off = effectiveness x smaller capacity rate x inlet difference, from the table's own numbers
    NTU, UA = (BY_KEY[k].getter(lap) for k in ("ntu", "ua_W_K"))
    assert NTU is not None
    assert UA is not None
    ITD = lap.point.coolant_out[0] - lap.point.air_in[0]
    expected = BY_KEY["effectiveness"].getter(lap) * UA / NTU * ITD
    assert BY_KEY["radiator_heat_W"].getter(lap) == pytest.approx(expected, rel=1e-6)


def test_cautions_stand_for_every_situation() -> None:
    assert set(CAUTIONS) == set(Situation)
    assert all(CAUTIONS[s] for s in Situation)
    assert sum(len(c) for c in CAUTIONS.values()) == len(ALL) == len({c.key for c in ALL})
    for words in (
        "hot",
        "cold water",
        "belts",
        "fans",
        "high voltage",
        "exhaust",
        "poison",
        "waste",
        "combustion gas",
        "colour",
        "chock",
        "torque",
        "bleed",
        "local rules",
        "licensed",
    ):
        assert any(words in c.text.casefold() for c in ALL), words


def test_every_word_that_a_person_meets_is_explained() -> None:
    words = [
        *(v.value for v in Verdict),
        *(r.value for r in Regime if r is not Regime.NONE),
        *(b.value for b in Basis),
        Status.BOILS.value,
    ]
    assert [w for w in words if w not in TERMS] == []


def test_there_is_one_glossary_and_a_term_that_names_a_result_says_the_same() -> None:
    results = {row.label.casefold(): RESULT_WORDS[row.key] for row in RESULTS}
    twice = {term: words for term, words in TERMS.items() if term.casefold() in results}
    assert set(twice) == {"limiting ambient"}
    assert all(words == results[term] for term, words in twice.items())
    assert TERMS["air-to-boil"] == RESULT_WORDS["air_to_boil_degC"]
