"""What follows from several inputs together: values derived from others, and faults that no single field shows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from engcalc.case.bench_rules import bench_faults
from engcalc.case.budgets import over_budget
from engcalc.case.case import Given, frozen_array
from engcalc.case.declare import Basis
from engcalc.case.impossible import impossible
from engcalc.case.outside import outside_by_name
from engcalc.case.reading_words import HELD
from engcalc.case.records import GLYCOL_SCALES, MIXTURE_SPOTS, Duty
from engcalc.case.sections import Sections
from engcalc.case.sections.circuit import HEAT_SOURCE, OIL_COOLER
from engcalc.case.sections.engine import Engine
from engcalc.case.sections.job import Job, reason_told
from engcalc.case.sections.radiator import Radiator
from engcalc.case.sections.thermostat import Thermostat
from engcalc.errors import InputFault
from engcalc.units import Array
from engcalc.words.texts import case_texts, shared_texts

# K below the class's rating, which is that of a valve at the outlet: service manuals of engines with the valve at the
# pump's inlet (Mazda L8, LF, L3; Toyota 3GR-FSE) have it start at 80 to 84 degC
INLET_OPENS_LOWER = 6.0
OPENING_SPAN = 12.0  # K from start-to-open to fully open; service manuals give 10 to 15 K above the start
COLD_IDLE_RISE = {"diesel": 130.0 / 60.0}  # rev/s over warm idle at 20 degC; fitted to ten cold starts of a 2 L diesel
COLD_IDLE_RISE_SPARK = 500.0 / 60.0  # rev/s; fitted to five cold idles of a petrol 1.5 L
MAPPED_KINDS = ("heated wax", "valve")  # of valve, that heat or a command opens earlier under load
# K at full load. C. Holley, The benefits of map-controlled thermostats, MACS (9 February 2022): from 100 to 110 degC in
# light running down to 82 to 90; a diesel van's service information of 2008: from 100 down to 90 or 80
MAPPED_SHIFT = 15.0
TUBE_GAP = 0.002  # m between two rows of tubes; common practice, no source
LOUVERED_SHARE = 0.85  # of the fin height that is louvered; common practice, no source
AGREES = 0.01  # -; share by which tube pitch and tube height plus fin height may differ: rounding of a hand measurement
FITS = 1e-4  # -; share by which what fits into something may exceed it: rounding of a printed or converted length

Mask = NDArray[np.bool_]
S = TypeVar("S", bound=Sections)


def derive(sections: S, given: dict[str, Given]) -> S:
    """Fill what follows from other inputs and note it in ``given`` as derived.

    Works on ensembles: called again after members were drawn, it moves the derived values along with their sources,
    and leaves alone everything that a person typed.
    """
    efficiency = sections.vehicle.driveline_efficiency
    duties = tuple(_duty(duty, f"duties[{i}]", efficiency, given) for i, duty in enumerate(sections.duties))
    return replace(
        sections,
        job=_job(sections.job, given),
        engine=_engine(sections.engine, given),
        thermostat=_thermostat(sections.thermostat, given),
        radiator=_radiator(sections.radiator, given),
        duties=duties,
    )


def _open(path: str, value: Array | None, given: dict[str, Given]) -> bool:
    return value is None or (path in given and given[path].basis is Basis.DERIVED)


def _typed(path: str, given: Mapping[str, Given]) -> bool:
    return path in given and given[path].typed


def _note(path: str, kind: str, how: str, given: dict[str, Given]) -> None:
    given[path] = Given(path, "", Basis.DERIVED, how, 0.0, kind, typed=False)


def _job(job: Job, given: dict[str, Given]) -> Job:
    """A visit whose reason nobody stated has the one that the customer's own signs mean."""
    reason = None if job.reason is not None else reason_told(job.told, job.coolant_lost_at)
    if reason is None:
        return job
    given["job.reason"] = Given(
        "job.reason", reason, Basis.DERIVED, case_texts.AS_THE_CUSTOMER_TELLS_IT, 0.0, "word", False
    )
    return replace(job, reason=reason)


