"""A vehicle's own CAN bus through this system's SocketCAN: requests out, whole answers in (ISO 15765-2).

Needs the packages python-can and can-isotp, which are not installed unless asked for (``pip install
'heatdocket[can]'``) and not imported unless a port names a bus.
"""

from __future__ import annotations

import logging
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Any

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import live_texts
from ui.live.adapter import WireLostError
from ui.live.can_frames import FILLING, NARROW, Addresses, may_pass, single_frame
from ui.live.requests import RequestRefusedError

SLICE = 0.1  # s; of waiting, after which is looked whether anybody still wants it
NETWORK_TYPE_CAN = "280"  # of a network interface in Linux (ARPHRD_CAN, linux/if_arp.h)
_SETTING = {"tx_padding": FILLING, "blocksize": 0, "stmin": 0, "rx_consecutive_frame_timeout": 1000}  # the last in ms


def needs_packages(port: str) -> None:
    """Raises InputError where the packages for a bus are not installed."""
    try:
        import can  # noqa: F401
        import isotp  # noqa: F401
    except ImportError:
        wanted = live_texts.CAN_BUS_NEEDS_THE_PACKAGES_PYTHON_CAN
        raise InputError((InputFault("--port", port, wanted),)) from None


def can_ports(interfaces: Path = Path("/sys/class/net")) -> list[str]:
    """The CAN interfaces of this system as ports, in order; none where the system has no such thing."""
    found = (kind.parent.name for kind in interfaces.glob("*/type") if kind.read_text().strip() == NETWORK_TYPE_CAN)
    return sorted(f"socketcan:{name}" for name in found)


def open_socketcan(channel: str) -> CanBus:
    """The bus behind an interface such as can0, which somebody brought up at the vehicle's rate. WireLostError."""
    import can

    try:
        return CanBus(f"{channel} (SocketCAN)", can.Bus(interface="socketcan", channel=channel))
    except (can.CanError, OSError, ValueError) as error:
        raise WireLostError(live_texts.SOCKETCAN_CANNOT_BE_OPENED.format(channel=channel, error=error)) from None


class CanBus:
    """A bus that is open. Every method raises WireLostError once it is gone."""

    def __init__(self, name: str, bus: Any) -> None:
        """``bus`` is one of python-can."""
        self.name, self._bus = name, bus
        self._units: dict[int, _AnsweringUnit] = {}
        self.use(NARROW)

    def use(self, addresses: Addresses) -> None:
        """Ask and listen with these numbers from now on."""
        self.on = addresses
        self._units = {}
        heard = {"can_id": addresses.first, "can_mask": addresses.mask, "extended": addresses.wide}
        self._bus.set_filters([heard])  # a bus that is driven on carries thousands of frames a second

    def write(self, data: bytes) -> None:
        """A request as :func:`ui.live.requests.send` hands it on, to all control units at once."""
        try:
            request = bytes.fromhex(data.decode("ascii").strip())
        except ValueError:
            raise RequestRefusedError(live_texts.IS_NO_REQUEST_TO_A_VEHICLE.format(data=data[:20])) from None
        self._put(self.on.to_all, single_frame(request))

    def answer(self, quiet: float, latest: float, stop: Callable[[], bool]) -> tuple[str, bytes] | None:
        """The next whole answer and the control unit it is of. None when nothing came for ``quiet`` [s], or by
        ``latest`` (of the monotonic clock)."""
        heard = time.monotonic()
        while True:
            for number, unit in self._units.items():
                if (whole := unit.taken()) is not None:
                    return self.on.name(number), whole
            left = min(heard + quiet, latest) - time.monotonic()
            if left <= 0.0:
                return None
            if stop():
                raise WireLostError("reading was stopped")
            frame = self._received(min(left, SLICE))
            if frame is not None and self._take(frame):
                heard = time.monotonic()

    def forget(self) -> None:
        """Throw away what is still on its way from an earlier request."""
        while (frame := self._received(0.0)) is not None:
            self._take(frame)
        for unit in self._units.values():
            while unit.taken() is not None:
                pass

    def close(self) -> None:
        """Let go of it."""
        self._bus.shutdown()

    def _received(self, seconds: float) -> Any | None:
        """The next frame, waiting so long at most."""
        import can

        try:
            return self._bus.recv(timeout=seconds)
        except (can.CanError, OSError, ValueError) as error:
            raise WireLostError(live_texts.BUS_IS_GONE.format(error=error)) from None

    def _take(self, frame: Any) -> bool:
        """Hand a frame on to whose answer it is part of; whether it was one of a control unit's."""
        number, wide = int(frame.arbitration_id), bool(frame.is_extended_id)
        if frame.is_error_frame or frame.is_remote_frame or not self.on.is_answer(number, wide):
            return False
        if number not in self._units:
            self._units[number] = _AnsweringUnit(number, self.on, self._put)
        self._units[number].take(bytes(frame.data))
        return True

    def _put(self, number: int, data: bytes) -> None:
        """The one place where a frame goes out: looked at once more, whoever made it."""
        import can

        if not may_pass(self.on, number, data):
            raise RequestRefusedError(live_texts.FRAME_DOES_NOT_ONLY_READ.format(number=number, data=data.hex()))
        try:
            self._bus.send(can.Message(arbitration_id=number, data=data, is_extended_id=self.on.wide), timeout=1.0)
        except (can.CanError, OSError, ValueError) as error:
            raise WireLostError(live_texts.BUS_TAKES_NOTHING.format(error=error)) from None


class _AnsweringUnit:
    """The answers of one control unit, put together from their frames."""

    def __init__(self, number: int, on: Addresses, put: Callable[[int, bytes], None]) -> None:
        import isotp

        self._frames: deque[Any] = deque()
        self._number, self._on, self._message = number, on, isotp.CanMessage
        mode = isotp.AddressingMode.Normal_29bits if on.wide else isotp.AddressingMode.Normal_11bits
        logging.getLogger(isotp.TransportLayerLogic.LOGGER_NAME).setLevel(logging.CRITICAL)  # a torn answer is no news
        self._layer = isotp.TransportLayerLogic(
            lambda _wait: self._frames.popleft() if self._frames else None,
            lambda message: put(int(message.arbitration_id), bytes(message.data)),
            isotp.Address(mode, rxid=number, txid=on.to_unit(number)),
            params=_SETTING,
        )

    def take(self, data: bytes) -> None:
        """One frame; flow control goes out where it begins a long answer."""
        self._frames.append(
            self._message(arbitration_id=self._number, data=bytearray(data), extended_id=self._on.wide, dlc=len(data))
        )
        self._layer.process()

    def taken(self) -> bytes | None:
        """The next whole answer, once."""
        whole = self._layer.recv()
        return None if whole is None else bytes(whole)
