"""The coolant circuit as a picture: of a duty, of a moment of a warm-up, and as it would be under the likeliest cause.

Everything that is shown comes from results that exist; here it is only put into the units shown and into words.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from engcalc.case.case import Case
from engcalc.case.records import Record, Spot
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.causes.catalogue.not_in_list import NOT_IN_LIST
from engcalc.components.fan import FanDrive
from engcalc.diagnosis.checks.circuit_places import (
    FACT_AT,
    READ_AT,
    SPOT_AT,
    CircuitPlace,
    place_of_cause,
    places_of_check,
)
from engcalc.diagnosis.odds.diagnosis import Diagnosis
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.healthy_valve import has_valve
from engcalc.system.round_circuit import CircuitCourse, CircuitMoment, course_round, settled_moment
from engcalc.units import UnitSystem, show, to_unit, unit_for
from engcalc.vehicle.moment import RecordMoment
from engcalc.vehicle.run import records
from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.diagnosis.causes_told import next_by_odds
from engcalc.words.page import circuit_words as said
from engcalc.words.terms.numbers import capital, heat, lowered, minutes, share, span, temperature
from engcalc.words.texts import plot_texts
from reports.plots.describe import Axis, CircuitLayout, CircuitPipe, CircuitPlot, MarkKind, PlaceMark, PlaceWords, Words
from reports.plots.scale import shown_one

COLDEST, HOTTEST = 273.15, 393.15  # K; ends of the scale of colours: 0 and 120 degC
HARDLY = 0.005  # of the engine's flow; a hose that carries less is drawn as shut
LEAST_FLOW = 1e-8  # m3/s, of the engine: below it the coolant stands
DECADES = 2.0  # of flow, over which lines grow from the narrowest to the widest
SAME_T, SAME_FLOW = 2.0, 0.2  # K and share, by which the healthy vehicle has to differ to be named
OPEN_COLD, OPEN_MORE = 3.0, 0.02  # K under its opening, and of the engine's flow more than healthy: open when cold
HOT_OVER = 3.0  # K over fully open, or over where the fan comes on
BLOCKED = 0.15  # share of tubes or face, from which it is marked

Marks = Mapping[CircuitPlace, tuple[PlaceMark, ...]]


@dataclass(frozen=True, eq=False)
class _Drawn:
    """What one picture is made from."""

    case: Case
    own: CircuitMoment
    healthy: CircuitMoment | None
    system: UnitSystem
    marks: Marks = field(default_factory=dict)


# ---- the three pictures ---------------------------------------------------------------------------------------------


def duty_circuit(check: Check, duty: DutyCheck, system: UnitSystem) -> CircuitPlot | None:
    """The circuit settled at one duty; None on a bench, or where nothing was solved."""
    if not has_valve(check.case) or not bool(duty.point.solved[0]):
        return None
    healthy = settled_moment(duty.healthy) if bool(duty.healthy.solved[0]) else None
    own = settled_moment(duty.point)
    drawn = _Drawn(check.case, own, healthy, system, _gathered(_of_model(check.case, own, healthy)))
    return _circuit(
        drawn, plot_texts.CIRCUIT_AT_THIS_DUTY.format(name=duty.name), said.CAPTION_DUTY, said.CAPTION_BESIDE
    )


def moment_circuit(moment: RecordMoment, system: UnitSystem) -> CircuitPlot | None:
    """The circuit at a moment of a warm-up, with what was read in that record; None on a bench."""
    case, record = moment.case, moment.record
    if not has_valve(case):
        return None
    ambient, side = _air(record), record.side
    course = course_round(record.nominal, ambient, side)
    own, healthy = course.at(moment.at), course_round(record.healthy, ambient, side).at(moment.at)
    marks = [
        *_of_model(case, own, healthy),
        *_of_record(record.run.record, dict(enumerate(record.spot_ranges)), system),
        *_of_check(moment.lit, case),
    ]
    at = minutes(float(course.time[course.sample(moment.at)]))
    return _circuit(
        _Drawn(case, own, healthy, system, _gathered(marks)),
        plot_texts.CIRCUIT_AFTER_THE_START.format(at=at, as_described=said.AS_DESCRIBED),
        said.CAPTION_MOMENT,
        said.CAPTION_BESIDE,
    )


def cause_circuit(found: Diagnosis, system: UnitSystem) -> CircuitPlot | None:
    """The circuit at the end of the record as it would be under the likeliest cause, beside a healthy vehicle's; the
    next check is marked at its place. None where there is no course or no cause to draw."""
    if found.course is None or found.healthy_course is None or found.best.fault == NOT_IN_LIST.key:
        return None
    end = float(found.course.time[-1])
    best, record, asked = found.best.fault, records(found.case)[found.record], next_by_odds(found)
    marks = [
        *_of_cause(best, found.case),
        *_of_record(record, _healthy_at(record, found.healthy_course), system),
        *_of_check("" if asked is None else asked.key, found.case),
    ]
    return _circuit(
        _Drawn(found.case, found.course.at(end), found.healthy_course.at(end), system, _gathered(marks)),
        plot_texts.CIRCUIT_AFTER_THE_START.format(at=minutes(end), as_described=_if_cause(best)),
        said.CAPTION_CAUSE,
        said.CAPTION_HEALTHY,
    )


def _if_cause(key: str) -> str:
    return "with no fault" if key == HEALTHY.key else f"if {lowered(cause_label(key))}"


def _air(record: RecordStudy) -> float:
    return float(np.min(record.run.drive.conditions.ambient))


# ---- what is marked -------------------------------------------------------------------------------------------------

_Found = Iterator[tuple[CircuitPlace, PlaceMark]]


def _gathered(marks: list[tuple[CircuitPlace, PlaceMark]] | _Found) -> Marks:
    """Marks by their place: flags, then readings, then the check; the same words once."""
    found: dict[CircuitPlace, list[PlaceMark]] = {}
    for place, mark in marks:
        here = found.setdefault(place, [])
        if mark not in here:
            here.append(mark)
    order = tuple(MarkKind)
    return {place: tuple(sorted(here, key=lambda mark: order.index(mark.kind))) for place, here in found.items()}


def _of_model(case: Case, own: CircuitMoment, healthy: CircuitMoment | None) -> _Found:
    """Where the vehicle as described loses heat or blocks flow."""

    def flag(place: CircuitPlace, words: str) -> tuple[CircuitPlace, PlaceMark]:
        return place, PlaceMark(MarkKind.FLAG, words)

    valve, radiator = case.thermostat, case.radiator
    if valve.kind != "none":
        more = own.radiator_flow - (healthy.radiator_flow if healthy is not None else 0.0)
        cold = own.engine_out < float(valve.start_to_open[0]) - OPEN_COLD
        if cold and more > OPEN_MORE * own.engine_flow:
            yield flag(CircuitPlace.THERMOSTAT, said.OPEN_WHEN_COLD)
        if own.engine_out > float(valve.full_open[0]) + HOT_OVER and own.opening < 0.5:
            yield flag(CircuitPlace.THERMOSTAT, said.DOES_NOT_OPEN)
    if float(radiator.blocked_tubes[0]) >= BLOCKED:
        yield flag(CircuitPlace.RADIATOR, said.CLOGGED)
    if float(radiator.blocked_face[0]) >= BLOCKED:
        yield flag(CircuitPlace.RADIATOR, said.COVERED)
    if float(case.airflow.shutter[0]) <= 0.5:
        yield flag(CircuitPlace.RADIATOR, said.SHUTTER_SHUT)
    if float(case.heater.valve[0]) <= 0.5:
        yield flag(CircuitPlace.HEATER, said.VALVE_SHUT)
    switched = FanDrive(case.airflow.fan_drive).switches
    if switched and own.fan_speed <= 0.0 and own.engine_out > float(case.airflow.fan_on[0]) + HOT_OVER:
        yield flag(CircuitPlace.FAN, said.STILL)


def _of_record(record: Record, ranges: Mapping[int, tuple[float, float] | None], system: UnitSystem) -> _Found:
    """What was read and what was found on this vehicle; ``ranges`` [K] are healthy vehicles' at each reading."""
    for fact, seen in record.seen.items():
        place, bad = FACT_AT.get(fact, (None, True))
        if place is not None and seen is bad:
            yield place, PlaceMark(MarkKind.FLAG, said.seen_words(fact))
    for i, spot in enumerate(record.spots):
        if spot.what in READ_AT.values():
            yield SPOT_AT[spot.what], PlaceMark(MarkKind.READING, _read_words(spot, ranges.get(i), system))


