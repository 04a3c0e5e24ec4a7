"""Lines that a person types while a vehicle is read: a hose or vent read by hand, what was seen, the heater set anew.

    upper hose 60            degrees of the chosen units, by a clamp; a vent by a probe in it
    lower hose 140 F         with its unit
    neck 85                  the coolant by a clamp on the outlet neck, beside its sensor
    upper hose 52 infrared   by an infrared thermometer on rubber
    heater outlet warm       by hand, in words
    fan runs                 what was seen or heard
    heater high              the heater set anew (off, low, high)
    back                     takes the last one back

What a line says becomes part of the record, as if it had been entered in the window at that moment.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from engcalc.case.reading_words import word_of
from engcalc.case.records import HEATER_SET, INSTRUMENTS, SEEN_FACTS, SPOT_PLACES
from engcalc.case.text import CaseText
from engcalc.errors import InputError, InputFault
from engcalc.units import UnitSystem
from engcalc.words.texts import live_texts
from engcalc.words.workshop.live_words import clock
from ui.live.planning import with_record

PLACES: Mapping[str, str] = {
    "neck": "coolant",
    "upper hose": "upper_hose",
    "lower hose": "lower_hose",
    "heater inlet": "heater_inlet_hose",
    "heater outlet": "heater_outlet_hose",
    "vent": "vent",
}
"""How a place is typed, and what the case calls it: all that is read at a stop."""

FACTS: Mapping[str, tuple[str, bool]] = {
    "fan runs": ("fan_runs_when_hot", True),
    "fan still": ("fan_runs_when_hot", False),
    "level low": ("level_low", True),
    "level good": ("level_low", False),
    "bubbles": ("bubbles_when_running", True),
    "no bubbles": ("bubbles_when_running", False),
    "face dirty": ("face_dirty", True),
    "face clean": ("face_dirty", False),
    "shutter closed": ("shutter_closed", True),
    "shutter open": ("shutter_closed", False),
    "seals missing": ("seals_missing", True),
    "seals there": ("seals_missing", False),
    "belt drives": ("belt_drives_pump", True),
    "belt slips": ("belt_drives_pump", False),
    "fan always": ("fan_runs_always", True),
    "fan rests cold": ("fan_runs_always", False),
    "fan blows backward": ("fan_blows_backward", True),
    "fan blows right": ("fan_blows_backward", False),
    "lower hose collapses": ("lower_hose_collapses", True),
    "lower hose holds": ("lower_hose_collapses", False),
    "heater hoses swapped": ("heater_hoses_swapped", True),
    "heater hoses right": ("heater_hoses_swapped", False),
}
"""How something seen is typed: all that the looks beside a test drive ask for."""

HEATER = {f"heater {word}": word for word in HEATER_SET}
"""How the heater's setting is typed, when it is set anew."""

BACK = "back"
INFRARED = " infrared"
_OWN_UNIT = {UnitSystem.SI: "degC", UnitSystem.US: "degF"}
_LETTERS = {"c": "degC", "f": "degF"}
_SURFACE = {"coolant": "painted"}  # the neck is metal: infrared reads it on paint or matt tape
_NUMBER = re.compile(r"(?P<number>[-+]?[\d.,]+)\s*(?P<unit>\D*)")


@dataclass(frozen=True)
class TypedLine:
    """What one line says: a reading for the record, or a fact with its answer."""

    spot: Mapping[str, str] | None = None
    fact: tuple[str, bool] | None = None
    heater: Mapping[str, str] | None = None

    def as_data(self) -> dict[str, str | dict[str, bool]]:
        """The same as an object: the reading or the heater's setting as a case holds it, or ``seen`` with its
        answer."""
        found = self.spot or self.heater
        return dict(found) if found is not None else {"seen": dict((self.fact,)) if self.fact else {}}

    def said(self, at: float) -> str:
        """In words, as it is noted; ``at`` [s] from the engine's start."""
        if self.fact is not None:
            key, answer = self.fact
            return f"{SEEN_FACTS[key]}: {'yes' if answer else 'no'}"
        if self.heater is not None:
            return live_texts.HEATER_IS_SET.format(setting=self.heater["setting"], at=clock(at))
        assert self.spot is not None
        place, tool = SPOT_PLACES[self.spot["what"]], INSTRUMENTS[self.spot["instrument"]]
        return live_texts.READ_BY_HAND_AT.format(place=place, value=self.spot["value"], tool=tool, at=clock(at))


