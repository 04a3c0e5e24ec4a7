"""A check as the JSON object that ``heatdocket check --json`` prints.

Keys end in their SI unit or in ``_degC``. What has no number is null: nothing here is ever NaN or infinite.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from engcalc.case.case import Given
from engcalc.components.core import RatedScale, RatedStatus
from engcalc.components.validity import Outside
from engcalc.diagnosis.conclusion import Conclusion, conclude
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.coolers import CoolerInDuty
from engcalc.studies.duties.cycle import Cycle
from engcalc.studies.readings import ReadingCheck
from engcalc.studies.rig import MeasuredNumber, RigCheck
from engcalc.system.round_circuit import CircuitMoment, settled_moment
from engcalc.system.state import Status
from engcalc.units import ZERO_CELSIUS, UnitSystem
from engcalc.words.answer.answer import carrying, cautions_with_answer, check_label, next_words
from engcalc.words.answer.reasons import duty_sentence, reasons
from engcalc.words.answer.results import RESULTS
from engcalc.words.diagnosis.conclusion_words import next_step_of
from engcalc.words.sizing.cooler_words import cooler_name
from ui.command.bench_json import bench_json

if TYPE_CHECKING:
    from ui.command.answer import JsonObject


def check_json(check: Check, system: UnitSystem = UnitSystem.SI) -> JsonObject:
    """The whole check. ``system`` is that of the sentences; every number stands in the unit that its key names."""
    found = conclude(check)
    return {
        "verdict": _verdict(check, found),
        "conclusion": conclusion_json(check, system),
        "capacity": {"verdict": found.capacity},
        "reasons": [{"code": r.code, "severity": r.severity.value, "text": r.text} for r in reasons(check, system)],
        "duties": [_duty(duty, system) for duty in check.duties],
        "courses": [_course(course) for course in check.courses],
        "readings": [_reading(reading) for reading in (*check.history, *check.readings)],
        "rig": [_rig(point) for point in check.rig],
        "bench": None if check.bench is None else bench_json(check.bench),
        "ua_scale": number(float(check.plant.known_scale[0])),
        "ua_scaled_to": check.plant.scaled_to.value,
        "rated_point": None if check.rated is None else _rated(check.rated),
        "validity": [_outside(one) for one in check.validity],
        "warnings": list(check.case.warnings),
        "inputs": {path: _input(given) for path, given in check.case.given.items()},
    }


def _verdict(check: Check, found: Conclusion) -> str | None:
    """The conclusion's state where a complaint, a reading or a record stands; else what such a vehicle would do; null
    where nobody asks for that."""
    if found.of_this_vehicle:
        return found.state
    return check.verdict if found.asked else None


def conclusion_json(check: Check, system: UnitSystem, causes: Sequence[str] = ()) -> JsonObject:
    """What is said of the vehicle in front of us. A text in ``because`` may be that of several grounds' one reading.

    ``causes`` are the keys of the leading causes, the likeliest first, where odds were computed.
    """
    found = conclude(check)
    step = next_step_of(found)
    return {
        "state": found.state,
        "danger": found.danger,
        "label": check_label(check),
        "grounds": [ground.code.value for ground in found.because],
        "because": list(carrying(check, system)),
        "causes": list(causes),
        "cautions": list(cautions_with_answer(check)),
        "next": next_words(check) or None,
        "next_check": None
        if step is None or found.next_step is None
        else {"what": found.next_step.value, "text": step.text, "cautions": list(step.caution_texts)},
    }


def number(value: float | None) -> float | None:
    """The number, or null where there is none."""
    return None if value is None or not math.isfinite(value) else float(value)


def celsius(kelvin: float | None) -> float | None:
    """A temperature [K] in degrees Celsius, or null."""
    return None if kelvin is None else number(kelvin - ZERO_CELSIUS)


def _duty(duty: DutyCheck, system: UnitSystem) -> JsonObject:
    solved = duty.status is Status.SOLVED
    found: JsonObject = {
        "name": duty.name,
        "status": duty.status.value,
        "reason": None if solved else duty_sentence(duty, system),
        "verdict": duty.verdict,
        "regime": duty.regime.value if solved else None,
    }
    for row in RESULTS:
        value = row.getter(duty)
        found[row.key] = celsius(value) if row.key.endswith("_degC") else number(value)
    found["coolers"] = [_cooler(one) for one in duty.coolers]
    found["circuit"] = circuit_json(settled_moment(duty.point)) if solved else None
    return found


def _cooler(one: CoolerInDuty) -> JsonObject:
    """A cooler beside the radiator in a duty; ``stream`` says what passes it."""
    return {
        "path": one.path or None,
        "name": cooler_name(one),
        "kind": one.kind,
        "stream": one.stream.value,
        "heat_W": number(one.heat),
        "asked_W": number(one.asked),
        "in_degC": celsius(one.enters),
        "out_degC": celsius(one.leaves),
        "drop_Pa": number(one.drop),
        "oil_in_degC": celsius(one.oil_in),
        "oil_out_degC": celsius(one.oil_out),
        "oil_most_degC": celsius(one.oil_most),
    }


def circuit_json(at: CircuitMoment) -> JsonObject:
    """Round the coolant circuit at one moment: what its picture shows."""
    temperatures = (
        "engine_in",
        "engine_out",
        "sensor",
        "upper_hose",
        "lower_hose",
        "heater_in",
        "heater_out",
        "vent",
        "air_in",
        "air_out",
    )
    flows = ("engine_flow", "radiator_flow", "heater_flow", "bypass_flow")
    return {
        **{f"{name}_degC": celsius(getattr(at, name)) for name in temperatures},
        **{f"{name}_m3_s": number(getattr(at, name)) for name in flows},
        "air_flow_kg_s": number(at.air_flow),
        "thermostat_opening": number(at.opening),
        "fan_speed": number(at.fan_speed),
    }


def _course(course: Cycle) -> JsonObject:
    """A lap, a work cycle or duties one after another, over one round."""
    return {
        "repeats": course.repeats,
        "peak_degC": celsius(course.peak),
        "mean_degC": celsius(course.mean),
        "cycles": course.cycles,
        "closed": course.closed,
        "boils": course.boils,
        "soak_peak_degC": celsius(course.soak.peak),
        "soak_peak_after_s": number(course.soak.peak_after),
        "soak_boils": course.soak.boils,
        "soak_with_fan_peak_degC": None if course.soak_with_fan is None else celsius(course.soak_with_fan.peak),
        "time_s": course.time.tolist(),
        "coolant_degC": [celsius(T) for T in course.coolant.tolist()],
        "legs": [
            {
                "name": leg.name,
                "duration_s": leg.leg.duration,
                "start_degC": celsius(leg.start),
                "end_degC": celsius(leg.end),
                "peak_degC": celsius(leg.peak),
                "mean_degC": celsius(leg.mean),
                "limit_degC": celsius(leg.limit),
                "margin_K": leg.margin,
                "settled_degC": celsius(leg.settled),
            }
            for leg in course.legs
        ],
    }


def _reading(reading: ReadingCheck) -> JsonObject:
    return {
        "path": reading.path,
        "record": reading.record,
        "what": reading.what,
        "at_s": number(reading.at),
        "as_read": reading.word,
        "as_read_degC": None if reading.word else celsius(reading.as_read),
        "measured_degC": None if reading.word else celsius(reading.measured),
        "uncertainty_K": number(reading.uncertainty),
        "expected_healthy_degC": celsius(reading.expected_healthy),
        "expected_low_degC": celsius(reading.expected_low),
        "expected_high_degC": celsius(reading.expected_high),
        "explained_by_opening": number(reading.explained_by_opening),
        "verdict": reading.verdict,
        "findings": [finding.code.value for finding in reading.findings],
    }


def _rig(point: RigCheck) -> JsonObject:
    return {
        "path": point.path,
        "heat_hot_W": _figure(point.heat_hot),
        "heat_cold_W": _figure(point.heat_cold),
        "balance": number(point.balance),
        "balance_uncertainty": number(point.balance_uncertainty),
        "effectiveness": _figure(point.effectiveness),
        "ntu": _figure(point.NTU),
        "ua_W_K": _figure(point.UA),
        "ua_expanded_computed_W_K": number(point.UA_expanded_computed),
        "e_n": number(point.E_n),
        "hot_out": _temperature(point.hot_out),
        "cold_out": _temperature(point.cold_out),
        "scaled": None
        if point.scaled is None
        else {
            "heat_W": number(float(np.ravel(point.scaled.Q)[0])),
            "ua_W_K": number(float(np.ravel(point.scaled.UA)[0])),
            "hot_out_degC": celsius(float(np.ravel(point.scaled.T_coolant_out)[0])),
            "cold_out_degC": celsius(float(np.ravel(point.scaled.T_air_out)[0])),
        },
        "findings": [finding.code.value for finding in point.findings],
    }


def _figure(figure: MeasuredNumber) -> dict[str, float | None]:
    return {
        "measured": number(figure.measured),
        "uncertainty": number(figure.uncertainty),
        "computed": number(figure.computed),
    }


def _temperature(figure: MeasuredNumber) -> dict[str, float | None]:
    return {
        "measured_degC": celsius(figure.measured),
        "uncertainty_K": number(figure.uncertainty),
        "computed_degC": celsius(figure.computed),
    }


def _rated(rated: RatedScale) -> JsonObject:
    return {
        "ua_scale": number(float(rated.ua_scale[0])),
        "ua_needed_W_K": number(float(rated.UA_needed[0])),
        "possible": bool(rated.status[0] == RatedStatus.SCALED),
    }


def _outside(one: Outside) -> JsonObject:
    return {
        "quantity": one.quantity,
        "value": number(float(one.value[one.members].ravel()[0])),
        "low": number(one.span.low),
        "high": number(one.span.high),
        "unit": one.span.unit,
        "source": one.span.source,
        "text": str(one),
    }


def _input(given: Given) -> JsonObject:
    return {
        "text": given.text,
        "basis": given.basis.value,
        "source": given.source,
        "kind": given.kind,
        "uncertainty_si": number(given.uncertainty),
    }
