"""What an adapter's lines say: the bytes that each control unit answered, or why there are none.

The lines are hexadecimal, with headers and without spaces. Which bytes are header, length and check follows from the
protocol: ISO 15765-2 puts long answers into frames with a count, the older ones send several messages (SAE J1979).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from engcalc.words.texts import live_texts
from ui.live.at_commands import PROTOCOLS

CAN_11_BIT, CAN_29_BIT, SUMMED = ("6", "8"), ("7", "9"), ("3", "4", "5")  # protocols by their numbers
_HEX = re.compile(r"(?:[0-9A-F]{2})+|[0-9A-F]{3}(?:[0-9A-F]{2})+")
_FOREWORDS = re.compile(r"^(?:SEARCHING[.: ]*|BUS INIT[.: ]*(?:OK)?)+")


class Trouble(StrEnum):
    """Why an answer holds no bytes."""

    NO_DATA = "no data"
    NO_VEHICLE = live_texts.VEHICLE_DOES_NOT_ANSWER
    BUS = live_texts.ERROR_ON_THE_BUS
    NOT_KNOWN = live_texts.ADAPTER_DOES_NOT_KNOW_THE_REQUEST
    LOW_VOLTAGE = live_texts.ADAPTER_LOST_ITS_POWER
    GARBLED = "garbled"


# How a line of trouble begins, from memory of the common command set
_TROUBLES: tuple[tuple[str, Trouble], ...] = (
    ("NO DATA", Trouble.NO_DATA),
    ("UNABLE TO CONNECT", Trouble.NO_VEHICLE),
    ("STOPPED", Trouble.GARBLED),
    ("BUFFER FULL", Trouble.GARBLED),
    ("DATA ERROR", Trouble.GARBLED),
    ("<DATA ERROR", Trouble.GARBLED),
    ("<RX ERROR", Trouble.GARBLED),
    ("BUS BUSY", Trouble.BUS),
    ("BUS ERROR", Trouble.BUS),
    ("CAN ERROR", Trouble.BUS),
    ("FB ERROR", Trouble.BUS),
    ("ERROR", Trouble.BUS),
    ("ERR", Trouble.BUS),
    ("LV RESET", Trouble.LOW_VOLTAGE),
    ("LP ALERT", Trouble.LOW_VOLTAGE),
    ("ACT ALERT", Trouble.LOW_VOLTAGE),
    ("?", Trouble.NOT_KNOWN),
)


@dataclass(frozen=True)
class Reply:
    """What came: the bytes by control unit, header and check taken off; ``trouble`` where nothing did.

    ``garbled`` counts lines that could not be read.
    """

    units: Mapping[str, bytes] = field(default_factory=dict)
    trouble: Trouble | None = None
    garbled: int = 0


def protocol_of(text: str) -> str:
    """The number of the protocol from what the adapter tells of it (``A6`` or ``6``); empty when it has none."""
    number = text.strip().removeprefix("A")
    return number if number in PROTOCOLS else ""


def reply_of(lines: Iterable[str], protocol: str) -> Reply:
    """What the lines of one answer say. Whatever they hold, this raises nothing."""
    messages: dict[str, list[bytes]] = {}
    trouble, garbled = None, 0
    for raw in lines:
        line = _FOREWORDS.sub("", raw.upper().strip())
        if not line:
            continue
        told = next((what for start, what in _TROUBLES if line.startswith(start)), None)
        if told is not None:
            trouble = trouble or told
            continue
        found = _message(line.replace(" ", ""), protocol)
        if found is None:
            garbled += 1
        else:
            messages.setdefault(found[0], []).append(found[1])
    units: dict[str, bytes] = {}
    for unit, parts in messages.items():
        whole = _joined_frames(parts) if protocol in (*CAN_11_BIT, *CAN_29_BIT) else _joined_messages(parts)
        if whole:
            units[unit] = whole
        else:
            garbled += 1
    if not units and trouble is None and garbled:
        trouble = Trouble.GARBLED
    return Reply(dict(sorted(units.items())), trouble, garbled)


def _message(line: str, protocol: str) -> tuple[str, bytes] | None:
    """Control unit and bytes of one line; None when it is none or its check is wrong."""
    if _HEX.fullmatch(line) is None:
        return None
    if protocol in CAN_11_BIT:
        return (line[:3], bytes.fromhex(line[3:])) if len(line) % 2 and len(line) >= 7 else None
    if len(line) % 2:
        return None
    if protocol in CAN_29_BIT:
        return (line[:8], bytes.fromhex(line[8:])) if len(line) >= 12 else None
    data = bytes.fromhex(line)
    if len(data) < 5 or data[-1] != _check(data[:-1], protocol):
        return None
    return f"{data[2]:02X}", data[3:-1]


def _check(data: bytes, protocol: str) -> int:
    """The last byte of an older message: the sum (ISO 9141-2, ISO 14230-2), or the CRC of SAE J1850: polynomial 1D,
    begun and ended with FF."""
    if protocol in SUMMED:
        return sum(data) % 256
    crc = 0xFF
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = (crc << 1 ^ 0x1D) & 0xFF if crc & 0x80 else crc << 1 & 0xFF
    return crc ^ 0xFF


def _joined_frames(frames: Sequence[bytes]) -> bytes:
    """One answer from its frames (ISO 15765-2); empty when one is missing."""
    for i, frame in enumerate(frames):
        kind, low = frame[0] >> 4, frame[0] & 0x0F
        if kind == 0 and 0 < low <= len(frame) - 1:
            return frame[1 : 1 + low]
        if kind == 1 and len(frame) >= 3:
            return _long(low << 8 | frame[1], frame[2:], frames[i + 1 :])
    return b""


def _long(length: int, first: bytes, rest: Sequence[bytes]) -> bytes:
    """A first frame with those that follow it, counted 1 to 15, 0, 1 and so on."""
    data, number = first, 1
    for frame in rest:
        if frame[0] >> 4 != 2:
            continue
        if frame[0] & 0x0F != number % 16:
            return b""
        data, number = data + frame[1:], number + 1
    return data[:length] if len(data) >= length else b""


def _joined_messages(messages: Sequence[bytes]) -> bytes:
    """One answer from messages that each repeat the mode: of mode 09 they are counted from 1, of codes they are not."""
    first = messages[0]
    if len(messages) == 1 or len(first) < 3:
        return first
    if first[0] == 0x49:
        in_order = sorted(messages, key=lambda m: m[2] if len(m) > 2 else 0)
        counted = [m[2] for m in in_order if len(m) > 2]
        whole = counted == list(range(1, len(messages) + 1))
        return first[:3] + b"".join(m[3:] for m in in_order) if whole else b""
    if first[0] in (0x43, 0x47):
        return first[:1] + b"".join(m[1:] for m in messages)
    return first


def supported(first: int, data: bytes) -> frozenset[int]:
    """The identifiers that an answer to ``first`` says are supported: 32 bits, the highest for first + 1."""
    if len(data) < 6 or data[0] != 0x41 or data[1] != first:
        return frozenset()
    bits = int.from_bytes(data[2:6], "big")
    return frozenset(first + 1 + i for i in range(32) if bits >> (31 - i) & 1)


def codes_in(data: bytes, protocol: str) -> tuple[str, ...]:
    """Trouble codes of an answer to mode 03 or 07 (SAE J2012: two bytes a code; 0000 fills up)."""
    on_can = protocol in (*CAN_11_BIT, *CAN_29_BIT)
    rest = data[2:] if on_can else data[1:]  # on CAN their number comes first
    pairs = (rest[i : i + 2] for i in range(0, len(rest) - 1, 2))
    return tuple(dict.fromkeys(code_of(pair) for pair in pairs if pair != b"\0\0"))


def code_of(pair: bytes) -> str:
    """A trouble code of its two bytes.

    >>> code_of(bytes.fromhex("0128"))
    'P0128'
    """
    return f"{'PCBU'[pair[0] >> 6]}{pair[0] >> 4 & 3}{pair[0] & 0x0F:X}{pair[1]:02X}"


def identification_number(data: bytes) -> str:
    """The vehicle's identification number of an answer to mode 09 (17 signs, ISO 3779); empty when it is none."""
    text = bytes(data[3:]).replace(b"\0", b"").decode("ascii", errors="replace").strip()
    return text if re.fullmatch(r"[A-HJ-NPR-Z0-9]{17}", text) else ""
