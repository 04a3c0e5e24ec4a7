"""Which inputs a study may run over, and from where to where. No Qt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case, frozen_array, value_at
from engcalc.case.catalogue import entry
from engcalc.case.declare import Input
from engcalc.case.sections import SECTION_LABELS
from engcalc.errors import InputError, InputFault
from engcalc.studies.members import faults_of, varied
from engcalc.studies.spread.sensitivity import numeric_inputs
from engcalc.studies.sweeps import ROAD_LOAD, SweepAxis
from engcalc.units import Array, UnitSystem, parse
from engcalc.words.texts import view_texts
from ui.window.form.quantity import Unit, shown, system_unit

AROUND = (0.5, 1.5)  # of the value now, for an input without a usual range
DRAWN_IN = (1.0, 0.75, 0.5, 0.25, 0.1)  # of the way from the value now
LEAST_TOP_SPEED = 130.0 / 3.6  # m/s; a range of speeds goes at least so far ...
FASTER = 1.5  # ... and so far over the duty's own
COUNTED = "count"  # the kind whose values are whole


@dataclass(frozen=True)
class InputChoice:
    """One input that may be varied: its path and what it is called."""

    path: str
    label: str


@dataclass(frozen=True)
class InputRange:
    """From where to where an input runs [SI]."""

    low: float
    high: float

    def values(self, kind: str, points: int) -> Array:
        """So many values over the span; whole ones of a number that counts."""
        if kind == COUNTED:
            return frozen_array(np.arange(np.ceil(self.low), np.floor(self.high) + 0.5))
        return frozen_array(np.linspace(self.low, self.high, points))


def usual_choices(case: Case, duty_index: int) -> list[InputChoice]:
    """What is usually varied; the duty's own given flows first."""
    duty, at = case.duties[duty_index], f"duties[{duty_index}]"
    given = [f"{at}.{key}" for key in ("air_velocity", "coolant_flow") if getattr(duty, key) is not None]
    paths = (*given, *(axis.path(duty_index) for axis in SweepAxis))
    there = set(numeric_inputs(case, duty_index))
    gone = _overruled(case, duty_index)
    return [InputChoice(path, entry(path).input.label) for path in paths if path in there and path not in gone]


def other_choices(case: Case, duty_index: int) -> list[InputChoice]:
    """Every other numeric input that is there, by section."""
    left_out = {choice.path for choice in usual_choices(case, duty_index)} | _overruled(case, duty_index)
    return [
        InputChoice(path, f"{_section(path)}: {entry(path).input.label}")
        for path in numeric_inputs(case, duty_index)
        if path not in left_out and _has_range(case, path)
    ]


def _has_range(case: Case, path: str) -> bool:
    """Whether the other inputs let it be varied at all: plain wax has no shift under load, say."""
    span = usual_span(case, path)
    return span.low < span.high


def _overruled(case: Case, duty_index: int) -> set[str]:
    """Inputs that this duty's given flows or power overrule: nothing hangs on them."""
    duty, at = case.duties[duty_index], f"duties[{duty_index}]"
    power = duty.brake_power is not None or duty.fuel_flow is not None
    gone = {f"{at}.{key}" for key in ROAD_LOAD} if power else set()
    windless = not np.any(case.engine.surface_conductance > 0.0)
    if duty.air_velocity is not None and power and windless:
        gone.add(f"{at}.vehicle_speed")
    if duty.coolant_flow is not None:
        gone |= {path for path in numeric_inputs(case, duty_index) if path.startswith("circuit.pump")}
    return gone


def _section(path: str) -> str:
    head = path.partition(".")[0].partition("[")[0]
    return "Duty" if head == "duties" else SECTION_LABELS[head]


def default_pair(case: Case, duty_index: int) -> tuple[str, str]:
    """The two inputs of a map to begin with: speed and weather, or on a bench its two flows."""
    duty, at = case.duties[duty_index], f"duties[{duty_index}]"
    return (
        f"{at}.vehicle_speed" if duty.air_velocity is None else f"{at}.air_velocity",
        f"{at}.ambient" if duty.coolant_flow is None else f"{at}.coolant_flow",
    )


def usual_span(case: Case, path: str) -> InputRange:
    """The usual range of an input with the value now in it, within what the catalogue and the other inputs accept."""
    declared = entry(path).input
    found = value_at(case, path)
    now = None if found is None else float(found[0])
    usual = declared.usual if declared.usual and declared.usual[0] != declared.usual[1] else declared.limits
    low, high = (parse(text, declared.kind).si for text in usual) if usual else (np.inf, -np.inf)
    if now is not None and usual is None:
        low, high = sorted((AROUND[0] * now, AROUND[1] * now))
    if path.endswith("vehicle_speed"):
        low, high = 0.0, min(high, max(LEAST_TOP_SPEED, FASTER * (now or 0.0)))
    if now is not None:
        low, high = min(low, now), max(high, now)
    low, high = (float(np.clip(v, *_limits(declared))) for v in (low, high))
    return (
        InputRange(low, high)
        if now is None
        else InputRange(_reachable(case, path, low, now), _reachable(case, path, high, now))
    )


def _reachable(case: Case, path: str, end: float, now: float) -> float:
    """The end of a range, drawn in towards the value now until it fits the other inputs."""
    tried = (now + share * (end - now) for share in DRAWN_IN)
    return next((value for value in tried if not faults_of(varied(case, {path: np.array([value])}))), now)


def _limits(declared: Input) -> tuple[float, float]:
    if declared.limits is None:
        return -np.inf, np.inf
    low, high = (parse(text, declared.kind).si for text in declared.limits)
    return low, high


def end_words(path: str, si: float, system: UnitSystem) -> str:
    """One end of a span as text, in the unit in which the input is usually shown."""
    return shown(si, _unit(entry(path).input, system))


def _unit(declared: Input, system: UnitSystem) -> Unit | None:
    """The unit of the input's usual range, as it is spelled on the screen."""
    unit, plain = system_unit(declared.kind, system, declared), system_unit(declared.kind, system)
    return plain if unit is not None and plain is not None and unit.meaning == plain.meaning else unit


def unit_words(path: str, system: UnitSystem) -> str:
    """The unit that a bare number at this input takes; empty for plain numbers."""
    unit = _unit(entry(path).input, system)
    return "" if unit is None else unit.spelling


def ordered(path: str, low: float, high: float) -> InputRange:
    """The span between two ends, whichever was typed first. Raises InputError where they are one."""
    if low == high:
        raise InputError((InputFault(path, "", view_texts.TWO_DIFFERENT_ENDS_WOULD_DO),))
    return InputRange(min(low, high), max(low, high))
