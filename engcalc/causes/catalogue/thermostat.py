"""The thermostat.

A valve that is not there is, for coolant, a seat that leaks fully while the bypass stays open.
"""

from __future__ import annotations

from engcalc.causes.history import History
from engcalc.causes.record import (
    CaseChange,
    Cause,
    NotFitted,
    SeverityPrior,
    VisibleState,
    constant,
    less,
    one,
    put,
    same,
    share,
    times,
)

_HAS_A_VALVE = (NotFitted("thermostat.kind", ("none",)), NotFitted("thermostat.bypass", ("none",)))
_HOSES_TELL = ("upper_hose_while_warming", "lower_hose_while_warming", "radiator_hose_pair_hot")

STUCK_OPEN = Cause(
    key="thermostat_stuck_open",
    place=20,
    label="The thermostat is stuck open",
    per_cent={"screening": 0.8, "no heat": 26.0, "slow warm-up": 34.0},
    severity=share("even cold it stays open by", median=0.14, spread=1.3, low=0.01, high=1.0),
    changes=(CaseChange("thermostat.minimum_opening", put),),
    states={VisibleState.VALVE_COLD: same},
    keeps_engine_cold=True,
    needs=_HAS_A_VALVE,
    history=History(sudden=0.5, follows={"thermostat": 0.06}),
    checks=(*_HOSES_TELL, "valve_out_and_looked_at_cold", "valve_in_a_pot_of_water"),
    note="A fail-safe thermostat locks open after an overheat: ask whether it ever ran hot.",
)

MISSING = Cause(
    key="thermostat_missing",
    place=30,
    label="There is no thermostat in the housing",
    per_cent={"no heat": 1.5, "slow warm-up": 1.5},
    changes=(
        CaseChange("thermostat.closed_leak", constant(1.0)),
        CaseChange("thermostat.minimum_opening", constant(0.0)),
        CaseChange("thermostat.maximum_opening", constant(0.0)),
    ),
    states={VisibleState.VALVE_GONE: one},
    keeps_engine_cold=True,
    needs=_HAS_A_VALVE,
    history=History(sudden=0.7, follows={"thermostat": 0.35, "engine": 0.08}),
    checks=(*_HOSES_TELL, "valve_out_and_looked_at_cold"),
)

OPENS_EARLY = Cause(
    key="thermostat_opens_early",
    place=40,
    label="The thermostat opens well under its rating",
    per_cent={"screening": 0.5, "no heat": 5.0, "slow warm-up": 8.0},
    severity=SeverityPrior(
        "opens under its rating by", "temperature difference", median=11.0, spread=0.5, low=3.0, high=45.0
    ),
    changes=(CaseChange("thermostat.start_to_open", less), CaseChange("thermostat.full_open", less)),
    states={VisibleState.VALVE_EARLY: same},
    keeps_engine_cold=True,
    needs=_HAS_A_VALVE,
    history=History(sudden=0.4, follows={"thermostat": 0.25}),
    checks=("valve_in_a_pot_of_water",),
)

SLOW = Cause(
    key="thermostat_slow",
    place=50,
    label="The thermostat follows the coolant too slowly",
    per_cent={"no heat": 0.5, "slow warm-up": 0.5},
    severity=SeverityPrior("slower than usual by the factor", "number", median=6.0, spread=0.5, low=2.0, high=30.0),
    changes=(CaseChange("thermostat.time_constant", times),),
    keeps_engine_cold=True,
    needs=_HAS_A_VALVE,
    history=History(sudden=0.4, follows={"thermostat": 0.2}),
)

STUCK_SHUT = Cause(
    key="thermostat_stuck_shut",
    place=60,
    label="The thermostat does not open",
    per_cent={"hot at idle": 5.0, "hot at speed": 9.0},
    severity=share("opens no further than", median=0.02, spread=1.5, low=0.0, high=0.3),
    changes=(CaseChange("thermostat.maximum_opening", put),),
    states={VisibleState.VALVE_HOT: same},
    needs=_HAS_A_VALVE,
    history=History(sudden=0.75, follows={"thermostat": 0.12, "coolant": 0.06}),
    checks=("valve_in_a_pot_of_water",),
)
