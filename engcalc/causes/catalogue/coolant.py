"""The coolant itself: how much there is, where it goes, what is in it, and the cap that keeps it under pressure."""

from __future__ import annotations

import numpy as np

from engcalc.causes.history import History
from engcalc.causes.record import CaseChange, Cause, VisibleState, one, same, share, without
from engcalc.units import Array

HEATER_STARVES = 5.0  # -; heater flow falls as exp(-this times the share missing); common practice, no source
AIR_CARRIED = 0.4  # -; air in the flow for each share missing; common practice, no source
AIR_MOST = 0.6  # -; air in the flow at most; common practice, no source
LOW_BY_LEAKING = 0.4  # -; how far a look finds a leak where coolant is missing; common practice, no source


def _starved(flow: Array, past_reserve: Array) -> Array:
    return np.asarray(flow * np.exp(-HEATER_STARVES * past_reserve))


def _aerated(air: Array, past_reserve: Array) -> Array:
    return np.minimum(air + AIR_CARRIED * past_reserve, AIR_MOST)


def _may_leak(missing: Array) -> Array:
    return np.full_like(missing, LOW_BY_LEAKING)


LOW = Cause(
    key="low_coolant",
    place=70,
    label="The coolant is low",
    per_cent={
        "screening": 0.6,
        "no heat": 10.0,
        "slow warm-up": 5.0,
        "hot at idle": 14.0,
        "hot at speed": 13.0,
        "loss of coolant": 10.0,
    },
    severity=share("share of the coolant missing", median=0.3, spread=0.7, low=0.05, high=0.8),
    # a tank holds a tenth and more, and a heater that lies low goes on when it is empty; common practice, no source
    reserve=share("share that may be missing unnoticed", median=0.18, spread=0.6, low=0.05, high=0.5),
    changes=(
        CaseChange("circuit.heater_flow", _starved, past_reserve=True),
        CaseChange("coolant.volume", without),
        CaseChange("circuit.aeration", _aerated, past_reserve=True),
    ),
    states={VisibleState.LEVEL: same, VisibleState.LEAK: _may_leak},
    history=History(
        sudden=0.4,
        follows={"coolant": 0.18, "thermostat": 0.08, "pump": 0.08, "radiator": 0.08, "heater": 0.08, "engine": 0.08},
    ),
    checks=("level_and_bubbles", "heater_hose_pair"),
    not_simulated="where the air gathers",
)

LEAK = Cause(
    key="external_leak",
    place=80,
    label="Coolant leaks out",
    per_cent={
        "screening": 0.6,
        "no heat": 2.0,
        "slow warm-up": 2.0,
        "hot at idle": 4.0,
        "hot at speed": 4.0,
        "loss of coolant": 48.0,
    },
    severity=share("share of the coolant missing", median=0.08, spread=0.7, low=0.01, high=0.4),
    states={VisibleState.LEAK: one, VisibleState.LEVEL: same},
    traceless=True,
    history=History(
        sudden=0.4,
        follows={"thermostat": 0.05, "pump": 0.06, "radiator": 0.06, "heater": 0.05},
        loses_at={
            "hose": 0.32,
            "radiator": 0.26,
            "pump": 0.2,
            "cap or tank": 0.05,
            "cabin": 0.09,
            "nowhere seen": 0.08,
        },
    ),
    checks=("level_and_bubbles", "cold_pressure_test"),
    note="Temperatures do not show it while the level holds: only a pressure test does.",
)

CAP = Cause(
    key="cap_weak",
    place=250,
    label="The cap does not hold its pressure",
    per_cent={"screening": 0.6, "hot at idle": 4.0, "hot at speed": 4.0, "loss of coolant": 12.0},
    severity=share("pressure that the cap holds", median=0.3, spread=1.0, low=0.0, high=0.8),
    states={VisibleState.CAP: same},
    traceless=True,
    history=History(sudden=0.3, loses_at={"cap or tank": 0.75, "nowhere seen": 0.25}),
    checks=("cap_test",),
    note="Temperatures do not show it: only a cap test does.",
)

MIXTURE = Cause(
    key="wrong_mixture",
    place=260,
    label="The coolant is mixed wrongly",
    per_cent={"screening": 0.8, "hot at idle": 1.0, "hot at speed": 1.0},
    severity=share("concentration off by", median=0.25, spread=0.5, low=0.1, high=0.5),
    states={VisibleState.MIXTURE: same},
    traceless=True,
    history=History(sudden=0.4, follows={"coolant": 0.3, "pump": 0.06, "radiator": 0.06, "engine": 0.06}),
    checks=("refractometer",),
    note="Temperatures do not show it: only a refractometer does.",
    not_simulated="the few per cent by which its properties change the temperature",
)

GAS = Cause(
    key="gas_in_coolant",
    place=310,
    label="Combustion gas gets into the coolant",
    per_cent={"no heat": 1.0, "slow warm-up": 1.0, "hot at idle": 5.0, "hot at speed": 8.0, "loss of coolant": 12.0},
    severity=share("share of the coolant missing", median=0.08, spread=0.8, low=0.01, high=0.5),
    states={VisibleState.GAS: one, VisibleState.LEVEL: same},
    traceless=True,
    history=History(sudden=0.45, follows={"engine": 0.1}, loses_at={"nowhere seen": 0.7, "cap or tank": 0.3}),
    checks=("level_and_bubbles", "cold_pressure_test", "combustion_gas_test"),
    note="Temperatures do not show it: only a gas test does.",
    not_simulated="gas that gathers in the heater or at the sensor",
)
