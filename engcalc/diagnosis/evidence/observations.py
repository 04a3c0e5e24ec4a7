"""Evidence as numbers: what was read and seen in a record, and what simulated vehicles would show there.

Readings are the coolant's curve, spots, and agreement at key-on, each with a noise of its own. Facts seen or not seen
and trouble codes are P(seen | simulated state) with error rates of looking. How likely all of it is in a vehicle says
:mod:`engcalc.diagnosis.evidence.likelihood`. All such numbers are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.instruments import INSTRUMENTS, instrument_of
from engcalc.case.reading_words import GAUGE_MIDDLE, WORDS
from engcalc.case.records import Record, Spot
from engcalc.causes.record import VisibleState
from engcalc.diagnosis.evidence.codes import (
    CODES,
    INTAKE_CIRCUIT,
    SENSOR_CIRCUIT,
    UNUSED_CODES,
    code_sights,
    monitors_that_ran,
)
from engcalc.diagnosis.evidence.sensor_signal import WINDOW, SignalLook, look_at_signal, signal_sights
from engcalc.diagnosis.evidence.sights import (
    Measure,
    SeenItem,
    cap_pressure,
    mixture,
    of_state,
    rising,
    system_pressure,
)
from engcalc.diagnosis.members.simulated import Simulated
from engcalc.logs.channels import Channel
from engcalc.units import Array
from engcalc.vehicle.discrepancy import DISCREPANCY, MINUTE, NOISE, added_by_load, load_wanders
from engcalc.vehicle.run import SOAKED, Run
from engcalc.vehicle.unknowns import normal_share
from engcalc.words.texts import diagnosis_texts

KEY_ON = 2.5  # K; coolant over air after a soak
KEY_ON_HEATED = 12.0  # K; the same where a block heater may have run
KEY_ON_SIMULATED = 6.0  # K; coolant against where the heaters before the start would have brought it
SUBSTITUTED = 30.0  # K; noise where the control unit may have put it in the sensor's place, or the signal jumps
UNTIMED = 6.0  # K; of a reading whose time nobody noted
GAUGE_NOISE = 6.0  # K; of a dash gauge at the ends of its middle
AT_KEY_ON = 60.0  # s; within which the intake air read is that of key-on
FAN_HOT = 2.0  # K; by which thermometers and the switching of fans of one type differ
COMMANDED = 0.4  # -; of looks at a fan, those with a tester's command or hotter than the record tells
_EARLY = 323.15  # K; 50 degC: "still cold"
_BY_HAND = INSTRUMENTS["hand", ""]
_FEELS_WARM = WORDS["hand"]["warm"].low - _BY_HAND.bias  # K; coolant inside a rubber hose that begins to feel warm
_HOT = 348.15  # K; 75 degC: "warm"

Predict = Callable[[Simulated, Array], Array]
"""Members' values (times, members) of what was read, at times [s]."""


@dataclass(frozen=True)
class ReadingPlace:
    """One place to read: how its value is predicted, the model's own error there [K], its share of the discrepancy."""

    predict: Predict
    error: float
    share: float
    by_sensor: bool = False  # the control unit's own, which its faults spoil
    of_coolant: bool = False  # as hot as the coolant, or less: what valve and fan hold bounds it

    @property
    def by_hand(self) -> bool:
        """Read on the running vehicle with a thermometer of one's own."""
        return self.share > 0.0 and not self.by_sensor


def _series(name: str) -> Predict:
    return lambda s, times: s.at(getattr(s, name), times)


def _held(name: str) -> Predict:
    """What does not change in time."""
    return lambda s, times: np.broadcast_to(getattr(s, name), (len(times), s.members))


