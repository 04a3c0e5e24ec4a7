"""Frames on a vehicle's CAN bus: who asks whom by which number, and which frames may leave (ISO 15765-4, ISO 15765-2).

Two kinds go out. A request that only reads, in one frame, to all control units at once; and the flow control that a
control unit waits for when its answer takes several frames. All numbers from memory of the standards.
"""

from __future__ import annotations

from dataclasses import dataclass

from ui.live import requests

FRAME_BYTES = 8  # each frame is filled up to so many
FILLING = 0x00
SINGLE, FLOW_CONTROL = 0, 3  # kinds of a frame, the upper half of its first byte


@dataclass(frozen=True)
class Addresses:
    """Numbers of frames: requests to all control units, and those to and from each; ``wide`` for 29 bits."""

    wide: bool
    to_all: int
    first: int  # of the answers
    last: int

    @property
    def mask(self) -> int:
        """The bits in which all answers are alike."""
        return (0x1FFFFFFF if self.wide else 0x7FF) & ~(self.first ^ self.last)

    def is_answer(self, number: int, wide: bool) -> bool:
        """Whether a frame comes from a control unit."""
        return wide is self.wide and self.first <= number <= self.last

    def to_unit(self, answer: int) -> int:
        """Where a control unit listens that answers with this number."""
        return 0x18DA00F1 | (answer & 0xFF) << 8 if self.wide else answer - 8

    def name(self, answer: int) -> str:
        """A control unit by the number of its answers."""
        return f"{answer:08X}" if self.wide else f"{answer:03X}"


NARROW = Addresses(False, 0x7DF, 0x7E8, 0x7EF)
WIDE = Addresses(True, 0x18DB33F1, 0x18DAF100, 0x18DAF1FF)


def single_frame(request: bytes) -> bytes:
    """One frame with a request of up to seven bytes."""
    return (bytes((len(request),)) + request).ljust(FRAME_BYTES, bytes((FILLING,)))


def may_pass(on: Addresses, number: int, data: bytes) -> bool:
    """Whether a frame only reads: a listed request to all, or flow control to one."""
    kind, low = (data[0] >> 4, data[0] & 0x0F) if data else (-1, 0)
    if number == on.to_all:
        return kind == SINGLE and 0 < low < len(data) and requests.may_leave(data[1 : 1 + low].hex().upper())
    answers = range(on.first, on.last + 1)
    return kind == FLOW_CONTROL and any(number == on.to_unit(answer) for answer in answers)
