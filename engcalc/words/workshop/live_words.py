"""A live reading in plain sentences: dangers at once, the odds as they stand, what is settled, sensors at key-on."""

from __future__ import annotations

from collections.abc import Mapping

from engcalc.case.records import Record, heater_settings
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.danger_now import Alarm, AlarmCode
from engcalc.diagnosis.enough import STILL_OPEN, OddsPassed, SettledCauses
from engcalc.diagnosis.evidence.key_on import KeyOn, KeyOnCode
from engcalc.diagnosis.odds.as_it_grows import GrownOdds
from engcalc.logs.channels import SPELLINGS, Channel
from engcalc.units import UnitSystem, show
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.terms.numbers import chance, difference, lowered, temperature

_FROZEN = (
    Channel.COOLANT,
    Channel.INTAKE_AIR,
    Channel.AMBIENT,
    Channel.ENGINE_SPEED,
    Channel.VEHICLE_SPEED,
    Channel.RUN_TIME,
)
MOST_NAMED = 4  # causes on one line

DRIVER_DRIVES = (
    "The driver drives and looks at the road. Nothing here needs a touch while the vehicle moves: everything is "
    "recorded by itself. A passenger reads the screen, or you read it when you stand."
)
AT_STANDSTILL = tuple(CAUTION_TEXTS[key] for key in ("exhaust", "moving_parts", "fan_by_itself", "hot_cap", "stop_hot"))
"""What a person minds who reads a vehicle with its engine running."""

ONLY_SIMULATED = (
    "Reading was tried against simulated vehicles only: adapters on a serial port, on TCP and by a stand-in for "
    "Bluetooth low energy, and a CAN bus in software. No real vehicle was read yet."
)

_ALARMS: Mapping[AlarmCode, str] = {
    AlarmCode.OVER_LIMIT: "STOP: the coolant is at {T}, its limit is {limit}. Stop the engine as soon as it is safe.",
    AlarmCode.RISING_FAST: "STOP: the coolant is at {T} and rises by {rise} a minute: it would pass its limit of {limit} "
    "within two minutes. Stop the engine as soon as it is safe.",
    AlarmCode.NEAR_LIMIT: "CARE: the coolant is at {T}, close to its limit of {limit}. Turn the heater on full, drive "
    "gently, stop if it rises further.",
    AlarmCode.FAN_MISSED: "CARE: the coolant is at {T} at standstill or low speed, and the radiator fan should have run "
    "for a minute by now. Stop and listen for it, hands away from the fan.",
}


def alarm_line(alarm: Alarm, system: UnitSystem = UnitSystem.SI) -> str:
    """What a danger asks for now."""
    return _ALARMS[alarm.code].format(
        T=temperature(alarm.T, system),
        limit=temperature(alarm.limit, system),
        rise=difference(60.0 * alarm.rise, system),
    )


def clock(seconds: float) -> str:
    """Minutes and seconds since the engine's start.

    >>> clock(245.4)
    '4:05'
    """
    whole = max(round(seconds), 0)
    return f"{whole // 60}:{whole % 60:02d}"


def moment(at: float, started: float | None) -> str:
    """A moment of a reading, by the engine's start, as a reading by hand is to be entered; ``started`` [s] is when it
    started, None before that or where nobody tells.

    >>> moment(70.0, 10.0), moment(5.0, None)
    ('1:00 after the start', '0:05 of reading')
    """
    return f"{clock(at)} of reading" if started is None else f"{clock(at - started)} after the start"


def heater_words(record: Record) -> str:
    """How the heater was set during a run; empty where nobody noted it. A setting that held no moment is not told."""
    every = heater_settings(record)
    ends = (*(at for at, _ in every[1:]), float("inf"))
    first, *later = [setting for setting, end in zip(every, ends, strict=True) if end > setting[0]]
    if not later:
        return "" if first[1] == "unknown" else first[1]
    begins = "not noted" if first[1] == "unknown" else first[1]
    return ", ".join((begins, *(f"{word} from {clock(at)} on" for at, word in later)))