def _engine(engine: Engine, given: dict[str, Given]) -> Engine:
    cold = engine.cold_idle_speed
    if _open("engine.cold_idle_speed", cold, given):
        rise = COLD_IDLE_RISE.get(engine.fuel, COLD_IDLE_RISE_SPARK)
        cold = frozen_array(engine.idle_speed + rise)
        _note("engine.cold_idle_speed", "rotation", case_texts.RPM_OVER_THE_WARM_IDLE.format(rise=60.0 * rise), given)
    return replace(engine, cold_idle_speed=cold)


def _thermostat(valve: Thermostat, given: dict[str, Given]) -> Thermostat:
    start = valve.start_to_open
    full = valve.full_open
    if _open("thermostat.start_to_open", start, given):
        start = valve.rating
        how = "the stamped rating"
        if valve.side == "inlet" and not _typed("thermostat.rating", given):
            start = frozen_array(start - INLET_OPENS_LOWER)
            how = case_texts.RATING_LESS_AT_THE_INLET.format(lower=INLET_OPENS_LOWER)
        _note("thermostat.start_to_open", "temperature", how, given)
    if _open("thermostat.full_open", full, given):
        full = frozen_array(start + OPENING_SPAN)
        _note(
            "thermostat.full_open",
            "temperature",
            case_texts.K_ABOVE_THE_START_TO_OPEN.format(opening_span=OPENING_SPAN),
            given,
        )
    return replace(valve, start_to_open=start, full_open=full, mapped_shift=_mapped_shift(valve, given))


def _mapped_shift(valve: Thermostat, given: dict[str, Given]) -> Array:
    """How much lower the valve opens at full load [K]; a drawn one stays where the kind of valve has a map."""
    shift = valve.mapped_shift
    if not _open("thermostat.mapped_shift", shift, given):
        return shift
    how = case_texts.TYPICAL_OF_A_VALVE_THAT_IS_OPENED
    if valve.kind not in MAPPED_KINDS:
        how = case_texts.ONLY_HEAT_OR_A_COMMAND_LOWERS_IT
        shift = frozen_array(0.0)
    elif shift is None or not _any(shift > 0.0):
        shift = frozen_array(MAPPED_SHIFT)
    _note("thermostat.mapped_shift", "temperature difference", how, given)
    return shift


def _radiator(core: Radiator, given: dict[str, Given]) -> Radiator:
    pitch = core.tube_pitch
    tube = core.tube_height
    fin = core.fin_height
    if _open("radiator.fin_height", fin, given):
        fin = frozen_array(pitch - tube)
        _note("radiator.fin_height", "small length", case_texts.TUBE_PITCH_LESS_TUBE_HEIGHT, given)
    elif _open_default("radiator.tube_height", given) and not _open_default("radiator.tube_pitch", given):
        tube = frozen_array(pitch - fin)
        _note("radiator.tube_height", "small length", case_texts.TUBE_PITCH_LESS_FIN_HEIGHT, given)
    elif _open_default("radiator.tube_pitch", given):
        pitch = frozen_array(tube + fin)
        _note("radiator.tube_pitch", "small length", case_texts.TUBE_HEIGHT_PLUS_FIN_HEIGHT, given)
    width = core.tube_width
    louver = core.louver_length
    if _open("radiator.tube_width", width, given):
        width = frozen_array((core.core_depth - (core.tube_rows - 1.0) * TUBE_GAP) / core.tube_rows)
        _note("radiator.tube_width", "small length", case_texts.CORE_DEPTH_SHARED_AMONG_THE_ROWS, given)
    if _open("radiator.louver_length", louver, given):
        louver = frozen_array(LOUVERED_SHARE * fin)
        _note("radiator.louver_length", "small length", case_texts.SHARE_OF_THE_FIN_HEIGHT, given)
    return replace(core, tube_pitch=pitch, tube_height=tube, fin_height=fin, tube_width=width, louver_length=louver)


