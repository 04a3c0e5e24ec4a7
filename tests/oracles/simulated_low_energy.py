"""The adapter of ``simulated_adapter`` by Bluetooth low energy: a stand-in for bleak's scanner and client.

Each call is bound to the signature of bleak's own method, so that what bleak would refuse is refused here. Answers come
in pieces of 20 bytes, as the least connection carries them.
"""

from __future__ import annotations

import asyncio
import inspect
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import bleak
from bleak.exc import BleakError
from simulated_adapter import Adapter

PIECE = 20  # bytes; of a connection with the least ATT_MTU, 23 (Bluetooth Core, vol. 3, part F, 3.2.8, from memory)
BASE = "-0000-1000-8000-00805f9b34fb"
REAL_CLIENT, REAL_SCANNER = bleak.BleakClient, bleak.BleakScanner


@dataclass(frozen=True)
class Characteristic:
    uuid: str
    properties: tuple[str, ...]


@dataclass(frozen=True)
class Service:
    uuid: str
    characteristics: tuple[Characteristic, ...]

    def get_characteristic(self, uuid: str) -> Characteristic | None:
        return next((c for c in self.characteristics if c.uuid == uuid), None)


@dataclass(frozen=True)
class Services:
    all: tuple[Service, ...]

    def get_service(self, uuid: str) -> Service | None:
        return next((s for s in self.all if s.uuid == uuid), None)


def short(number: str) -> str:
    return f"0000{number}{BASE}"


def serial_service(service: str, told: str, asked: str, asked_by: str = "write-without-response") -> Service:
    """One with the characteristic that tells and the one that is asked, which may be the same."""
    if told == asked:
        return Service(service, (Characteristic(told, ("notify", asked_by)),))
    return Service(service, (Characteristic(told, ("notify",)), Characteristic(asked, (asked_by,))))


BATTERY = Service(short("180f"), (Characteristic(short("2a19"), ("read", "notify", "write")),))  # of no use here
USUAL = serial_service(short("fff0"), short("fff1"), short("fff2"))


@dataclass(eq=False)
class OnAir:
    """One adapter in sight, until it is unplugged; ``written`` holds every write with where it went and how."""

    adapter: Adapter
    name: str = "OBD bench"
    address: str = "00:11:22:AA:BB:CC"
    services: tuple[Service, ...] = (BATTERY, USUAL)
    in_sight: bool = True
    written: list[tuple[str, bytes, bool]] = field(default_factory=list)
    told_by: list[str] = field(default_factory=list)
    clients: list[Any] = field(default_factory=list)

    def unplug(self) -> None:
        """Pull the plug: every connection ends, and the adapter wakes up anew."""
        self.in_sight = False
        self.adapter.power_lost()
        for client in self.clients:
            client.loop.call_soon_threadsafe(client.drop)

    def put_into(self, monkeypatch: Any) -> None:
        """Stand in for bleak from now on."""
        air = self

        class Scanner:
            @staticmethod
            async def find_device_by_name(*args: Any, **kwargs: Any) -> OnAir | None:
                asked = _bound(REAL_SCANNER.find_device_by_name, args, kwargs)
                return air if air.in_sight and asked["name"] == air.name else None

            @staticmethod
            async def find_device_by_address(*args: Any, **kwargs: Any) -> OnAir | None:
                asked = _bound(REAL_SCANNER.find_device_by_address, args, kwargs)
                return air if air.in_sight and asked["device_identifier"].lower() == air.address.lower() else None

        class Client(_Client):
            def __init__(self, *args: Any, **kwargs: Any) -> None:
                super().__init__(air, _bound(REAL_CLIENT.__init__, (self, *args), kwargs))

        monkeypatch.setattr(bleak, "BleakScanner", Scanner)
        monkeypatch.setattr(bleak, "BleakClient", Client)


class _Client:
    """One connection."""

    def __init__(self, air: OnAir, asked: dict[str, Any]) -> None:
        assert asked["address_or_ble_device"] is air
        self.air, self.gone = air, asked["disconnected_callback"]
        self.connected, self.text = False, b""
        self.take: Callable[[Any, bytearray], None] | None = None

    @property
    def services(self) -> Services:
        if not self.connected:
            raise BleakError("Service Discovery has not been performed yet")
        return Services(self.air.services)

    async def connect(self) -> None:
        self.loop = asyncio.get_running_loop()
        self.connected = True
        self.air.clients.append(self)

    async def disconnect(self) -> None:
        self.drop()

    def drop(self) -> None:
        if self.connected:
            self.connected = False
            self.gone(self)

    async def start_notify(self, *args: Any, **kwargs: Any) -> None:
        asked = _bound(REAL_CLIENT.start_notify, (self, *args), kwargs)
        assert "notify" in asked["char_specifier"].properties
        self.air.told_by.append(asked["char_specifier"].uuid)
        self.take = asked["callback"]

    async def write_gatt_char(self, *args: Any, **kwargs: Any) -> None:
        asked = _bound(REAL_CLIENT.write_gatt_char, (self, *args), kwargs)
        where, data, confirmed = asked["char_specifier"], bytes(asked["data"]), asked["response"]
        if not self.connected:
            raise BleakError("Not connected")
        if ("write" if confirmed else "write-without-response") not in where.properties or len(data) > PIECE:
            raise BleakError("this write is not permitted")
        self.air.written.append((where.uuid, data, confirmed))
        self.text += data
        while b"\r" in self.text:
            line, _, self.text = self.text.partition(b"\r")
            said = self.air.adapter.said(line.decode("ascii").strip())
            for i in range(0, len(said), PIECE):
                assert self.take is not None, "asked before anybody listened"
                self.take(None, bytearray(said[i : i + PIECE]))


def _bound(method: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]) -> dict[str, Any]:
    """The arguments by the names of bleak's own method. TypeError where it would not take them."""
    found = inspect.signature(method).bind(*args, **kwargs)
    found.apply_defaults()
    return dict(found.arguments)
