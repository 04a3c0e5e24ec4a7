"""Readings in words: a gauge on the dashboard and a hand, and the temperatures that each word stands for.

A word stands for a band. The bands of one instrument lie edge to edge, so that every temperature has its word; how
soft their edges are is the instrument's own error (:mod:`engcalc.case.instruments`).

The gauge: its needle stands in the middle from about 75 to 105 degC and moves outside of that; common practice.
The hand: pain begins where the skin reaches 42 to 45 degC (NASA's studies of touch temperature); a surface of 55 degC
(metal) to 65 degC (no metal) may be touched for less than 10 s (ECMA-287, from memory of its table), one of 60 degC
burns within 5 s (ASTM C1055, as it is quoted; ISO 13732-1 has the burn thresholds by material and time). What feels
neither cold nor warm is near the skin's own 32 degC; common practice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import inf

_ZERO = 273.15  # K


@dataclass(frozen=True)
class WordBand:
    """A word of an instrument: from ``low`` to ``high`` [K], and ``stands_for``, a temperature of it as a person would
    type it, for what needs one number."""

    word: str
    low: float
    high: float
    stands_for: str


def _bands(words: tuple[str, ...], edges: tuple[float, ...], typical: tuple[str, ...]) -> Mapping[str, WordBand]:
    """Words from cold to hot with the edges between them [degC]; the outermost bands are open."""
    ends = (-inf, *edges, inf)
    both = zip(words, pairwise(ends), typical, strict=True)
    return {word: WordBand(word, low + _ZERO, high + _ZERO, text) for word, (low, high), text in both}


GAUGE_MIDDLE = (348.15, 378.15)  # K; 75 to 105 degC: a dash gauge stands still in between; common practice

WORDS: Mapping[str, Mapping[str, WordBand]] = {
    "dash_gauge": _bands(
        ("cold", "quarter", "just under the middle", "middle", "three quarters", "red"),
        (50.0, 65.0, GAUGE_MIDDLE[0] - _ZERO, GAUGE_MIDDLE[1] - _ZERO, 115.0),
        ("45 degC", "58 degC", "70 degC", "90 degC", "110 degC", "120 degC"),
    ),
    "hand": _bands(
        ("cold", "warm", "hot", "too hot to hold"),
        (32.0, 44.0, 58.0),
        ("20 degC", "38 degC", "51 degC", "70 degC"),
    ),
}
"""The words of each instrument that can be read in words."""

ONLY_IN_WORDS = ("hand",)  # instruments that read no degrees
HELD = ("upper_hose", "lower_hose", "heater_inlet_hose", "heater_outlet_hose", "vent")  # where a hand is laid
TOO_HOT = "too hot to hold"

_ALSO_WRITTEN = {
    "1/4": "quarter",
    "a quarter": "quarter",
    "one quarter": "quarter",
    "1/2": "middle",
    "half": "middle",
    "normal": "middle",
    "just below the middle": "just under the middle",
    "3/4": "three quarters",
    "in the red": "red",
    "lukewarm": "warm",
    "burning": TOO_HOT,
    "too hot to touch": TOO_HOT,
}


def spoken_instrument(typed: object) -> str:
    """An instrument that may be read in words, as the table spells it; empty for any other."""
    plain = typed.strip().casefold().replace(" ", "_") if isinstance(typed, str) else ""
    return plain if plain in WORDS else ""


def word_of(instrument: str, typed: str) -> str | None:
    """The instrument's word that was typed, as the table spells it; None where it is none of them."""
    plain = " ".join(typed.strip().casefold().replace("_", " ").split())
    found = _ALSO_WRITTEN.get(plain, plain)
    return found if found in WORDS.get(instrument, {}) else None


def instruments_with(typed: str) -> tuple[str, ...]:
    """The instruments of which something typed is a word."""
    return tuple(instrument for instrument in WORDS if word_of(instrument, typed) is not None)
