"""Which entries of the case a check's result becomes. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.evidence.next_check import CHECKS
from ui.document import Document

AT_THE_NECK = "thermometer_at_outlet_neck"
INSTRUMENTS: Mapping[str, tuple[tuple[str, str], ...]] = {  # what a place is read with, and on which surface
    "vent": (("vent_probe", "none"),), "coolant": (("clamp", "painted"), ("infrared", "painted"))}
ON_A_HOSE = (("clamp", "rubber"), ("infrared", "rubber"))
BY_KEY = {check.key: check for check in CHECKS}


@dataclass(frozen=True)
class Asked:
    """What a check asks for: facts (yes or no) and places where a temperature is read, by their keys in the case."""

    facts: tuple[str, ...]
    places: tuple[str, ...]


def asked_of(key: str) -> Asked:
    """What a check asks for; nothing, where the case has no entry for its result."""
    check = BY_KEY[key]
    return Asked(check.answers, ("coolant",) if key == AT_THE_NECK else check.spots)


def instruments_for(place: str) -> tuple[tuple[str, str], ...]:
    """Instruments with the surface they are held to."""
    return INSTRUMENTS.get(place, ON_A_HOSE)


def put_fact(document: Document, record: str, fact: str, seen: bool) -> None:
    """Put a thing seen, or not seen, into a record."""
    document.end_step()
    document.put(f"evidence.{record}.seen.{fact}", seen, "Put in what was seen")
    document.end_step()


@dataclass(frozen=True)
class Read:
    """One temperature as typed, with its time since the start (or empty), the instrument and its surface."""

    place: str
    value: str
    at: str
    instrument: str
    surface: str


def put_reading(document: Document, record: str, read: Read) -> None:
    """Put a temperature into a record's readings."""
    path = f"evidence.{record}.spots"
    item = {"what": read.place, "at": read.at, "value": read.value, "instrument": read.instrument,
            "surface": "" if read.surface == "none" else read.surface}
    document.insert_item(path, len(document.text.get(path) or ()), {key: text for key, text in item.items() if text})
