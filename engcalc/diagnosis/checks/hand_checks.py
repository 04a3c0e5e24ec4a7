"""The hand checks: one record for each look or reading that a person can make, with what it would show.

What a check would show is predicted in simulated vehicles (:mod:`engcalc.diagnosis.checks.run_of_checks`). Minutes of
work are common practice, no source, for a part that is in easy reach. A check is added by writing its record into
``_ALL``.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case
from engcalc.case.records import Record
from engcalc.causes.record import VisibleState
from engcalc.diagnosis.checks.run_of_checks import FAST_END, IDLE_END, CheckedVehicles
from engcalc.diagnosis.evidence.observations import FACTS
from engcalc.diagnosis.evidence.sights import FILLED, SHARE_READ
from engcalc.units import Array

GAUGE_PASSES = 328.15  # K; 55 degC, the middle of the 50 to 60 degC at which the hose is felt
HOSE = 6.0  # K; clamp on a hose, with what the model is wrong by there
VENT = 6.0  # K; vent probe
NECK = 2.5  # K; contact probe
OPENING_SEEN = 2.0  # K; of the opening of a valve in a pot of water; common practice, no source
NO_VALVE_OPENS = 60.0  # K under the rating; how early a valve that is not there opens: apart from any other
AT_THE_NECK = "outlet_neck"  # a reading of the coolant by a probe on the metal
PROBES = ("clamp", "infrared", "immersed")  # instruments that read the coolant beside its sensor
LEVEL = "level_and_bubbles"
PRESSURE = "cold_pressure_test"
GAS = "combustion_gas_test"
FAN = "fan_commanded"
COME_FIRST: Mapping[str, tuple[str, ...]] = {  # by the reason for the visit, in this order; common practice, no source
    "hot at idle": (FAN, LEVEL, GAS),
    "hot at speed": (LEVEL, GAS),
    "loss of coolant": (LEVEL, PRESSURE, GAS),
}
FIRST_OF_ALL = (LEVEL,)  # for any other reason
LEAK_LOOKS = (LEVEL, PRESSURE, "leak_by_dye")  # coolant lost in the cabin sends each of them to the heater core too


@dataclass(frozen=True)
class PredictedReading:
    """A reading predicted in each member [K], with its standard uncertainty."""

    value: Array
    noise: float


Outcome = Sequence[PredictedReading | Array]
"""Readings, or probabilities that something is seen, of one check."""

Predicted = Callable[[CheckedVehicles], Outcome]


@dataclass(frozen=True)
class HandCheck:
    """One hand check.

    ``title``, ``tools``, ``how`` and ``tells`` are its words for a person: what it is, what it takes, how to do it,
    what the result means. ``minutes`` of work. ``answers`` are the facts of the case file that it settles, the one that
    it is made for first; ``spots`` the places where it reads a number: there its result goes back in. ``reads``
    predicts its result; None: whether its facts are seen. ``valve_side``: it tells something only where the thermostat
    sits there. ``part_of`` are the causes of which it finds the part at fault, where it is no check that the odds can
    weigh. ``cautions`` are keys of the cautions to show with it; ``beside_heaters``: those of a heater of its own too,
    where the vehicle has one.
    """

    key: str
    title: str
    minutes: float
    tools: str
    how: str
    tells: str
    answers: tuple[str, ...] = ()
    spots: tuple[str, ...] = ()
    reads: Predicted | None = None
    valve_side: str = ""
    part_of: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    beside_heaters: bool = False

    def outcome(self, seen: CheckedVehicles) -> Outcome:
        """What it would show in these vehicles."""
        if self.reads is not None:
            return self.reads(seen)
        return tuple(FACTS[fact](seen.record) for fact in self.answers)

    def is_done(self, noted: Container[str]) -> bool:
        """Whether the fact that it is made for, or any of its readings, is among what was noted."""
        return any(result in noted for result in (*self.answers[:1], *self.spots))


def noted_in(record: Record) -> frozenset[str]:
    """Every fact that a record answers and every place that was read in it, by their keys."""
    places = (
        AT_THE_NECK if spot.what == "coolant" and spot.instrument in PROBES else spot.what for spot in record.spots
    )
    return frozenset((*record.seen, *places))


def first_checks(reason: str | None, case: Case) -> tuple[str, ...]:
    """The checks that come before any odds for a reason for the visit, in their order, as far as the vehicle has the
    part."""
    has_fan = case.airflow.fan_drive != "none" and bool((case.airflow.fan_count > 0.0).any())
    return tuple(key for key in COME_FIRST.get(reason or "", FIRST_OF_ALL) if key != FAN or has_fan)


def at_the_heater_core(key: str, case: Case) -> bool:
    """Whether a check looks at the heater core too: the customer tells that coolant is lost in the cabin. What was told
    before a repair is history."""
    return key in LEAK_LOOKS and lost_in_the_cabin(case)


def lost_in_the_cabin(case: Case) -> bool:
    """Whether coolant is told to be lost in the cabin: there the heater core and its hoses hold the only coolant."""
    return case.job.coolant_lost_at == "cabin" and case.evidence.after is None


# ---- what is read ---------------------------------------------------------------------------------------------------


def _mixture(seen: CheckedVehicles) -> Outcome:
    return (PredictedReading(seen.record.states[VisibleState.MIXTURE], float(np.hypot(SHARE_READ, FILLED))),)


def _upper_hose_passing(seen: CheckedVehicles) -> Outcome:
    record = seen.record
    return (PredictedReading(record.when_passing(record.upper_hose, GAUGE_PASSES), HOSE),)


def _lower_hose_passing(seen: CheckedVehicles) -> Outcome:
    record = seen.record
    return (PredictedReading(record.when_passing(record.lower_hose, GAUGE_PASSES), HOSE),)


def _neck(seen: CheckedVehicles) -> Outcome:
    return (PredictedReading(seen.record.coolant[-1] - seen.record.shown[-1], NECK),)


def _heater_pair(seen: CheckedVehicles) -> Outcome:
    hot = seen.hot
    drop = hot.at(hot.heater_in - hot.heater_out, np.array([IDLE_END]))[0]
    out_at_speed = hot.at(hot.heater_out, np.array([FAST_END]))[0]
    return (PredictedReading(drop, HOSE), PredictedReading(out_at_speed, HOSE))


def _vent(seen: CheckedVehicles) -> Outcome:
    return (PredictedReading(seen.hot.at(seen.hot.vent, np.array([FAST_END]))[0], VENT),)


def _radiator_pair(seen: CheckedVehicles) -> Outcome:
    hot = seen.hot
    return (
        PredictedReading(hot.upper_hose[-1] - hot.ambient, HOSE),
        PredictedReading(hot.lower_hose[-1] - hot.ambient, HOSE),
    )


def _pot(seen: CheckedVehicles) -> Outcome:
    record = seen.record
    there = record.states[VisibleState.VALVE_GONE] < 0.5
    early = PredictedReading(np.where(there, record.rating - record.opens, NO_VALVE_OPENS), OPENING_SEEN)
    return (early, FACTS["thermostat_opens_hot"](record), FACTS["thermostat_open_when_cold"](record))


# ---- the records ----------------------------------------------------------------------------------------------------

_ENGINE_RUNS = ("moving_parts", "exhaust")  # cautions

_ALL = (
    HandCheck(
        key="level_and_bubbles",
        title="Coolant level, and bubbles with the engine running",
        minutes=2.0,
        tools="A lamp.",
        how="With the engine cold, look at the level. Then start it and watch the tank for bubbles that do not stop.",
        tells="A low level explains a cold heater and a sensor in air. Bubbles that last point to combustion gas.",
        answers=("level_low", "bubbles_when_running"),
        cautions=("hot_cap", "topping_up", *_ENGINE_RUNS, "poison"),
    ),
    HandCheck(
        key="cold_pressure_test",
        title="Pressure test, cold",
        minutes=12.0,
        tools="Hand pump with gauge and the adapter for this filler; a lamp.",
        how="Pump the cold system up to the cap's pressure and watch it for ten minutes.",
        tells="Falling pressure means a leak. Wet outside: a leak there. Dry: suspect the engine or the heater core.",
        answers=("pressure_held_cold", "coolant_leak"),
        cautions=("hot_cap", "pressure", "poison"),
    ),
    HandCheck(
        key="combustion_gas_test",
        title="Test for combustion gas",
        minutes=10.0,
        tools="Combustion leak tester with fresh fluid, or a gas tester.",
        how=(
            "Open the filler cold and set the tester on it, well above the coolant. Let the engine warm up, then "
            "draw the gas above the coolant through the test fluid, or past the gas tester."
        ),
        tells="Gas means a leak between cylinder and coolant. None with the engine hot speaks against it.",
        answers=("combustion_gas_found",),
        cautions=("hot_cap", "gas_positive", *_ENGINE_RUNS, "poison"),
    ),
    HandCheck(
        key="cap_test",
        title="Cap test",
        minutes=4.0,
        tools="Hand pump with gauge and the adapter for this cap.",
        how=(
            "Take the cap off cold and put it on the tester. Note the pressure at which it opens, or whether it holds "
            "the stamped one."
        ),
        tells="A cap that opens early lets the coolant boil sooner and get lost. One that holds is not the cause.",
        answers=("cap_holds_pressure",),
        spots=("cap_opens",),
        cautions=("hot_cap", "pressure"),
    ),
    HandCheck(
        key="refractometer",
        title="Mixture by refractometer",
        minutes=3.0,
        tools="Refractometer for coolant, a pipette, a cloth.",
        how=(
            "Put a drop of cold coolant on the refractometer. Read the freezing point or the share, on the scale of "
            "the glycol that is in it. Note which scale it was."
        ),
        tells="It tells the share of glycol: frost protection and boiling point.",
        spots=("freezing_point", "concentration"),
        reads=_mixture,
        cautions=("hot_cap", "poison", "colour"),
    ),
    HandCheck(
        key="belt_and_pump_drive",
        title="Belt and pump drive",
        minutes=3.0,
        tools="A lamp.",
        how="Engine off: look at belt and pulley. Turn the pulley by hand and feel for play.",
        tells="A slipping belt or a loose wheel moves no coolant. Tight and without play: look at the flow next.",
        answers=("belt_drives_pump",),
        cautions=("moving_parts", "fan_by_itself"),
    ),
    HandCheck(
        key="upper_hose_while_warming",
        title="Upper radiator hose while the gauge passes 50 to 60 °C (120 to 140 °F)",
        minutes=4.0,
        tools="Clamp probe, or infrared on a strip of matt tape; scan tool or gauge.",
        how="From a cold start, measure the upper radiator hose when the coolant passes 50 to 60 °C (120 to 140 °F).",
        tells="With the thermostat at the engine's outlet this hose stays nearly cold until it opens. Warm: it passes.",
        answers=("upper_hose_warms_early",),
        spots=("upper_hose",),
        reads=_upper_hose_passing,
        valve_side="outlet",
        cautions=_ENGINE_RUNS,
    ),
    HandCheck(
        key="lower_hose_while_warming",
        title="Lower radiator hose while the gauge passes 50 to 60 °C (120 to 140 °F)",
        minutes=4.0,
        tools="Clamp probe, or infrared on a strip of matt tape; scan tool or gauge.",
        how="From a cold start, measure the lower radiator hose when the coolant passes 50 to 60 °C (120 to 140 °F).",
        tells="With the thermostat at the pump's inlet this hose stays nearly cold until it opens. Warm: it passes.",
        spots=("lower_hose",),
        reads=_lower_hose_passing,
        valve_side="inlet",
        cautions=_ENGINE_RUNS,
    ),
    HandCheck(
        key="thermometer_at_outlet_neck",
        title="Contact thermometer at the outlet neck, beside the scan tool's value",
        minutes=4.0,
        tools="Contact thermometer with a clamp, a piece of foam to cover it; scan tool.",
        how="Clamp a probe to the metal neck beside the sensor, cover it, and compare with the scan tool.",
        tells="More than a few degrees apart means the sensor or its circuit. Alike: the coolant is as it is shown.",
        spots=(AT_THE_NECK,),
        reads=_neck,
        cautions=_ENGINE_RUNS,
    ),
    HandCheck(
        key="heater_hose_pair",
        title="Heater hoses, both, at idle and at 2,500 rpm",
        minutes=6.0,
        tools="Clamp probe, or infrared on a strip of matt tape.",
        how="Engine warm, heater on full: measure both heater hoses at idle. Then hold 2,500 rpm for some minutes.",
        tells="Both hot: the flap or the air. One cold: clogged core, shut valve, low level. Both cold: a cold engine.",
        answers=("heater_hoses_both_hot",),
        spots=("heater_inlet_hose", "heater_outlet_hose"),
        reads=_heater_pair,
        cautions=_ENGINE_RUNS,
        beside_heaters=True,
    ),
    HandCheck(
        key="vent_at_full_hot",
        title="Air from the centre vent at full hot",
        minutes=3.0,
        tools="Air probe.",
        how="Set full hot and the blower high; hold a probe in the centre vent.",
        tells="Cold air from hot hoses means the flap or the air, not the coolant. Hot air: the heater works.",
        answers=("vent_cold",),
        spots=("vent",),
        reads=_vent,
        cautions=("exhaust",),
        beside_heaters=True,
    ),
    HandCheck(
        key="radiator_hose_pair_hot",
        title="Radiator hoses, both, warmed up at idle",
        minutes=5.0,
        tools="Clamp probe, or infrared on a strip of matt tape.",
        how="Engine warmed up and idling: measure both radiator hoses.",
        tells="Both warm on a cold engine: the thermostat is open. Lower hose cold on a hot engine: little flow.",
        answers=("lower_hose_cold_when_hot",),
        spots=("lower_hose",),
        reads=_radiator_pair,
        cautions=_ENGINE_RUNS,
    ),
    HandCheck(
        key="fan_commanded",
        title="Fan commanded on",
        minutes=4.0,
        tools="Scan tool with output test, or only the eyes.",
        how="Command it with the scan tool, or wait with the engine hot at idle. Mind which way it blows.",
        tells="It does not run: check fuse, relay, motor, switch, in this order. It runs: the fan is not the cause.",
        answers=("fan_runs_when_hot", "fan_runs_always", "fan_blows_backward"),
        cautions=("fan_by_itself", *_ENGINE_RUNS),
    ),
    HandCheck(
        key="lower_hose_at_speed",
        title="Lower radiator hose watched at engine speed",
        minutes=3.0,
        tools="A lamp, a second person at the pedal.",
        how="Engine warm, bonnet open: hold 3,000 rpm and watch the lower radiator hose from the side.",
        tells="A hose that draws flat starves the pump. Round at 3,000 rpm: it is not the cause.",
        answers=("lower_hose_collapses",),
        cautions=("fan_by_itself", *_ENGINE_RUNS),
    ),
    HandCheck(
        key="radiator_face_and_shutter",
        title="Radiator face, seals and shutter",
        minutes=3.0,
        tools="A lamp.",
        how="Look through the grille for dirt, leaves, a cover, a shut shutter and missing seals.",
        tells="Air that cannot come in cannot cool. A clean face still says nothing of the inside.",
        answers=("face_dirty", "shutter_closed", "seals_missing"),
        cautions=("fan_by_itself",),
    ),
    HandCheck(
        key="heater_hoses_followed",
        title="Heater hoses followed to their connections",
        minutes=3.0,
        tools="A lamp and the maker's drawing of the hoses.",
        how="Engine off: follow both heater hoses from the engine to the heater and compare with the maker's drawing.",
        tells="Swapped hoses feed the core the wrong way round. As in the drawing: look elsewhere.",
        answers=("heater_hoses_swapped",),
        cautions=("fan_by_itself", "moving_parts"),
        beside_heaters=True,
    ),
    HandCheck(
        key="valve_out_and_looked_at_cold",
        title="Thermostat out, looked at cold",
        minutes=35.0,
        tools="Hand tools, catch pan, new seal, torque wrench.",
        how="Engine cold. Catch what runs out, take it out and hold it to the light.",
        tells="A gap when cold means that it does not close. No gap: it may still open late or not at all.",
        answers=("thermostat_open_when_cold", "thermostat_missing"),
        cautions=("hot_cap", "fan_by_itself", "poison", "disposal", "torque"),
    ),
    HandCheck(
        key="valve_in_a_pot_of_water",
        title="Thermostat in a pot of water with a thermometer",
        minutes=55.0,
        tools="Pot that serves for no food, heater, immersed thermometer, wire.",
        how="Heat it slowly in water beside a thermometer. Note where it starts to open and where it is fully open.",
        tells="It starts well under its stamp: it opens early. It does not open fully in boiling water: replace it.",
        answers=("thermostat_opens_hot", "thermostat_open_when_cold"),
        spots=("valve_starts", "valve_open"),
        reads=_pot,
        cautions=("boiling_pot", "hot_cap", "poison"),
    ),
)
CHECKS: Mapping[str, HandCheck] = {check.key: check for check in _ALL}
"""Every hand check that the odds can weigh, by its key. What finds the part stands in
:mod:`engcalc.diagnosis.checks.part_checks`."""
