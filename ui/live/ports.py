"""What a port names: an adapter on a serial port, behind TCP or by Bluetooth low energy, or the vehicle's own bus."""

from __future__ import annotations

import re
from collections.abc import Callable

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import live_texts
from ui.live.adapter import BAUD_RATES, SerialWire, TcpWire, Wire, serial_ports
from ui.live.can_bus import CanBus, can_ports, needs_packages, open_socketcan
from ui.live.low_energy import LowEnergyWire, needs_bleak

_TCP = re.compile(r"tcp:(?P<host>[^:\s]+|\[[0-9a-fA-F:]+\]):(?P<port>[0-9]{1,5})")
_LOW_ENERGY = re.compile(r"ble:(?P<name>[^\x00-\x1f\x7f]*[^\x00-\x20\x7f][^\x00-\x1f\x7f]*)")
_SOCKETCAN = re.compile(r"socketcan:(?P<channel>[A-Za-z0-9_.-]{1,15})")  # a network interface's name in Linux


def opener(port: str, baud: int | None = None) -> Callable[[], Wire | CanBus]:
    """What opens a port: ``tcp:HOST:PORT``, ``ble:NAME``, ``socketcan:INTERFACE``, else a serial port, of which each
    call that fails tries the next usual rate, unless one is given. InputError for a port that cannot be meant."""
    if port.startswith("tcp:"):
        return _tcp(port)
    if port.startswith("ble:"):
        return _low_energy(port, baud)
    if port.startswith("socketcan:"):
        return _socketcan(port, baud)
    if not port.strip() or port.startswith("-"):
        wanted = live_texts.SERIAL_PORT_TCP_HOST_PORT
        raise InputError((InputFault("--port", port, wanted),))
    rates = BAUD_RATES if baud is None else (baud,)
    turn = [0]

    def open_serial() -> Wire:
        turn[0] += 1
        return SerialWire(port, rates[(turn[0] - 1) % len(rates)])

    return open_serial


def _tcp(port: str) -> Callable[[], Wire]:
    found = _TCP.fullmatch(port)
    if found is None or not 0 < int(found["port"]) < 65536:
        raise InputError((InputFault("--port", port, live_texts.SUCH_AS_TCP_192_168_0_10_35000_WOULD_DO),))
    host, number = found["host"].strip("[]"), int(found["port"])
    return lambda: TcpWire(host, number)


def _low_energy(port: str, baud: int | None) -> Callable[[], Wire]:
    found = _LOW_ENERGY.fullmatch(port)
    if found is None:
        raise InputError((InputFault("--port", port, live_texts.NAME_OR_ADDRESS_WOULD_DO),))
    if baud is not None:
        raise InputError((InputFault("--baud", str(baud), live_texts.LOW_ENERGY_HAS_NO_RATE),))
    needs_bleak(port)
    name = found["name"].strip()
    return lambda: LowEnergyWire(name)


def _socketcan(port: str, baud: int | None) -> Callable[[], CanBus]:
    found = _SOCKETCAN.fullmatch(port)
    if found is None:
        raise InputError((InputFault("--port", port, live_texts.SUCH_AS_SOCKETCAN_CAN0_WOULD_DO),))
    if baud is not None:
        wanted = live_texts.NONE_WOULD_DO
        raise InputError((InputFault("--baud", str(baud), wanted),))
    needs_packages(port)
    channel = found["channel"]
    return lambda: open_socketcan(channel)


def ports() -> list[str]:
    """The serial ports and CAN interfaces of this machine, in order."""
    return [*serial_ports(), *can_ports()]