def _duty(duty: Duty, path: str, driveline_efficiency: Array, given: dict[str, Given]) -> Duty:
    """Brake power from the power at the wheels, where that is what was entered."""
    brake_power = f"{path}.brake_power"
    if duty.wheel_power is None or not _open(brake_power, duty.brake_power, given):
        return duty
    _note(brake_power, "power", case_texts.POWER_AT_THE_WHEELS_OVER_DRIVELINE, given)
    return replace(duty, brake_power=frozen_array(duty.wheel_power / driveline_efficiency))


def _open_default(path: str, given: dict[str, Given]) -> bool:
    return path not in given or not given[path].typed


def pitch_stands_alone(given: Mapping[str, Given]) -> bool:
    """Whether tube pitch, tube height and fin height were all entered, so that none follows from the other two."""
    paths = ("radiator.tube_pitch", "radiator.tube_height", "radiator.fin_height")
    return all(given[path].basis is not Basis.DERIVED for path in paths if path in given)


def pitch_agrees(core: Radiator) -> Mask:
    """Whether the tube pitch is tube height plus fin height, within what a hand measurement rounds."""
    difference = np.abs(core.tube_height + core.fin_height - core.tube_pitch)
    return np.asarray(difference <= AGREES * core.tube_pitch)


def rows_fit(tube_rows: Array, tube_width: Array, core_depth: Array) -> Mask:
    """Whether all rows of tubes fit into the depth of the core, within rounding."""
    return np.asarray(tube_rows * tube_width <= core_depth * (1.0 + FITS))


def flows_core(sections: Sections) -> Radiator | None:
    """The core with which the stated coolant flows count, None where that is the radiator of the case."""
    stated = {
        attribute: value
        for name, attribute in FLOWS_CORE.items()
        if (value := getattr(sections.circuit, name)) is not None
    }
    if not stated:
        return None
    core = replace(sections.radiator, **stated)
    in_a_row = np.maximum(np.floor(core.core_height / core.tube_pitch + FITS), 1.0)
    return replace(
        core,
        core_depth=core.tube_rows * core.tube_width + (core.tube_rows - 1.0) * TUBE_GAP,
        passes=np.minimum(core.passes, in_a_row * core.tube_rows),  # a pass has a tube at least
    )


FLOWS_CORE = {
    "flows_core_height": "core_height",
    "flows_core_width": "core_width",
    "flows_core_rows": "tube_rows",
    "flows_core_tube_width": "tube_width",
    "flows_core_passes": "passes",
}
"""Inputs of the circuit that describe that core, and the dimension of a radiator that each is."""


def check_given(sections: Sections, given: Mapping[str, Given]) -> Iterator[InputFault]:
    """Faults of a case as it was entered: what was said twice."""
    for i, duty in enumerate(sections.duties):
        typed = given.get(f"duties[{i}].brake_power")
        if duty.wheel_power is not None and typed is not None and typed.typed:
            yield InputFault(
                f"duties[{i}].wheel_power",
                given[f"duties[{i}].wheel_power"].text,
                case_texts.BRAKE_POWER_OR_POWER_AT_THE_WHEELS_WOULD_DO,
            )
    yield from bench_faults(sections, given)
    yield from _correlations(given)


def _correlations(given: Mapping[str, Given]) -> Iterator[InputFault]:
    """What of the correlations cannot be: unknown partners, two coefficients for one pair, a set that cannot hold."""
    stated = {(path, other): r for path, one in given.items() for other, r in one.correlated.items()}
    rows = sorted({path for pair in stated for path in pair})
    matrix = np.eye(len(rows))
    for (path, other), r in stated.items():
        if other not in given or given[other].uncertainty <= 0.0 or given[path].uncertainty <= 0.0:
            yield InputFault(f"{path}.correlated", other, case_texts.PATH_OF_ANOTHER_INPUT_WOULD_DO)
        if stated.get((other, path), r) != r:
            yield InputFault(f"{path}.correlated", other, case_texts.ONE_COEFFICIENT_FOR_EACH_PAIR_WOULD_DO)
        i = rows.index(path)
        j = rows.index(other)
        matrix[i, j] = matrix[j, i] = r
    if stated and np.linalg.eigvalsh(matrix).min() <= 1e-9:
        first = next(iter(stated))[0]
        yield InputFault(f"{first}.correlated", "", shared_texts.COEFFICIENTS_THAT_CAN_HOLD_TOGETHER)


