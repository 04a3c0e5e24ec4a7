"""The warm-up on the command line."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import TYPE_CHECKING

from engcalc.words.texts import command_texts
from ui.command.named_case import engine_case_and_system, folder_of

if TYPE_CHECKING:
    from engcalc.diagnosis.repair.before_after import BeforeAfter, ValveFit
    from engcalc.units import Array, UnitSystem
    from engcalc.vehicle.criterion import Criterion
    from engcalc.vehicle.settling import Settlement
    from engcalc.vehicle.warmup_study import FitResult, HealthyBand, Measured, RecordStudy, WarmupStudy
    from ui.command.answer import Answer, JsonObject

_PLACES = 3  # decimals of temperatures and times in the series


def warmup_command(options: argparse.Namespace) -> Answer:
    """``heatdocket warmup``: the curve, times to temperature, and the record beside it. InputError with every fault."""
    from engcalc.words.lesson.bench_words import NO_WARM_UP

    case, system = engine_case_and_system(options, NO_WARM_UP)
    from engcalc.diagnosis.repair.before_after import compare
    from engcalc.vehicle.run import read_logs
    from engcalc.vehicle.warmup_study import study
    from engcalc.words.answer.warmup_words import TITLES, warmup_sentences
    from engcalc.words.diagnosis.proof_words import proof_sentences

    found = study(case, read_logs(case, folder_of(options.case)))
    both = compare(found)
    lines = [] if both is None else [*proof_sentences(both, system), ""]
    for record in found.records:
        lines += [f"{TITLES[record.name]}:", *(f"- {text}" for text in warmup_sentences(record, system)), ""]
    return warmup_json(found, both, system), lines[:-1]


def warmup_json(found: WarmupStudy, both: BeforeAfter | None, system: UnitSystem) -> JsonObject:
    """The object of ``warmup --json``: the first record's keys, every record by its name, and both laid together."""
    records = {record.name: record_json(record, system) for record in found.records}
    return {
        **records[found.records[0].name],
        "records": records,
        "before_after": None if both is None else before_after_json(both, system),
    }


def before_after_json(both: BeforeAfter, system: UnitSystem) -> JsonObject:
    """Both records laid together; ``same_heat`` is the run before where as much heat had been put in."""
    from engcalc.words.diagnosis.proof_words import proof_sentences
    from ui.command.as_json import celsius, number

    c, at, hot = both.change, both.at_same_heat, both.hot
    return {
        "proof": both.proof.value,
        "odds_less_passes": None if both.odds is None else number(both.odds),
        "hottest": None
        if hot is None
        else {
            "before_degC": celsius(hot.before),
            "before_s": number(hot.before_at),
            "after_degC": celsius(hot.after),
            "after_s": number(hot.after_at),
            "asked_as_much": hot.asked_as_much,
        },
        "after_healthy": both.after_healthy,
        "unproven": [what.value for what in both.unproven],
        "sentences": list(proof_sentences(both, system)),
        "change": {
            "at_s": number(c.at),
            "before_degC": celsius(c.before),
            "after_degC": celsius(c.after),
            "change_K": number(c.after - c.before),
            "step_degC": celsius(c.step),
            "time_before_s": number(c.time_before),
            "time_after_s": number(c.time_after),
        },
        "same_heat": None
        if at is None
        else {
            "ratio": number(at.ratio),
            "time_s": _numbers(at.time),
            "time_before_s": _numbers(at.time_before),
            "before_degC": _celsius(at.before),
        },
        **{
            name: None if half.fitted is None else _valve_fit(half.fitted)
            for name, half in (("before", both.before), ("after", both.after))
        },
    }


def _valve_fit(fitted: ValveFit) -> JsonObject:
    from ui.command.as_json import number

    return {
        "opening": number(fitted.opening),
        "opening_low": number(fitted.opening_low),
        "opening_high": number(fitted.opening_high),
        "fit_rms_K": number(fitted.rms),
    }


