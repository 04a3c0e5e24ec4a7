"""A vehicle spoken to, by an adapter or on its own bus: what is asked once, and one value after another."""

from __future__ import annotations

import time
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from engcalc.logs.channels import Channel
from engcalc.logs.pids import PIDS, values
from engcalc.words.texts import live_texts
from ui.live import at_commands, requests
from ui.live.adapter import Wire, WireLostError
from ui.live.answers import Reply, Trouble, code_of, codes_in, identification_number, protocol_of, reply_of, supported

PROMPT = b">"
TO_RESET, TO_ANSWER, TO_SEARCH = 4.0, 5.0, 20.0  # s; the longest wait for a prompt; common practice, no source
LONGEST_ANSWER = 20_000  # bytes; more without a prompt is no adapter
MOST_NO_VEHICLE = 60  # tries of one second or more, before which nobody has to switch the ignition on


@dataclass(frozen=True)
class VehicleTold:
    """What adapter and vehicle say of themselves. ``asked_of`` gives the control unit for each supported identifier of
    mode 01 that is known here; ``frozen`` holds the freeze frame [SI], which the code ``frozen_by`` stored."""

    adapter: str
    protocol: str
    units: tuple[str, ...]
    asked_of: Mapping[int, str]
    vin: str = ""
    codes: tuple[str, ...] = ()
    pending: tuple[str, ...] = ()
    frozen: Mapping[Channel, float] = field(default_factory=dict)
    frozen_by: str = ""


