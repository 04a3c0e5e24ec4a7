"""The radiator fan and what switches or drives it."""

from __future__ import annotations

import numpy as np

from engcalc.causes.history import History
from engcalc.causes.record import CaseChange, Cause, Fitted, VisibleState, by, constant, one, same, share, times
from engcalc.units import Array

NEVER_ON = 520.0  # K; switching temperatures that no coolant reaches
NEVER_OFF = 510.0  # K
ALWAYS_ON = 180.0  # K; switching temperatures that all coolant and air is above
ALWAYS_OFF = 170.0  # K
REVERSED_RAM = 0.85  # -; of the ram that a fan blowing against it lets through; common practice, no source

_ELECTRIC = ("electric", "two-stage electric", "PWM electric")
_HAS_AN_ELECTRIC_FAN = (Fitted("airflow.fan_drive", _ELECTRIC),)
_HAS_A_CLUTCH = (Fitted("airflow.fan_drive", ("viscous clutch",)),)


def _none(s: Array) -> Array:
    return np.zeros_like(s)


OFF = Cause(
    key="fan_not_running",
    place=210,
    label="The radiator fan does not run",
    per_cent={"screening": 0.4, "hot at idle": 28.0, "hot at speed": 3.0, "loss of coolant": 2.0},
    changes=(
        CaseChange("airflow.fan_on", constant(NEVER_ON)),
        CaseChange("airflow.fan_high_on", constant(NEVER_ON)),
        CaseChange("airflow.fan_off", constant(NEVER_OFF)),
        CaseChange("airflow.fan_high_off", constant(NEVER_OFF)),
        CaseChange("airflow.air_conditioning_fan", constant(0.0)),
    ),
    states={VisibleState.FAN_RUNS: _none},
    needs=_HAS_AN_ELECTRIC_FAN,
    history=History(sudden=0.8, follows={"radiator": 0.06}),
    checks=("fan_commanded",),
)

ALWAYS = Cause(
    key="fan_always_on",
    place=220,
    label="The radiator fan runs all the time",
    per_cent={"no heat": 1.5, "slow warm-up": 3.0},
    changes=(
        CaseChange("airflow.fan_on", constant(ALWAYS_ON)),
        CaseChange("airflow.fan_high_on", constant(ALWAYS_ON)),
        CaseChange("airflow.clutch_air_full", constant(ALWAYS_ON)),
        CaseChange("airflow.fan_off", constant(ALWAYS_OFF)),
        CaseChange("airflow.fan_high_off", constant(ALWAYS_OFF)),
        CaseChange("airflow.clutch_air_start", constant(ALWAYS_OFF)),
    ),
    states={VisibleState.FAN_ALWAYS: one},
    keeps_engine_cold=True,
    needs=(*_HAS_AN_ELECTRIC_FAN, *_HAS_A_CLUTCH),
    history=History(sudden=0.8),
    checks=("fan_commanded",),
)

CLUTCH = Cause(
    key="fan_clutch_slipping",
    place=230,
    label="The fan clutch slips",
    per_cent={"hot at idle": 28.0, "hot at speed": 4.0, "loss of coolant": 2.0},
    severity=share("fan flow left", median=0.3, spread=0.7, low=0.05, high=0.8),
    changes=(CaseChange("airflow.fan_free_flow", times),),
    states={VisibleState.FAN_RUNS: same},
    needs=_HAS_A_CLUTCH,
    history=History(sudden=0.2),
    checks=("fan_commanded",),
)

REVERSED = Cause(
    key="fan_reversed",
    place=240,
    label="The fan blows the wrong way",
    per_cent={"hot at idle": 1.0},
    severity=share("fan flow left", median=0.15, spread=0.5, low=0.02, high=0.4),
    changes=(
        CaseChange("airflow.fan_free_flow", times),
        CaseChange("airflow.ram_recovery", by(REVERSED_RAM)),
    ),
    states={VisibleState.FAN_BACKWARD: one},
    needs=_HAS_AN_ELECTRIC_FAN,
    history=History(sudden=0.8, follows={"radiator": 0.5}),
    checks=("fan_commanded",),
    not_simulated="air driven forward: it is computed as a fan that gives next to nothing",
)