def _healthy_at(record: Record, course: CircuitCourse) -> dict[int, tuple[float, float]]:
    """What one healthy vehicle has where and when each reading was taken [K]; at the end where no time was noted."""
    found = {}
    for i, spot in enumerate(record.spots):
        name = _MOMENT_OF.get(spot.what)
        if name is not None:
            T = float(getattr(course.at(float(course.time[-1]) if spot.at is None else float(spot.at[0])), name))
            found[i] = (T, T)
    return found


_MOMENT_OF = {
    "coolant": "sensor",
    "upper_hose": "upper_hose",
    "lower_hose": "lower_hose",
    "heater_inlet_hose": "heater_in",
    "heater_outlet_hose": "heater_out",
    "vent": "vent",
}
"""What of a moment each reading of the case is held against."""


def _read_words(spot: Spot, healthy: tuple[float, float] | None, system: UnitSystem) -> str:
    when = "" if spot.at is None else f" at {minutes(float(spot.at[0]))}"
    beside = "" if healthy is None else f"; healthy {span(*healthy, system)}"
    said = temperature(float(spot.value[0]), system) if spot.word is None else f"\u201c{spot.word}\u201d"
    return f"read {said}{when}{beside}"


def _of_cause(key: str, case: Case) -> _Found:
    place = place_of_cause(key, case)
    if place is not None:
        yield place, PlaceMark(MarkKind.FLAG, said.BY_CAUSE.get(key.split("+", maxsplit=1)[0], said.LIKELY_HERE))