class VehicleLink(ABC):
    """A vehicle that can be asked. Every method raises WireLostError when what leads to it is gone or falls silent."""

    def __init__(self, stop: Callable[[], bool] = lambda: False) -> None:
        self._stop = stop
        self._protocol = ""  # by its number in at_commands.PROTOCOLS

    @abstractmethod
    def set_up(self) -> str:
        """Make ready whatever leads to the vehicle; what it says it is."""

    @abstractmethod
    def ask(self, request: str, only: str = "", /) -> Reply:
        """One request and what came of it; ``only`` names the one control unit whose answer is of use."""

    @abstractmethod
    def close(self) -> None:
        """Let go of it."""

    @abstractmethod
    def _answers(self) -> bool:
        """Ask once whether the vehicle answers, and in which protocol."""

    def _protocol_name(self) -> str:
        return at_commands.PROTOCOLS.get(self._protocol, "not told")

    def told(self) -> VehicleTold:
        """Find the vehicle's protocol and all that is asked of it once."""
        name = self.set_up()
        self._find_vehicle()
        asked_of, units = self._supported()
        vin = next((v for d in self.ask(requests.IDENTIFICATION_NUMBER).units.values() if (v := _vin(d))), "")
        frozen_by = self._frozen_by()
        return VehicleTold(
            name,
            self._protocol_name(),
            units,
            asked_of,
            vin,
            self._codes(requests.CODES, 0x43),
            self._codes(requests.PENDING_CODES, 0x47),
            self._frozen(asked_of) if frozen_by else {},
            frozen_by,
        )

    def read(self, pid: int, unit: str) -> tuple[Mapping[Channel, float], Trouble | None]:
        """The values [SI] that one control unit tells for an identifier, or why there are none."""
        reply = self.ask(requests.current(pid), unit)
        data = reply.units.get(unit)
        if data is None or len(data) < 3 or data[:2] != bytes((0x41, pid)):
            return {}, reply.trouble or Trouble.GARBLED
        return values(PIDS[pid], data[2:]), None

    def _find_vehicle(self) -> None:
        """Ask until the vehicle answers: the ignition may still be off."""
        for _ in range(MOST_NO_VEHICLE):
            if self._answers():
                return
            self._pause(1.0)
        raise WireLostError(live_texts.VEHICLE_DOES_NOT_ANSWER_IS_THE_IGNITION)

    def _supported(self) -> tuple[dict[int, str], tuple[str, ...]]:
        """The control unit that is asked for each known identifier: the first that supports it."""
        asked_of: dict[int, str] = {}
        units: dict[str, None] = {}
        for first in requests.SUPPORTED:
            more = False
            for unit, data in self.ask(requests.current(first)).units.items():
                units[unit] = None
                there = supported(first, data)
                more = more or first + 0x20 in there
                for pid in sorted(there & PIDS.keys()):
                    asked_of.setdefault(pid, unit)
            if not more:
                break
        return asked_of, tuple(units)

    def _codes(self, request: str, answered: int) -> tuple[str, ...]:
        found = self.ask(request).units.values()
        return tuple(dict.fromkeys(c for d in found if d[0] == answered for c in codes_in(d, self._protocol)))

    def _frozen_by(self) -> str:
        """The code with which the freeze frame was stored; empty where there is none."""
        told = [d[3:5] for d in self.ask(requests.frozen(0x02)).units.values() if len(d) >= 5 and d[:2] == b"\x42\x02"]
        return next((code_of(pair) for pair in told if any(pair)), "")

    def _frozen(self, asked_of: Mapping[int, str]) -> dict[Channel, float]:
        """What the freeze frame holds of the channels known here."""
        found: dict[Channel, float] = {}
        for pid, unit in asked_of.items():
            data = self.ask(requests.frozen(pid)).units.get(unit, b"")
            if len(data) > 3 and data[:2] == bytes((0x42, pid)):
                found.update(values(PIDS[pid], data[3:]))
        return found

    def _pause(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if self._stop():
                raise WireLostError("reading was stopped")
            time.sleep(0.05)


class AdapterLink(VehicleLink):
    """One wire with an adapter at its end."""

    def __init__(self, wire: Wire, stop: Callable[[], bool] = lambda: False) -> None:
        super().__init__(stop)
        self._wire = wire

    def set_up(self) -> str:
        """Reset the adapter and bring it into the form that is read here; what it says it is."""
        self._drain()
        self._lines(at_commands.RESET, TO_RESET)
        for command in at_commands.SET_UP:
            self._lines(command, TO_ANSWER)
        said = [line for line in self._lines(at_commands.IDENTITY, TO_ANSWER) if line != at_commands.IDENTITY]
        return said[0][:60] if said else live_texts.ADAPTER_WITHOUT_A_NAME

    def ask(self, request: str, _only: str = "", /) -> Reply:
        """As VehicleLink's; an adapter waits for every control unit by itself."""
        return reply_of(self._lines(request, TO_ANSWER), self._protocol)

    def close(self) -> None:
        """Let go of the wire."""
        self._wire.close()

    def _answers(self) -> bool:
        lines = self._lines(requests.current(0x00), TO_SEARCH)
        told = [p for line in self._lines(at_commands.PROTOCOL_NUMBER, TO_ANSWER) if (p := protocol_of(line))]
        self._protocol = told[0] if told else ""
        return bool(self._protocol and reply_of(lines, self._protocol).units)

    def _lines(self, request: str, seconds: float) -> list[str]:
        """Send one request and take the lines up to the prompt, without their echo."""
        requests.send(self._wire, request)
        text, end = b"", time.monotonic() + seconds
        while PROMPT not in text:
            left = end - time.monotonic()
            if left <= 0.0:
                raise WireLostError(live_texts.ADAPTER_DOES_NOT_ANSWER)
            if self._stop():
                raise WireLostError("reading was stopped")
            text += self._wire.read(min(left, 0.2))
            if len(text) > LONGEST_ANSWER:
                raise WireLostError(live_texts.WHAT_ANSWERS_THERE_IS_NO_ADAPTER)
        said = text.partition(PROMPT)[0].replace(b"\0", b"").decode("ascii", errors="replace")
        lines = [line.strip() for line in said.replace("\n", "\r").split("\r")]
        return [line for line in lines if line and line != request]

    def _drain(self) -> None:
        """Throw away what an adapter still had to say from before."""
        while self._wire.read(0.05):
            pass


def _vin(data: bytes) -> str:
    return identification_number(data) if data[:2] == b"\x49\x02" else ""
