"""The channels of a log: how scan tools spell them, and the units they come in.

Names follow SAE J1979's parameter identifiers (mode 01) in the many spellings of tools, in English, some in German,
French and Spanish. A name is compared after it was repaired, folded to lower case ASCII, and stripped of its unit.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from engcalc.errors import UnitFault
from engcalc.units import parse


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


class Role(StrEnum):
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

    ``words`` are patterns on the folded name, the surest first; ``never`` rules a name out.
    """

    label: str
    kind: str  # of engcalc.units, or "voltage"
    usual_unit: str
    words: tuple[str, ...]
    never: str = r"(?!)"


_TEMPERATURE = r"(?:temp(?:erature?|eratura|eratur)?|t)"
_OTHER_TEMPERATURES = (
    r"catal|exhaust|abgas|transm|gear|getriebe|charge|ladeluft|fuel|kraftstoff|batter|egt|turbo"
    r"|egr|agr"
)

SPELLINGS: Mapping[Channel, Spelling] = {
    Channel.COOLANT: Spelling(
        "Coolant temperature",
        "temperature",
        "degC",
        (
            rf"engine coolant {_TEMPERATURE}",
            r"ect",
            rf"(?:engine )?(?:coolant|water|clt) ?{_TEMPERATURE}\b",
            r"coolant",
            r"clt",
            r"temp(?:erature)? (?:du )?(?:liquide )?(?:de )?refroidissement",
            r"kuehlmitteltemp",
            r"kuhlmitteltemp",
            r"(?:kuehl|kuhl)(?:mittel|wasser)",
            r"motortemp",
            r"engine temp",
            r"refrigerante",
            r"anticongelante",
            r"wassertemp",
            r"coolant",
        ),
        rf"{_OTHER_TEMPERATURES}|level|fan|pump|press|setpoint|target|desired|radiator outlet|sensor 2|sensor b\b"
        r"|oil|volt|flow|_?2$",
    ),
    Channel.COOLANT_2: Spelling(
        "Coolant temperature, second sensor",
        "temperature",
        "degC",
        (
            rf"(?:engine )?coolant {_TEMPERATURE} (?:sensor )?(?:2|b)",
            r"ect ?2",
            r"radiator outlet",
            r"kuehler ?aus",
            r"kuhler ?aus",
        ),
        _OTHER_TEMPERATURES,
    ),
    Channel.INTAKE_AIR: Spelling(
        "Intake air temperature",
        "temperature",
        "degC",
        (
            rf"(?:intake|inlet) (?:manifold )?air {_TEMPERATURE}",
            r"iat",
            rf"(?:intake|inlet) {_TEMPERATURE}",
            r"ansaugluft",
            r"ansaugtemp",
            r"air d ?admission",
            r"aire (?:de )?admision",
            rf"manifold air {_TEMPERATURE}",
        ),
        rf"{_OTHER_TEMPERATURES}|press|flow|mass|druck|_?2$|sensor (?:2|b)\b",
    ),
    Channel.AMBIENT: Spelling(
        "Outside air temperature",
        "temperature",
        "degC",
        (
            rf"ambient (?:air )?{_TEMPERATURE}",
            r"aat",
            r"outside (?:air )?temp",
            r"outdoor temp",
            r"ambient",
            r"aussentemp",
            r"umgebungs(?:luft)?temp",
            r"temp(?:erature)? (?:de l )?(?:air )?(?:exterieure|ambiante)",
            r"temperatura (?:exterior|ambiente)",
        ),
        rf"{_OTHER_TEMPERATURES}|press|light|druck",
    ),
    Channel.OIL: Spelling(
        "Oil temperature",
        "temperature",
        "degC",
        (
            rf"engine oil {_TEMPERATURE}",
            r"eot",
            rf"oil {_TEMPERATURE}",
            r"(?:motor)?oeltemp",
            r"(?:motor)?oltemp",
            r"temp(?:erature)? (?:d )?(?:huile|aceite)",
        ),
        rf"{_OTHER_TEMPERATURES}|press|life|level",
    ),
    Channel.ENGINE_SPEED: Spelling(
        "Engine speed",
        "rotation",
        "rpm",
        (
            r"engine (?:rpm|speed|revs?|revolutions)",
            r"rpm",
            r"motordrehzahl",
            r"drehzahl",
            r"nmot",
            r"regime (?:du )?moteur",
            r"revoluciones",
            r"revs",
            r"tach(?:o|ometer)",
            r"regime",
        ),
        r"turb|fan|luefter|lufter|trans|input|output|wheel|target|desired|idle|soll|cylinder|pump|ratio|average|max",
    ),
    Channel.VEHICLE_SPEED: Spelling(
        "Vehicle speed",
        "vehicle speed",
        "km/h",
        (
            r"vehicle speed",
            r"vss",
            r"speed (?:obd|ecu)",
            r"(?:fahrzeug)?geschwindigkeit",
            r"vitesse",
            r"velocidad",
            r"road speed",
            r"speed gps|gps speed",
            r"speed",
        ),
        r"engine|motor|fan|turb|wheel|\brad|\bwind|trans|input|output|idle|average|limit|target|cruise|max|pump",
    ),
    Channel.CALCULATED_LOAD: Spelling(
        "Calculated load",
        "fraction",
        "%",
        (
            r"calculated (?:engine )?load",
            r"calc(?:\.| )?load",
            r"engine load",
            r"load (?:pct|value|calc)",
            r"load",
            r"(?:berechnete )?(?:motor)?last",
            r"charge (?:calculee|moteur)",
            r"carga",
        ),
        r"abs|alternator|generator|torque|road",
    ),
    Channel.ABSOLUTE_LOAD: Spelling(
        "Absolute load",
        "fraction",
        "%",
        (r"abs(?:olute)? (?:engine )?load", r"engine load absolute", r"load abs", r"absolute last", r"charge absolue"),
    ),
    Channel.AIR_FLOW: Spelling(
        "Air mass flow",
        "mass flow",
        "g/s",
        (
            r"(?:mass )?air flow (?:rate )?from (?:mass|maf)",
            r"maf",
            r"mass air ?flow",
            r"air ?flow(?: rate)?",
            r"air mass(?: flow)?",
            r"luftmasse",
            r"debit (?:massique )?(?:d )?air",
            r"flujo (?:masa |de )?aire",
        ),
        r"volt|freq|temp|cabin|blower|fan|sensor b\b|specified|soll|desired|correction",
    ),
    Channel.MANIFOLD_PRESSURE: Spelling(
        "Manifold pressure",
        "absolute pressure",
        "kPa",
        (
            r"(?:intake )?manifold (?:absolute )?pressure",
            r"map",
            r"intake (?:manifold )?(?:absolute )?press",
            r"saugrohrdruck",
            r"ansaug(?:krummer|rohr)?(?:absolut)?druck",
            r"pression (?:absolue )?(?:du )?collecteur",
            r"pression (?:d )?admission",
            r"manifold abs",
        ),
        r"exhaust|fuel|volt|temp|boost gauge|vacuum",
    ),
    Channel.BAROMETRIC_PRESSURE: Spelling(
        "Barometric pressure",
        "absolute pressure",
        "kPa",
        (
            r"baro(?:metric|metrischer|metrique)?(?: ?pressure| ?druck)?",
            r"atmospheric pressure",
            r"luftdruck",
            r"umgebungs(?:luft)?druck",
        ),
        r"volt|map",
    ),
    Channel.FUEL_RATE: Spelling(
        "Fuel rate",
        "coolant flow",
        "L/h",
        (
            r"engine fuel rate",
            r"fuel (?:flow )?rate",
            r"fuel flow",
            r"kraftstoff(?:verbrauch|rate|fluss)",
            r"fuel consumption",
            r"debit (?:de )?carburant",
            r"consumo",
            r"lphr?",
        ),
        r"rail|press|economy|average|trip|level|air|trim|mpg|100 ?km|temp",
    ),
    Channel.FUEL_MASS_RATE: Spelling(
        "Fuel mass rate",
        "mass flow",
        "g/s",
        (r"engine fuel rate", r"fuel (?:mass )?(?:flow )?rate", r"fuel (?:mass )?flow", r"kraftstoffmasse"),
        r"rail|press|economy|average|trip|level|air|trim|temp",
    ),
    Channel.RUN_TIME: Spelling(
        "Run time",
        "short time",
        "s",
        (
            r"(?:engine )?run ?time(?: since)?",
            r"time since (?:engine )?start",
            r"runtm",
            r"laufzeit",
            r"zeit seit (?:motor)?start",
            r"temps (?:depuis|de fonctionnement)",
        ),
        r"mil|warning|codes|cleared|trip",
    ),
    Channel.THROTTLE: Spelling(
        "Throttle",
        "fraction",
        "%",
        (r"(?:absolute )?throttle pos", r"tps?", r"throttle", r"drosselklappe", r"papillon", r"mariposa"),
        r"relative|command|desired|target|pedal|actuator|volt|sensor b\b|position [bc]\b",
    ),
    Channel.PEDAL: Spelling(
        "Accelerator pedal",
        "fraction",
        "%",
        (
            r"accel(?:erator)?(?: pedal)?(?: pos(?:ition)?)? d",
            r"accel(?:erator)? pedal",
            r"app d",
            r"gaspedal",
            r"fahrpedal",
        ),
        r"volt|[ef]$|brake",
    ),
    Channel.EQUIVALENCE_RATIO: Spelling(
        "Commanded air-fuel ratio over stoichiometric (lambda)",
        "number",
        "",
        (
            r"(?:fuel.air )?command(?:ed)? (?:fuel.air )?equiv(?:alence)? ratio",
            r"equiv(?:alence)? ratio",
            r"eq ?rat",
            r"command(?:ed)? (?:lambda|equiv)",
            r"lambda (?:soll|command)",
            r"fuel.air ratio commanded",
        ),
        r"o2|oxygen|bank|sensor|volt|current|measured|b\ds\d",
    ),
    Channel.VOLTAGE: Spelling(
        "Battery voltage",
        "voltage",
        "V",
        (
            r"(?:control module|ecu|battery|batt|system|obd|adapter) volt",
            r"bordspannung",
            r"batteriespannung",
            r"vpwr",
            r"batt(?:ery)? ?v?",
            r"(?:control )?module voltage",
            r"tension (?:de )?(?:batterie|calculateur)",
            r"volts?",
        ),
        r"o2|oxygen|sensor|bank|maf|map|temp|hybrid|charge|soc|b\ds\d|throttle|pedal",
    ),
}

