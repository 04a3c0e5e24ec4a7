"""The heater: its core, valve, flap, air and hoses."""

from __future__ import annotations

from engcalc.causes.history import History
from engcalc.causes.record import AboveNothing, CaseChange, Cause, VisibleState, one, share, times

_HAS_A_HEATER = (AboveNothing("heater.rated_output"),)

CORE = Cause(
    key="heater_core_restricted",
    place=90,
    label="The heater core is clogged",
    per_cent={"screening": 0.4, "no heat": 10.0, "slow warm-up": 2.0},
    severity=share("heater flow left", median=0.15, spread=1.0, low=0.01, high=0.6),
    changes=(CaseChange("circuit.heater_flow", times),),
    needs=_HAS_A_HEATER,
    history=History(sudden=0.15, follows={"coolant": 0.08}),
    checks=("heater_hose_pair", "vent_at_full_hot"),
)

VALVE = Cause(
    key="heater_valve_closed",
    place=100,
    label="The heater's coolant valve stays shut",
    per_cent={"no heat": 4.0, "slow warm-up": 1.0},
    severity=share("heater valve still open", median=0.02, spread=1.0, low=0.0, high=0.15),
    changes=(CaseChange("heater.valve", times),),
    needs=_HAS_A_HEATER,
    history=History(sudden=0.6, follows={"heater": 0.1}),
    checks=("heater_hose_pair", "vent_at_full_hot"),
)

BLEND = Cause(
    key="heater_blend_stuck",
    place=110,
    label="The flap that leads air through the heater is stuck",
    per_cent={"no heat": 9.0, "slow warm-up": 1.5},
    severity=share("share of the air led through the core", median=0.15, spread=1.0, low=0.0, high=0.6),
    changes=(CaseChange("heater.blend", times),),
    needs=_HAS_A_HEATER,
    history=History(sudden=0.7, follows={"heater": 0.15}),
    checks=("vent_at_full_hot",),
)

AIR = Cause(
    key="heater_airflow_low",
    place=120,
    label="The heater gets too little air",
    per_cent={"no heat": 3.0, "slow warm-up": 1.0},
    severity=share("blower's air left", median=0.25, spread=0.7, low=0.02, high=0.7),
    changes=(CaseChange("heater.blower_flow", times),),
    needs=_HAS_A_HEATER,
    history=History(sudden=0.4, follows={"heater": 0.1}),
    checks=("vent_at_full_hot",),
)

HOSES = Cause(
    key="heater_hoses_swapped",
    place=130,
    label="The heater hoses are swapped",
    per_cent={"no heat": 0.5, "slow warm-up": 0.5},
    severity=share("heater output left", median=0.75, spread=0.7, low=0.3, high=1.0),
    changes=(CaseChange("heater.rated_output", times),),
    states={VisibleState.HOSES_SWAPPED: one},
    needs=_HAS_A_HEATER,
    history=History(sudden=0.8, follows={"heater": 0.4, "engine": 0.2, "pump": 0.06}),
    checks=("heater_hoses_followed",),
    not_simulated="air trapped by the wrong direction of flow",
)
