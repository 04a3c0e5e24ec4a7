"""The warm-ups that were run, kept by what they were run with: each is simulated once, whoever asks.

Check, warm-up, proof and report of one case want the same vehicle through the same drive. What was typed besides (a
customer's name, a limit, another reading) changes neither, and then nothing is simulated anew. The runs of a diagnosis
are not kept: they are thousands of members that nobody asks for twice.

A key is made of every number and word of plant and drive. So a kept run is the answer that a new one would give.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from hashlib import blake2b
from typing import Any

import numpy as np

from engcalc.system.in_time.drive import Drive
from engcalc.system.in_time.warmed import Warmup
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.plant import Plant

MOST_NUMBERS = 8_000_000  # kept in all (64 MB): some ten ensembles of a half-hour run with 200 members
LOOK_UP_EVERY = 0.05  # s; in which who waits for another's run looks whether it is still wanted

Stop = Callable[[], bool] | None


def content_of(*nodes: Any) -> bytes:
    """A key that is the same only for the same content: data classes, arrays, sequences, mappings and plain values.

    TypeError for what has no content that could be told, as a function.
    """
    digest = blake2b(digest_size=20)
    _digest(nodes, digest.update)
    return digest.digest()


def _digest(node: Any, update: Callable[[bytes], None]) -> None:
    if isinstance(node, np.ndarray):
        update(f"array {node.dtype} {node.shape};".encode())
        update(np.ascontiguousarray(node).tobytes())
    elif is_dataclass(node) and not isinstance(node, type):
        update(f"{type(node).__qualname__}(".encode())
        for field in fields(node):
            _digest(getattr(node, field.name), update)
    elif isinstance(node, Mapping):
        update(f"mapping {len(node)};".encode())
        for pair in node.items():
            _digest(pair, update)
    elif isinstance(node, tuple | list):
        update(f"sequence {len(node)};".encode())
        for item in node:
            _digest(item, update)
    elif node is None or isinstance(node, str | int | float | bytes | Enum):
        update(f"{node!r};".encode())
    else:
        raise TypeError(f"{type(node).__qualname__} has no content that a key could be made of")


class KeptRuns:
    """Runs by their content, the ones asked for last; safe to ask from several threads."""

    def __init__(self, most: int = MOST_NUMBERS) -> None:
        self._most = most
        self._kept: OrderedDict[bytes, Warmup] = OrderedDict()
        self._running: set[bytes] = set()
        self._changed = threading.Condition()

    def warm_up(self, plant: Plant, drive: Drive, record_every: float, cancelled: Stop = None) -> Warmup:
        """As :func:`engcalc.system.in_time.warmup.warm_up`, arrays read-only; a run that was cancelled is not kept."""
        key = content_of(plant, drive, record_every)
        with self._changed:
            while key in self._running and not _is_over(cancelled):
                self._changed.wait(LOOK_UP_EVERY)
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            own = key not in self._running
            self._running.add(key)
        try:
            found = warm_up(plant, drive, record_every, cancelled)
            _freeze(found)
            if not _is_over(cancelled):
                self._keep(key, found)
            return found
        finally:
            if own:
                with self._changed:
                    self._running.discard(key)
                    self._changed.notify_all()

    def _keep(self, key: bytes, found: Warmup) -> None:
        with self._changed:
            self._kept[key] = found
            while sum(map(_numbers_in, self._kept.values())) > self._most:
                self._kept.popitem(last=False)


def _is_over(cancelled: Stop) -> bool:
    return cancelled is not None and cancelled()


def _arrays_of(ran: Warmup) -> list[np.ndarray[Any, Any]]:
    both = (ran, ran.engine)
    values = (getattr(part, field.name) for part in both for field in fields(part))
    return [value for value in values if isinstance(value, np.ndarray)]


def _numbers_in(ran: Warmup) -> int:
    return sum(array.size for array in _arrays_of(ran))


def _freeze(ran: Warmup) -> None:
    """Make the arrays read-only: several hold them now."""
    for array in _arrays_of(ran):
        array.setflags(write=False)


KEPT = KeptRuns()
"""The runs of this process."""