def check_whole(sections: Sections) -> Iterator[InputFault]:
    """Every fault that shows only in several inputs together, one after another."""
    for path, bad, wanted in _rules(sections):
        if bad:
            yield InputFault(path, "", wanted)
    yield from _flows_core(sections)
    yield from _rated_point(sections)
    yield from _scaled(sections)
    yield from _faults_of_other_heat(sections)
    yield from _charge_air(sections)
    yield from _stack(sections)
    yield from outside_by_name(sections)
    yield from _rig(sections)
    yield from _glycol_scales(sections)
    yield from _by_hand(sections)
    yield from _heater_in_a_schedule(sections)
    yield from _courses(sections)
    yield from over_budget(sections)
    yield from _faults_of_preheating(sections)
    yield from impossible(sections)


def _rules(s: Sections) -> Iterator[tuple[str, bool, str]]:
    """What holds between inputs of one section: the path, whether it is broken, what would do."""
    yield from _core_rules(s.radiator)
    yield from _engine_rules(s)
    yield from _fan_rules(s)
    yield (
        "heater.coolant_heater_stops",
        _any(s.heater.coolant_heater_stops <= s.heater.coolant_heater_reduces),
        case_texts.ABOVE_THE_TEMPERATURE_WHERE_IT_GIVES_LESS,
    )


def _core_rules(core: Radiator) -> Iterator[tuple[str, bool, str]]:
    no_fin = core.fin_height <= 2.0 * core.fin_thickness
    no_gap = core.tube_pitch <= core.tube_height + 2.0 * core.fin_thickness
    yield (
        "radiator.fin_height",
        _any(no_fin),
        case_texts.MORE_THAN_TWO_FIN_THICKNESSES_WOULD_DO,
    )
    yield (
        "radiator.tube_pitch",
        _any(no_gap & ~no_fin),
        case_texts.MORE_THAN_TUBE_HEIGHT_AND_TWO_FIN,
    )
    yield (
        "radiator.tube_height",
        _any(core.tube_height <= 2.0 * core.tube_wall),
        case_texts.MORE_THAN_TWICE_THE_TUBE_WALL_WOULD_DO,
    )
    yield (
        "radiator.fin_pitch",
        _any(core.fin_pitch <= core.fin_thickness),
        case_texts.MORE_THAN_THE_FIN_THICKNESS_WOULD_DO,
    )
    yield (
        "radiator.louver_length",
        _any(core.louver_length > core.fin_height * (1.0 + FITS)),
        case_texts.AT_MOST_THE_FIN_HEIGHT_WOULD_DO,
    )
    yield (
        "radiator.tube_width",
        _any(~rows_fit(core.tube_rows, core.tube_width, core.core_depth) | (core.tube_width <= core.tube_height)),
        case_texts.ROWS_TIMES_TUBE_WIDTH_FIT,
    )
    yield (
        "radiator.core_height",
        _any(core.core_height < core.tube_pitch * core.passes),
        case_texts.AT_LEAST_ONE_TUBE_PITCH_FOR_EACH_PASS,
    )


def _engine_rules(s: Sections) -> Iterator[tuple[str, bool, str]]:
    valve = s.thermostat
    yield (
        "thermostat.full_open",
        _any(valve.full_open <= valve.start_to_open),
        case_texts.ABOVE_THE_TEMPERATURE_WHERE_IT_STARTS,
    )
    yield (
        "thermostat.mapped_shift",
        valve.kind not in MAPPED_KINDS and _any(valve.mapped_shift > 0.0),
        case_texts.ONLY_THESE_OPEN_EARLIER_UNDER_LOAD.format(mapped_kinds=" and ".join(MAPPED_KINDS)),
    )
    yield (
        "thermostat.maximum_opening",
        _any(valve.maximum_opening < valve.minimum_opening),
        case_texts.AT_LEAST_THE_MINIMUM_OPENING_WOULD_DO,
    )
    yield (
        "engine.cold_idle_speed",
        _any(s.engine.cold_idle_speed < s.engine.idle_speed),
        case_texts.AT_LEAST_THE_WARM_IDLE_SPEED_WOULD_DO,
    )


