"""Which inputs the engine outlet's temperature hangs on, and where heat and flow meet their resistance.

Each numeric input is moved to either side and the whole solved again, two members for each input, all in one ensemble
(central differences). By how much it is moved depends on what it is (:class:`ChangeStep`).
Where the catalogue or the other dimensions allow one side only, that side alone counts.
The air conditioning runs throughout as it does now: the air outside is moved, and no switch.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Any

import numpy as np

from engcalc.case.case import Case, value_at
from engcalc.case.catalogue import DeclaredInput, entry, members, pattern_of
from engcalc.case.declare import Basis, FileShape, Input
from engcalc.case.sections import Sections
from engcalc.studies.members import (
    Progress,
    Stop,
    TemperatureWithoutBoiling,
    chunks,
    conditioning_of,
    faults_of,
    member,
    solve_duty,
    stacked,
    unboiled,
    varied,
)
from engcalc.studies.sweeps import duty_name, outside
from engcalc.system.state import OperatingPoint
from engcalc.units import parse
from engcalc.words.texts import study_texts

LEFT_OUT = ("job", "evidence", "rig", "limits")  # sections that do not move the temperature
SHARE = 0.05  # of the value to either side: both sides together make the 10 %
TEMPERATURE_STEP = 2.5  # K to either side: both together make 5 K
POINTS_STEP = 0.1  # of the usual range's upper end, for an input that stands at zero
CONVERGED = 1e-6  # K; what is below this is nothing


class ChangeStep(Enum):
    """For what change of the input a sensitivity counts."""

    TENTH = study_texts.PER_10_OF_THE_VALUE
    FIVE_KELVIN = "per 5 K"
    ONE_MORE = "per one more"
    OFF_ZERO = study_texts.PER_10_OF_ITS_USUAL_RANGE


@dataclass(frozen=True)
class Sensitivity:
    """By how much the engine outlet rises with an input.

    ``change`` [K] counts for the step named; ``value`` is the input now, ``low`` and ``high`` what was tried, all SI.
    Where the duty boils, the outlet is what it would come to (``members.unboiled``); ``solved`` is False where even
    that is not known, so that the change is only a bound. ``one_sided`` says that only one side could be tried.
    """

    path: str
    label: str
    kind: str
    step: ChangeStep
    value: float
    low: float
    high: float
    change: float
    one_sided: bool
    solved: bool


@dataclass(frozen=True)
class Share:
    """One resistance's share [-] of its total."""

    name: str
    label: str
    share: float


@dataclass(frozen=True, eq=False)
class Sensitivities:
    """One duty: every input ranked by size, what could not be moved and why, and the shares of the resistances."""

    duty_index: int
    name: str
    point: OperatingPoint
    ranked: tuple[Sensitivity, ...]
    held: tuple[tuple[str, str], ...]  # path and reason
    thermal: tuple[Share, ...]
    air_flow: tuple[Share, ...]
    coolant_flow: tuple[Share, ...]


@dataclass(frozen=True)
class _Move:
    """One input and the values to be tried on either side of it."""

    path: str
    declared: Input
    step: ChangeStep
    value: float
    low: float
    high: float


def sensitivity(case: Case, duty_index: int, *, progress: Progress = None, cancelled: Stop = None) -> Sensitivities:
    """Local sensitivities of one duty's engine outlet to each numeric input of the vehicle and of the duty.

    ``case`` has one member. Raises Cancelled.
    """
    moves, held = _moves(case, duty_index)
    conditioning = conditioning_of(case)
    found: list[Sensitivity] = []
    for which in chunks(len(moves), progress, cancelled, 250):
        some = moves[which]
        found += _changes(some, unboiled(_ensemble(case, some), (duty_index,), 2 * len(some), conditioning))
    now = solve_duty(case, duty_index)
    ranked = tuple(sorted(found, key=lambda s: (-abs(s.change), s.path)))
    return Sensitivities(
        duty_index,
        duty_name(case, duty_index),
        now,
        ranked,
        held,
        thermal_shares(now),
        air_flow_shares(now),
        coolant_flow_shares(now),
    )


def numeric_inputs(case: Case, duty_index: int) -> Iterator[str]:
    """Paths of the numeric inputs that are there, of the vehicle and of this duty."""
    for path, leaf in _walk(case, Sections, ""):
        section = path.split(".")[0].split("[")[0]
        other_duty = section == "duties" and not path.startswith(f"duties[{duty_index}].")
        if section not in LEFT_OUT and not other_duty and leaf.input.shape is FileShape.NUMBER:
            yield path


def _walk(node: Any, cls: type, prefix: str) -> Iterator[tuple[str, DeclaredInput]]:
    for m in members(cls):
        value = getattr(node, m.attribute)
        path = f"{prefix}{m.key}"
        if isinstance(m, DeclaredInput):
            if value is not None:
                yield path, m
        elif m.is_list:
            for i, item in enumerate(value):
                yield from _walk(item, m.cls, f"{path}[{i}].")
        elif value is not None:
            yield from _walk(value, m.cls, f"{path}.")


