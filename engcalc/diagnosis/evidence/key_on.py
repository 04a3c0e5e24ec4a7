"""Sensors held against one another with the ignition on and the engine still cold: after a soak they agree."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from engcalc.case.records import Record
from engcalc.diagnosis.evidence.observations import AT_KEY_ON
from engcalc.logs.channels import Channel
from engcalc.logs.record import LogRecord
from engcalc.vehicle.run import SOAKED

AGREE = 7.5  # K; three times what coolant and air differ by after a soak (observations.KEY_ON)
WARM = 323.15  # K; 50 degC: no sensor in the open air stands there, so that the engine ran a short while ago
_COMPARED = (Channel.COOLANT, Channel.COOLANT_2, Channel.INTAKE_AIR, Channel.AMBIENT)


class KeyOnCode(StrEnum):
    """What the sensors say together before the start."""

    AGREE = "agree"
    WARM = "warm"
    COOLANT_OFF = "coolant_off"
    AIR_OFF = "air_off"
    ONE_ONLY = "one_only"


@dataclass(frozen=True)
class KeyOn:
    """The judgement, and what each sensor read [K]. ``soaked``: somebody noted that it stood long enough."""

    code: KeyOnCode
    read: tuple[tuple[Channel, float], ...]
    soaked: bool


def key_on(log: LogRecord, record: Record) -> KeyOn | None:
    """Judge the sensors as they stood up to the engine's start; None before the coolant was read."""
    read = []
    for channel in _COMPARED:
        t, x = log.observed(channel)
        early = x[t <= AT_KEY_ON]
        if early.size:
            read.append((channel, float(early[0])))
    found = dict(read)
    if Channel.COOLANT not in found:
        return None
    soaked = record.soak is not None and float(record.soak[0]) >= SOAKED
    return KeyOn(_code(found), tuple(read), soaked)


def _code(read: dict[Channel, float]) -> KeyOnCode:
    coolant = read[Channel.COOLANT]
    others = {channel: T for channel, T in read.items() if channel is not Channel.COOLANT}
    if not others:
        return KeyOnCode.ONE_ONLY
    if all(abs(T - coolant) <= AGREE for T in others.values()):
        return KeyOnCode.AGREE
    airs = [T for channel, T in others.items() if channel in (Channel.INTAKE_AIR, Channel.AMBIENT)]
    if len(airs) > 1 and max(airs) - min(airs) > AGREE:
        return KeyOnCode.AIR_OFF
    return KeyOnCode.WARM if coolant >= WARM else KeyOnCode.COOLANT_OFF