def _of_check(key: str, case: Case) -> _Found:
    if key:
        for place in places_of_check(key, case):
            words = said.MEASURE_HERE if place in READ_AT else said.CHECK_HERE
            yield place, PlaceMark(MarkKind.CHECK, words)


# ---- putting it together --------------------------------------------------------------------------------------------


def _circuit(drawn: _Drawn, title: str, caption: str, beside: str) -> CircuitPlot:
    layout = _layout(drawn.case)
    places = tuple(_places(drawn, layout))
    drawn_keys = {place.key for place in places}
    captions = [caption]
    if any(place.healthy for place in places):
        captions.append(beside)
    if layout.extras:
        captions.append(said.CAPTION_EXTRAS)
    unit = unit_for("temperature", drawn.system)
    ends = tuple(shown_one(T, "temperature", drawn.system) for T in (COLDEST, HOTTEST))
    return CircuitPlot(
        Words(title, " ".join(captions), f"{title}. {_spoken_places(places)}"),
        layout,
        tuple(_pipes(drawn, layout)),
        places,
        drawn.own.opening,
        float(drawn.case.heater.valve[0]),
        drawn.own.fan_speed,
        Axis("Coolant", "temperature", unit, (ends[0], ends[1]), ends),
        said.KEY,
        tuple(place for place in READ_AT if place in drawn_keys),
    )


def _spoken_places(places: tuple[PlaceWords, ...]) -> str:
    """Every place with what stands there, for someone who cannot see it."""
    told = (
        f"{place.name}: {', '.join([*place.now, *place.healthy, *(mark.words for mark in place.marks)])}"
        for place in places
        if place.now or place.marks
    )
    return f"{'; '.join(told)}."


def _layout(case: Case) -> CircuitLayout:
    """How this case's circuit is put together; what is not known is taken as the solver takes it."""
    valve, circuit, heater = case.thermostat, case.circuit, case.heater
    there = valve.kind != "none"
    has_heater = float(heater.rated_output[0]) > 0.0 and float(circuit.heater_flow[0]) > 0.0
    bypass = "closing" if valve.bypass == "unknown" else valve.bypass
    return CircuitLayout(
        valve=("inlet" if valve.side == "inlet" else "outlet") if there else "none",
        bypass=bypass,
        pump=circuit.pump_drive,
        tank=case.coolant.tank,
        heater=has_heater,
        heater_valve=has_heater and float(heater.valve[0]) < 1.0,
        coolant_heater=has_heater and heater.coolant_heater != "none",
        fan=case.airflow.fan_drive != "none",
        coolers_ahead=bool(case.airflow.upstream),
        extras=tuple(capital(extra.name or extra.kind) for extra in circuit.extra),
    )


