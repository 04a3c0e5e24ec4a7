"""Raw answers of an engine control unit (SAE J1979 mode 01) made into numbers.

The scaling of each parameter identifier as tabulated by SAE J1979-DA and repeated in ISO 15031-5: bytes A, B, C, D of
the answer to SI. Read here from open transcriptions of those tables, not from the standard itself.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from engcalc.logs.channels import Channel
from engcalc.units import ZERO_CELSIUS
from engcalc.words.texts import log_texts

_ANSWER = 0x41  # mode 01 answered
_RPM = 60.0  # rpm per rev/s
Bytes = Sequence[int]


@dataclass(frozen=True)
class Pid:
    """One identifier: how many bytes it answers with, and what each channel is from them (None: not supported)."""

    number: int
    size: int
    title: str
    channels: Mapping[Channel, Callable[[Bytes], float | None]]


def word(b: Bytes, at: int = 0) -> int:
    """256 A + B."""
    return 256 * b[at] + b[at + 1]


def _share(b: Bytes) -> float:
    return b[0] / 255.0


def _celsius(b: Bytes) -> float:
    return b[0] - 40.0 + ZERO_CELSIUS


def _kilopascal(b: Bytes) -> float:
    return b[0] * 1e3


def _sensor(bit: int) -> Callable[[Bytes], float | None]:
    """Byte A tells which sensors there are; the bytes after it hold one temperature each."""
    return lambda b: b[1 + bit] - 40.0 + ZERO_CELSIUS if b[0] >> bit & 1 else None


_PIDS = (
    Pid(0x04, 1, "Calculated load", {Channel.CALCULATED_LOAD: _share}),
    Pid(0x05, 1, "Coolant temperature", {Channel.COOLANT: _celsius}),
    Pid(0x0B, 1, "Manifold pressure", {Channel.MANIFOLD_PRESSURE: _kilopascal}),
    Pid(0x0C, 2, "Engine speed", {Channel.ENGINE_SPEED: lambda b: word(b) / 4.0 / _RPM}),
    Pid(0x0D, 1, "Vehicle speed", {Channel.VEHICLE_SPEED: lambda b: b[0] / 3.6}),
    Pid(0x0F, 1, "Intake air temperature", {Channel.INTAKE_AIR: _celsius}),
    Pid(0x10, 2, "Air mass flow", {Channel.AIR_FLOW: lambda b: word(b) / 100.0 * 1e-3}),
    Pid(0x11, 1, "Throttle", {Channel.THROTTLE: _share}),
    Pid(0x1F, 2, "Run time", {Channel.RUN_TIME: lambda b: float(word(b))}),
    Pid(0x33, 1, "Barometric pressure", {Channel.BAROMETRIC_PRESSURE: _kilopascal}),
    Pid(0x42, 2, "Control module voltage", {Channel.VOLTAGE: lambda b: word(b) / 1000.0}),
    Pid(0x43, 2, "Absolute load", {Channel.ABSOLUTE_LOAD: lambda b: word(b) / 255.0}),
    Pid(
        0x44,
        2,
        log_texts.COMMANDED_AIR_FUEL_RATIO_OVER_STOICHIOMETRIC,
        {Channel.EQUIVALENCE_RATIO: lambda b: word(b) * 2.0 / 65536.0},
    ),  # 2/65535 in another transcription: 15 ppm
    Pid(0x46, 1, "Outside air temperature", {Channel.AMBIENT: _celsius}),
    Pid(0x49, 1, "Accelerator pedal D", {Channel.PEDAL: _share}),
    Pid(0x5C, 1, "Oil temperature", {Channel.OIL: _celsius}),
    Pid(0x5E, 2, "Fuel rate", {Channel.FUEL_RATE: lambda b: word(b) / 20.0 * 1e-3 / 3600.0}),
    Pid(0x66, 5, log_texts.AIR_MASS_FLOW, {Channel.AIR_FLOW: lambda b: word(b, 1) / 32.0 * 1e-3 if b[0] & 1 else None}),
    Pid(0x67, 3, "Coolant temperature, sensors", {Channel.COOLANT: _sensor(0), Channel.COOLANT_2: _sensor(1)}),
    Pid(0x68, 3, log_texts.INTAKE_AIR_TEMPERATURE, {Channel.INTAKE_AIR: _sensor(0)}),
    Pid(
        0x87,
        5,
        "Manifold pressure, sensors",
        {Channel.MANIFOLD_PRESSURE: lambda b: word(b, 1) / 32.0 * 1e3 if b[0] & 1 else None},
    ),  # from memory
    Pid(0x9D, 4, "Fuel mass rate", {Channel.FUEL_MASS_RATE: lambda b: word(b) / 50.0 * 1e-3}),
)
PIDS: Mapping[int, Pid] = {pid.number: pid for pid in _PIDS}

_HEX = re.compile(r"(?:0x)?[0-9A-Fa-f]{1,3}|(?:[0-9A-Fa-f]{2})+")
_PID_NAME = re.compile(
    r"\s*(?:mode ?0?1[ ,:-]*)?(?:pid[ :_-]*)?(?:0x)?(?:0?1)??[ :_-]*(?:0x)?([0-9A-Fa-f]{2})\s*", re.IGNORECASE
)


def pid_of(name: str) -> Pid | None:
    """The identifier that a short text such as ``0105``, ``05`` or ``PID 0x0C`` names."""
    match = _PID_NAME.fullmatch(name) if len(name) <= 20 else None
    return PIDS.get(int(match.group(1), 16)) if match else None


def to_bytes(text: str) -> tuple[int, ...] | None:
    """The bytes of a text in hexadecimal, with or without spaces; None when it is none."""
    tokens = text.replace(",", " ").replace("-", " ").strip().strip(">").split()
    if not tokens or len(text) > 120 or not all(_HEX.fullmatch(token) for token in tokens):
        return None
    if (len(tokens[0]) == 3 and len(tokens) > 1) or (len(tokens[0]) == 8 and tokens[0].upper().startswith("18")):
        tokens = tokens[1:]  # the identifier of a CAN frame
    out: list[int] = []
    for token in tokens:
        digits = token.removeprefix("0x").removeprefix("0X")
        digits = "0" + digits if len(digits) % 2 else digits
        out += bytes.fromhex(digits)
    return tuple(out)


@lru_cache(maxsize=65536)
def decode_answer(text: str) -> tuple[Pid, tuple[int, ...]] | None:
    """The identifier and data bytes of an answer such as ``41 05 7B`` or ``7E8 03 41 05 7B``; None when it is none."""
    data = to_bytes(text)
    if data is None:
        return None
    for start in (0, 1, 3, 4):  # bare; after a length byte; after a header of three bytes, with a length or without
        if len(data) > start + 2 and data[start] == _ANSWER and data[start + 1] in PIDS:
            pid = PIDS[data[start + 1]]
            rest = data[start + 2 :]
            return (pid, rest[: pid.size]) if len(rest) >= min(pid.size, 3) else None
    return None


def values(pid: Pid, data: Bytes) -> dict[Channel, float]:
    """What an answer says, in SI; a channel whose sensor is not there is left out."""
    if len(data) < min(pid.size, 3):
        return {}
    found = ((channel, formula(data)) for channel, formula in pid.channels.items())
    return {channel: value for channel, value in found if value is not None}
