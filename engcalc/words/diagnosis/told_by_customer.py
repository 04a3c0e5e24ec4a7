"""What the customer told, and what was read in words, as labels that all faces share."""

from __future__ import annotations

from math import isfinite

from engcalc.case.case import Case
from engcalc.case.catalogue import entry
from engcalc.case.reading_words import TOO_HOT, WORDS
from engcalc.case.records import SPOT_PLACES, Record
from engcalc.case.sections.job import TOLD_SIGNS
from engcalc.causes.history import LOST_AT, ONSETS, WORKS
from engcalc.units import UnitSystem
from engcalc.words.terms.numbers import capital, span, temperature

_ANSWERS = {"onset": ONSETS, "after_work": WORKS, "coolant_lost_at": LOST_AT}
_ASKED = {"onset": "it came", "after_work": "it began", "coolant_lost_at": "coolant is lost"}
TOO_HOT_CAUTION = (
    "What is too hot to hold burns the skin within seconds: take the hand away and use a thermometer. "
    "Do not open the system: scalding coolant and steam shoot out."
)


def burns(record: Record | None) -> bool:
    """Whether something was too hot to hold in a record."""
    return record is not None and any(spot.word == TOO_HOT for spot in record.spots)


def too_hot_cautions(case: Case) -> tuple[str, ...]:
    """What to mind where something was too hot to hold in the latest record; empty where nothing was."""
    latest = case.evidence.before if case.evidence.after is None else case.evidence.after
    return (TOO_HOT_CAUTION,) if burns(latest) else ()


WORDS_TOLD = frozenset(f"told.{key}" for key in _ANSWERS)  # evidence whose answer is a word out of a list


def told_label(key: str, word: str) -> str:
    """A sign that the customer told, or an answer out of a list."""
    if key not in _ANSWERS:
        return f"told by the customer: {TOLD_SIGNS[key]}"
    answer = _ANSWERS[key][word]
    said = answer if key == "coolant_lost_at" and word == "nowhere seen" else f"{_ASKED[key]} {answer}"
    return f"told by the customer: {said}"


def told_rows(case: Case) -> list[tuple[str, str]]:
    """What the customer was asked beside the complaint's own words, each with the answer; what nobody asked is not
    among it."""
    job = case.job
    signs = [(capital(TOLD_SIGNS[key]), "yes" if so else "no") for key, so in job.told.items()]
    words = (
        ("How it came on", ONSETS.get(job.onset or "", "")),
        ("After which work", WORKS.get(job.after_work or "", "")),
        ("Where coolant is lost", LOST_AT.get(job.coolant_lost_at or "", "")),
    )
    return [*signs, *((label, answer) for label, answer in words if answer)]


def reason_for_visit(case: Case) -> str:
    """Why the vehicle is here, as the list of reasons has it; empty where nobody said."""
    return entry("job.reason").input.options.get(case.job.reason or "", "")


def told_in_a_line(case: Case) -> str:
    """What the customer told beside the complaint's own words, as one sentence; empty where nothing was told."""
    job = case.job
    told = [TOLD_SIGNS[key] for key, so in job.told.items() if so]
    told += [f"it came {ONSETS[job.onset]}"] if job.onset else []
    told += [f"it began {WORKS[job.after_work]}"] if job.after_work and job.after_work != "none" else []
    lost = job.coolant_lost_at
    told += ([LOST_AT[lost]] if lost == "nowhere seen" else [f"coolant is lost {LOST_AT[lost]}"]) if lost else []
    return f"{capital('; '.join(told))}." if told else ""


def word_read(what: str, instrument: str, word: str) -> str:
    """A reading in words."""
    if instrument == "dash_gauge":
        return f"dash gauge: {word}"
    return f"{SPOT_PLACES[what]}, by hand: {word}"


def word_band(instrument: str, word: str, system: UnitSystem) -> str:
    """The temperatures that a word of an instrument stands for."""
    band = WORDS[instrument][word]
    if not isfinite(band.low):
        return f"under {temperature(band.high, system)}"
    if not isfinite(band.high):
        return f"over {temperature(band.low, system)}"
    return span(band.low, band.high, system)


def gauge_said(word: str, when: str) -> str:
    """A dash gauge read in words, as a sentence; ``when`` begins with a blank or is empty."""
    return f"The dash gauge read \u201c{word}\u201d{when}."
