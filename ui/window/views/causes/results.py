"""Which entries of the case a check's result becomes. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.case.records import GLYCOL_SCALES, SPOT_KINDS, SPOT_LIMITS
from engcalc.diagnosis.checks.hand_checks import AT_THE_NECK
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK
from engcalc.words.texts import view_texts
from ui.document import Document

TEMPERATURE, LIMITS = "temperature", ("-60 degC", "200 degC")
_SCALES = tuple((scale, "none") for scale in GLYCOL_SCALES)
INSTRUMENTS: Mapping[str, tuple[tuple[str, str], ...]] = {  # what a place is read with, and on which surface
    "vent": (("vent_probe", "none"),),
    "coolant": (("clamp", "painted"), ("infrared", "painted")),
    "freezing_point": _SCALES,
    "concentration": _SCALES,
    "cap_opens": (("pressure_gauge", "none"),),
    "valve_starts": (("immersed", "none"),),
    "valve_open": (("immersed", "none"),),
}
ON_A_HOSE = (("clamp", "rubber"), ("infrared", "rubber"))


@dataclass(frozen=True)
class ResultQuestions:
    """What a check asks for: facts (yes or no) and places where a number is read, by their keys in the case."""

    facts: tuple[str, ...]
    places: tuple[str, ...]


def asked_of(key: str) -> ResultQuestions:
    """What a check asks for."""
    check = EVERY_CHECK[key]
    return ResultQuestions(check.answers, tuple("coolant" if spot == AT_THE_NECK else spot for spot in check.spots))


def measure_of(place: str) -> tuple[str, tuple[str, str]]:
    """The kind of quantity that is read at a place, and its limits."""
    kind = SPOT_KINDS.get(place, TEMPERATURE)
    return kind, SPOT_LIMITS.get(kind, LIMITS)


def instruments_for(place: str) -> tuple[tuple[str, str], ...]:
    """Instruments with the surface they are held to."""
    return INSTRUMENTS.get(place, ON_A_HOSE)


def put_fact(document: Document, record: str, fact: str, seen: bool | None) -> None:
    """Put a thing seen, or not seen, into a record; None takes the answer out again."""
    document.end_step()
    document.put(f"evidence.{record}.seen.{fact}", seen, view_texts.PUT_IN_WHAT_WAS_SEEN)
    document.end_step()


@dataclass(frozen=True)
class TypedReading:
    """One number as typed, with its time since the start (or empty), the instrument and its surface."""

    place: str
    value: str
    at: str
    instrument: str
    surface: str


def put_reading(document: Document, record: str, read: TypedReading) -> None:
    """Put a number into a record's readings."""
    path = f"evidence.{record}.spots"
    item = {
        "what": read.place,
        "at": read.at,
        "value": read.value,
        "instrument": read.instrument,
        "surface": "" if read.surface == "none" else read.surface,
    }
    document.insert_item(path, len(document.text.get(path) or ()), {key: text for key, text in item.items() if text})