PLACES: Mapping[str, ReadingPlace] = {
    "sensor": ReadingPlace(_series("shown"), 0.0, 1.0, by_sensor=True, of_coolant=True),
    "coolant": ReadingPlace(_series("coolant"), 1.0, 1.0, of_coolant=True),
    "upper_hose": ReadingPlace(_series("upper_hose"), 5.0, 0.8, of_coolant=True),
    "lower_hose": ReadingPlace(_series("lower_hose"), 5.0, 0.6, of_coolant=True),
    "heater_inlet_hose": ReadingPlace(_series("heater_in"), 3.0, 0.9, of_coolant=True),
    "heater_outlet_hose": ReadingPlace(_series("heater_out"), 5.0, 0.8, of_coolant=True),
    "vent": ReadingPlace(_series("vent"), 5.0, 0.7),
    "cabin": ReadingPlace(_series("cabin"), 6.0, 0.4),
    "oil": ReadingPlace(_series("block"), 8.0, 0.8),
    "ambient": ReadingPlace(_held("ambient"), 0.5, 0.0),
    "valve_starts": ReadingPlace(_held("opens"), 1.0, 0.0),  # felt by eye, the water unevenly warm
    "valve_open": ReadingPlace(_held("opened"), 2.0, 0.0),
}


def _over_air_at_start(s: Simulated, times: Array) -> Array:
    return np.broadcast_to(s.unheated - s.ambient, (len(times), s.members))


KEY_ON_PLACE = ReadingPlace(_over_air_at_start, 0.0, 0.0, by_sensor=True)
# after a long stand the air in the intake is as warm as the coolant
AIR_AT_KEY_ON = ReadingPlace(_held("unheated"), 0.0, 0.0, by_sensor=True)


@dataclass(frozen=True)
class ReadingGroup:
    """One group of numbers read in one place: ``item`` names it; times [s], values [K], standard noise [K], of how
    many samples each value is the mean, and what the instrument reads off there [K], which is taken out of the values.
    """

    item: str
    what: str
    place: ReadingPlace
    times: tuple[float, ...]
    values: tuple[float, ...]
    noise: float
    samples: float = 1.0
    bias: float = 0.0


@dataclass(frozen=True, eq=False)
class Observed:
    """All evidence of one record, and what of it could not be used, in words.

    ``wandering``: temperature that one minute's wandering load adds [K], at each whole minute of the record.
    ``jumps``: the sensor's signal was seen to jump, so that it is trusted less under every cause.
    """

    readings: tuple[ReadingGroup, ...]
    sights: tuple[SeenItem | Measure, ...]
    unused: tuple[str, ...]
    wandering: tuple[float, ...] = ()
    jumps: bool = False

    @property
    def items(self) -> tuple[str, ...]:
        """Names of every piece of evidence."""
        return (*(r.item for r in self.readings), *(s.item for s in self.sights))

    def and_told(self, sights: Sequence[SeenItem], unused: Sequence[str]) -> Observed:
        """The same with what the customer told."""
        return replace(self, sights=(*self.sights, *sights), unused=(*self.unused, *unused))

    def without(self, item: str) -> Observed:
        """The same with one piece left out."""
        return replace(
            self,
            readings=tuple(r for r in self.readings if r.item != item),
            sights=tuple(s for s in self.sights if s.item != item),
        )


def observed(run: Run) -> Observed:
    """The evidence of a record."""
    record = run.record
    codes = [code.strip().upper()[:5] for code in record.codes]
    look = look_at_signal(run)
    substituted = look is SignalLook.CERTAIN or any(code in SENSOR_CIRCUIT for code in codes)
    readings = [*_curve(run, substituted), *_key_on(run)]
    sights: list[SeenItem | Measure] = []
    unused = []
    for i, spot in enumerate(record.spots):
        found = _spot(f"spots[{i}]", spot, run, substituted)
        if isinstance(found, ReadingGroup):
            readings.append(found)
        elif isinstance(found, str):
            unused.append(found)
        else:
            sights.append(found)
    sights += _in_the_pot(record)
    sights += [SeenItem(f"seen.{fact}", fact, seen, FACTS[fact]) for fact, seen in record.seen.items() if fact in FACTS]
    sights += code_sights(codes, monitors_that_ran(run))
    unused += [
        f"code {code}: {UNUSED_CODES.get(code, diagnosis_texts.IT_SAYS_NOTHING_OF_THE_CAUSES_IN_THE_LIST)}"
        for code in dict.fromkeys(codes)
        if code not in CODES
    ]
    sights += signal_sights(run)
    jumps = look in (SignalLook.CERTAIN, SignalLook.DOUBTFUL)
    return Observed(tuple(readings), tuple(sights), tuple(unused), _wandering(run, readings), jumps)