def record_json(record: RecordStudy, system: UnitSystem) -> JsonObject:
    """One record."""
    from engcalc.words.answer.warmup_words import heat_sentence, warmup_sentences
    from ui.command.as_json import celsius, number

    heat = record.run.heat
    facts = record.verdict.facts
    return {
        "verdict": record.verdict.verdict,
        "outcome": record.verdict.outcome.value,
        **_series(record),
        "hunting": None
        if record.hunting is None
        else {f"{name}_degC": celsius(getattr(record.hunting, name)) for name in ("mean", "low", "high")},
        "status": "boils" if record.settled.end.value == "boiled" else "ran to its end",
        "boils_s": number(float(record.nominal.boiled[0])),
        "boiling_degC": celsius(float(record.nominal.boiling[0])),
        "time_to_s": _times({T: float(record.nominal.time_to(T)[0]) for T in _times_asked()}),
        "settled_degC": celsius(record.settled.temperature),
        "settled": _settled(record.settled),
        "healthy": {
            "sensor_degC": _celsius(record.healthy.sensor[:, 0]),
            "time_to_s": _times({T: float(record.healthy.time_to(T)[0]) for T in _times_asked()}),
            "settled_degC": celsius(record.healthy_settled.temperature),
        },
        "band": _band(record.band),
        "measured": None if record.measured is None else _measured(record.measured),
        "fit_rms_K": None if record.fitted is None else number(record.fitted.rms),
        "fit": None if record.fitted is None else _fit(record.fitted),
        "heat_source": record.run.source if heat is None else heat.source.value,
        "heat_source_reason": heat_sentence(record),
        "criterion": None if record.criterion is None else _criterion(record.criterion),
        "warm": {
            "reached_s": number(facts.reached),
            "within_s": number(facts.within),
            "healthy_share": number(facts.healthy_share),
        },
        "asks": list(record.asks),
        "sentences": list(warmup_sentences(record, system)),
        "heat_released_J": number(float(record.nominal.heat_released[0])),
        "coolant_heater_J": number(float(record.nominal.coolant_heater_heat[0])),
        "fuel_used_kg": number(float(record.fuel.mass[-1, 0])),
        "fuel_unburnt_J": number(float(record.fuel.unburnt[-1, 0])),
        "late_ignition_fuel_J": number(float(record.fuel.late[-1, 0])),
        "heat_exhaust_J": number(float(record.fuel.exhaust[-1, 0])),
        "cold_extra_fuel_share": number(float(record.fuel.extra_share(record.warm_by)[0])),
        "preheated_K": number(float(record.nominal.preheated[0])),
        "energy_error": number(float(record.nominal.energy_error[0])),
    }


def _times_asked() -> tuple[float, ...]:
    from engcalc.vehicle.warmup_study import TIMES_TO

    return TIMES_TO


def _times(times: Mapping[float, float | None]) -> dict[str, float | None]:
    """Seconds by degrees Celsius; null when never."""
    from engcalc.units import ZERO_CELSIUS
    from ui.command.as_json import number

    return {f"{T - ZERO_CELSIUS:.0f}": number(times[T]) for T in _times_asked()}


def _celsius(series: Array) -> list[float]:
    from engcalc.units import ZERO_CELSIUS

    return [round(T, _PLACES) for T in (series - ZERO_CELSIUS).tolist()]


def _numbers(series: Array) -> list[float]:
    return [round(x, _PLACES) for x in series.tolist()]


def _series(record: RecordStudy) -> dict[str, list[float]]:
    from engcalc.system.in_time.warmed import felt_upper_hose

    w = record.nominal
    ambient = float(record.run.drive.conditions.ambient.min())
    degrees = {
        "coolant": w.coolant,
        "sensor": w.sensor,
        "upper_hose": felt_upper_hose(w, ambient, record.side),
        "radiator": w.radiator,
        "lower_hose": w.lower_hose,
        "heater_in": w.heater_in,
        "heater_out": w.heater_out,
        "cabin": w.cabin,
        "vent": w.vent,
        "block": w.block,
    }
    return {
        "time_s": _numbers(w.time),
        **{f"{name}_degC": _celsius(x[:, 0]) for name, x in degrees.items()},
        "thermostat_opening": _numbers(w.opening[:, 0]),
        "fan_speed": _numbers(w.fan_speed[:, 0]),
        **{f"{name}_m3_s": getattr(w, name)[:, 0].tolist() for name in ("radiator_flow", "heater_flow", "bypass_flow")},
    }


def _settled(settled: Settlement) -> JsonObject:
    from ui.command.as_json import celsius

    return {
        "end": settled.end.value,
        "degC": celsius(settled.temperature),
        "asymptote_degC": celsius(settled.asymptote),
    }


def _band(band: HealthyBand) -> JsonObject:
    return {
        "time_s": _numbers(band.time),
        "low_degC": _celsius(band.low),
        "middle_degC": _celsius(band.middle),
        "high_degC": _celsius(band.high),
    }


def _measured(measured: Measured) -> JsonObject:
    from ui.command.as_json import celsius, number

    return {
        "time_to_s": _times(measured.time_to),
        "start_degC": celsius(measured.start),
        "end_degC": celsius(measured.end),
        "samples": int(measured.time.size),
        "notes": list(measured.notes),
        "faults": list(measured.faults),
        "settled_degC": celsius(measured.settled.temperature),
        "settled": _settled(measured.settled),
        "leaves_band_s": number(measured.leaves_band),
        "leaves_below": measured.leaves_below,
        "time_s": _numbers(measured.time),
        "coolant_degC": _celsius(measured.T),
    }


def _fit(fitted: FitResult) -> JsonObject:
    from ui.command.as_json import number

    return {
        "time_s": _numbers(fitted.warmup.time),
        "sensor_degC": _celsius(fitted.sensor),
        "residual_K": _numbers(fitted.residual),
        "parts_s": number(fitted.parts),
        "standard_deviations": {
            u.key: round(float(z), _PLACES) for u, z in zip(fitted.unknowns, fitted.fit.z, strict=True)
        },
    }


def _criterion(criterion: Criterion) -> JsonObject:
    from ui.command.as_json import celsius, number

    return {
        "source": command_texts.RULE_BEHIND_THE_TIMES,
        "regulating_degC": celsius(criterion.regulating),
        "target_degC": celsius(criterion.target),
        "allowed_s": number(criterion.allowed),
        "reached_s": number(criterion.reached),
        "outcome": criterion.outcome.value,
        "monitor_may_be_off": criterion.may_be_off,
    }
