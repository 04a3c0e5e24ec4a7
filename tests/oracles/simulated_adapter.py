"""A vehicle on this machine, behind an adapter as the trade has them, on a pseudo-terminal or a TCP port.

It keeps what an adapter keeps (echo, line feeds, spaces, headers), searches the bus at first, answers for several
control units in frames or messages as the protocol has them, and can be slow, garbled, without power or unplugged.
What it was asked is kept, so that a test can say that nothing else was. From memory of the common command set.
"""

from __future__ import annotations

import contextlib
import os
import random
import re
import socket
import threading
import time
import tty
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

Answers = Callable[[], Mapping[int, bytes]]
"""Bytes of each supported identifier of mode 01 as they are now; an empty answer is a vehicle without ignition."""

VIN = b"1HD0CKET0XX123456"  # of no vehicle


@dataclass
class Adapter:
    """The adapter and the vehicle behind it."""

    answers: Answers
    protocol: str = "6"
    codes: tuple[bytes, ...] = ()
    pending: tuple[bytes, ...] = ()
    frozen: Mapping[int, bytes] = field(default_factory=dict)
    gearbox: Mapping[int, bytes] = field(default_factory=dict)  # a second control unit
    delay: float = 0.0  # s before each answer
    garbled: float = 0.0  # share of answers that are damaged
    silent_pids: frozenset[int] = frozenset()
    seed: int = 1
    heard: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._rng = random.Random(self.seed)
        self.power_lost()

    def power_lost(self) -> None:
        """As it wakes up: echo, spaces and line feeds on, headers off, and no bus found."""
        self._echo, self._feeds, self._spaces, self._headers, self._found = True, True, True, False, False

    def said(self, request: str) -> bytes:
        """What goes back for one line, up to the prompt."""
        self.heard.append(request)
        echo = request + "\r" if self._echo else ""
        lines = self._command(request) if request.startswith("AT") else self._asked(request)
        end = "\r\n" if self._feeds else "\r"
        return (echo + end.join([*lines, "", ">"])).encode("ascii")

    def _command(self, request: str) -> list[str]:
        switches = {"ATE": "_echo", "ATL": "_feeds", "ATS": "_spaces", "ATH": "_headers"}
        if request == "ATZ":
            self.power_lost()
            return ["", "Bench adapter v0.9"]
        if request == "ATI":
            return ["Bench adapter v0.9"]
        if request == "ATDPN":
            return ["A" + (self.protocol if self._found else "0")]
        if request == "ATSP0":
            self._found = False
            return ["OK"]
        if request[:3] in switches and request[3:] in ("0", "1"):
            setattr(self, switches[request[:3]], request[3:] == "1")
            return ["OK"]
        return ["OK"] if request == "ATAT1" else ["?"]

    def _asked(self, request: str) -> list[str]:
        time.sleep(self.delay)
        now = self.answers()
        if not re.fullmatch(r"(?:[0-9A-F]{2})+", request):
            return ["?"]
        if not now:
            return ["SEARCHING...", "UNABLE TO CONNECT"]
        first = [] if self._found else ["SEARCHING..."]
        self._found = True
        units = {0: self._engine(request, now), 1: self._of(request, self.gearbox) if self.gearbox else None}
        lines = [line for unit, data in units.items() if data for line in self._lines(unit, data)]
        if self._rng.random() < self.garbled:
            lines = [self._damaged(line) for line in lines]
        return [*first, *(lines or ["NO DATA"])]

    def _engine(self, request: str, now: Mapping[int, bytes]) -> bytes | None:
        if request == "03":
            return self._listed(0x43, self.codes)
        if request == "07":
            return self._listed(0x47, self.pending)
        if request == "0902":
            return b"\x49\x02\x01" + VIN
        if request.startswith("02"):
            pid = int(request[2:4], 16)
            return bytes((0x42, pid, 0)) + self.frozen[pid] if pid in self.frozen else None
        return self._of(request, now)

    def _of(self, request: str, now: Mapping[int, bytes]) -> bytes | None:
        if not request.startswith("01"):
            return None
        pid = int(request[2:4], 16)
        if pid % 0x20 == 0:
            bits = sum(1 << (31 - (p - pid - 1)) for p in now if pid < p <= pid + 0x20)
            bits |= any(p > pid + 0x20 for p in now)
            return bytes((0x41, pid)) + bits.to_bytes(4, "big")
        return None if pid not in now or pid in self.silent_pids else bytes((0x41, pid)) + now[pid]

    def _listed(self, mode: int, codes: tuple[bytes, ...]) -> bytes:
        count = bytes((len(codes),)) if self.protocol in "6789" else b""
        return bytes((mode,)) + count + b"".join(codes)

    def _lines(self, unit: int, data: bytes) -> list[str]:
        if self.protocol in "6789":
            head = f"7E{8 + unit}" if self.protocol in "68" else f"18DAF1{0x10 + unit:02X}"
            return [self._shown(head, frame) for frame in _frames(data)]
        return [self._shown("", message) for message in self._messages(unit, data)]

    def _messages(self, unit: int, data: bytes) -> list[bytes]:
        parts = [data]
        if data[0] == 0x49:
            text = b"\0\0\0" + data[3:]
            parts = [data[:2] + bytes((i + 1,)) + text[4 * i : 4 * i + 4] for i in range(5)]
        elif data[0] in (0x43, 0x47):
            pairs = data[1:].ljust(6, b"\0")
            parts = [data[:1] + pairs[i : i + 6].ljust(6, b"\0") for i in range(0, len(pairs), 6)]
        found = []
        for part in parts:
            whole = bytes((0x48, 0x6B, 0x10 + unit)) + part
            found.append(whole + bytes((sum(whole) % 256 if self.protocol in "345" else _crc(whole),)))
        return found

    def _shown(self, head: str, data: bytes) -> str:
        gap = " " if self._spaces else ""
        if not self._headers and not head:
            data = data[3:-1]
        parts = ([head] if head and self._headers else []) + [f"{byte:02X}" for byte in data]
        return gap.join(parts)

    def _damaged(self, line: str) -> str:
        kind = self._rng.randrange(4)
        at = self._rng.randrange(max(len(line), 1))
        return (line[:at], line[:at] + "#" + line[at + 1 :], "<DATA ERROR", line[:at] + "F" + line[at + 1 :])[kind]


