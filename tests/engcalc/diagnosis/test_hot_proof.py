"""A vehicle that ran hot, was repaired and holds: when that is proven, and when the run after it asked too little."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from less_effort import FEW_ROUNDS

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.repair.before_after import BeforeAfter, Proof, Unproven, compare
from engcalc.units import UnitSystem
from engcalc.vehicle import fit
from engcalc.vehicle.warmup_study import study
from engcalc.words.diagnosis.proof_words import proof_sentence, proof_sentences

QUEUE = {"ambient": "33 degC", "heater_setting": "off", "driving": "idling"}
FAN_STILL = {"fan_runs_when_hot": False, "fan_fuse_good": False}
FAN_RUNS = {"fan_runs_when_hot": True}


def read(*pairs: tuple[int, float]) -> list[dict[str, str]]:
    """Coolant read by a scan tool: minutes from the start and degC."""
    return [
        {"what": "coolant", "at": f"{minute} min", "value": f"{degrees} degC", "instrument": "scan_tool"}
        for minute, degrees in pairs
    ]


BEFORE: dict[str, Any] = {**QUEUE, "spots": read((30, 113)), "seen": FAN_STILL}
AFTER: dict[str, Any] = {**QUEUE, "spots": read((20, 92), (40, 98)), "seen": FAN_RUNS}


def tree_of(before: dict[str, Any], after: dict[str, Any]) -> dict[str, Any]:
    return {
        "format": "heatdocket-case/1",
        "vehicle": {"class": "family car"},
        "job": {"reason": "hot at idle"},
        "limits": {"coolant_limit": "115 degC"},
        "evidence": {"before": before, "after": after},
    }


def compared(before: dict[str, Any], after: dict[str, Any]) -> BeforeAfter:
    case = resolve(CaseText(tree_of(before, after)))
    assert isinstance(case, Case), case
    found = compare(study(case, {}, members=40, fits=False))
    assert found is not None
    return found


@cache
def mended() -> BeforeAfter:
    return compared(BEFORE, AFTER)


def test_a_fan_that_runs_again_and_an_engine_that_holds_at_idle_are_the_proof() -> None:
    found = mended()
    assert found.proof is Proof.REPAIRED
    assert found.after_healthy
    assert found.hot is not None
    assert (found.hot.before - 273.15, found.hot.after - 273.15) == (pytest.approx(113.0), pytest.approx(98.0))
    assert (found.hot.before_at, found.hot.after_at) == (1800.0, 2400.0)


def test_nothing_of_a_thermostat_that_leaks_is_told_of_heat() -> None:
    """What the cold side is fitted by says nothing of a vehicle that ran hot."""
    found = mended()
    assert (found.odds, found.fit, found.before.fitted, found.after.fitted) == (None, None, None, None)
    said = " ".join(proof_sentences(found, UnitSystem.SI))
    assert "thermostat" not in said
    assert "warms up" not in said


def test_the_sentence_for_the_customer_names_the_hottest_of_both() -> None:
    said = proof_sentence(mended(), UnitSystem.SI)
    assert "113 °C before the repair (30 min after the start)" in said
    assert "98 °C after it (40 min after the start)" in said
    assert said.endswith("now the engine stays as cool as a healthy one.")
    assert "235 °F" in proof_sentence(mended(), UnitSystem.US)  # 113 degC is 235.4 degF


TOO_LITTLE = {
    "driven where the wind cools": ({"driving": "motorway"}, Unproven.NOT_AS_SLOW),
    "on a colder day": ({"ambient": "27 degC"}, Unproven.COLDER_AIR),
    "with the heater on": ({"heater_setting": "high"}, Unproven.MORE_HEATER),
    "shorter": ({"spots": read((16, 90), (20, 94))}, Unproven.NOT_AS_LONG),
    "read once": ({"spots": read((35, 95))}, Unproven.READ_AGAIN),
    "nobody noted how it ran": ({"driving": "unknown"}, Unproven.HOW_IT_RAN),
    "the fan not seen again": ({"seen": {}}, Unproven.LOOK_AGAIN),
    "the fan seen still": ({"seen": {"fan_runs_when_hot": False}}, Unproven.LOOK_AGAIN),
}


@pytest.mark.parametrize(("change", "why"), TOO_LITTLE.values(), ids=TOO_LITTLE)
def test_a_run_that_asked_less_of_the_cooling_proves_nothing(change: dict[str, Any], why: Unproven) -> None:
    """Each of these helps an engine stay cool, or hides that it does not: common practice, no source."""
    found = compared(BEFORE, {**AFTER, **change})
    assert found.proof is Proof.OPEN
    assert why in found.unproven
    assert proof_sentence(found, UnitSystem.SI).endswith("not proven by that yet.")


def test_air_that_is_hardly_colder_still_proves_it() -> None:
    """Five kelvin colder counts as like weather."""
    assert compared(BEFORE, {**AFTER, "ambient": "28 degC"}).proof is Proof.REPAIRED


def test_an_engine_that_still_gets_hot_is_as_it_was() -> None:
    found = compared(BEFORE, {**AFTER, "spots": read((20, 92), (40, 114))})
    assert found.proof is Proof.SAME
    assert not found.after_healthy
    assert found.unproven == ()
    assert proof_sentence(found, UnitSystem.SI).endswith("It still gets too hot.")


def test_a_coolant_that_stays_cold_after_the_repair_is_no_proof() -> None:
    """A thermostat left out keeps the engine from getting hot, and is no repair."""
    found = compared(BEFORE, {**AFTER, "spots": read((20, 40), (40, 47), (60, 50))})
    assert found.proof is Proof.OPEN
    assert not found.after_healthy


def test_curves_are_told_as_readings_are_and_a_noted_start_is_not_missed() -> None:
    before = {**QUEUE, "curve": [[0, "33 degC"], [10, "80 degC"], [25, "117 degC"]]}
    after = {**QUEUE, "curve": [[0, "33 degC"], [10, "78 degC"], [20, "95 degC"], [35, "97 degC"]]}
    found = compared(before, after)
    assert found.proof is Proof.REPAIRED
    assert Unproven.START not in found.unproven
    assert Unproven.START in mended().unproven
    assert found.after.study.measured is not None
    assert float(np.max(found.after.study.measured.T)) - 273.15 == pytest.approx(97.0)


def test_a_cold_complaint_is_proven_by_its_valve_as_before(monkeypatch: pytest.MonkeyPatch) -> None:
    """A vehicle that was never hot is not asked how slowly it was driven."""
    monkeypatch.setattr(fit, "CLOUD", FEW_ROUNDS)
    cold = {"ambient": "-6 degC", "heater_setting": "high", "driving": "town", "soak": "12 h"}
    found = compared({**cold, "spots": read((20, 40))}, {**cold, "spots": read((20, 85))})
    assert found.hot is None
    assert found.before.fitted is not None
