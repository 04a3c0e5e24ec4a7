"""What may be asked of a vehicle, and the one function through which every request leaves the program.

SAE J1979 (ISO 15031-5) has ten modes. Five only read: 01 current data, 02 freeze frame, 03 trouble codes, 07 pending
codes, 09 about the vehicle. The others clear codes (04), start tests (05, 06 tell results of them) or move parts (08),
and makers have more of their own. None of those can leave here.
"""

from __future__ import annotations

import re
from typing import Protocol

from engcalc.errors import HeatdocketError
from engcalc.words.texts import live_texts
from ui.live import at_commands

SUPPORTED = (0x00, 0x20, 0x40, 0x60, 0x80)
"""Identifiers of mode 01 that tell which of the next 32 are supported."""

CODES, PENDING_CODES, IDENTIFICATION_NUMBER = "03", "07", "0902"
_READING = re.compile(r"01[0-9A-F]{2}|02[0-9A-F]{2}00|03|07|09[0-9A-F]{2}")


class Outlet(Protocol):
    """What takes the bytes of a request."""

    def write(self, data: bytes) -> None:
        """Send these bytes."""


class RequestRefusedError(HeatdocketError):
    """A request that does not only read. Raised before a byte of it is sent."""


def current(pid: int) -> str:
    """Mode 01: what an identifier has now."""
    return f"01{pid:02X}"


def frozen(pid: int) -> str:
    """Mode 02: what an identifier had when the first code was set (frame 0)."""
    return f"02{pid:02X}00"


def may_leave(text: str) -> bool:
    """Whether a request only reads, or is a listed command to the adapter itself."""
    return text in at_commands.LISTED or _READING.fullmatch(text) is not None


def send(outlet: Outlet, text: str) -> None:
    """Send one request. Nothing else in the program writes to a vehicle. Raises RequestRefusedError."""
    if not may_leave(text):
        raise RequestRefusedError(live_texts.REQUEST_DOES_NOT_ONLY_READ.format(text=text[:20]))
    outlet.write(text.encode("ascii") + b"\r")