_ROLES: Mapping[Role, str] = {
    Role.TIME: r"(?:(?:device|gps|log|sample|elapsed|session|rel(?:ative)?|abs(?:olute)?|local|utc|unix|system) )?"
    r"(?:time ?stamps?|time|uhr ?zeit|zeit ?(?:stempel|punkt)?|temps|heure|horodatage|hora|tiempo|seconds?"
    r"|sekunden|millis(?:econds)?|epoch|t|date ?/? ?time|datum ?/? ?uhrzeit|clock|sec|ms|offset)"
    r"(?: (?:s|ms|sec|elapsed|utc|local|stamp|offset|column))?",
    Role.DATE: r"date|datum|fecha|jour|day|tag",
    Role.NAME: r"(?:pid|signal|sensor|parameter|channel|item|measurement|metric)?(?: )?"
    r"(?:name|description|bezeichnung)?|kanal|messgroesse|messwert name",
    Role.VALUE: r"(?:values?|wert|messwert|reading|valeur|valor|data value|result)",
    Role.UNIT: r"units?|einheit(?:en)?|unite|unidad|uom",
    Role.RAW: r"(?:raw|response|hex|bytes|data|payload|message|frame|obd response|raw data|raw response|answer"
    r"|antwort)",
}

_UNIT_AT_END = re.compile(r"^(.*?)\s*[\[(<{]\s*([^\[\](){}<>]*?)\s*[\])>}]\s*$")
_BARE_UNIT = re.compile(r"^(.*?)[ _,/:-]+(°\s?[CF]|deg ?[CF]|[kK][pP]a|km/?h|mph|rpm|g/?s|l/h|%|ms|volts?|V)$")
_UNIT_SUFFIX = re.compile(r"^([A-Za-z][A-Za-z0-9_ ]*?)_(degC|degF|[cCfFkKsSvV]|k[pm]h|mph|kpa|psi|pct|ms|sec|rpm|lph)$")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_PID_NUMBER = re.compile(r"^(?:(?:mode )?0?1 ?[-:_ ]? ?)?(?:pid )?(?:0x)?[0-9a-f]{2} +(?=[a-z]{3})")
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})