def _crc(data: bytes) -> int:
    """CRC-8 of SAE J1850, bit by bit from the highest."""
    crc = 0xFF
    for bit in (byte >> i & 1 for byte in data for i in range(7, -1, -1)):
        crc = ((crc << 1) ^ (0x1D if (crc >> 7) ^ bit else 0)) & 0xFF
    return crc ^ 0xFF


def _frames(data: bytes) -> list[bytes]:
    """ISO 15765-2: one frame, or a first one with those that follow."""
    if len(data) <= 7:
        return [bytes((len(data),)) + data.ljust(7, b"\x55")]
    frames = [bytes((0x10 | len(data) >> 8, len(data) & 0xFF)) + data[:6]]
    rest = data[6:]
    for i in range(0, len(rest), 7):
        frames.append(bytes((0x20 | (i // 7 + 1) % 16,)) + rest[i : i + 7].ljust(7, b"\x55"))
    return frames


class Served:
    """An adapter behind a pseudo-terminal or a TCP port, until it is closed."""

    def __init__(self, adapter: Adapter) -> None:
        self.adapter, self._ended, self._threads = adapter, threading.Event(), list[threading.Thread]()

    def _speak(self, read: Callable[[], bytes], write: Callable[[bytes], object]) -> None:
        text = b""
        while not self._ended.is_set():
            try:
                data = read()
                if not data:
                    return
                text += data
                while b"\r" in text:
                    line, _, text = text.partition(b"\r")
                    write(self.adapter.said(line.decode("ascii", errors="replace").strip()))
            except OSError:
                return

    def _start(self, work: Callable[[], None]) -> None:
        thread = threading.Thread(target=work, daemon=True)
        self._threads.append(thread)
        thread.start()

    def __enter__(self) -> Served:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """End every thread."""
        self._ended.set()
        self.unplug()
        for thread in self._threads:
            thread.join(5.0)

    def unplug(self) -> None:
        """Pull the plug: each kind of wire by its own way."""
        raise NotImplementedError  # a wire without a plug is none


class OnTcp(Served):
    """A TCP port of this machine; it takes a new connection after each pulled plug."""

    def __init__(self, adapter: Adapter) -> None:
        super().__init__(adapter)
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._listener.settimeout(0.05)
        self._open: socket.socket | None = None
        self.port = f"tcp:127.0.0.1:{self._listener.getsockname()[1]}"
        self._start(self._serve)

    def _serve(self) -> None:
        with self._listener:
            while not self._ended.is_set():
                try:
                    made, _ = self._listener.accept()
                except TimeoutError:
                    continue
                with made:
                    made.settimeout(None)
                    self._open = made
                    self._speak(lambda made=made: made.recv(4096), made.sendall)

    def unplug(self) -> None:
        """Cut the connection; the adapter wakes up anew."""
        made, self._open = self._open, None
        if made is not None:
            with contextlib.suppress(OSError):
                made.shutdown(socket.SHUT_RDWR)
        self.adapter.power_lost()


class OnTerminal(Served):
    """A pseudo-terminal, as a serial port is one."""

    def __init__(self, adapter: Adapter) -> None:
        super().__init__(adapter)
        self._ours, self._theirs = os.openpty()
        tty.setraw(self._theirs)
        self.port = os.ttyname(self._theirs)
        self._start(lambda: self._speak(lambda: os.read(self._ours, 4096), lambda data: os.write(self._ours, data)))

    def unplug(self) -> None:
        """Close both ends: the port is gone for good."""
        for end in (self._ours, self._theirs):
            with contextlib.suppress(OSError):
                os.close(end)