def _pipes(drawn: _Drawn, layout: CircuitLayout) -> Iterator[CircuitPipe]:
    """Each piece of pipe from one place to the next, as warm as what flows in it and as broad as its flow."""
    own, most = drawn.own, float(drawn.case.circuit.pump_flow[0])
    forth = own.radiator_flow + own.bypass_flow
    table = [
        (CircuitPlace.PUMP, "pump", "engine", own.engine_flow, own.engine_in),
        (CircuitPlace.NECK, "engine", "outlet", own.engine_flow, own.engine_out),
        (CircuitPlace.FORWARD, "outlet", "fork", forth, own.engine_out),
        (CircuitPlace.UPPER_HOSE, "fork", "radiator", own.radiator_flow, own.upper_hose),
        (CircuitPlace.LOWER_HOSE, "radiator", "join", own.radiator_flow, own.lower_hose),
        (CircuitPlace.RETURN, "join", "pump", forth, own.returned),
    ]
    if layout.bypass != "none":
        table.append((CircuitPlace.BYPASS, "fork", "join", own.bypass_flow, own.engine_out))
    if layout.heater:
        table.append((CircuitPlace.HEATER_IN, "outlet", "heater", own.heater_flow, own.heater_in))
        table.append((CircuitPlace.HEATER_OUT, "heater", "pump", own.heater_flow, own.heater_out))
    for key, start, end, V, T in table:
        yield CircuitPipe(
            key,
            start,
            end,
            shown_one(V, "coolant flow", drawn.system),
            _strength(V, own.engine_flow, most),
            shown_one(T, "temperature", drawn.system),
            (T - COLDEST) / (HOTTEST - COLDEST),
        )


def _strength(V: float, engine: float, most: float) -> float:
    """How wide a hose is drawn: 1 at the pump's stated flow, narrower by the logarithm, 0 where hardly any flows."""
    if not _flows(V, engine):
        return 0.0
    decades = math.log10(max(V, LEAST_FLOW) / max(most, LEAST_FLOW))
    return min(max(1.0 + decades / DECADES, 0.05), 1.0)


def _flows(V: float, engine: float) -> bool:
    return engine > LEAST_FLOW and HARDLY * engine <= V


# ---- the words of each place ----------------------------------------------------------------------------------------


_Beside = tuple[tuple[str, ...], tuple[str, ...]]  # what is, and what differs in the healthy vehicle


def _places(drawn: _Drawn, layout: CircuitLayout) -> Iterator[PlaceWords]:
    """Each place of the circuit's picture with its words, the healthy vehicle's beside them; engine and pump first."""
    own, healthy, system = drawn.own, drawn.healthy, drawn.system

    def T(name: str) -> _Beside:
        return _temperature(getattr(own, name), None if healthy is None else getattr(healthy, name), system)

    def hose(name: str, flow: str) -> _Beside:
        now, beside = T(name)
        flows, flow_beside = _flow(drawn, flow)
        return (*now, *flows), (*beside, *flow_beside)

    yield _place(drawn, CircuitPlace.SENSOR, T("sensor"))
    yield _place(drawn, CircuitPlace.ENGINE, (_engine_words(own, system), ()))
    pump = (said.STILL,) if own.engine_flow <= LEAST_FLOW else _flow(drawn, "engine_flow")[0]
    yield _place(drawn, CircuitPlace.PUMP, (pump, ()), said.PUMPS[layout.pump])
    name = said.NAMES[CircuitPlace.THERMOSTAT] if layout.valve != "none" else said.NO_THERMOSTAT
    opened = (_opening(own.opening),) if layout.valve != "none" else ()
    beside = () if healthy is None else _differs(_opening(own.opening), _opening(healthy.opening))
    yield _place(drawn, CircuitPlace.THERMOSTAT, (opened, beside), name)
    yield _place(drawn, CircuitPlace.UPPER_HOSE, hose("upper_hose", "radiator_flow"))
    yield _place(drawn, CircuitPlace.LOWER_HOSE, T("lower_hose"))
    yield _place(drawn, CircuitPlace.RADIATOR, (_radiator_words(own, system), ()))
    if layout.bypass != "none":
        yield _place(drawn, CircuitPlace.BYPASS, _flow(drawn, "bypass_flow"))
    if layout.fan:
        yield _place(drawn, CircuitPlace.FAN, ((_speed(own.fan_speed),), ()))
    if layout.heater:
        yield _place(drawn, CircuitPlace.HEATER_IN, hose("heater_in", "heater_flow"))
        yield _place(drawn, CircuitPlace.HEATER, (tuple(_heater_words(drawn, layout)), ()))
        yield _place(drawn, CircuitPlace.HEATER_OUT, T("heater_out"))
    if layout.tank != "none":
        yield _place(drawn, CircuitPlace.TANK, ((), ()), said.TANKS[layout.tank])


