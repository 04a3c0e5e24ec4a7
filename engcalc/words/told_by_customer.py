"""What the customer told, and what was read in words, as labels that all faces share."""

from __future__ import annotations

from engcalc.case.records import SPOT_PLACES
from engcalc.case.sections.job import TOLD_SIGNS
from engcalc.causes.history import LOST_AT, ONSETS, WORKS

_ANSWERS = {"onset": ONSETS, "after_work": WORKS, "coolant_lost_at": LOST_AT}
_ASKED = {"onset": "it came", "after_work": "it began", "coolant_lost_at": "coolant is lost"}
TOO_HOT_CAUTION = (
    "What is too hot to hold burns the skin within seconds: take the hand away and use a thermometer. "
    "Do not open the system: scalding coolant and steam shoot out."
)
WORDS_TOLD = frozenset(f"told.{key}" for key in _ANSWERS)  # evidence whose answer is a word out of a list


def told_label(key: str, word: str) -> str:
    """A sign that the customer told, or an answer out of a list."""
    if key not in _ANSWERS:
        return f"told by the customer: {TOLD_SIGNS[key]}"
    answer = _ANSWERS[key][word]
    said = answer if key == "coolant_lost_at" and word == "nowhere seen" else f"{_ASKED[key]} {answer}"
    return f"told by the customer: {said}"


def word_read(what: str, instrument: str, word: str) -> str:
    """A reading in words."""
    if instrument == "dash_gauge":
        return f"dash gauge: {word}"
    return f"{SPOT_PLACES[what]}, by hand: {word}"


def gauge_said(word: str, when: str) -> str:
    """A dash gauge read in words, as a sentence; ``when`` begins with a blank or is empty."""
    return f"The gauge on the dashboard read \u201c{word}\u201d{when}."
