"""How a duty's temperature is found by hand: guess, heat balance, a better guess, until it moves no more.

The heat balance of each round is the engine's own at the guessed temperature of the wax. The guesses follow the chord
through the last two rounds; where that leaves the two temperatures between which the balance changes its sign, the
middle of these is taken. The engine itself closes its balance far nearer (``system.operating_point``) and comes to the
same temperature.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from engcalc.system.balance import balance, held_at
from engcalc.working.results import Results

RESTS = 0.01  # K; a guess that moves by less is the answer
MOST_ROUNDS = 30


@dataclass(frozen=True)
class BalanceRound:
    """One round: a guess, the heat that is left over at it, and the next guess."""

    guess: float  # K, at the wax
    made: float  # W, heat into the coolant
    taken: float  # W, heat that radiator and heater take at that temperature
    after: float | None  # K, the next guess; None at the end
    by_chord: bool  # the next guess is that of the chord through this round and the one before

    @property
    def surplus(self) -> float:
        """Heat left over [W]: the temperature is too low where it is positive."""
        return self.made - self.taken

    @property
    def moved(self) -> float | None:
        """By how much the next guess moves [K]."""
        if self.after is None:
            return None
        return self.after - self.guess


def rounds_of(results: Results) -> tuple[BalanceRound, ...]:
    """The rounds to a duty's settled temperature; empty where it has none (a fan that switches, no steady state)."""
    if bool(results.point.cycles[0]) or not bool(results.point.solved[0]):
        return ()
    at = _balance_of(results)
    bracket = _bracket(results, at)
    return () if bracket is None else _rounds_by_chord(at, *bracket)


Tried = tuple[float, float, float]
"""Temperature [K], heat made and heat taken [W]."""


def _balance_of(results: Results) -> Callable[[float], Tried]:
    setting = results.setting
    fan = results.plant.airway.fan
    held = None if fan.drive.follows else held_at(setting, results.point.fan_speed)

    def tried(T: float) -> Tried:
        found = balance(setting, np.full(1, T), held)
        made = float((found.engine.heat_to_metal + found.engine.extra_heat - found.surface_heat)[0])
        return T, made, made - float(found.residual[0])

    return tried


def _bracket(results: Results, at: Callable[[float], Tried]) -> tuple[Tried, Tried] | None:
    """Two places that a mechanic knows, between which the balance changes its sign: ambient, valve, boiling."""
    valve = results.plant.valve
    ends = [float(results.setting.conditions.ambient[0]), float(results.point.boiling[0])]
    known = [float(valve.start[0]), float(valve.full[0])] if valve.present else []
    tried = [at(T) for T in sorted([*known, *ends])]
    pairs = ((low, high) for low, high in pairwise(tried) if _surplus(low) > 0.0 >= _surplus(high))
    return next(pairs, None)


def _surplus(tried: Tried) -> float:
    return tried[1] - tried[2]


def _rounds_by_chord(at: Callable[[float], Tried], low: Tried, high: Tried) -> tuple[BalanceRound, ...]:
    """Guess and correction until heat in and heat out agree: by the chord of the last two, else halfway."""
    rounds: list[BalanceRound] = []
    before = low
    last = high
    rounds.append(BalanceRound(*low, high[0], by_chord=False))
    for _ in range(MOST_ROUNDS):
        now = _surplus(last)
        after = last[0] - now * (last[0] - before[0]) / (now - _surplus(before))
        by_chord = low[0] <= after <= high[0]
        after = after if by_chord else 0.5 * (low[0] + high[0])
        rounds.append(BalanceRound(*last, after, by_chord))
        before = last
        last = at(after)
        low, high = (last, high) if _surplus(last) > 0.0 else (low, last)
        if abs(last[0] - before[0]) < RESTS or _surplus(last) == 0.0:
            break
    rounds.append(BalanceRound(*last, None, by_chord=False))
    return tuple(rounds)
