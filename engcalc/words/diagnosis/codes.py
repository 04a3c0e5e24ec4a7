"""Trouble codes of the cooling system: standard titles, and what each says in plain words.

Titles follow SAE J2012 as open transcriptions give it (``Origin.TRANSCRIBED``), or memory of the same list
(``Origin.MEMORY``): the wording of the edition that a maker used may differ. A code says what the control unit
concluded by its own test, not which part is broken.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from engcalc.case.sections import Sections


class TitleOrigin(StrEnum):
    """Where a title comes from."""

    TRANSCRIBED = "SAE J2012, as transcribed in open code lists"
    MEMORY = "SAE J2012, from memory"
    UNKNOWN = "not in this list"


@dataclass(frozen=True)
class TroubleCode:
    """One code: its title (None when it is not in the list), what it says here, and what it points to.

    ``causes`` are keys of the catalogue of causes, the likelier first.
    """

    code: str
    title: str | None
    says: str
    causes: tuple[str, ...]
    origin: TitleOrigin

    @property
    def known(self) -> bool:
        """Whether the code is in the list."""
        return self.title is not None


SUBSTITUTE = (
    "With this code the control unit may use a substitute value and run the fan. Scan tool and gauge "
    "then do not show how hot the coolant is."
)
_TOO_COLD = ("thermostat_stuck_open", "thermostat_missing", "thermostat_opens_early", "sensor_reads_low", "low_coolant")
_TOO_HOT = (
    "low_coolant",
    "external_leak",
    "thermostat_stuck_shut",
    "fan_not_running",
    "radiator_restricted",
    "pump_weak",
    "gas_in_coolant",
    "face_blocked",
)
_HEATED = ("thermostat_opens_early", "thermostat_stuck_open")
_FAN = ("fan_not_running", "fan_always_on")


def _entry(
    code: str,
    title: str,
    says: str,
    causes: tuple[str, ...] = (),
    *,
    circuit: bool = False,
    origin: TitleOrigin = TitleOrigin.TRANSCRIBED,
) -> TroubleCode:
    return TroubleCode(code, title, f"{says} {SUBSTITUTE}" if circuit else says, causes, origin)


_CODES = (
    _entry(
        "P0115",
        "Engine Coolant Temperature Circuit",
        "The coolant sensor's circuit gives no proper signal: look at plug and wires first.",
        ("sensor_erratic", "sensor_reads_low", "sensor_reads_high"),
        circuit=True,
    ),
    _entry(
        "P0116",
        "Engine Coolant Temperature Circuit Range/Performance",
        "The coolant reading does not fit what the control unit expects, such as after a soak or while warming up.",
        ("sensor_reads_low", "sensor_reads_high", *_TOO_COLD[:3]),
        circuit=True,
    ),
    _entry(
        "P0117",
        "Engine Coolant Temperature Circuit Low",
        "The signal voltage is too low, which reads as very hot: mostly a short to ground or a bad sensor.",
        ("sensor_reads_high", "sensor_erratic"),
        circuit=True,
    ),
    _entry(
        "P0118",
        "Engine Coolant Temperature Circuit High",
        "The signal voltage is too high, which reads as very cold, near -40 °C: mostly an open wire or plug.",
        ("sensor_reads_low", "sensor_erratic"),
        circuit=True,
    ),
    _entry(
        "P0119",
        "Engine Coolant Temperature Circuit Intermittent",
        "The coolant signal comes and goes or jumps: a loose plug, a chafed wire, or air at the sensor.",
        ("sensor_erratic", "sensor_in_air", "low_coolant"),
        circuit=True,
    ),
    _entry(
        "P0125",
        "Insufficient Coolant Temperature for Closed Loop Fuel Control",
        "The coolant did not get warm enough, in the time allowed, for the engine to regulate its mixture.",
        _TOO_COLD,
    ),
    _entry(
        "P0126",
        "Insufficient Coolant Temperature for Stable Operation",
        "The coolant stayed too cold for the engine's other self-tests to run.",
        _TOO_COLD,
    ),
    _entry(
        "P0128",
        "Coolant Thermostat (Coolant Temperature Below Thermostat Regulating Temperature)",
        "The coolant did not come near the thermostat's temperature in the time that the control unit allowed. "
        "Most often the thermostat is stuck open or leaks; a low level or a sensor that reads low does the same.",
        _TOO_COLD,
    ),
    _entry(
        "P0217",
        "Engine Coolant Over Temperature Condition",
        "The coolant went past the limit. The engine may have been harmed: stop driving and find the reason first. "
        "A fail-safe thermostat locks open after such an event.",
        _TOO_HOT,
    ),
    _entry("P0480", "Fan 1 Control Circuit", "The control unit finds a fault in the wiring of the first fan.", _FAN),
    _entry("P0481", "Fan 2 Control Circuit", "The control unit finds a fault in the wiring of the second fan.", _FAN),
    _entry("P0482", "Fan 3 Control Circuit", "The control unit finds a fault in the wiring of the third fan.", _FAN),
    _entry(
        "P0483",
        "Fan Rationality Check",
        "The fan does not do what it is commanded to do.",
        ("fan_not_running", "fan_clutch_slipping", "fan_always_on"),
    ),
    _entry(
        "P0597",
        "Thermostat Heater Control Circuit/Open",
        "The heater inside the thermostat has an open circuit: the valve then regulates at its own, higher "
        "temperature.",
        _HEATED,
    ),
    _entry(
        "P0598",
        "Thermostat Heater Control Circuit Low",
        "The circuit of the thermostat's heater is shorted low: it may heat all the time and open early.",
        _HEATED,
    ),
    _entry(
        "P0599",
        "Thermostat Heater Control Circuit High",
        "The circuit of the thermostat's heater is shorted high: it may heat all the time or never.",
        _HEATED,
    ),
    _entry(
        "P2181",
        "Cooling System Performance",
        "The coolant did not behave as the control unit's model says, too cold or too hot: read the record that "
        "was stored with the code to see which.",
        (*_TOO_COLD[:1], "low_coolant", "pump_weak", *_TOO_HOT[2:5]),
    ),
    _entry(
        "P2560",
        "Engine Coolant Level Low",
        "The level sensor says that the coolant is low: find where it went before anything else.",
        ("low_coolant", "external_leak", "gas_in_coolant"),
    ),
    _entry(
        "P0111",
        "Intake Air Temperature Circuit Range/Performance",
        "The intake air reading does not fit: compare it with the outside air after a soak.",
        origin=TitleOrigin.MEMORY,
    ),
    _entry(
        "P0112",
        "Intake Air Temperature Circuit Low",
        "The intake air sensor reads very hot: a short.",
        origin=TitleOrigin.MEMORY,
    ),
    _entry(
        "P0113",
        "Intake Air Temperature Circuit High",
        "The intake air sensor reads very cold: an open wire.",
        origin=TitleOrigin.MEMORY,
    ),
    _entry(
        "P0298",
        "Engine Oil Over Temperature",
        "The oil got too hot, with the coolant or without it.",
        ("excess_heat", *_TOO_HOT[:2]),
        origin=TitleOrigin.MEMORY,
    ),
    _entry(
        "P0691",
        "Fan 1 Control Circuit Low",
        "The first fan's control wire is shorted low or open.",
        _FAN,
        origin=TitleOrigin.MEMORY,
    ),
    _entry(
        "P0692",
        "Fan 1 Control Circuit High",
        "The first fan's control wire is shorted high.",
        _FAN,
        origin=TitleOrigin.MEMORY,
    ),
    _entry(
        "P0484",
        "Fan Circuit Over Current",
        "The fan draws too much current: it is stiff, blocked or shorted.",
        _FAN,
        origin=TitleOrigin.MEMORY,
    ),
    _entry(
        "P0485", "Fan Power/Ground Circuit", "The fan's supply or ground is at fault.", _FAN, origin=TitleOrigin.MEMORY
    ),
    _entry(
        "P0494",
        "Fan Speed Low",
        "The fan turns slower than it is commanded to.",
        ("fan_clutch_slipping", "fan_not_running"),
        origin=TitleOrigin.MEMORY,
    ),
    _entry(
        "P0495",
        "Fan Speed High",
        "The fan turns faster than it is commanded to.",
        ("fan_always_on",),
        origin=TitleOrigin.MEMORY,
    ),
    *(
        _entry(
            code,
            f"Coolant Pump Control Circuit{which}",
            "The control unit finds a fault in the wiring or the answer of the electric coolant pump.",
            ("pump_not_commanded",),
            origin=TitleOrigin.MEMORY,
        )
        for code, which in (("P2600", "/Open"), ("P2601", " Range/Performance"), ("P2602", " Low"), ("P2603", " High"))
    ),
    _entry(
        "P00B7",
        "Engine Coolant Flow Low/Performance",
        "The control unit works out that too little coolant flows through the engine.",
        ("pump_weak", "pump_impeller_loose", "pump_not_commanded", "low_coolant", "thermostat_stuck_shut"),
        origin=TitleOrigin.MEMORY,
    ),
)
CODES: Mapping[str, TroubleCode] = {entry.code: entry for entry in _CODES}

_SHAPE = re.compile(r"([PBCU])\s*([0-3])\s*([0-9A-F]{3})(?:[-:\s]*[0-9A-F]{2})?(?:\b.*)?", re.IGNORECASE | re.DOTALL)
_FAMILIES = {"P": "engine or transmission", "B": "body", "C": "chassis", "U": "network between control units"}
_KEPT = "It is kept with the evidence."
_NOT_COOLING = f"It is not one of the cooling codes known here: look it up for this vehicle. {_KEPT}"
_MAKERS_OWN = f"It is the maker's own code: it means something else on each make, so look it up. {_KEPT}"


def trouble_code(text: str) -> TroubleCode:
    """What a code says; a spelling such as ``p0128 (pending)`` or ``P0128-00`` is understood.

    >>> trouble_code("p0128-00").title
    'Coolant Thermostat (Coolant Temperature Below Thermostat Regulating Temperature)'
    """
    plain = " ".join(text.split())
    match = _SHAPE.fullmatch(plain[:200])
    if match is None:
        says = "This does not read as a trouble code: a letter P, B, C or U and four digits would do, such as P0128."
        return TroubleCode(plain[:60], None, says, (), TitleOrigin.UNKNOWN)
    code = "".join(match.groups()).upper()
    return CODES[code] if code in CODES else TroubleCode(code, None, _unknown(code), (), TitleOrigin.UNKNOWN)


def code_sentence(text: str) -> str:
    """A code as typed with its standard title, where the list has it, and what it says here."""
    found = trouble_code(text)
    return f"{found.code}, {found.title}: {found.says}" if found.title is not None else f"{found.code}: {found.says}"


def code_sentences(case: Sections) -> tuple[str, ...]:
    """One sentence for each code noted in the case's records, each code once."""
    records = (case.evidence.before, case.evidence.after)
    texts = dict.fromkeys(text for record in records if record is not None for text in record.codes)
    return tuple(dict.fromkeys(code_sentence(text) for text in texts))


def _unknown(code: str) -> str:
    own = (
        code[1] == "1"
        or (code[0] == "P" and code[1:] >= "3000" and code[1:] < "3400")
        or (code[0] in "BCU" and code[1] in "12")
    )
    return f"A code of the {_FAMILIES[code[0]]}. {_MAKERS_OWN if own else _NOT_COOLING}"
