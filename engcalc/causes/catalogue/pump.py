"""The coolant pump and the hose that it draws from."""

from __future__ import annotations

import numpy as np

from engcalc.causes.history import History
from engcalc.causes.record import (
    CaseChange,
    Cause,
    Fitted,
    NotFitted,
    SeverityPrior,
    VisibleState,
    at_most,
    one,
    same,
    share,
    times,
)
from engcalc.units import Array


def _by_speed_squared(pressure: Array, speed: Array) -> Array:
    return np.asarray(pressure * speed**2)


_CONVEYS_LESS = (
    CaseChange("circuit.pump_flow", times),
    CaseChange("circuit.heater_flow", times),
    CaseChange("circuit.bypass_flow", times),
    CaseChange("circuit.pump_shutoff_pressure", _by_speed_squared),
)
"""A pump that turns or conveys less, by the affinity laws: flow with speed, pressure with its square."""

_ON_THE_BELT = (NotFitted("circuit.pump_drive", ("electric",)),)
_COMMANDED = (Fitted("circuit.pump_drive", ("electric",)), Fitted("circuit.pump_cold", ("stands when cold",)))

WEAK = Cause(
    key="pump_weak",
    place=140,
    label="The coolant pump moves too little coolant",
    per_cent={"no heat": 2.5, "slow warm-up": 2.7, "hot at idle": 4.0, "hot at speed": 5.5},
    severity=share("share of its flow left", median=0.35, spread=0.8, low=0.03, high=0.8),
    changes=_CONVEYS_LESS,
    states={VisibleState.PUMP: same},
    needs=_ON_THE_BELT,
    history=History(sudden=0.35, follows={"pump": 0.12, "engine": 0.05}, loses_at={"pump": 0.7, "nowhere seen": 0.3}),
    checks=("belt_and_pump_drive", "heater_hose_pair"),
)

IMPELLER = Cause(
    key="pump_impeller_loose",
    place=145,
    label="The coolant pump's impeller is loose on its shaft",
    # of the pumps that move too little and do not leak, three in ten at speed; ours, no source
    per_cent={"no heat": 0.5, "slow warm-up": 0.3, "hot at idle": 1.0, "hot at speed": 2.5},
    severity=SeverityPrior("impeller turns no faster than", "rotation", median=2.5, spread=0.9, low=0.2, high=20.0),
    changes=(CaseChange("circuit.impeller_slips", at_most),),
    states={VisibleState.IMPELLER: one},
    needs=_ON_THE_BELT,
    history=History(sudden=0.5, follows={"pump": 0.12, "engine": 0.04}),
    checks=("heater_hose_pair",),
    note="Belt and pulley look well, and nothing leaks: only the coolant shows that it does not move.",
)

NOT_COMMANDED = Cause(
    key="pump_not_commanded",
    place=150,
    label="The electric coolant pump is not driven",
    per_cent={"no heat": 4.0, "slow warm-up": 4.0, "hot at idle": 8.0, "hot at speed": 8.0},
    severity=share("share of its flow left", median=0.08, spread=1.0, low=0.01, high=0.5),
    changes=_CONVEYS_LESS,
    states={VisibleState.PUMP: same},
    needs=_COMMANDED,
    history=History(sudden=0.75, follows={"pump": 0.12, "engine": 0.06}),
    checks=("belt_and_pump_drive", "heater_hose_pair"),
)

SUCTION_HOSE = Cause(
    key="suction_hose_collapsed",
    place=160,
    label="The suction hose collapses",
    per_cent={"hot at speed": 3.0},
    severity=share("share of its flow left", median=0.5, spread=0.6, low=0.1, high=0.9),
    changes=_CONVEYS_LESS,
    states={VisibleState.SUCTION: one},
    needs=_ON_THE_BELT,
    history=History(sudden=0.4, follows={"radiator": 0.06}),
    checks=("heater_hose_pair", "lower_hose_at_speed"),
    not_simulated="that it collapses at engine speed only",
)