def odds_line(odds: GrownOdds) -> str:
    """The likeliest causes on one line."""
    named = [c for c in odds.causes[:MOST_NAMED] if c.probability >= STILL_OPEN] or list(odds.causes[:1])
    told = ", ".join(f"{lowered(cause_label(c.fault))} {chance(c.probability)}" for c in named)
    rest = len(odds.causes) - len(named)
    return f"{told}; {rest} others less" if rest else told


def enough_lines(found: SettledCauses) -> tuple[str, ...]:
    """Whether enough was seen."""
    if found.seen:
        return (f"This was looked at and found: {', or '.join(lowered(cause_label(key)) for key in found.settled)}.",)
    if found.settled and found.settled[0] == HEALTHY.key:
        return ("This is settled: healthy, as far as a warm-up can tell.",)
    if found.settled:
        told = ", or ".join(lowered(cause_label(key)) for key in found.settled)
        return (f"This is settled: {told}. Let a check on the vehicle confirm it.",)
    still = ", ".join(lowered(cause_label(key)) for key in found.open)
    return (f"Still open: {still}.",)


def passed_line(passed: OddsPassed | None, ended: float | None = None) -> str:
    """Since when the odds are past nine in ten, beside the record's end where it is over; both [s] from the engine's
    start. Empty where there is nothing to tell yet.

    >>> passed_line(OddsPassed(("thermostat_stuck_open",), 245.4), 2100.0)
    'By 4:05 the odds had passed 9 in 10, and they stayed there: the thermostat is stuck open. The record was over at 35:00.'
    """
    if passed is None:
        return "" if ended is None else f"At the end no odds are past 9 in 10. The record was over at {clock(ended)}."
    told = ", or ".join(lowered(cause_label(key)) for key in passed.causes)
    since = f"By {clock(passed.at)} the odds had passed 9 in 10, and they stayed there: {told}."
    return since if ended is None else f"{since} The record was over at {clock(ended)}."


def freeze_frame_line(code: str, values: Mapping[Channel, float], system: UnitSystem = UnitSystem.SI) -> str:
    """How the engine ran as a code was set; ``values`` [SI]."""
    told = [(SPELLINGS[channel], values[channel]) for channel in _FROZEN if channel in values]
    return f"As {code} was set: " + ", ".join(f"{lowered(s.label)} {show(x, s.kind, system)}" for s, x in told) + "."


_KEY_ON: Mapping[KeyOnCode, str] = {
    KeyOnCode.AGREE: "Before the start the sensors agree ({read}).",
    KeyOnCode.WARM: "The coolant is warmer than the air before the start ({read}): the engine ran a short while ago. A "
    "start from cold tells more.",
    KeyOnCode.COOLANT_OFF: "Before the start the coolant's sensor differs from the others ({read}).",
    KeyOnCode.AIR_OFF: "Before the start the two air sensors differ ({read}): one of them may be wrong, or sits where the "
    "sun or a warm engine heats it.",
    KeyOnCode.ONE_ONLY: "Before the start only the coolant was read ({read}): nothing to hold it against.",
}
_SOAKED = " After so long a stand they should read alike: the sensor or its wiring may be at fault."
_NOT_NOTED = " If the vehicle stood for six hours or more, suspect the sensor; if not, that is no fault."


def key_on_line(found: KeyOn, system: UnitSystem = UnitSystem.SI) -> str:
    """What the sensors say together with the ignition on."""
    read = ", ".join(f"{lowered(SPELLINGS[channel].label)} {temperature(T, system)}" for channel, T in found.read)
    said = _KEY_ON[found.code].format(read=read)
    if found.code is not KeyOnCode.COOLANT_OFF:
        return said
    return said + (_SOAKED if found.soaked else _NOT_NOTED)
