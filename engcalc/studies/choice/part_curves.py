"""Curves through the points that a maker gives for a fan or a pump, with what the curve misses of them.

Points stand in one cell, parted by semicolons: of a fan flow@pressure (``0 m3/h@220 Pa; 2400 m3/h@0 Pa``), of a pump
flow@pressure@speed (``100 L/min@95 kPa@5000 rpm; 160 L/min@60 kPa@5000 rpm``).

    dp = dp0 - c V^2

is fitted by least squares in dp0 and c: the same parabola by which the engine computes fans and pumps. Points of a pump
at several speeds are brought to the highest one first (affinity laws: flow with speed, pressure with its square).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case
from engcalc.errors import InputError, InputFault
from engcalc.studies.members import varied
from engcalc.system.plant import prepare
from engcalc.units import Array, parse
from engcalc.words.texts import study_texts

LEAST_POINTS = 2
MOST_POINTS = 40


@dataclass(frozen=True, eq=False)
class CurveFit:
    """A parabola dp = dp0 - c V^2 through points of flow [m3/s] and pressure [Pa].

    ``speed`` [rev/s] is the one at which it counts, None of a fan. ``misses`` [Pa]: the points less the curve.
    """

    flow: Array
    pressure: Array
    speed: float | None
    at_no_flow: float  # Pa
    fall: float  # Pa s2/m6

    @property
    def free_flow(self) -> float:
        """Flow [m3/s] at which the curve comes down to no pressure."""
        return float(np.sqrt(self.at_no_flow / self.fall))

    @property
    def misses(self) -> Array:
        """Points less curve [Pa]."""
        return np.asarray(self.pressure - (self.at_no_flow - self.fall * self.flow**2))

    @property
    def rms(self) -> float:
        """Root mean square of what the curve misses [Pa]."""
        return float(np.sqrt(np.mean(self.misses**2)))

    @property
    def worst(self) -> float:
        """The most that the curve misses a point by [Pa]."""
        return float(np.max(np.abs(self.misses)))


def fan_curve(cell: str, where: str) -> CurveFit:
    """The curve through a fan's points. Raises InputError under ``where``."""
    points = read_points(cell, where, ("air flow", "pressure difference"), study_texts.FAN_POINTS_EXAMPLE)
    return _fitted(points[:, 0], points[:, 1], None, cell, where)


def pump_curve(cell: str, where: str) -> CurveFit:
    """The curve through a pump's points, at the highest of their speeds. Raises InputError under ``where``."""
    points = read_points(cell, where, ("coolant flow", "pump pressure", "rotation"), study_texts.PUMP_POINTS_EXAMPLE)
    speed = points[:, 2]
    if (speed <= 0.0).any():
        raise InputError((InputFault(where, cell, study_texts.SPEEDS_ABOVE_0_WOULD_DO),))
    highest = float(speed.max())
    ratio = highest / speed
    return _fitted(points[:, 0] * ratio, points[:, 1] * ratio**2, highest, cell, where)


def read_points(cell: str, where: str, kinds: Sequence[str], example: str) -> Array:
    """The points of a cell in SI, shape (points, quantities). Raises InputError under ``where``."""
    texts = [text.strip() for text in re.split(r"[;|]", cell) if text.strip()]
    if not LEAST_POINTS <= len(texts) <= MOST_POINTS:
        wanted = study_texts.TO_POINTS_WOULD_DO.format(
            least_points=LEAST_POINTS, most_points=MOST_POINTS, example=example
        )
        raise InputError((InputFault(where, cell, wanted),))
    rows = []
    faults = []
    for text in texts:
        parts = [part.strip() for part in text.split("@")]
        if len(parts) != len(kinds):
            faults.append(InputFault(where, text, study_texts.POINT_AS_IN_WOULD_DO.format(example=example)))
            continue
        try:
            rows.append([parse(part, kind, where).si for part, kind in zip(parts, kinds, strict=True)])
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(tuple(faults))
    return np.array(rows)


def _fitted(flow: Array, pressure: Array, speed: float | None, cell: str, where: str) -> CurveFit:
    wanted = study_texts.POINTS_OF_AT_LEAST_TWO_FLOWS
    if (flow < 0.0).any() or np.ptp(flow) <= 1e-6 * max(float(flow.max()), 1e-12):
        raise InputError((InputFault(where, cell, wanted),))
    table = np.column_stack([np.ones(flow.size), -((flow / flow.max()) ** 2)])
    (at_no_flow, fall), *_ = np.linalg.lstsq(table, pressure)
    if not (at_no_flow > 0.0 and fall > 0.0):
        raise InputError((InputFault(where, cell, wanted),))
    return CurveFit(flow, pressure, speed, float(at_no_flow), float(fall / flow.max() ** 2))


def fan_inputs(fit: CurveFit) -> dict[str, float]:
    """The inputs of a case that make such a fan."""
    return {"airflow.fan_free_flow": fit.free_flow, "airflow.fan_stall_pressure": fit.at_no_flow}


def pump_inputs(case: Case, fit: CurveFit) -> dict[str, float]:
    """The inputs of a case that put such a pump into its circuit.

    A case states a pump by the flow that its own circuit then has. So the curve is read where it meets the resistance
    of the circuit as it was sized, valve open, with coolant at 90 degC: that flow, heater and bypass in proportion. The
    pressure at no flow is the one that leaves the circuit's resistance as it is; away from that point (a valve that
    throttles) the pump's curve is then the engine's own, not the maker's.
    """
    assert fit.speed is not None  # of a pump
    k = case.circuit
    flow = float(k.pump_flow[0])
    at_no_flow = float(k.pump_shutoff_pressure[0])
    if flow <= 0.0:
        raise InputError((InputFault("circuit.pump_flow", "", study_texts.FLOW_ABOVE_0_WOULD_DO),))
    head = at_no_flow - float(prepare(varied(case, {})).circuit.pump.c[0]) * flow**2
    resistance = head / flow**2
    meets = float(np.sqrt(fit.at_no_flow / (fit.fall + resistance)))
    grows = meets / flow
    return {
        "circuit.pump_flow": meets,
        "circuit.heater_flow": grows * float(k.heater_flow[0]),
        "circuit.bypass_flow": grows * float(k.bypass_flow[0]),
        "circuit.pump_flow_speed": fit.speed,
        "circuit.pump_shutoff_pressure": grows**2 * at_no_flow,
    }
