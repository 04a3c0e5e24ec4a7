"""The study of a record: an invented vehicle's curve is judged as what it is, and a fit finds the curve again."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case, with_values
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.errors import Cancelled
from engcalc.system.in_time.warmup import warm_up
from engcalc.units import UnitSystem
from engcalc.vehicle.criterion import WarmupOutcome
from engcalc.vehicle.discrepancy import DISCREPANCY
from engcalc.vehicle.run import run_of
from engcalc.vehicle.settling import RecordEnd
from engcalc.vehicle.unknowns import unknowns_of, vehicles
from engcalc.vehicle.warmup_study import TIMES_TO, RecordStudy, has_warmup, study
from engcalc.verdict import Verdict
from engcalc.words.answer.warmup_words import warmup_sentences

RECORD: dict[str, Any] = {
    "ambient": "0 degC",
    "start_temperature": "0 degC",
    "heater_setting": "low",
    "engine_off_phases": "no",
    "block_heater": "no",
    "auxiliary_heater": "none",
    "schedule": [{"vehicle_speed": "50 km/h", "heater": "low", "duration": "35 min"}],
}


OPENS = 840.0  # s; to here the invented vehicle's valve is shut


def case_of(**record: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, "evidence": {"before": {**RECORD, **record}}}))
    assert isinstance(found, Case), found
    return found


def seen(opening: float, minutes: int = 35, z: float = 0.5) -> Case:
    """A case with typed pairs of another vehicle of its kind: every unknown at z, the valve no further shut."""
    case = case_of()
    run = run_of(case, "before", {})
    unknowns = unknowns_of(case, run)

    def stuck(drawn: Case) -> Case:
        return with_values(drawn, {"thermostat.minimum_opening": np.full(1, opening)})

    v = vehicles(case, run, unknowns, np.full((1, len(unknowns)), z), stuck)
    w = warm_up(v.plant, v.drive, 60.0)
    noise = 0.3 * np.random.default_rng(3).normal(size=w.time.size)
    pairs = [
        [f"{t / 60:.0f} min", f"{T - 273.15:.1f} degC"]
        for t, T in zip(w.time, w.sensor[:, 0] + v.sensor_bias + noise, strict=True)
        if t <= 60.0 * minutes
    ]
    return case_of(curve=pairs)


@cache
def studied(opening: float) -> RecordStudy:
    return study(seen(opening), {}).records[0]


def test_a_healthy_vehicle_of_its_kind_lies_in_the_band_and_holds() -> None:
    record = studied(0.0)
    assert record.measured is not None
    assert record.measured.leaves_band is None
    assert record.verdict.verdict is Verdict.HOLDS
    assert record.measured.settled.end is RecordEnd.SETTLED


def test_a_valve_that_does_not_shut_leaves_the_band_downwards() -> None:
    record = studied(0.12)
    assert record.measured is not None
    assert record.measured.leaves_below
    assert record.verdict.verdict is Verdict.OVERCOOLING


def test_the_fit_finds_a_healthy_curve_again_and_not_a_faulty_one() -> None:
    healthy, faulty = studied(0.0).fitted, studied(0.12).fitted
    assert healthy is not None
    assert faulty is not None
    rising = healthy.residual_time <= OPENS
    assert np.sqrt(np.mean(healthy.residual[rising] ** 2)) < 1.5  # K; the reading noise that the fit takes for granted
    # once the valve opens onto a radiator at 0 degC it hunts, by some 2 K and in no order that a fit could find again
    assert abs(np.mean(healthy.residual[~rising])) < DISCREPANCY
    assert healthy.rms < DISCREPANCY
    assert healthy.parts is None
    # a healthy valve explains the faulty curve only with a leak three standard deviations out: once in 700 vehicles
    assert np.abs(healthy.fit.z).max() < 2.0
    assert np.abs(faulty.fit.z).max() > 3.0


def test_a_record_cut_short_is_not_judged_by_its_last_value() -> None:
    record = study(seen(0.02, minutes=4), {}, members=40, fits=False).records[0]  # after eight it has settled
    assert record.measured is not None
    assert record.measured.settled.temperature is None
    assert record.verdict.verdict is None


def test_without_a_record_the_first_duty_is_studied() -> None:
    found = resolve(CaseText({"format": FORMAT}))
    assert isinstance(found, Case)
    assert not has_warmup(found, {})
    record = study(found, {}, members=40).records[0]
    assert (record.name, record.measured, record.fitted) == ("duty", None, None)
    assert record.band.low[-1] <= record.band.middle[-1] <= record.band.high[-1]
    assert set(TIMES_TO) <= set(record.band.times_to)


def test_a_described_fault_is_told_from_the_healthy_vehicle() -> None:
    found = resolve(
        CaseText({"format": FORMAT, "thermostat": {"minimum_opening": "20 %"}, "evidence": {"before": RECORD}})
    )
    assert isinstance(found, Case)
    record = study(found, {}, members=40).records[0]
    assert record.nominal.sensor[-1, 0] < record.healthy.sensor[-1, 0] - 11.0
    assert record.verdict.verdict is Verdict.OVERCOOLING


@pytest.mark.fresh
def test_it_can_be_cancelled() -> None:
    with pytest.raises(Cancelled, match="cancelled"):
        study(case_of(), {}, cancelled=lambda: True)


def test_what_boils_as_described_does_not_hold_and_ends_there() -> None:
    climb = {"ambient": "35 degC", "vehicle_speed": "30 km/h", "grade": "15 %", "trailer_mass": "1500 kg"}
    case = resolve(CaseText({"format": FORMAT, "duties": [climb], "airflow": {"fan_drive": "none"}}))
    assert isinstance(case, Case), case
    record = study(case, {}, members=5).records[0]
    assert record.verdict.verdict is Verdict.UNDERSIZED
    assert record.verdict.outcome is WarmupOutcome.BOILS
    assert record.settled.end is RecordEnd.BOILED
    assert record.nominal.time[-1] - record.nominal.boiled[0] < 5.0
    said = " ".join(warmup_sentences(record, UnitSystem.SI))
    assert "The coolant boils 3 min after" in said
    assert "Never open the cap" in said


def test_a_warm_up_in_air_that_freezes_the_coolant_does_not_hold() -> None:
    cold = {"ambient": "-20 degC", "vehicle_speed": "50 km/h"}
    water = {"base": "water", "concentration": "0 %"}
    case = resolve(CaseText({"format": FORMAT, "duties": [cold], "coolant": water}))
    assert isinstance(case, Case), case
    record = study(case, {}, members=5).records[0]
    assert record.verdict.verdict is Verdict.MARGINAL
    assert warmup_sentences(record, UnitSystem.SI)[0].startswith("The coolant can freeze: first ice forms at 0 °C")