def _wandering(run: Run, readings: Sequence[ReadingGroup]) -> tuple[float, ...]:
    """That of a run, up to the last reading of its sensor."""
    by_sensor = [max(r.times) for r in readings if r.place.by_sensor and r.place.share > 0.0]
    if by_sensor:
        return added_by_load(float(run.drive.start[0]), load_wanders(run.heat), max(by_sensor))
    return ()


def _curve(run: Run, substituted: bool) -> list[ReadingGroup]:
    """The coolant's curve by its means over windows, the start itself left out: there the run begins.

    A mean over a window stands against the mean of what a member shows at the same times: where fan or valve cycle,
    both forget when in a cycle they were read.
    """
    times, values = run.curve
    inside = (times >= 0.5 * MINUTE) & (times <= run.drive.duration)
    t = times[inside]
    x = values[inside]
    if not t.size:
        return []
    return [curve_group(t, x, SUBSTITUTED if substituted else NOISE)]


def curve_group(t: Array, x: Array, noise: float = NOISE) -> ReadingGroup:
    """The sensor's samples ``x`` [K] at times ``t`` [s], rising, as means over windows."""
    _, group = np.unique(np.floor(t / WINDOW), return_inverse=True)
    count = np.bincount(group)
    middle = np.bincount(group, t) / count
    mean = np.bincount(group, x) / count
    return ReadingGroup(
        "curve",
        "coolant curve",
        ReadingPlace(_means(t, group, middle), 0.0, 1.0, by_sensor=True, of_coolant=True),
        tuple(middle.tolist()),
        tuple(mean.tolist()),
        noise,
        float(np.median(count)),
    )


def _means(t: Array, group: NDArray[np.int64], middle: Array) -> Predict:
    return lambda s, times: s.mean_at(s.shown, t, group)[np.searchsorted(middle, times)]


def _key_on(run: Run) -> list[ReadingGroup]:
    """After a long stand coolant, outside air and intake air agree, but for what heaters added before the start, as
    simulated: then the start, as it was read, is evidence of the sensor, against the outside air where that was noted
    and against the intake's where it was read."""
    noise = _key_on_noise(run)
    if noise is None:
        return []
    found = []
    log = run.log
    if run.record.ambient is not None or (log is not None and log.ambient is not None):
        found.append(
            ReadingGroup("key_on", diagnosis_texts.COOLANT_OVER_AIR_AT_KEY_ON, KEY_ON_PLACE, (0.0,), (0.0,), noise)
        )
    by_hand = any(spot.what == "intake_air" for spot in run.record.spots)
    faulty = any(code.strip().upper()[:5] in INTAKE_CIRCUIT for code in run.record.codes)
    trusted = log is not None and log.start_known and not by_hand and not faulty
    intake = log.first(Channel.INTAKE_AIR) if log is not None and trusted else None
    if intake is not None:
        found.append(
            ReadingGroup("key_on_intake", diagnosis_texts.INTAKE_AIR_AT_KEY_ON, AIR_AT_KEY_ON, (0.0,), (intake,), noise)
        )
    return found