def line_read(line: str, at: float, system: UnitSystem = UnitSystem.SI) -> TypedLine:
    """What a line says at a moment [s] after the engine's start. InputError where it says nothing that is known.

    >>> line_read("upper hose 60", 245.0).said(245.0)
    'upper radiator hose 60 degC, clamp-on probe, 4:05 after the start'
    """
    words = line.replace("_", " ").split()
    plain = " ".join(words).casefold()
    if plain in FACTS:
        return TypedLine(fact=FACTS[plain])
    if plain in HEATER:
        return TypedLine(heater={"at": _time(at), "setting": HEATER[plain]})
    place = next((typed for typed in PLACES if plain.startswith(f"{typed} ")), None)
    if place is None:
        raise _not_known(line)
    value = " ".join(words[len(place.split()) :])
    if value.casefold().startswith("hose "):
        value = value[len("hose ") :]
    return TypedLine(spot=_spot(PLACES[place], value, at, system))


def _spot(what: str, value: str, at: float, system: UnitSystem) -> Mapping[str, str]:
    """A reading as the case holds it."""
    noted = {"what": what, "at": _time(at)}
    word = word_of("hand", value)
    if word is not None:
        return {**noted, "value": word, "instrument": "hand"}
    by = {"instrument": "vent_probe" if what == "vent" else "clamp"}
    if value.casefold().endswith(INFRARED):
        value, by = value[: -len(INFRARED)], {"instrument": "infrared", "surface": _SURFACE.get(what, "rubber")}
    return {**noted, "value": _with_unit(value, system), **by}


def _time(at: float) -> str:
    return f"{max(at, 0.0):.0f} s"


def _with_unit(value: str, system: UnitSystem) -> str:
    """A number with its unit; what is no number stays as it is, for the case's own reader to say so."""
    found = _NUMBER.fullmatch(value)
    if found is None:
        return value
    unit = found["unit"].strip() or _OWN_UNIT[system]
    return f"{found['number']} {_LETTERS.get(unit.casefold(), unit)}"


def _not_known(line: str) -> InputError:
    return InputError(
        (InputFault("", line, live_texts.SUCH_LINES_WOULD_DO.format(facts=", ".join((*FACTS, *HEATER)))),)
    )


class TypedEvidence:
    """A case with all that was typed so far in one of its records, and the way back."""

    def __init__(self, text: CaseText, record: str, system: UnitSystem = UnitSystem.SI) -> None:
        self.record, self._system = record, system
        self._texts, self._lines = [text], list[TypedLine]()

    @property
    def text(self) -> CaseText:
        """The case as it stands."""
        return self._texts[-1]

    @property
    def lines(self) -> tuple[TypedLine, ...]:
        """What counts, in the order in which it was typed."""
        return tuple(self._lines)

    def take(self, line: str, at: float) -> str:
        """Take a line typed at a moment [s] after the engine's start, and say in words what was noted.

        InputError, with what would do, where it cannot be taken; nothing changes then.
        """
        if line.strip().casefold() == BACK:
            return self._back()
        read = line_read(line, at, self._system)
        made = self._text_with(read)
        try:
            with_record(made, self.record)
        except InputError as error:
            raise InputError(tuple(InputFault("", line, f.wanted) for f in error.faults)) from error
        self._texts.append(made)
        self._lines.append(read)
        return read.said(at)

    def _back(self) -> str:
        if not self._lines:
            raise InputError((InputFault("", BACK, live_texts.NOTHING_TYPED_YET),))
        self._texts.pop()
        self._lines.pop()
        return live_texts.LAST_LINE_IS_TAKEN_BACK

    def _text_with(self, read: TypedLine) -> CaseText:
        """The case with what was typed in the record that is being read."""
        tree: dict[str, Any] = dict(self.text.tree)
        evidence = dict(tree.get("evidence") or {})
        own = dict(evidence.get(self.record) or {})
        if read.spot is not None:
            own["spots"] = [*(own.get("spots") or ()), dict(read.spot)]
        if read.heater is not None and read.heater["at"] == _time(0.0):
            own["heater_setting"] = read.heater["setting"]  # not set anew: the run begins so
        elif read.heater is not None:
            own["heater_changes"] = [*(own.get("heater_changes") or ()), dict(read.heater)]
        if read.fact is not None:
            key, answer = read.fact
            own["seen"] = {**(own.get("seen") or {}), key: answer}
        return CaseText({**tree, "evidence": {**evidence, self.record: own}})
