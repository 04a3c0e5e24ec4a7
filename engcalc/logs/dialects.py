"""How logs write things: names of channels and columns, signs between cells, months. Data, and nothing else.

A dialect is how one language, one maker or one tool writes. To add one, add its entry to ``DIALECTS``: nothing else in
the program changes. Names are patterns on a name that was repaired, folded to lower case ASCII and stripped of its unit
(:func:`engcalc.logs.channels.fold`). Channels and roles are named by the keys of the case file. Spellings of units are
not here: logs and the form share those of :mod:`engcalc.quantity_kinds`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Dialect:
    """How one language, maker or tool names channels (the surest pattern first), other columns and months."""

    name: str
    channels: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    roles: Mapping[str, str] = field(default_factory=dict)
    months: Mapping[str, int] = field(default_factory=dict)


_TEMPERATURE = r"(?:temp(?:erature?|eratura|eratur)?|t)"
_OTHER_TEMPERATURES = (
    r"catal|exhaust|abgas|transm|gear|getriebe|charge|ladeluft|fuel|kraftstoff|batter|egt|turbo|egr|agr"
)

_ROLES: Mapping[str, str] = {
    "time": r"(?:(?:device|gps|log|sample|elapsed|session|rel(?:ative)?|abs(?:olute)?|local|utc|unix|system) )?"
    r"(?:time ?stamps?|time|uhr ?zeit|zeit ?(?:stempel|punkt)?|temps|heure|horodatage|hora|tiempo|seconds?"
    r"|sekunden|millis(?:econds)?|epoch|t|date ?/? ?time|datum ?/? ?uhrzeit|clock|sec|ms|offset)"
    r"(?: (?:s|ms|sec|elapsed|utc|local|stamp|offset|column))?",
    "date": r"date|datum|fecha|jour|day|tag",
    "name": r"(?:pid|signal|sensor|parameter|channel|item|measurement|metric)?(?: )?"
    r"(?:name|description|bezeichnung)?|kanal|messgroesse|messwert name",
    "value": r"(?:values?|wert|messwert|reading|valeur|valor|data value|result)",
    "unit": r"units?|einheit(?:en)?|unite|unidad|uom",
    "raw": r"(?:raw|response|hex|bytes|data|payload|message|frame|obd response|raw data|raw response|answer"
    r"|antwort)",
}

DIALECTS: tuple[Dialect, ...] = (
    Dialect(
        "English, with the short names of SAE J1979",
        channels={
            "coolant": (
                rf"engine coolant {_TEMPERATURE}",
                r"ect",
                rf"(?:engine )?(?:coolant|water|clt) ?{_TEMPERATURE}\b",
                r"coolant",
                r"clt",
                r"engine temp",
            ),
            "coolant_2": (
                rf"(?:engine )?coolant {_TEMPERATURE} (?:sensor )?(?:2|b)",
                r"ect ?2",
                r"radiator outlet",
            ),
            "intake_air": (
                rf"(?:intake|inlet) (?:manifold )?air {_TEMPERATURE}",
                r"iat",
                rf"(?:intake|inlet) {_TEMPERATURE}",
                rf"manifold air {_TEMPERATURE}",
            ),
            "ambient": (
                rf"ambient (?:air )?{_TEMPERATURE}",
                r"aat",
                r"outside (?:air )?temp",
                r"outdoor temp",
                r"ambient",
            ),
            "oil": (
                rf"engine oil {_TEMPERATURE}",
                r"eot",
                rf"oil {_TEMPERATURE}",
            ),
            "engine_speed": (
                r"engine (?:rpm|speed|revs?|revolutions)",
                r"rpm",
                r"revs",
                r"tach(?:o|ometer)",
            ),
            "vehicle_speed": (
                r"vehicle speed",
                r"vss",
                r"speed (?:obd|ecu)",
                r"road speed",
                r"speed gps|gps speed",
                r"speed",
            ),
            "calculated_load": (
                r"calculated (?:engine )?load",
                r"calc(?:\.| )?load",
                r"engine load",
                r"load (?:pct|value|calc)",
                r"load",
            ),
            "absolute_load": (
                r"abs(?:olute)? (?:engine )?load",
                r"engine load absolute",
                r"load abs",
            ),
            "air_flow": (
                r"(?:mass )?air flow (?:rate )?from (?:mass|maf)",
                r"maf",
                r"mass air ?flow",
                r"air ?flow(?: rate)?",
                r"air mass(?: flow)?",
            ),
            "manifold_pressure": (
                r"(?:intake )?manifold (?:absolute )?pressure",
                r"map",
                r"intake (?:manifold )?(?:absolute )?press",
                r"manifold abs",
            ),
            "barometric_pressure": (
                r"baro(?:metric|metrischer|metrique)?(?: ?pressure| ?druck)?",
                r"atmospheric pressure",
            ),
            "fuel_rate": (
                r"engine fuel rate",
                r"fuel (?:flow )?rate",
                r"fuel flow",
                r"fuel consumption",
                r"lphr?",
            ),
            "fuel_mass_rate": (
                r"engine fuel rate",
                r"fuel (?:mass )?(?:flow )?rate",
                r"fuel (?:mass )?flow",
            ),
            "run_time": (
                r"(?:engine )?run ?time(?: since)?",
                r"time since (?:engine )?start",
                r"runtm",
            ),
            "throttle": (
                r"(?:absolute )?throttle pos",
                r"tps?",
                r"throttle",
            ),
            "pedal": (
                r"accel(?:erator)?(?: pedal)?(?: pos(?:ition)?)? d",
                r"accel(?:erator)? pedal",
                r"app d",
            ),
            "equivalence_ratio": (
                r"(?:fuel.air )?command(?:ed)? (?:fuel.air )?equiv(?:alence)? ratio",
                r"equiv(?:alence)? ratio",
                r"eq ?rat",
                r"command(?:ed)? (?:lambda|equiv)",
                r"fuel.air ratio commanded",
            ),
            "voltage": (
                r"(?:control module|ecu|battery|batt|system|obd|adapter) volt",
                r"vpwr",
                r"batt(?:ery)? ?v?",
                r"(?:control )?module voltage",
                r"volts?",
            ),
        },
        roles=_ROLES,
        months={
            "jan": 1,
            "feb": 2,
            "mar": 3,
            "apr": 4,
            "may": 5,
            "jun": 6,
            "jul": 7,
            "aug": 8,
            "sep": 9,
            "oct": 10,
            "nov": 11,
            "dec": 12,
        },
    ),
    Dialect(
        "German",
        channels={
            "coolant": (
                r"kuehlmitteltemp",
                r"kuhlmitteltemp",
                r"(?:kuehl|kuhl)(?:mittel|wasser)",
                r"motortemp",
                r"wassertemp",
            ),
            "coolant_2": (
                r"kuehler ?aus",
                r"kuhler ?aus",
            ),
            "intake_air": (
                r"ansaugluft",
                r"ansaugtemp",
            ),
            "ambient": (
                r"aussentemp",
                r"umgebungs(?:luft)?temp",
            ),
            "oil": (
                r"(?:motor)?oeltemp",
                r"(?:motor)?oltemp",
            ),
            "engine_speed": (
                r"motordrehzahl",
                r"drehzahl",
                r"nmot",
            ),
            "vehicle_speed": (r"(?:fahrzeug)?geschwindigkeit",),
            "calculated_load": (r"(?:berechnete )?(?:motor)?last",),
            "absolute_load": (r"absolute last",),
            "air_flow": (r"luftmasse",),
            "manifold_pressure": (
                r"saugrohrdruck",
                r"ansaug(?:krummer|rohr)?(?:absolut)?druck",
            ),
            "barometric_pressure": (
                r"luftdruck",
                r"umgebungs(?:luft)?druck",
            ),
            "fuel_rate": (r"kraftstoff(?:verbrauch|rate|fluss)",),
            "fuel_mass_rate": (r"kraftstoffmasse",),
            "run_time": (
                r"laufzeit",
                r"zeit seit (?:motor)?start",
            ),
            "throttle": (r"drosselklappe",),
            "pedal": (
                r"gaspedal",
                r"fahrpedal",
            ),
            "equivalence_ratio": (r"lambda (?:soll|command)",),
            "voltage": (
                r"bordspannung",
                r"batteriespannung",
            ),
        },
        months={"mär": 3, "mrz": 3, "mai": 5, "okt": 10, "dez": 12},
    ),
    Dialect(
        "French",
        channels={
            "coolant": (r"temp(?:erature)? (?:du )?(?:liquide )?(?:de )?refroidissement",),
            "intake_air": (r"air d ?admission",),
            "ambient": (r"temp(?:erature)? (?:de l )?(?:air )?(?:exterieure|ambiante)",),
            "engine_speed": (
                r"regime (?:du )?moteur",
                r"regime",
            ),
            "vehicle_speed": (r"vitesse",),
            "calculated_load": (r"charge (?:calculee|moteur)",),
            "absolute_load": (r"charge absolue",),
            "air_flow": (r"debit (?:massique )?(?:d )?air",),
            "manifold_pressure": (
                r"pression (?:absolue )?(?:du )?collecteur",
                r"pression (?:d )?admission",
            ),
            "fuel_rate": (r"debit (?:de )?carburant",),
            "run_time": (r"temps (?:depuis|de fonctionnement)",),
            "throttle": (r"papillon",),
            "voltage": (r"tension (?:de )?(?:batterie|calculateur)",),
        },
        months={"fev": 2, "fév": 2, "avr": 4, "mai": 5, "juin": 6, "juil": 7, "aoû": 8, "déc": 12},
    ),
    Dialect(
        "Spanish",
        channels={
            "coolant": (
                r"refrigerante",
                r"anticongelante",
            ),
            "intake_air": (r"aire (?:de )?admision",),
            "ambient": (r"temperatura (?:exterior|ambiente)",),
            "oil": (r"temp(?:erature)? (?:d )?(?:huile|aceite)",),
            "engine_speed": (r"revoluciones",),
            "vehicle_speed": (r"velocidad",),
            "calculated_load": (r"carga",),
            "air_flow": (r"flujo (?:masa |de )?aire",),
            "fuel_rate": (r"consumo",),
            "throttle": (r"mariposa",),
        },
    ),
)

RULED_OUT: Mapping[str, str] = {
    "coolant": rf"{_OTHER_TEMPERATURES}|level|fan|pump|press|setpoint|target|desired|radiator outlet"
    r"|sensor 2|sensor b\b|oil|volt|flow|_?2$",
    "coolant_2": rf"{_OTHER_TEMPERATURES}",
    "intake_air": rf"{_OTHER_TEMPERATURES}|press|flow|mass|druck|_?2$|sensor (?:2|b)\b",
    "ambient": rf"{_OTHER_TEMPERATURES}|press|light|druck",
    "oil": rf"{_OTHER_TEMPERATURES}|press|life|level",
    "engine_speed": r"turb|fan|luefter|lufter|trans|input|output|wheel|target|desired|idle|soll|cylinder|pump"
    r"|ratio|average|max",
    "vehicle_speed": r"engine|motor|fan|turb|wheel|\brad|\bwind|trans|input|output|idle|average|limit|target"
    r"|cruise|max|pump",
    "calculated_load": r"abs|alternator|generator|torque|road",
    "air_flow": r"volt|freq|temp|cabin|blower|fan|sensor b\b|specified|soll|desired|correction",
    "manifold_pressure": r"exhaust|fuel|volt|temp|boost gauge|vacuum",
    "barometric_pressure": r"volt|map",
    "fuel_rate": r"rail|press|economy|average|trip|level|air|trim|mpg|100 ?km|temp",
    "fuel_mass_rate": r"rail|press|economy|average|trip|level|air|trim|temp",
    "run_time": r"mil|warning|codes|cleared|trip",
    "throttle": r"relative|command|desired|target|pedal|actuator|volt|sensor b\b|position [bc]\b",
    "pedal": r"volt|[ef]$|brake",
    "equivalence_ratio": r"o2|oxygen|bank|sensor|volt|current|measured|b\ds\d",
    "voltage": r"o2|oxygen|sensor|bank|maf|map|temp|hybrid|charge|soc|b\ds\d|throttle|pedal",
}
"""What a name of a channel never holds, in any dialect: then it is another quantity."""

DELIMITERS: Mapping[str, str] = {";": "semicolon", "\t": "tab", "|": "bar", ",": "comma"}
"""Signs between cells; before the comma come those that no decimal is written with."""
