"""The vehicle of ``simulated_adapter`` on a CAN bus of its own: python-can's virtual one.

Each control unit answers requests to all (7DF, 18DB33F1) and puts long answers into frames by itself, of which it sends
no second one before it was told to go on (ISO 15765-2, from memory). It shares no code with can-isotp.
"""

from __future__ import annotations

import threading
from uuid import uuid4

import can
from simulated_adapter import Adapter, _frames

NARROW = (0x7DF, 0x7E8, 0x7E0)  # requests to all; the first unit's answers; where it listens
WIDE = (0x18DB33F1, 0x18DAF110, 0x18DA10F1)


class OnBus:
    """The control units on their bus, until they are closed; ``heard`` holds every frame that they were sent."""

    def __init__(self, vehicle: Adapter, *, wide: bool = False, pending: bool = False, deaf: bool = False) -> None:
        self.vehicle, self.wide, self.pending, self.deaf = vehicle, wide, pending, deaf
        self.channel = uuid4().hex
        self.heard: list[tuple[int, bytes]] = []
        self._bus = can.Bus(interface="virtual", channel=self.channel)
        self._waiting: dict[int, list[bytes]] = {}  # by where the unit listens: frames that are held back
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def __enter__(self) -> OnBus:
        return self

    def __exit__(self, *_: object) -> None:
        self._ended.set()
        self._thread.join(5.0)
        self._bus.shutdown()

    def joined(self) -> can.BusABC:
        """Another end of the same bus."""
        return can.Bus(interface="virtual", channel=self.channel)

    def say(self, number: int, data: bytes) -> None:
        """A frame of anybody's on the bus."""
        self._bus.send(can.Message(arbitration_id=number, data=data, is_extended_id=self.wide))

    def _serve(self) -> None:
        to_all = (WIDE if self.wide else NARROW)[0]
        while not self._ended.is_set():
            frame = self._bus.recv(timeout=0.02)
            if frame is None:
                continue
            self.heard.append((frame.arbitration_id, bytes(frame.data)))
            if frame.is_extended_id is not self.wide:
                continue
            if frame.arbitration_id == to_all:
                self._asked(bytes(frame.data[1 : 1 + frame.data[0]]))
            elif frame.data[0] >> 4 == 3:
                for held in self._waiting.pop(frame.arbitration_id, []):
                    self.say(self._answers_by(frame.arbitration_id), held)

    def _answers_by(self, listens: int) -> int:
        return 0x18DAF100 | (listens >> 8 & 0xFF) if self.wide else listens + 8

    def _asked(self, request: bytes) -> None:
        now = self.vehicle.answers()
        if not now or self.deaf:
            return
        text = request.hex().upper()
        units = (self.vehicle._engine(text, now), self.vehicle._of(text, self.vehicle.gearbox))
        _, first, listens = WIDE if self.wide else NARROW
        for unit, data in enumerate(units):
            if not data:
                continue
            number = first + unit
            to_unit = listens + unit * (0x100 if self.wide else 1)
            if self.pending:
                self.say(number, bytes((3, 0x7F, request[0], 0x78)).ljust(8, b"\x55"))
                self._ended.wait(0.2)  # longer than a unit may take that says nothing
            frames = _frames(data)
            self.say(number, frames[0])
            self._waiting[to_unit] = frames[1:]