def _fan_rules(s: Sections) -> Iterator[tuple[str, bool, str]]:
    air = s.airflow
    yield (
        "airflow.fan_off",
        "electric" in air.fan_drive and _any(air.fan_off >= air.fan_on),
        case_texts.BELOW_THE_TEMPERATURE_WHERE_IT_COMES_ON,
    )
    yield _fans_on_face(s)
    two = air.fan_drive == "two-stage electric"
    yield (
        "airflow.fan_high_on",
        two and _any(air.fan_high_on <= air.fan_on),
        case_texts.ABOVE_THE_TEMPERATURE_WHERE_THE_LOW,
    )
    yield (
        "airflow.fan_high_off",
        two and _any(air.fan_high_off >= air.fan_high_on),
        case_texts.BELOW_THE_TEMPERATURE_WHERE_THE_HIGH,
    )
    yield (
        "airflow.clutch_air_full",
        air.clutch_senses == "air" and _any(air.clutch_air_full <= air.clutch_air_start),
        case_texts.ABOVE_THE_TEMPERATURE_WHERE_IT_STARTS_TO_ENGAGE,
    )
    yield (
        "airflow.shutter_full",
        air.shutter_control == "active" and _any(air.shutter_full <= air.shutter_opens),
        case_texts.ABOVE_THE_TEMPERATURE_WHERE_IT_STARTS,
    )


def _fans_on_face(s: Sections) -> tuple[str, bool, str]:
    """That no more fans are counted than fit the face."""
    air = s.airflow
    core = s.radiator
    if air.fan_diameter is None or air.fan_drive == "none":
        return "airflow.fan_count", False, ""
    fit = fans_that_fit(air.fan_diameter, core.core_height, core.core_width)
    most = int(fit.min())
    told = shared_texts.AT_MOST_WOULD_DO.format(most=most) if most else case_texts.NONE_OF_THIS_DIAMETER_WOULD_DO
    return (
        "airflow.fan_count",
        _any(air.fan_count > fit),
        case_texts.MORE_DO_NOT_FIT_THE_FACE_OF_THE_CORE.format(told=told),
    )


def fans_that_fit(diameter: Array, height: Array, width: Array) -> Array:
    """How many round fans [-] fit side by side onto a face; all three in m, any shapes that broadcast.

    In straight rows, in rows that stand staggered, or two from corner to corner, whichever takes most. A looser order
    that takes one more is not looked for.
    """
    D = diameter / (1.0 + FITS)
    straight = np.floor(height / D) * np.floor(width / D)
    corners = np.hypot(np.maximum(height - D, 0.0), np.maximum(width - D, 0.0)) >= D
    pair = 2.0 * (corners & (height >= D) & (width >= D))
    staggered = np.maximum(_staggered(D, height, width), _staggered(D, width, height))
    return np.asarray(np.maximum(np.maximum(straight, pair), staggered))


def _staggered(D: Array, across: Array, along: Array) -> Array:
    """How many circles lie in rows along one side, every other row moved by half a circle."""
    apart = np.sqrt(0.75) * D
    beyond_first = np.floor(np.maximum(across - D, 0.0) / apart)
    rows = np.where(across >= D, 1.0 + beyond_first, 0.0)
    in_row = np.floor(along / D)
    in_other = in_row - (along - in_row * D < 0.5 * D)
    full_rows = np.ceil(0.5 * rows)
    moved_rows = np.floor(0.5 * rows)
    return np.asarray(full_rows * in_row + moved_rows * np.maximum(in_other, 0.0))


def _any(condition: Array | Mask) -> bool:
    return bool(np.any(condition))


def _flows_core(s: Sections) -> Iterator[InputFault]:
    core = flows_core(s)
    if core is None:
        return
    if _any(core.core_height < core.tube_pitch * core.passes):
        yield InputFault("circuit.flows_core_height", "", case_texts.AT_LEAST_ONE_TUBE_PITCH_FOR_EACH_PASS)
    if _any((core.tube_width <= core.tube_height) | (core.tube_height <= 2.0 * core.tube_wall)):
        yield InputFault("circuit.flows_core_tube_width", "", case_texts.MORE_THAN_THE_TUBES_HEIGHT_WOULD_DO)


