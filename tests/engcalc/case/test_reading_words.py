"""Readings in words: what a file may say, what the words stand for, and how likely each is in simulated vehicles.

A dash gauge's needle stands in its middle from about 75 to 105 degC: common practice. Skin hurts from 42 to 45 degC
on; 60 degC burns within 5 s (ASTM C1055, as quoted), 55 to 65 degC may be touched for less than 10 s (ECMA-287).
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from made_up_members import vehicle
from scipy import integrate, stats

from engcalc.case.case import Case
from engcalc.case.catalogue import describe
from engcalc.case.instruments import instrument_of
from engcalc.case.reading_words import GAUGE_MIDDLE, HELD, WORDS, word_of
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.evidence.observations import observed
from engcalc.diagnosis.evidence.sights import SeenItem
from engcalc.vehicle.run import run_of

HOSE_ERROR, HAND, GAUGE = 5.0, 4.0, 8.0  # K; of the model at a radiator hose; of a hand; of a dash gauge
SHARED = 3.0  # K; scale of the model's discrepancy


def resolved(**spot: Any) -> Case | Faults:
    return resolve(CaseText({"format": FORMAT, "evidence": {"before": {"driving": "town", "spots": [spot]}}}))


def case_of(**spot: Any) -> Case:
    found = resolved(**spot)
    assert isinstance(found, Case), found
    return found


def item_of(**spot: Any) -> SeenItem:
    (found,) = observed(run_of(case_of(**spot), "before", {})).sights
    assert isinstance(found, SeenItem)
    return found


@pytest.mark.parametrize(
    ("instrument", "typed", "word"),
    [
        ("dash_gauge", "quarter", "quarter"),
        ("dash gauge", "1/4", "quarter"),
        ("dash_gauge", " Just under  the middle", "just under the middle"),
        ("dash_gauge", "half", "middle"),
        ("dash_gauge", "3/4", "three quarters"),
        ("dash_gauge", "in the red", "red"),
        ("dash_gauge", "cold", "cold"),
    ],
)
def test_a_gauge_is_read_in_words_or_quarters(instrument: str, typed: str, word: str) -> None:
    found = case_of(what="coolant", at="20 min", value=typed, instrument=instrument)
    (spot,) = found.evidence.before.spots if found.evidence.before else ()
    assert spot.word == word
    assert found.given["evidence.before.spots[0].value"].text == word
    band = WORDS["dash_gauge"][word]
    assert band.low <= float(spot.value[0]) <= band.high  # what it stands for lies in its band


@pytest.mark.parametrize("what", HELD)
def test_a_hand_is_laid_where_it_can_be_laid(what: str) -> None:
    before = case_of(what=what, value="Too hot to hold", instrument="hand").evidence.before
    assert before is not None
    assert before.spots[0].word == "too hot to hold"


def test_a_number_of_a_gauge_stays_a_number() -> None:
    before = case_of(what="coolant", at="20 min", value="95 degC", instrument="dash_gauge").evidence.before
    assert before is not None
    assert before.spots[0].word is None


@pytest.mark.parametrize(
    ("spot", "path", "wanted"),
    [
        ({"value": "31 degC", "instrument": "hand"}, "value", "cold, warm, hot, too hot to hold"),
        ({"value": "sweaty", "instrument": "hand"}, "value", "cold, warm, hot, too hot to hold"),
        (
            {"what": "coolant", "value": "sweaty", "instrument": "dash_gauge"},
            "value",
            "cold, quarter, just under the middle, middle, three quarters, red",
        ),
        ({"value": "hot"}, "value", "this word goes with instrument hand"),
        ({"what": "coolant", "value": "warm", "instrument": "hand"}, "instrument", "a hand tells of upper_hose"),
        ({"value": "red", "instrument": "dash_gauge"}, "instrument", "a dash gauge shows the coolant"),
    ],
)
def test_other_words_are_faults_that_say_what_would_do(spot: dict[str, str], path: str, wanted: str) -> None:
    found = resolved(**{"what": "upper_hose", **spot})
    assert isinstance(found, Faults)
    (fault,) = found.faults
    assert fault.path == f"evidence.before.spots[0].{path}"
    assert wanted in fault.wanted


def test_the_bands_lie_edge_to_edge_and_their_edges_are_those_of_the_sources() -> None:
    for bands in WORDS.values():
        assert all(first.high == then.low for first, then in pairwise(bands.values()))
        assert all(word_of(name, band.word) == band.word for name, tool in WORDS.items() for band in tool.values())
    middle, hot, hold = WORDS["dash_gauge"]["middle"], WORDS["hand"]["hot"], WORDS["hand"]["too hot to hold"]
    assert (middle.low, middle.high) == GAUGE_MIDDLE == (348.15, 378.15)
    assert 42.0 <= hot.low - 273.15 <= 45.0
    assert 55.0 <= hold.low - 273.15 <= 60.0
    edges = [round(band.low - 273.15, 6) for bands in WORDS.values() for band in bands.values()]
    assert edges == [-np.inf, 50.0, 65.0, 75.0, 105.0, 115.0, -np.inf, 32.0, 44.0, 58.0]


TEMPERATURES = np.array([10.0, 36.0, 50.0, 63.0, 75.0, 90.0, 104.0, 120.0])


@pytest.mark.parametrize(("word", "low", "high"), [("cold", -np.inf, 32.0), ("warm", 32.0, 44.0), ("hot", 44.0, 58.0)])
def test_a_hands_word_is_the_integral_of_what_is_felt_over_its_band(word: str, low: float, high: float) -> None:
    """By numerical integration of the normal density; the outside of a hose is 5 K cooler than its coolant."""
    found = item_of(what="upper_hose", at="30 min", value=word, instrument="hand")
    members = vehicle({"upper_hose": [TEMPERATURES] * 4})
    soft = float(np.sqrt(HAND**2 + HOSE_ERROR**2 + (0.8 * SHARED) ** 2))
    wanted = [
        integrate.quad(stats.norm(T - 5.0, soft).pdf, max(low, T - 5.0 - 12.0 * soft), high)[0] for T in TEMPERATURES
    ]
    assert found.probability(members) == pytest.approx(np.maximum(wanted, 0.0), abs=1e-5)


def test_air_from_a_vent_is_felt_as_it_is() -> None:
    found = item_of(what="vent", at="30 min", value="warm", instrument="hand")
    members = vehicle({"vent": [np.array([32.0, 38.0])] * 4})
    soft = float(np.sqrt(HAND**2 + 5.0**2 + (0.7 * SHARED) ** 2))
    wanted = stats.norm.cdf((44.0 - np.array([32.0, 38.0])) / soft) - stats.norm.cdf(
        (32.0 - np.array([32.0, 38.0])) / soft
    )
    assert found.probability(members) == pytest.approx(wanted, abs=4e-6)


def test_a_gauges_words_share_out_all_that_it_may_show() -> None:
    members = vehicle({"shown": [TEMPERATURES] * 4})
    found = {w: item_of(what="coolant", at="30 min", value=w, instrument="dash_gauge") for w in WORDS["dash_gauge"]}
    each = {word: item.probability(members) for word, item in found.items()}
    assert sum(each.values()) == pytest.approx(np.ones(len(TEMPERATURES)), abs=1e-5)
    soft = float(np.hypot(GAUGE, SHARED))
    assert each["red"] == pytest.approx(stats.norm.sf(115.0, TEMPERATURES, soft), abs=4e-6)
    assert each["cold"] == pytest.approx(stats.norm.cdf(50.0, TEMPERATURES, soft), abs=4e-6)


def test_a_word_without_its_time_is_softer() -> None:
    members = vehicle({"shown": [np.array([90.0])] * 4})
    timed, untimed = (
        item_of(what="coolant", value="middle", instrument="dash_gauge", **at).probability(members)[0]
        for at in ({"at": "30 min"}, {})
    )
    soft = float(np.sqrt(GAUGE**2 + SHARED**2 + 6.0**2))
    assert untimed < timed
    assert untimed == pytest.approx(2.0 * stats.norm.cdf(15.0 / soft) - 1.0, abs=1e-5)


def test_the_catalogue_names_the_words_of_each_instrument() -> None:
    (entry,) = (e for e in describe() if e["path"] == "evidence.before.spots[].value")
    assert entry["words"] == {tool: list(bands) for tool, bands in WORDS.items()}


def test_a_hand_on_a_hose_reads_low_and_in_the_air_as_it_is() -> None:
    on_hose, in_air = (
        case_of(what=what, value="warm", instrument="hand").evidence.before for what in ("upper_hose", "vent")
    )
    assert on_hose is not None
    assert in_air is not None
    hose, air = instrument_of(on_hose.spots[0]), instrument_of(in_air.spots[0])
    assert hose is not None
    assert air is not None
    assert (hose.bias, hose.uncertainty) == (-5.0, HAND)
    assert (air.bias, air.uncertainty) == (0.0, HAND)