def _moves(case: Case, duty_index: int) -> tuple[list[_Move], tuple[tuple[str, str], ...]]:
    moves = []
    held = []
    for path in numeric_inputs(case, duty_index):
        given = case.given.get(path)
        if given is not None and given.basis is Basis.DERIVED:
            held.append((path, study_texts.FOLLOWS_FROM_OTHER_INPUTS))
            continue
        move = _move(case, path)
        if move.low == move.high:
            held.append((path, study_texts.OTHER_INPUTS_THAT_WERE_TYPED_HOLD))
        else:
            moves.append(move)
    return moves, tuple(held)


def _move(case: Case, path: str) -> _Move:
    declared = entry(pattern_of(path)).input
    value = float(value_at(case, path)[0])
    step, size = _step(declared, value)
    down = value if step is ChangeStep.ONE_MORE else value - size
    low, high = (side if _possible(case, path, side) else value for side in (down, value + size))
    return _Move(path, declared, step, value, low, high)


def _step(declared: Input, value: float) -> tuple[ChangeStep, float]:
    """What the sensitivity is counted for, and the step [SI] to either side."""
    if declared.kind == "temperature":
        return ChangeStep.FIVE_KELVIN, TEMPERATURE_STEP
    if declared.kind == "count":
        return ChangeStep.ONE_MORE, 1.0
    if value == 0.0:
        top = parse(declared.usual[1], declared.kind).si if declared.usual else 0.0
        return ChangeStep.OFF_ZERO, POINTS_STEP * (top or 1.0)
    return ChangeStep.TENTH, SHARE * abs(value)


def _ensemble(case: Case, moves: list[_Move]) -> Case:
    """Two members for each move, its low side and its high side; all else as it is."""
    return stacked([varied(case, {m.path: np.array([side])}) for m in moves for side in (m.low, m.high)])


def _possible(case: Case, path: str, value: float) -> bool:
    trial = np.array([value])
    return not any(outside(path, trial)) and not faults_of(varied(case, {path: trial}))


def _changes(moves: list[_Move], found: TemperatureWithoutBoiling) -> Iterator[Sensitivity]:
    T = found.coolant_out.reshape(-1, 2)
    solved = np.all(~found.beyond.reshape(-1, 2), axis=1).tolist()
    for k, m in enumerate(moves):
        _, size = _step(m.declared, m.value)
        full = size if m.step in (ChangeStep.ONE_MORE, ChangeStep.OFF_ZERO) else 2.0 * size
        warmer = float(T[k, 1] - T[k, 0])
        change = warmer * full / (m.high - m.low)
        one_sided = m.step in (ChangeStep.TENTH, ChangeStep.FIVE_KELVIN) and m.value in (m.low, m.high)
        yield Sensitivity(
            m.path,
            m.declared.label,
            m.declared.kind,
            m.step,
            m.value,
            m.low,
            m.high,
            change if abs(change) > CONVERGED else 0.0,
            one_sided,
            bool(solved[k]),
        )


_THERMAL_LABELS = {
    "air": study_texts.AIR_FILM_AND_FINS,
    "wall": "tube wall",
    "fouling": study_texts.DEPOSITS_IN_THE_TUBES,
    "coolant": "coolant film",
}


def thermal_shares(point: OperatingPoint, index: int = 0) -> tuple[Share, ...]:
    """Share of each thermal resistance of the radiator, of one member."""
    shares = member(point, index).core.shares
    return tuple(Share(k, _THERMAL_LABELS[k], float(np.broadcast_to(v, (1,))[0])) for k, v in shares.items())


def air_flow_shares(point: OperatingPoint, index: int = 0) -> tuple[Share, ...]:
    """Share of the driving pressure (ram and fan) that the core takes, and that all else in the air's way takes."""
    p = member(point, index)
    drives = float(p.ram_pressure[0] + max(float(p.fan_pressure[0]), 0.0))
    if drives <= 0.0:
        return ()
    core = min(max(float(p.core.dp_air[0]) / drives, 0.0), 1.0)
    return (Share("core", "radiator core", core), Share("other", study_texts.GRILLE_COOLERS_AHEAD, 1.0 - core))


def coolant_flow_shares(point: OperatingPoint, index: int = 0) -> tuple[Share, ...]:
    """Share of the pump's head that engine, thermostat, radiator core and hoses take on the radiator's way round."""
    p = member(point, index)
    head = float(p.pump_head[0])
    if head <= 0.0:
        return ()
    jacket = float(p.jacket_drop[0]) / head
    valve = float(p.valve_drop[0]) / head
    core = min(float(p.core.coolant_drop.dp[0]) / head, max(1.0 - jacket - valve, 0.0))
    return (
        Share("engine", "engine jacket", jacket),
        Share("valve", "thermostat", valve),
        Share("core", "radiator core", core),
        Share("hoses", "hoses and tanks", 1.0 - jacket - valve - core),
    )