def _rated_point(s: Sections) -> Iterator[InputFault]:
    names = ("rated_heat", "rated_coolant_flow", "rated_air_velocity", "rated_inlet_difference")
    missing = [n for n in names if getattr(s.radiator, n) is None]
    if 0 < len(missing) < len(names):
        for name in missing:
            yield InputFault(
                f"radiator.{name}",
                "",
                case_texts.MAKERS_POINT_NEEDS_ALL_FOUR,
            )


def _scaled(s: Sections) -> Iterator[InputFault]:
    if s.radiator.scale_to == "measured points" and not s.rig:
        yield InputFault(
            "radiator.scale_to", "measured points", case_texts.THIS_NEEDS_A_MEASURED_POINT_ON_THE_RIGS_PAGE
        )


def _faults_of_other_heat(s: Sections) -> Iterator[InputFault]:
    """Other sources of heat: each kind once, and with heat stated only where it takes it."""
    seen: set[str] = set()
    for i, source in enumerate(s.circuit.extra):
        path = f"circuit.extra[{i}]"
        nothing = source.at_idle is None and source.at_rated is None
        if source.kind in (HEAT_SOURCE, OIL_COOLER):
            if source.heat is None and (source.at_idle is None or source.at_rated is None):
                yield InputFault(path, "", case_texts.GIVE_HEAT_OR_BOTH_AT_IDLE_AND_AT_RATED)
            continue
        if source.heat is not None or not nothing:
            yield InputFault(path, "", case_texts.NO_STATED_HEAT_WOULD_DO.format(kind=source.kind))
        if source.kind in seen:
            yield InputFault(f"{path}.kind", source.kind, case_texts.ONE_OF_EACH_KIND_WOULD_DO)
        seen.add(source.kind)


def _charge_air(s: Sections) -> Iterator[InputFault]:
    for i, cooler in enumerate(s.airflow.upstream):
        if cooler.kind == "charge air" and s.engine.aspiration == "natural":
            yield InputFault(
                f"airflow.upstream[{i}].kind",
                cooler.kind,
                case_texts.ENGINE_WHOSE_ASPIRATION_IS_TURBO_WOULD_DO,
            )


def _stack(s: Sections) -> Iterator[InputFault]:
    """Coolers side by side have one face between them."""
    taken: Array | float = 0.0
    for i, cooler in enumerate(s.airflow.upstream):
        path = f"airflow.upstream[{i}]"
        if cooler.placed == "beside" and i == 0:
            yield InputFault(f"{path}.placed", cooler.placed, case_texts.BEHIND_WOULD_DO)
        taken = cooler.face_share + (taken if cooler.placed == "beside" else 0.0)
        if cooler.placed == "beside" and _any(np.asarray(taken) > 1.0 + 1e-9):
            wanted = case_texts.SMALLER_SHARE_WOULD_DO
            yield InputFault(f"{path}.face_share", "", wanted)


def _courses(s: Sections) -> Iterator[InputFault]:
    for i, duty in enumerate(s.duties):
        if duty.start == "above" and i == 0:
            yield InputFault("duties[0].start", duty.start, case_texts.WARM_OR_ROUND_WOULD_DO)
        if duty.start != "warm" and duty.duration is None:
            yield InputFault(f"duties[{i}].duration", "", case_texts.DUTY_THAT_BEGINS_WHERE_ANOTHER_ENDS)


def _glycol_scales(s: Sections) -> Iterator[InputFault]:
    """A refractometer reads a mixture and nothing else, and its scale must be named: the other glycol's misleads."""
    for name in ("before", "after"):
        record = getattr(s.evidence, name)
        for i, spot in enumerate(() if record is None else record.spots):
            if (spot.what in MIXTURE_SPOTS) is not (spot.instrument in GLYCOL_SCALES):
                wanted = (
                    case_texts.WOULD_DO_THE_REFRACTOMETERS_GLYCOL_SCALE.format(glycol_scales=" or ".join(GLYCOL_SCALES))
                    if spot.what in MIXTURE_SPOTS
                    else case_texts.ANOTHER_INSTRUMENT_WOULD_DO.format(mixture_spots=" or ".join(MIXTURE_SPOTS))
                )
                yield InputFault(f"evidence.{name}.spots[{i}].instrument", spot.instrument, wanted)