def _key_on_noise(run: Run) -> float | None:
    """By how much coolant and air may differ at key-on [K], what simulated heaters added apart; None where the vehicle
    did not stand long enough, was heated by nobody knows how much, or its start was not read."""
    record = run.record
    preheat = run.drive.preheat
    read = record.start_temperature is not None or run.log is not None
    unknown = record.block_heater == "yes" and (preheat is None or preheat.block_time <= 0.0)
    if record.soak is None or float(record.soak[0]) < SOAKED or unknown or not read:
        return None
    if preheat is not None:
        return KEY_ON_SIMULATED
    if record.block_heater == "no" or float(run.drive.conditions.ambient[0]) > 278.15:
        return KEY_ON
    return KEY_ON_HEATED


def _intake(item: str, spot: Spot, run: Run) -> ReadingGroup | str:
    """Intake air read by hand: it tells of the sensor at key-on alone."""
    noise = _key_on_noise(run)
    if noise is None or spot.at is None or float(spot.at[0]) > AT_KEY_ON:
        return diagnosis_texts.INTAKE_AIR_IT_TELLS_OF_THE_COOLANT
    stated = 0.0 if spot.uncertainty is None else float(spot.uncertainty[0])
    read = float(spot.value[0])
    return ReadingGroup(item, spot.what, AIR_AT_KEY_ON, (0.0,), (read,), float(np.hypot(noise, stated)))


def _pressure(item: str, spot: Spot, run: Run) -> Measure | str:
    at = run.drive.duration if spot.at is None else float(spot.at[0])
    return system_pressure(item, spot, at, run.coolant, float(run.drive.conditions.altitude[0]))


def _mixture(item: str, spot: Spot, run: Run) -> Measure | str:
    return mixture(item, spot, run.coolant)


_OTHERWISE: Mapping[str, Callable[[str, Spot, Run], ReadingGroup | Measure | str]] = {  # than a temperature of the run
    "intake_air": _intake,
    "pressure": _pressure,
    "freezing_point": _mixture,
    "concentration": _mixture,
    "cap_opens": lambda item, spot, run: cap_pressure(item, spot, run.coolant),
}


def _in_the_pot(record: Record) -> list[SeenItem]:
    """What a valve's opening read in a pot of water says besides: there was one, and it did open."""
    read = {spot.what for spot in record.spots}
    said = {
        "thermostat_missing": ({"valve_starts", "valve_open"}, False),
        "thermostat_opens_hot": ({"valve_open"}, True),
    }
    return [
        SeenItem(f"pot.{fact}", fact, seen, FACTS[fact])
        for fact, (places, seen) in said.items()
        if places & read and fact not in record.seen
    ]


def _spot(item: str, spot: Spot, run: Run, substituted: bool) -> ReadingGroup | SeenItem | Measure | str:
    """A hand reading as evidence, or why it is none."""
    if spot.what in _OTHERWISE:
        return _OTHERWISE[spot.what](item, spot, run)
    by_sensor = spot.what == "coolant" and spot.instrument in ("scan_tool", "dash_gauge")
    place = PLACES.get("sensor" if by_sensor else spot.what)
    if place is None:
        return diagnosis_texts.WARM_UP_MODEL_DOES_NOT_HOLD_IT.format(what=spot.what)
    instrument = instrument_of(spot)
    if instrument is None:
        return diagnosis_texts.INFRARED_ON_BARE_METAL_READS_TENS.format(what=spot.what)
    at = _time_in(run, spot)
    value = float(spot.value[0]) - instrument.bias
    if spot.word is not None:
        spoilt = by_sensor and substituted
        return _in_words(item, spot, place, at, SUBSTITUTED if spoilt else instrument.uncertainty)
    if spot.instrument == "dash_gauge" and GAUGE_MIDDLE[0] <= value <= GAUGE_MIDDLE[1]:
        return SeenItem(item, diagnosis_texts.GAUGE_IN_ITS_MIDDLE, True, _gauge_in_middle(at))
    stated = instrument.uncertainty if spot.uncertainty is None else float(spot.uncertainty[0])
    noise = float(np.hypot(stated, _untimed(spot)))
    return ReadingGroup(
        item,
        spot.what,
        place,
        (at,),
        (value,),
        SUBSTITUTED if by_sensor and substituted else noise,
        bias=instrument.bias,
    )


