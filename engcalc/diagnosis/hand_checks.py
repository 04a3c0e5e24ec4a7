"""The hand checks: one record for each look or reading that a person can make, with what it would show.

What a check would show is predicted in simulated vehicles (:mod:`engcalc.diagnosis.run_of_checks`). Minutes of work are
common practice, no source, for a part that is in easy reach. A check is added by writing its record into ``_ALL``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.causes.record import VisibleState
from engcalc.diagnosis.observations import FACTS
from engcalc.diagnosis.run_of_checks import FAST_END, IDLE_END, Watched
from engcalc.diagnosis.sights import FILLED, SHARE_READ
from engcalc.units import Array

GAUGE_PASSES = 328.15  # K; 55 degC, the middle of the 50 to 60 degC at which the hose is felt
HOSE, VENT, NECK = 6.0, 6.0, 2.5  # K; clamp on a hose with what the model is wrong by there, vent probe, contact probe
OPENING_SEEN = 2.0  # K; of the opening of a valve in a pot of water; common practice, no source
NO_VALVE_OPENS = 60.0  # K under the rating; how early a valve that is not there opens: apart from any other
AT_THE_NECK = "outlet_neck"  # a reading of the coolant by a probe on the metal
PROBES = ("clamp", "infrared", "immersed")  # instruments that read the coolant beside its sensor
ALWAYS_FIRST = ""  # in ``first_for``: for any reason for the visit


@dataclass(frozen=True)
class PredictedReading:
    """A reading predicted in each member [K], with its standard uncertainty."""

    value: Array
    noise: float


Outcome = Sequence[PredictedReading | Array]
"""Readings, or probabilities that something is seen, of one check."""

Predicted = Callable[[Watched], Outcome]


@dataclass(frozen=True)
class HandCheck:
    """One hand check.

    ``title``, ``how`` and ``tells`` are its words for a person: what it is, how to do it, what the result means.
    ``minutes`` of work. ``answers`` are the facts of the case file that it settles, the one that it is made for first;
    ``spots`` the places where it reads a number. ``reads`` predicts its result; None: whether its facts are seen.
    ``first_for`` are reasons for the visit for which it comes before any odds. ``valve_side``: it tells something only
    where the thermostat sits there. ``cautions`` are keys of the cautions to show with it; ``beside_heaters``: those of
    a heater of its own too, where the vehicle has one.
    """

    key: str
    title: str
    minutes: float
    how: str
    tells: str
    answers: tuple[str, ...] = ()
    spots: tuple[str, ...] = ()
    reads: Predicted | None = None
    first_for: tuple[str, ...] = ()
    valve_side: str = ""
    cautions: tuple[str, ...] = ()
    beside_heaters: bool = False

    def outcome(self, seen: Watched) -> Outcome:
        """What it would show in these vehicles."""
        if self.reads is not None:
            return self.reads(seen)
        return tuple(FACTS[fact](seen.record) for fact in self.answers)

    def comes_first(self, reason: str) -> bool:
        """Whether it is made before any odds are looked at, for this reason for the visit."""
        return ALWAYS_FIRST in self.first_for or reason in self.first_for


# ---- what is read ---------------------------------------------------------------------------------------------------


def _mixture(seen: Watched) -> Outcome:
    return (PredictedReading(seen.record.states[VisibleState.MIXTURE], float(np.hypot(SHARE_READ, FILLED))),)


def _upper_hose_passing(seen: Watched) -> Outcome:
    record = seen.record
    return (PredictedReading(record.when_passing(record.upper_hose, GAUGE_PASSES), HOSE),)


def _lower_hose_passing(seen: Watched) -> Outcome:
    record = seen.record
    return (PredictedReading(record.when_passing(record.lower_hose, GAUGE_PASSES), HOSE),)


def _neck(seen: Watched) -> Outcome:
    return (PredictedReading(seen.record.coolant[-1] - seen.record.shown[-1], NECK),)


def _heater_pair(seen: Watched) -> Outcome:
    hot = seen.hot
    drop = hot.at(hot.heater_in - hot.heater_out, np.array([IDLE_END]))[0]
    out_at_speed = hot.at(hot.heater_out, np.array([FAST_END]))[0]
    return (PredictedReading(drop, HOSE), PredictedReading(out_at_speed, HOSE))


def _vent(seen: Watched) -> Outcome:
    return (PredictedReading(seen.hot.at(seen.hot.vent, np.array([FAST_END]))[0], VENT),)


def _radiator_pair(seen: Watched) -> Outcome:
    hot = seen.hot
    return (
        PredictedReading(hot.upper_hose[-1] - hot.ambient, HOSE),
        PredictedReading(hot.lower_hose[-1] - hot.ambient, HOSE),
    )


def _pot(seen: Watched) -> Outcome:
    record = seen.record
    there = record.states[VisibleState.VALVE_GONE] < 0.5
    early = PredictedReading(np.where(there, record.rating - record.opens, NO_VALVE_OPENS), OPENING_SEEN)
    return (early, FACTS["thermostat_opens_hot"](record), FACTS["thermostat_open_when_cold"](record))


# ---- the records ----------------------------------------------------------------------------------------------------

_HOT_REASONS = ("hot at idle", "hot at speed", "loss of coolant")
_ENGINE_RUNS = ("moving_parts", "exhaust")  # cautions

_ALL = (
    HandCheck(
        key="level_and_bubbles",
        title="Coolant level, and bubbles with the engine running",
        minutes=2.0,
        how="With the engine cold, look at the level; then start it and watch the tank for bubbles that do not stop.",
        tells="A low level explains a cold heater and a sensor in air; lasting bubbles point to combustion gas.",
        answers=("level_low", "bubbles_when_running"),
        first_for=(ALWAYS_FIRST,),
        cautions=("hot_cap", *_ENGINE_RUNS, "poison"),
    ),
    HandCheck(
        key="cold_pressure_test",
        title="Pressure test, cold",
        minutes=12.0,
        how="Pump the cold system up to the cap's pressure and watch it for ten minutes.",
        tells="Falling pressure means a leak, outside or into the engine: then look for a wet spot.",
        answers=("pressure_held_cold", "coolant_leak"),
        first_for=("loss of coolant",),
        cautions=("hot_cap", "pressure", "poison"),
    ),
    HandCheck(
        key="combustion_gas_test",
        title="Test for combustion gas",
        minutes=10.0,
        how=(
            "Open the filler cold and set the tester on it, well above the coolant. Let the engine warm up, then "
            "draw the gas above the coolant through the test fluid, or past the gas tester."
        ),
        tells="Gas means a leak between cylinder and coolant: do not seal the system and drive on.",
        answers=("combustion_gas_found",),
        first_for=_HOT_REASONS,
        cautions=("hot_cap", "gas_positive", *_ENGINE_RUNS, "poison"),
    ),
    HandCheck(
        key="cap_test",
        title="Cap test",
        minutes=4.0,
        how=(
            "Take the cap off cold, put it on the tester and note at which pressure it opens, or whether it holds"
            " the stamped one."
        ),
        tells="A cap that opens early lets the coolant boil sooner and lose level.",
        answers=("cap_holds_pressure",),
        spots=("cap_opens",),
        cautions=("hot_cap", "pressure"),
    ),
    HandCheck(
        key="refractometer",
        title="Mixture by refractometer",
        minutes=3.0,
        how=(
            "Put a drop of cold coolant on a refractometer; read the freezing point or the share on the scale of "
            "the glycol that is in it, and say which scale it was."
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
        how="Engine off: look at belt and pulley, turn the pulley by hand and feel for play.",
        tells="A slipping belt or loose wheel moves no coolant.",
        answers=("belt_drives_pump",),
        cautions=("moving_parts", "fan_by_itself"),
    ),
    HandCheck(
        key="upper_hose_while_warming",
        title="Upper radiator hose while the gauge passes 50 to 60 °C",
        minutes=4.0,
        how="From a cold start, measure the upper radiator hose when the coolant passes 50 to 60 °C.",
        tells="With the valve at the engine's outlet a healthy one keeps this hose nearly cold until it opens.",
        answers=("upper_hose_warms_early",),
        spots=("upper_hose",),
        reads=_upper_hose_passing,
        valve_side="outlet",
        cautions=_ENGINE_RUNS,
    ),
    HandCheck(
        key="lower_hose_while_warming",
        title="Lower radiator hose while the gauge passes 50 to 60 °C",
        minutes=4.0,
        how="From a cold start, measure the lower radiator hose when the coolant passes 50 to 60 °C.",
        tells="With the valve at the pump's inlet the upper hose warms early in health: the lower hose tells.",
        spots=("lower_hose",),
        reads=_lower_hose_passing,
        valve_side="inlet",
        cautions=_ENGINE_RUNS,
    ),
    HandCheck(
        key="thermometer_at_outlet_neck",
        title="Contact thermometer at the outlet neck, beside the scan tool's value",
        minutes=4.0,
        how="Clamp a probe to the metal neck beside the sensor, cover it, and compare with the scan tool.",
        tells="More than a few degrees apart means the sensor or its circuit.",
        spots=(AT_THE_NECK,),
        reads=_neck,
        cautions=_ENGINE_RUNS,
    ),
    HandCheck(
        key="heater_hose_pair",
        title="Heater hoses, both, at idle and at 2,500 rpm",
        minutes=6.0,
        how="Engine warm, heater on full: measure both heater hoses at idle, then hold 2,500 rpm for some minutes.",
        tells="One hot and one cold means little flow: clogged core, shut valve, low level; both cold, a cold engine.",
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
        how="Set full hot and the blower high; hold a probe in the centre vent.",
        tells="Hot hoses with cold air mean the flap or the air, not the coolant.",
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
        how="Engine warmed up and idling: measure both radiator hoses.",
        tells="Both warm with a cold engine means an open valve; a cold lower hose on a hot engine means little flow.",
        answers=("lower_hose_cold_when_hot",),
        spots=("lower_hose",),
        reads=_radiator_pair,
        cautions=_ENGINE_RUNS,
    ),
    HandCheck(
        key="fan_commanded",
        title="Fan commanded on",
        minutes=4.0,
        how="Command it with the scan tool, or wait with the engine hot; mind which way it blows.",
        tells="It runs or it does not; then look at fuse, relay, motor and wiring.",
        answers=("fan_runs_when_hot", "fan_runs_always", "fan_blows_backward"),
        cautions=("fan_by_itself", *_ENGINE_RUNS),
    ),
    HandCheck(
        key="radiator_face_and_shutter",
        title="Radiator face, seals and shutter",
        minutes=3.0,
        how="Look through the grille: dirt, leaves, a cover, a shut shutter.",
        tells="Air that cannot come in cannot cool.",
        answers=("face_dirty", "shutter_closed", "seals_missing"),
        cautions=("fan_by_itself",),
    ),
    HandCheck(
        key="heater_hoses_followed",
        title="Heater hoses followed to their connections",
        minutes=3.0,
        how="Engine off: follow both heater hoses from the engine to the heater and compare with the maker's drawing.",
        tells="Swapped hoses feed the core the wrong way round.",
        answers=("heater_hoses_swapped",),
        cautions=("fan_by_itself", "moving_parts"),
        beside_heaters=True,
    ),
    HandCheck(
        key="valve_out_and_looked_at_cold",
        title="Thermostat out, looked at cold",
        minutes=35.0,
        how="Drain as far as needed, take it out cold and hold it to the light.",
        tells="A gap when cold means that it does not close.",
        answers=("thermostat_open_when_cold", "thermostat_missing"),
        cautions=("hot_cap", "fan_by_itself", "poison", "disposal", "torque"),
    ),
    HandCheck(
        key="valve_in_a_pot_of_water",
        title="Thermostat in a pot of water with a thermometer",
        minutes=55.0,
        how="Heat it slowly in water beside a thermometer; note where it starts to open and where it is fully open.",
        tells="It shows the opening temperature and that it opens fully.",
        answers=("thermostat_opens_hot", "thermostat_open_when_cold"),
        spots=("valve_starts", "valve_open"),
        reads=_pot,
        cautions=("boiling_pot", "hot_cap", "poison"),
    ),
)
CHECKS: Mapping[str, HandCheck] = {check.key: check for check in _ALL}
"""Every hand check by its key."""
