"""One duty over a range of one input, and the margin over two: every value a member of one ensemble."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engcalc.case.case import Case, frozen_array, value_at
from engcalc.case.catalogue import entry, pattern_of
from engcalc.case.declare import FileShape, Input
from engcalc.errors import InputError, InputFault
from engcalc.quantity_kinds import KINDS
from engcalc.studies.duties.course import chains
from engcalc.studies.members import (
    Progress,
    Stop,
    TemperatureWithoutBoiling,
    chunks,
    every_duty,
    faults_of,
    joined,
    unboiled,
    varied,
)
from engcalc.system.operating_point import solve
from engcalc.system.state import OperatingPoint
from engcalc.units import Array, parse, show
from engcalc.words.texts import shared_texts, study_texts

MOST_MEMBERS = 100_000  # of one sweep or map; beyond, memory and patience end


class SweepAxis(Enum):
    """What is usually swept; each value is the pattern of an input's path."""

    AMBIENT = "duties[].ambient"
    VEHICLE_SPEED = "duties[].vehicle_speed"
    ENGINE_SPEED = "duties[].engine_speed"
    BRAKE_POWER = "duties[].brake_power"
    GRADE = "duties[].grade"
    TRAILER = "duties[].trailer_mass"
    ALTITUDE = "duties[].altitude"
    MIXTURE = "coolant.concentration"
    PUMP_FLOW = "circuit.pump_flow"
    FACE_BLOCKAGE = "radiator.blocked_face"

    def path(self, duty_index: int) -> str:
        """The input's path for a duty."""
        return self.value.replace("duties[]", f"duties[{duty_index}]")


@dataclass(frozen=True)
class AxisOf:
    """What an axis is: the input's path, its label, symbol and kind of :mod:`engcalc.units`, and the value now [SI]."""

    path: str
    label: str
    symbol: str
    kind: str
    now: float | None


@dataclass(frozen=True, eq=False)
class Sweep:
    """One duty over one input; arrays of shape (n,), SI.

    Where a member boils its operating point is the one at boiling, and ``margin`` counts from where it would settle if
    it did not boil (``members.unboiled``).
    """

    duty_index: int
    name: str
    axis: AxisOf
    values: Array
    point: OperatingPoint
    limit: Array  # K, what limits: coolant limit or boiling
    margin: Array  # K
    boils: NDArray[np.bool_]
    duration: float | None = None  # s, of a duty that is followed in time
    goes_round: bool = False  # it is part of a lap or work cycle, run until it repeats

    @property
    def coolant_out(self) -> Array:
        """Engine outlet [K]: settled, the mean of a cycling member; of a duty followed in time its peak.

        Where it boils it is the boiling point.
        """
        if self.duration is None:
            return self.point.coolant_out
        return np.asarray(np.minimum(self.limit - self.margin, self.point.boiling))


@dataclass(frozen=True, eq=False)
class MarginMap:
    """The margin of one duty over two inputs, SI; ``x`` of shape (n,), ``y`` of shape (m,), the rest (m, n).

    ``margin`` counts on where it boils, as in :class:`Sweep`.
    """

    duty_index: int
    name: str
    x_axis: AxisOf
    y_axis: AxisOf
    x: Array
    y: Array
    margin: Array  # K
    coolant_out: Array  # K
    boils: NDArray[np.bool_]
    point: OperatingPoint  # members row by row
    duration: float | None = None  # s, of a duty that is followed in time
    goes_round: bool = False  # as in :class:`Sweep`


def sweep(
    case: Case,
    duty_index: int,
    path_or_axis: SweepAxis | str,
    values: ArrayLike,
    *,
    progress: Progress = None,
    cancelled: Stop = None,
) -> Sweep:
    """The duty at each of ``values`` (SI) of an input, all else as it is.

    Raises InputError, with every fault: no such duty or numeric input, an input without effect on this duty, values
    that the catalogue does not accept or that do not fit the other dimensions. Raises Cancelled.
    """
    duty_index = _duty(case, duty_index)
    axis = axis_of(case, duty_index, path_or_axis)
    wanted = frozen_array(values)
    _accept(case, duty_index, {axis.path: wanted}, wanted.size)
    point, free = _solved(case, duty_index, {axis.path: wanted}, progress, cancelled)
    return Sweep(
        duty_index,
        duty_name(case, duty_index),
        axis,
        wanted,
        point,
        free.limit,
        free.margin,
        free.boils,
        *_followed(case, duty_index),
    )


def margin_map(
    case: Case,
    duty_index: int,
    speeds: ArrayLike,
    ambients: ArrayLike,
    *,
    x_axis: SweepAxis | str = SweepAxis.VEHICLE_SPEED,
    y_axis: SweepAxis | str = SweepAxis.AMBIENT,
    progress: Progress = None,
    cancelled: Stop = None,
) -> MarginMap:
    """The margin over a grid of two inputs (SI), by default speed over ambient; errors as :func:`sweep`."""
    duty_index = _duty(case, duty_index)
    x_of = axis_of(case, duty_index, x_axis)
    y_of = axis_of(case, duty_index, y_axis)
    if x_of.path == y_of.path:
        raise InputError((InputFault(x_of.path, "", study_texts.TWO_DIFFERENT_INPUTS_WOULD_DO),))
    x = frozen_array(speeds)
    y = frozen_array(ambients)
    values = {x_of.path: np.tile(x, y.size), y_of.path: np.repeat(y, x.size)}
    _accept(case, duty_index, values, x.size * y.size)
    point, free = _solved(case, duty_index, values, progress, cancelled)
    shape = (y.size, x.size)
    return MarginMap(
        duty_index,
        duty_name(case, duty_index),
        x_of,
        y_of,
        x,
        y,
        free.margin.reshape(shape),
        point.coolant_out.reshape(shape),
        free.boils.reshape(shape),
        point,
        *_followed(case, duty_index),
    )