def _time_in(run: Run, spot: Spot) -> float:
    """When it was read [s], within the run; at its end where nobody noted it."""
    end = run.drive.duration
    if spot.at is None:
        return end
    return min(float(spot.at[0]), end)


def _untimed(spot: Spot) -> float:
    """What a reading is off by because nobody noted its time [K]; 0 where somebody did."""
    return UNTIMED if spot.at is None else 0.0


def _gauge_in_middle(at: float) -> Callable[[Simulated], Array]:
    return _between(PLACES["sensor"], at, GAUGE_MIDDLE, GAUGE_NOISE)


def _in_words(item: str, spot: Spot, place: ReadingPlace, at: float, noise: float) -> SeenItem:
    """A reading in words: that the temperature lies in the word's band, its edges as soft as instrument and model."""
    band = WORDS[spot.instrument][str(spot.word)]
    instrument = instrument_of(spot)
    bias = 0.0 if instrument is None else instrument.bias
    soft = float(np.linalg.norm((noise, place.error, place.share * DISCREPANCY, _untimed(spot))))
    what = f"{spot.what}/{spot.instrument}/{spot.word}"
    return SeenItem(item, what, True, _between(place, at, (band.low - bias, band.high - bias), soft))


def _between(place: ReadingPlace, at: float, ends: tuple[float, float], soft: float) -> Callable[[Simulated], Array]:
    """Probability that what is read at a place, at a time [s], lies between two ends [K] that are ``soft`` [K]:
    P = Phi((high - T)/soft) - Phi((low - T)/soft)."""
    low, high = ends

    def probability(s: Simulated) -> Array:
        T = place.predict(s, np.array([at]))[0]
        return np.asarray(normal_share((high - T) / soft) - normal_share((low - T) / soft))

    return probability


def _warm(s: Simulated) -> Array:
    return np.asarray(normal_share((s.coolant[-1] - _HOT) / 5.0))


def _early_upper_hose(s: Simulated) -> Array:
    """Whether the hose is felt to warm with the engine while the coolant passes 50 degC, or never gets there.

    It is where it is nearer the coolant than the air and warm to a hand: in frost a hose half as warm as the coolant
    still feels cold, in summer one as warm as the air feels warm. As warm as the coolant, it is felt to go with it.
    All common practice, no source.
    """
    hose = s.when_passing(s.upper_hose, _EARLY)
    air = s.ambient
    share = (hose - air) / np.maximum(s.when_passing(s.coolant, _EARLY) - air, 1.0)
    to_a_hand = (hose - _FEELS_WARM) / np.hypot(_BY_HAND.uncertainty, PLACES["upper_hose"].error)
    nearer_the_coolant = (share - 0.5) / 0.15
    as_the_coolant = (share - 0.85) / 0.1
    felt = np.maximum(np.minimum(to_a_hand, nearer_the_coolant), as_the_coolant)
    return rising(felt, 0.0, 1.0)


def _cold_lower_hose(s: Simulated) -> Array:
    over_air = s.coolant[-1] - s.ambient
    share = (s.lower_hose[-1] - s.ambient) / np.maximum(over_air, 1.0)
    warm = _warm(s)
    return np.asarray(warm * rising(-share, -0.35, 0.12) + (1.0 - warm) * 0.5)


def _both_hot(s: Simulated) -> Array:
    return rising(np.minimum(s.heater_in[-1], s.heater_out[-1]), 323.15, 6.0)


def _cold_vent(s: Simulated) -> Array:
    return rising(-s.vent[-1], -308.15, 5.0)


