"""A vehicle asked on its own CAN bus (ISO 15765-4), without an adapter between."""

from __future__ import annotations

import time
from collections.abc import Callable

from ui.live import requests
from ui.live.answers import CAN_11_BIT, CAN_29_BIT, Reply, Trouble
from ui.live.can_bus import CanBus
from ui.live.can_frames import NARROW, WIDE
from ui.live.link import TO_ANSWER, VehicleLink

QUIET = 0.1  # s; twice the longest a control unit may take to answer (P2 of ISO 15765-4, 50 ms, from memory)
MORE_TIME = 5.0  # s; what one may take that said that it takes longer (P2*, from memory)
REFUSED, TAKES_LONGER = 0x7F, 0x78  # a negative answer, and the reason that is none (ISO 14229-1)
ANSWERED = 0x40  # added to the mode of a request in its answer (SAE J1979)


class CanLink(VehicleLink):
    """One bus with the control units on it."""

    def __init__(self, bus: CanBus, stop: Callable[[], bool] = lambda: False) -> None:
        super().__init__(stop)
        self._bus = bus

    def set_up(self) -> str:
        """There is nothing to set up: the interface's own name."""
        return self._bus.name

    def ask(self, request: str, only: str = "", /) -> Reply:
        """As VehicleLink's."""
        self._bus.forget()
        requests.send(self._bus, request)
        asked = bytes.fromhex(request)
        wanted = bytes((asked[0] + ANSWERED,)) + asked[1:2]
        units: dict[str, bytes] = {}
        quiet, latest = QUIET, time.monotonic() + TO_ANSWER
        while only not in units or not only:
            found = self._bus.answer(quiet, latest, self._stop)
            if found is None:
                break
            unit, data = found
            quiet = MORE_TIME if data[:1] == bytes((REFUSED,)) and data[2:3] == bytes((TAKES_LONGER,)) else QUIET
            if data.startswith(wanted):
                units[unit] = data
        return Reply(dict(sorted(units.items())), None if units else Trouble.NO_DATA)

    def close(self) -> None:
        """Let go of the bus."""
        self._bus.close()

    def _answers(self) -> bool:
        for addresses, protocol in ((NARROW, CAN_11_BIT[0]), (WIDE, CAN_29_BIT[0])):
            self._bus.use(addresses)
            if self.ask(requests.current(0x00)).units:
                self._protocol = protocol
                return True
        return False

    def _protocol_name(self) -> str:
        """Without its rate, which is the interface's and not told here."""
        return f"ISO 15765-4, {'29' if self._bus.on.wide else '11'} bit"
