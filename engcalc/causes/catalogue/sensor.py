"""The coolant sensor, its wiring and where it stands. None of these changes the coolant: only what is shown of it."""

from __future__ import annotations

import numpy as np

from engcalc.causes.history import History
from engcalc.causes.record import Cause, SensorFault, SeverityPrior, VisibleState, one, same, share
from engcalc.units import Array

LEVEL_AT_THE_SENSOR = 0.15  # -; share of the coolant missing from which a sensor stands in air; common practice

_WRONG_BY = SeverityPrior("reads wrong by", "temperature difference", median=12.0, spread=0.55, low=3.0, high=60.0)


def _level_at_the_sensor(s: Array) -> Array:
    return np.full_like(s, LEVEL_AT_THE_SENSOR)


READS_LOW = Cause(
    key="sensor_reads_low",
    place=270,
    label="The coolant sensor reads too low",
    per_cent={"screening": 0.2, "no heat": 2.0, "slow warm-up": 5.0},
    severity=_WRONG_BY,
    states={VisibleState.SENSOR_ERROR: same},
    sensor=SensorFault.LOW,
    history=History(sudden=0.5, follows={"engine": 0.05}),
    checks=("thermometer_at_outlet_neck",),
)

READS_HIGH = Cause(
    key="sensor_reads_high",
    place=280,
    label="The coolant sensor reads too high",
    per_cent={"hot at idle": 4.0, "hot at speed": 3.0},
    severity=_WRONG_BY,
    states={VisibleState.SENSOR_ERROR: same},
    sensor=SensorFault.HIGH,
    history=History(sudden=0.5, follows={"engine": 0.05}),
    checks=("thermometer_at_outlet_neck",),
)

ERRATIC = Cause(
    key="sensor_erratic",
    place=290,
    label="The coolant sensor or its wiring jumps",
    per_cent={"no heat": 0.5, "slow warm-up": 0.5},
    states={VisibleState.ERRATIC: one},
    sensor=SensorFault.ERRATIC,
    broad=12.0,
    history=History(sudden=0.7),
)

IN_AIR = Cause(
    key="sensor_in_air",
    place=300,
    label="The coolant sensor sits in air",
    per_cent={"no heat": 1.0, "slow warm-up": 1.0},
    severity=share("of coolant over air not shown", median=0.35, spread=0.7, low=0.05, high=0.9),
    states={VisibleState.LEVEL: _level_at_the_sensor},
    sensor=SensorFault.IN_AIR,
    history=History(sudden=0.6, follows={"coolant": 0.2, "thermostat": 0.08, "pump": 0.08, "engine": 0.08}),
    checks=("level_and_bubbles", "thermometer_at_outlet_neck"),
)