def _fan_when_hot(s: Simulated) -> Array:
    """Whether the fan runs tells of it only where the coolant gets so hot that a healthy one would run."""
    in_the_record = normal_share((s.coolant.max(axis=0) - s.fan_wanted) / FAN_HOT)
    hot_enough = COMMANDED + (1.0 - COMMANDED) * in_the_record
    runs = rising(s.states[VisibleState.FAN_RUNS], 0.4, 0.2, 0.1, 0.93)
    return np.asarray(hot_enough * runs + (1.0 - hot_enough) * 0.5)


def _relay_works(s: Simulated) -> Array:
    """A relay that does not switch leaves the fan still, one that sticks leaves it running."""
    still = rising(-s.states[VisibleState.FAN_RUNS], -0.4, 0.2, 0.0, 1.0)
    always = rising(s.states[VisibleState.FAN_ALWAYS], 0.5, 0.1, 0.0, 1.0)
    return np.asarray(0.99 - 0.29 * np.maximum(still, always))


def _held_cold(s: Simulated) -> Array:
    """A tester's pressure on the cold system falls by a leak, and by some of the leaks between cylinder and coolant."""
    return np.asarray(
        1.0 - np.maximum(rising(s.states[VisibleState.LEAK], 0.5, 0.2, 0.03), 0.4 * s.states[VisibleState.GAS])
    )


def _shut(s: Simulated) -> Array:
    return rising(-s.states[VisibleState.SHUTTER], -0.4, 0.1)


FACTS: Mapping[str, Callable[[Simulated], Array]] = {
    "upper_hose_warms_early": _early_upper_hose,
    "lower_hose_cold_when_hot": _cold_lower_hose,
    "thermostat_open_when_cold": of_state(VisibleState.VALVE_COLD, 0.04, 0.02, 0.02),
    "thermostat_missing": of_state(VisibleState.VALVE_GONE, 0.5, 0.1, 0.01, 0.98),
    "fan_runs_when_hot": _fan_when_hot,
    "fan_runs_always": of_state(VisibleState.FAN_ALWAYS, 0.5, 0.1, 0.03),
    "level_low": of_state(VisibleState.LEVEL, 0.07, 0.03),
    "coolant_leak": of_state(VisibleState.LEAK, 0.5, 0.25, 0.05, 0.85),
    "bubbles_when_running": of_state(VisibleState.GAS, 0.5, 0.1, 0.05, 0.8),
    "belt_drives_pump": of_state(VisibleState.PUMP, 0.3, 0.3, 0.4, 0.99),
    "heater_hoses_both_hot": _both_hot,
    "vent_cold": _cold_vent,
    "face_dirty": of_state(VisibleState.FACE, 0.25, 0.1, 0.06),
    "shutter_closed": _shut,
    "lower_hose_collapses": of_state(VisibleState.SUCTION, 0.5, 0.1, 0.02, 0.85),
    "combustion_gas_found": of_state(VisibleState.GAS, 0.5, 0.1, 0.03, 0.92),
    "cap_holds_pressure": of_state(VisibleState.CAP, 0.7, 0.1, 0.03),
    "pressure_held_cold": _held_cold,
    "thermostat_opens_hot": of_state(VisibleState.VALVE_HOT, 0.6, 0.1, 0.03, 0.97),
    "seals_missing": of_state(VisibleState.SEALS_GONE, 0.5, 0.1, 0.05, 0.9),
    "fan_blows_backward": of_state(VisibleState.FAN_BACKWARD, 0.5, 0.1, 0.02, 0.9),
    # Parts of the fan: at fault in three (fuse, relay) and five (motor) of ten fans that stand still; ours, no source
    "fan_fuse_good": of_state(VisibleState.FAN_RUNS, 0.4, 0.2, 0.7, 0.99),
    "fan_relay_works": _relay_works,
    "fan_motor_runs": of_state(VisibleState.FAN_RUNS, 0.4, 0.2, 0.5, 0.99),
    "heater_hoses_swapped": of_state(VisibleState.HOSES_SWAPPED, 0.5, 0.1, 0.03, 0.9),
}
"""Probability of each fact of the case file in a simulated member."""