# What logs write and engcalc.units does not list: the listed unit, and how many of it
_UNIT_ALIASES: Mapping[str, tuple[str, float]] = {
    "celsius": ("degC", 1.0),
    "grad c": ("degC", 1.0),
    "degrees c": ("degC", 1.0),
    "degree c": ("degC", 1.0),
    "deg. c": ("degC", 1.0),
    "degc": ("degC", 1.0),
    "grad celsius": ("degC", 1.0),
    "degrees celsius": ("degC", 1.0),
    "fahrenheit": ("degF", 1.0),
    "degrees f": ("degF", 1.0),
    "degree f": ("degF", 1.0),
    "kelvin": ("K", 1.0),
    "u/min": ("rpm", 1.0),
    "min-1": ("rpm", 1.0),
    "min^-1": ("rpm", 1.0),
    "r/min": ("rpm", 1.0),
    "tr/min": ("rpm", 1.0),
    "revs/min": ("rpm", 1.0),
    "turns/min": ("rpm", 1.0),
    "revolutions/min": ("rpm", 1.0),
    "km/hr": ("km/h", 1.0),
    "kmph": ("km/h", 1.0),
    "km/std": ("km/h", 1.0),
    "miles/h": ("mph", 1.0),
    "mi/h": ("mph", 1.0),
    "miles/hour": ("mph", 1.0),
    "gm/s": ("g/s", 1.0),
    "grams/sec": ("g/s", 1.0),
    "g/sec": ("g/s", 1.0),
    "gps": ("g/s", 1.0),
    "gr/s": ("g/s", 1.0),
    "grams/s": ("g/s", 1.0),
    "lbs/min": ("lb/min", 1.0),
    "kg/hr": ("kg/h", 1.0),
    "l/hr": ("L/h", 1.0),
    "lph": ("L/h", 1.0),
    "liters/hour": ("L/h", 1.0),
    "l/std": ("L/h", 1.0),
    "gal/h": ("gal/min", 1 / 60),
    "gal/hr": ("gal/min", 1 / 60),
    "gph": ("gal/min", 1 / 60),
    "cc/min": ("L/min", 1e-3),
    "ml/min": ("L/min", 1e-3),
    "seconds": ("s", 1.0),
    "secs": ("s", 1.0),
    "sekunden": ("s", 1.0),
    "minutes": ("min", 1.0),
    "mins": ("min", 1.0),
    "ms": ("s", 1e-3),
    "msec": ("s", 1e-3),
    "milliseconds": ("s", 1e-3),
    "millis": ("s", 1e-3),
    "us": ("s", 1e-6),
    "ns": ("s", 1e-9),
    "hours": ("h", 1.0),
    "std": ("h", 1.0),
    "hpa": ("hPa", 1.0),
    "in.hg": ("inHg", 1.0),
    "pct": ("%", 1.0),
    "prozent": ("%", 1.0),
}
_VOLTS = {"v": 1.0, "volt": 1.0, "volts": 1.0, "mv": 1e-3}
_NO_UNITS = {"", "-", "none", "ratio", "lambda", "λ", ":1", "n/a", "1", "count"}