def _place(drawn: _Drawn, key: CircuitPlace, words: _Beside, name: str = "") -> PlaceWords:
    now, healthy = words
    beside = (said.healthy_words(", ".join(healthy)),) if healthy else ()
    return PlaceWords(key, name or said.NAMES[key], now, beside, drawn.marks.get(key, ()))


def _temperature(own: float, healthy: float | None, system: UnitSystem) -> _Beside:
    """A temperature, and the healthy vehicle's where it differs."""
    if healthy is None or abs(healthy - own) < SAME_T:
        return (temperature(own, system),), ()
    return (temperature(own, system),), (temperature(healthy, system),)


def _flow(drawn: _Drawn, name: str) -> _Beside:
    """A flow, and the healthy vehicle's where it differs by more than a fifth or by whether anything flows."""
    own = _flow_words(getattr(drawn.own, name), drawn.own.engine_flow, drawn.system)
    if drawn.healthy is None:
        return (own,), ()
    V, other = getattr(drawn.own, name), getattr(drawn.healthy, name)
    beside = _flow_words(other, drawn.healthy.engine_flow, drawn.system)
    if said.HARDLY not in (own, beside) and abs(V - other) <= SAME_FLOW * max(V, other):
        return (own,), ()
    return (own,), _differs(own, beside)


def _flow_words(V: float, engine: float, system: UnitSystem) -> str:
    if not _flows(V, engine):
        return said.HARDLY
    unit = unit_for("coolant flow", system)
    number = to_unit(V, unit, "coolant flow")
    return f"{number:.0f} {unit}" if number >= 9.95 else f"{number:.1f} {unit}"


def _differs(own: str, healthy: str) -> tuple[str, ...]:
    return () if own == healthy else (healthy,)


def _opening(lift: float) -> str:
    if lift < 0.005:
        return said.SHUT
    return said.WIDE_OPEN if lift > 0.995 else f"{share(lift)} open"


def _speed(fan: float) -> str:
    if fan < 0.005:
        return said.STILL
    return said.FULL_SPEED if fan > 0.995 else f"{share(fan)} speed"


def _engine_words(own: CircuitMoment, system: UnitSystem) -> tuple[str, ...]:
    return f"out {temperature(own.engine_out, system)}", f"in {temperature(own.engine_in, system)}"


def _radiator_words(own: CircuitMoment, system: UnitSystem) -> tuple[str, ...]:
    words = [] if own.radiator_heat is None else [heat(own.radiator_heat, system)]
    words.append(f"air in {temperature(own.air_in, system)}")
    if own.air_out is not None:
        words.append(f"air out {temperature(own.air_out, system)}")
    if own.air_flow is not None:
        words.append(f"air {show(own.air_flow, 'mass flow', system, 2)}")
    return tuple(words)


def _heater_words(drawn: _Drawn, layout: CircuitLayout) -> Iterator[str]:
    own, system = drawn.own, drawn.system
    if own.heater_heat is not None:
        yield heat(own.heater_heat, system)
    yield f"vent {temperature(own.vent, system)}"
    if layout.heater_valve:
        yield f"valve {_opening(float(drawn.case.heater.valve[0]))}"
    if layout.coolant_heater:
        yield said.COOLANT_HEATER
