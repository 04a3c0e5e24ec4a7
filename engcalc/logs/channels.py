"""The channels of a log: which one a header names, and the units they come in.

How logs spell them is data, in :mod:`engcalc.logs.dialects`. Names follow SAE J1979's parameter identifiers (mode 01)
in the many spellings of tools, in English, some in German, French and Spanish. A name is compared after it was
repaired, folded to lower case ASCII, and stripped of its unit.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from engcalc.errors import UnitFault
from engcalc.logs.dialects import DIALECTS, RULED_OUT
from engcalc.units import parse
from engcalc.words.texts import log_texts

MOST_KEPT = 65_536  # answers of each function: heads of hundreds of logs; strangers' heads have no end


class Channel(StrEnum):
    """What a column holds; the values are the keys of ``evidence.*.log.columns``."""

    COOLANT = "coolant"
    COOLANT_2 = "coolant_2"
    INTAKE_AIR = "intake_air"
    AMBIENT = "ambient"
    OIL = "oil"
    ENGINE_SPEED = "engine_speed"
    VEHICLE_SPEED = "vehicle_speed"
    CALCULATED_LOAD = "calculated_load"
    ABSOLUTE_LOAD = "absolute_load"
    AIR_FLOW = "air_flow"
    MANIFOLD_PRESSURE = "manifold_pressure"
    BAROMETRIC_PRESSURE = "barometric_pressure"
    FUEL_RATE = "fuel_rate"
    FUEL_MASS_RATE = "fuel_mass_rate"
    RUN_TIME = "run_time"
    THROTTLE = "throttle"
    PEDAL = "pedal"
    EQUIVALENCE_RATIO = "equivalence_ratio"
    VOLTAGE = "voltage"


class ColumnRole(StrEnum):
    """A column that is no channel but tells how to read the others."""

    TIME = "time"
    DATE = "date"
    NAME = "name"
    VALUE = "value"
    UNIT = "unit"
    RAW = "raw"


TEMPERATURES = (Channel.COOLANT, Channel.COOLANT_2, Channel.INTAKE_AIR, Channel.AMBIENT, Channel.OIL)


@dataclass(frozen=True)
class Spelling:
    """How one channel is known: the label for a person, its kind and the unit that goes without saying, its names.

    ``words`` are patterns on the folded name, those of each dialect the surest first; ``never`` rules a name out.
    """

    label: str
    kind: str  # of engcalc.units, or "voltage"
    usual_unit: str
    words: tuple[str, ...]
    never: str


_NOTHING = r"(?!)"  # a pattern that no name matches
_LABEL_KIND_UNIT: Mapping[Channel, tuple[str, str, str]] = {
    Channel.COOLANT: ("Coolant temperature", "temperature", "degC"),
    Channel.COOLANT_2: (log_texts.COOLANT_TEMPERATURE_SECOND_SENSOR, "temperature", "degC"),
    Channel.INTAKE_AIR: ("Intake air temperature", "temperature", "degC"),
    Channel.AMBIENT: ("Outside air temperature", "temperature", "degC"),
    Channel.OIL: ("Oil temperature", "temperature", "degC"),
    Channel.ENGINE_SPEED: ("Engine speed", "rotation", "rpm"),
    Channel.VEHICLE_SPEED: ("Vehicle speed", "vehicle speed", "km/h"),
    Channel.CALCULATED_LOAD: ("Calculated load", "fraction", "%"),
    Channel.ABSOLUTE_LOAD: ("Absolute load", "fraction", "%"),
    Channel.AIR_FLOW: ("Air mass flow", "mass flow", "g/s"),
    Channel.MANIFOLD_PRESSURE: ("Manifold pressure", "absolute pressure", "kPa"),
    Channel.BAROMETRIC_PRESSURE: ("Barometric pressure", "absolute pressure", "kPa"),
    Channel.FUEL_RATE: ("Fuel rate", "coolant flow", "L/h"),
    Channel.FUEL_MASS_RATE: ("Fuel mass rate", "mass flow", "g/s"),
    Channel.RUN_TIME: ("Run time", "short time", "s"),
    Channel.THROTTLE: ("Throttle", "fraction", "%"),
    Channel.PEDAL: ("Accelerator pedal", "fraction", "%"),
    Channel.EQUIVALENCE_RATIO: (log_texts.COMMANDED_AIR_FUEL_RATIO_OVER, "number", ""),
    Channel.VOLTAGE: ("Battery voltage", "voltage", "V"),
}


def _spelling(channel: Channel) -> Spelling:
    """What all dialects together say of a channel."""
    label, kind, unit = _LABEL_KIND_UNIT[channel]
    words = (word for dialect in DIALECTS for word in dialect.channels.get(channel, ()))
    return Spelling(label, kind, unit, tuple(dict.fromkeys(words)), RULED_OUT.get(channel, _NOTHING))


def _role_pattern(role: ColumnRole) -> str:
    """What all dialects together call a column of this role."""
    patterns = [dialect.roles[role] for dialect in DIALECTS if role in dialect.roles]
    return "|".join(f"(?:{pattern})" for pattern in patterns)


SPELLINGS: Mapping[Channel, Spelling] = {channel: _spelling(channel) for channel in Channel}
_ROLES: Mapping[ColumnRole, str] = {role: _role_pattern(role) for role in ColumnRole}

_UNIT_AT_END = re.compile(r"^(.*?)\s*[\[(<{]\s*([^\[\](){}<>]*?)\s*[\])>}]\s*$")
_BARE_UNIT = re.compile(r"^(.*?)[ _,/:-]+(°\s?[CF]|deg ?[CF]|[kK][pP]a|km/?h|mph|rpm|g/?s|l/h|%|ms|volts?|V)$")
_UNIT_SUFFIX = re.compile(r"^([A-Za-z][A-Za-z0-9_ ]*?)_(degC|degF|[cCfFkKsSvV]|k[pm]h|mph|kpa|psi|pct|ms|sec|rpm|lph)$")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_PID_NUMBER = re.compile(r"^(?:(?:mode )?0?1 ?[-:_ ]? ?)?(?:pid )?(?:0x)?[0-9a-f]{2} +(?=[a-z]{3})")
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})

# Units that only logs have: of each the unit that engcalc.units lists, and how many of it
_LOG_UNITS: Mapping[str, tuple[str, float]] = {
    "gal/h": ("gal/min", 1 / 60),
    "gal/hr": ("gal/min", 1 / 60),
    "gph": ("gal/min", 1 / 60),
    "cc/min": ("L/min", 1e-3),
    "ml/min": ("L/min", 1e-3),
    "ms": ("s", 1e-3),
    "msec": ("s", 1e-3),
    "milliseconds": ("s", 1e-3),
    "millis": ("s", 1e-3),
    "us": ("s", 1e-6),
    "ns": ("s", 1e-9),
}
_VOLTS = {"v": 1.0, "volt": 1.0, "volts": 1.0, "mv": 1e-3}
_NO_UNITS = {"", "-", "none", "ratio", "lambda", "λ", ":1", "n/a", "1", "count"}


@dataclass(frozen=True)
class UnitScale:
    """SI value = slope x number + intercept."""

    slope: float
    intercept: float
    unit: str


def fold(name: str) -> str:
    """Lower case ASCII words, one space between them: ``"Öl-Temperatur"`` gives ``"oel temperatur"``."""
    plain = _CAMEL.sub(" ", name).casefold().translate(_UMLAUTS)
    plain = unicodedata.normalize("NFKD", plain).encode("ascii", "ignore").decode()
    return " ".join(re.sub(r"[^a-z0-9/]+", " ", plain.replace("/", " ")).split())


def split_header(name: str) -> tuple[str, str]:
    """Name and unit of a header cell; an empty unit where there is none.

    >>> split_header("Engine Coolant Temperature [°C]")
    ('Engine Coolant Temperature', '°C')
    """
    name = name.strip().strip('"').strip()
    match = _UNIT_AT_END.match(name)
    if match and match.group(1) and (is_unit(match.group(2)) or "[" in name):
        return match.group(1), match.group(2)
    bare = _BARE_UNIT.match(name)
    if bare and bare.group(1) and " " + fold(bare.group(1)) not in (" engine", " vehicle"):
        return bare.group(1), bare.group(2)
    suffix = _UNIT_SUFFIX.match(name)
    if suffix:
        return (suffix.group(1), suffix.group(2))
    return (name, "")


@lru_cache(maxsize=MOST_KEPT)
def scale(unit: str, kind: str) -> UnitScale | None:
    """How a unit converts to SI for one kind; None when it is not a unit of that kind."""
    plain = unit.strip().strip("[]()").strip().replace("\ufffd", "°").replace("?", "°")
    folded = " ".join(plain.casefold().split())
    if kind == "voltage":
        return UnitScale(_VOLTS[folded], 0.0, plain) if folded in _VOLTS else None
    if kind == "number" and folded in _NO_UNITS:
        return UnitScale(1.0, 0.0, "")
    listed, factor = _LOG_UNITS.get(folded, (plain, 1.0))
    if not listed or len(listed) > 20 or (listed[0].isdigit() and not listed.startswith("1/")):
        return None
    try:
        zero = parse(f"0 {listed}", kind).si
        one = parse(f"1 {listed}", kind).si
    except UnitFault:
        return None
    return UnitScale((one - zero) * factor, zero, listed)


_ANY_KIND = tuple(dict.fromkeys(s.kind for s in SPELLINGS.values()))


@lru_cache(maxsize=MOST_KEPT)
def is_unit(text: str) -> bool:
    """Whether a text is a unit that some channel may have."""
    folded = text.strip().casefold()
    return (
        bool(folded)
        and len(folded) <= 20
        and (folded in _NO_UNITS - {"", "1"} or any(scale(text, kind) is not None for kind in _ANY_KIND))
    )


@lru_cache(maxsize=MOST_KEPT)
def rank(channel: Channel, name: str) -> int | None:
    """How surely a header names this channel: 0 the surest; None when it does not."""
    bare, unit = split_header(name)
    spelling = SPELLINGS[channel]
    folded = _PID_NUMBER.sub("", fold(bare).removeprefix("obd ").removesuffix(" obd"))
    if not folded or re.search(spelling.never, folded):
        return None
    if unit and scale(unit, spelling.kind) is None:
        return None
    if not unit and channel is Channel.FUEL_MASS_RATE:
        return None  # a fuel rate goes by volume unless its unit says otherwise
    for i, words in enumerate(spelling.words):
        if re.fullmatch(words, folded):
            return i
        if len(words) > 4 and re.search(rf"\b(?:{words})", folded):
            return 100 + i
    return None


@lru_cache(maxsize=MOST_KEPT)
def channel_of(name: str) -> tuple[Channel, int] | None:
    """The channel that a header names best, and how surely."""
    if len(name) > 200:
        return None
    found = [(r, channel) for channel in Channel if (r := rank(channel, name)) is not None]
    if not found:
        return None
    best, channel = min(found, key=lambda pair: pair[0])
    return channel, best


@lru_cache(maxsize=MOST_KEPT)
def role_of(name: str) -> ColumnRole | None:
    """What a column is for, when its header says so; a channel's name has precedence elsewhere."""
    if len(name) > 200:
        return None
    folded = fold(split_header(name)[0])
    if not folded:
        return None
    return next((role for role, words in _ROLES.items() if re.fullmatch(words, folded)), None)


def header_score(cells: Iterable[str]) -> int:
    """How many cells of a row read as a header: channels and roles."""
    return sum(bool(cell) and (role_of(cell) is not None or channel_of(cell) is not None) for cell in cells)