def _followed(case: Case, duty_index: int) -> tuple[float | None, bool]:
    """How long a duty is followed [s], None until it settles; whether it goes round with others."""
    lasts = case.duties[duty_index].duration
    round_of = next(chain.repeats for chain in chains(case.duties) if duty_index in chain.duties)
    if lasts is None:
        return (None, False)
    return (float(lasts[0]), round_of)


def duty_name(case: Case, duty_index: int) -> str:
    """The duty's name, or its number."""
    return case.duties[duty_index].name or f"duty {duty_index + 1}"


def axis_of(case: Case, duty_index: int, path_or_axis: SweepAxis | str) -> AxisOf:
    """The axis for a usual quantity or for any numeric input's path. Raises InputError."""
    path = path_or_axis.path(duty_index) if isinstance(path_or_axis, SweepAxis) else path_or_axis
    try:
        declared = entry(path).input
        present = value_at(case, path)
    except (KeyError, IndexError, AttributeError, TypeError) as error:
        raise InputError((InputFault(path, "", study_texts.PATH_OF_A_NUMERIC_INPUT_THAT_THIS_CASE),)) from error
    if declared.shape is not FileShape.NUMBER:
        raise InputError((InputFault(path, "", study_texts.THIS_INPUT_IS_NO_NUMBER),))
    now = None if present is None else float(present[0])
    return AxisOf(path, declared.label, declared.symbol, declared.kind, now)


def _duty(case: Case, index: int) -> int:
    if not 0 <= index < len(case.duties):
        raise InputError(
            (
                InputFault(
                    "duties", str(index), study_texts.CASE_HAS_DUTIES_0_TO.format(duties_count=len(case.duties) - 1)
                ),
            )
        )
    return index


def _accept(case: Case, duty_index: int, values: Mapping[str, Array], members: int) -> None:
    """Raise InputError with every fault of what is to be solved."""
    if not 0 < members <= MOST_MEMBERS:
        raise InputError(
            (InputFault("", str(members), study_texts.TO_VALUES_WOULD_DO.format(most_members=MOST_MEMBERS)),)
        )
    faults: list[InputFault] = []
    for path, v in values.items():
        faults += outside(path, v)
        faults += _without_effect(case, duty_index, path)
    if not faults:
        faults = list(faults_of(varied(case, values)))
    if faults:
        raise InputError(tuple(faults))


def outside(path: str, values: Array) -> Iterator[InputFault]:
    """A fault where a value of a numeric input is not what the catalogue accepts."""
    declared: Input = entry(pattern_of(path)).input
    if not np.all(np.isfinite(values)):
        yield InputFault(path, "", study_texts.FINITE_NUMBERS_WOULD_DO)
    elif declared.limits is not None:
        low, high = (parse(text, declared.kind).si for text in declared.limits)
        slack = 1e-12 * max(abs(low), abs(high))
        bad = values[(values < low - slack) | (values > high + slack)]
        if bad.size:
            given = show(float(bad[0]), declared.kind) if KINDS[declared.kind].si else f"{float(bad[0]):g}"
            yield InputFault(
                path,
                given,
                shared_texts.TO_WOULD_DO.format(limits_low=declared.limits[0], limits_high=declared.limits[1]),
            )


ROAD_LOAD = ("grade", "trailer_mass", "trailer_frontal_area", "trailer_drag_coefficient")
"""Inputs of a duty that a power overrules."""


def _without_effect(case: Case, duty_index: int, path: str) -> Iterator[InputFault]:
    """Inputs that another input of the duty overrules: a flat curve would say something untrue."""
    duty = case.duties[duty_index]
    prefix = f"duties[{duty_index}]."
    if path.startswith("duties[") and not path.startswith(prefix):
        yield InputFault(path, "", study_texts.INPUT_OF_THIS_DUTY_WOULD_DO.format(prefix=prefix))
    name = path.removeprefix(prefix)
    if name in ROAD_LOAD and (duty.brake_power is not None or duty.fuel_flow is not None):
        yield InputFault(path, "", study_texts.THIS_DUTYS_POWER_IS_GIVEN)
    pump = path.startswith("circuit.pump")
    if pump and duty.coolant_flow is not None:
        yield InputFault(path, "", study_texts.THIS_DUTYS_COOLANT_FLOW_IS_GIVEN)


def _solved(
    case: Case, duty_index: int, values: Mapping[str, Array], progress: Progress, cancelled: Stop
) -> tuple[OperatingPoint, TemperatureWithoutBoiling]:
    n = next(iter(values.values())).size
    pieces = [
        _piece(varied(case, {path: v[which] for path, v in values.items()}), duty_index, which.stop - which.start)
        for which in chunks(n, progress, cancelled)
    ]
    points, free = zip(*pieces, strict=True)
    return joined(points), joined(free)


def _piece(case: Case, duty_index: int, members: int) -> tuple[OperatingPoint, TemperatureWithoutBoiling]:
    """One ensemble: its operating points, and how hot its members would get if they did not boil."""
    return solve(*every_duty(case, members, (duty_index,))), unboiled(case, (duty_index,), members)
