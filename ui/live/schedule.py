"""Which identifier is asked next: coolant and heat often, what changes slowly seldom, as fast as the bus gives it.

Each identifier has a time after which it is due. The one that is the most times overdue is asked next. So a slow
adapter slows everything in proportion and starves nothing, and a fast one is not asked more than is of use.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from engcalc.logs.channels import Channel
from engcalc.logs.pids import PIDS

OFTEN, USUAL, SELDOM = 1.0, 2.0, 20.0  # s; common practice, no source
_OFTEN = frozenset(
    {
        *(Channel.COOLANT, Channel.COOLANT_2, Channel.ENGINE_SPEED, Channel.AIR_FLOW),
        *(Channel.FUEL_RATE, Channel.FUEL_MASS_RATE, Channel.MANIFOLD_PRESSURE),
    }
)
_SELDOM = frozenset({Channel.AMBIENT, Channel.BAROMETRIC_PRESSURE, Channel.RUN_TIME, Channel.VOLTAGE, Channel.OIL})
_OF_NO_USE = frozenset({Channel.THROTTLE, Channel.PEDAL})  # nothing here reads them
GIVES_UP, REST = 3, 60.0  # refusals in a row, after which an identifier rests [s]; common practice, no source


@dataclass
class _Turn:
    """One identifier: how often it should be asked, when it was, how it answered."""

    every: float  # s
    asked: float  # s
    answers: int = 0
    refusals: int = 0
    rests_until: float = -1.0  # s


class Schedule:
    """Turns of the identifiers that a vehicle supports."""

    def __init__(self, pids: Iterable[int], now: float) -> None:
        self._began = now
        self._turns = {
            pid: _Turn(_every(pid), now - 1e3)
            for pid in sorted(pids, key=_every)
            if set(PIDS[pid].channels) - _OF_NO_USE
        }

    def next(self, now: float) -> tuple[int | None, float]:
        """The identifier to be asked now; None with the seconds to wait where none is due."""
        awake = {pid: turn for pid, turn in self._turns.items() if turn.rests_until <= now}
        if not awake:
            return None, 1.0
        pid, turn = max(awake.items(), key=lambda pair: (now - pair[1].asked) / pair[1].every)
        left = turn.every - (now - turn.asked)
        return (None, min(left, 1.0)) if left > 0.0 else (pid, 0.0)

    def asked(self, pid: int, now: float, answered: bool) -> None:
        """Note that an identifier was asked at ``now``, and whether it answered."""
        turn = self._turns[pid]
        turn.asked = now
        if answered:
            turn.answers, turn.refusals = turn.answers + 1, 0
            return
        turn.refusals += 1
        if turn.refusals >= GIVES_UP:
            turn.refusals, turn.rests_until = 0, now + REST

    def rates(self, now: float) -> dict[str, float]:
        """Answers a second of each identifier since the beginning, by its title."""
        lasted = max(now - self._began, 1e-9)
        return {PIDS[pid].title: turn.answers / lasted for pid, turn in self._turns.items()}


def _every(pid: int) -> float:
    channels = PIDS[pid].channels.keys()
    if channels & _OFTEN:
        return OFTEN
    return SELDOM if channels <= _SELDOM else USUAL