@dataclass(frozen=True)
class Scale:
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
    return (suffix.group(1), suffix.group(2)) if suffix else (name, "")


@cache
def scale(unit: str, kind: str) -> Scale | None:
    """How a unit converts to SI for one kind; None when it is not a unit of that kind."""
    plain = unit.strip().strip("[]()").strip().replace("\ufffd", "°").replace("?", "°")
    folded = " ".join(plain.casefold().split())
    if kind == "voltage":
        return Scale(_VOLTS[folded], 0.0, plain) if folded in _VOLTS else None
    if kind == "number" and folded in _NO_UNITS:
        return Scale(1.0, 0.0, "")
    listed, factor = _UNIT_ALIASES.get(folded, (plain, 1.0))
    if not listed or len(listed) > 20 or (listed[0].isdigit() and not listed.startswith("1/")):
        return None
    try:
        zero, one = parse(f"0 {listed}", kind).si, parse(f"1 {listed}", kind).si
    except UnitFault:
        return None
    return Scale((one - zero) * factor, zero, listed)


_ANY_KIND = tuple(dict.fromkeys(s.kind for s in SPELLINGS.values()))


@cache
def is_unit(text: str) -> bool:
    """Whether a text is a unit that some channel may have."""
    folded = text.strip().casefold()
    return (
        bool(folded)
        and len(folded) <= 20
        and (folded in _NO_UNITS - {"", "1"} or any(scale(text, kind) is not None for kind in _ANY_KIND))
    )


@cache
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


@cache
def channel_of(name: str) -> tuple[Channel, int] | None:
    """The channel that a header names best, and how surely."""
    if len(name) > 200:
        return None
    found = [(r, channel) for channel in Channel if (r := rank(channel, name)) is not None]
    if not found:
        return None
    best, channel = min(found, key=lambda pair: pair[0])
    return channel, best


@cache
def role_of(name: str) -> Role | None:
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