def _by_hand(s: Sections) -> Iterator[InputFault]:
    """A hand is laid on a hose or held into the vent's air; a gauge's words are of the coolant."""
    for name in ("before", "after"):
        record = getattr(s.evidence, name)
        for i, spot in enumerate(() if record is None else record.spots):
            path = f"evidence.{name}.spots[{i}].instrument"
            if spot.instrument == "hand" and spot.what not in HELD:
                yield InputFault(
                    path, spot.instrument, case_texts.ANOTHER_INSTRUMENT_WOULD_DO_A_HAND.format(held=", ".join(HELD))
                )
            elif spot.instrument == "dash_gauge" and spot.word is not None and spot.what != "coolant":
                yield InputFault(path, spot.instrument, case_texts.ANOTHER_INSTRUMENT_WOULD_DO_A_DASH)


def _heater_in_a_schedule(s: Sections) -> Iterator[InputFault]:
    """Each step of a schedule has a heater setting of its own: no second place says it."""
    for name, record in (("before", s.evidence.before), ("after", s.evidence.after)):
        if record is not None and record.schedule and record.heater_changes and record.log is None:
            wanted = case_texts.HEATER_OF_EACH_STEP_OF_THE_SCHEDULE_WOULD_DO
            yield InputFault(f"evidence.{name}.heater_changes", "", wanted)


def _faults_of_preheating(s: Sections) -> Iterator[InputFault]:
    """Heaters before the start: on no longer than the vehicle stood, and of a kind that it has."""
    kind = s.heater.coolant_heater
    for name, record in (("before", s.evidence.before), ("after", s.evidence.after)):
        if record is None:
            continue
        times = {"block_heater_time": record.block_heater_time, "coolant_heater_time": record.coolant_heater_time}
        for key, time in times.items():
            gap = record.block_heater_unplugged if key == "block_heater_time" else 0.0
            if time is not None and record.soak is not None and _any(time + gap > record.soak):
                yield InputFault(f"evidence.{name}.{key}", "", case_texts.AT_MOST_AS_LONG_AS_THE_VEHICLE_STOOD)
        ran = record.coolant_heater_time
        if ran is not None and _any(ran > 0.0) and (kind == "none" or record.auxiliary_heater not in (kind, "both")):
            yield InputFault(
                f"evidence.{name}.coolant_heater_time",
                "",
                case_texts.NAME_THE_KIND_UNDER_AUXILIARY_HEATER_RAN,
            )


_LOWER_HIGHER = (("hot_out", "hot_in"), ("cold_in", "cold_out"), ("cold_in", "hot_in"))
# Second law: neither stream passes the temperature at which the other enters
_PASSED_AT_MOST = (
    ("cold_out", "hot_in", "below", case_texts.COLD_STREAM_LEAVES_NO_HOTTER),
    ("hot_out", "cold_in", "above", case_texts.HOT_STREAM_LEAVES_NO_COLDER),
)


def _rig(s: Sections) -> Iterator[InputFault]:
    for i, point in enumerate(s.rig):
        for low, high in _LOWER_HIGHER:
            if _any(getattr(point, low) >= getattr(point, high)):
                yield InputFault(f"rig[{i}].{low}", "", case_texts.BELOW_WOULD_DO.format(high=high))
        if _any(point.cold_in >= point.hot_in):
            continue  # then the outlets have nothing to lie between
        for outlet, inlet, side, why in _PASSED_AT_MOST:
            out = getattr(point, outlet)
            bound = getattr(point, inlet)
            if _any(out >= bound if side == "below" else out <= bound):
                yield InputFault(f"rig[{i}].{outlet}", "", f"{side} {inlet} would do: {why}")
