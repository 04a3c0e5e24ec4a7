"""No two faces disagree, beyond the check itself: the odds, the circuit of places read, live words, before and after.

The odds are those of little effort: what is tested is that every face tells the same of them. The cases are shared.
"""

from __future__ import annotations

from functools import cache

import pytest
from less_effort import FEW, FEW_ROUNDS
from live_courses import TOWN, course
from told_cases import answered, customer_pages, example_answered

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.checks.circuit_places import READ_AT, SPOT_AT
from engcalc.diagnosis.checks.first_steps import OPEN_VALVES
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import GroundCode, VehicleState
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.repair.before_after import BeforeAfter, Proof, compare
from engcalc.diagnosis.settled import with_odds
from engcalc.diagnosis.whole_check import WholeCheck, check_with_records
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.vehicle import fit
from engcalc.vehicle.warmup_study import WarmupStudy
from engcalc.words.answer.answer import check_label, headline
from engcalc.words.answer.plainly import plain
from engcalc.words.diagnosis.conclusion_words import conclusion_label
from engcalc.words.diagnosis.proof_words import proof_sentence, so_far_sentence
from engcalc.words.page.circuit_words import CHECK_HERE, MEASURE_HERE
from engcalc.words.terms.numbers import temperature
from engcalc.words.workshop.live_words import enough_lines, odds_line
from reports.plots.circuit import cause_circuit
from reports.plots.proof import before_after_chart, so_far_chart
from ui.command.listening import judged_line
from ui.command.warming import before_after_json
from ui.live.watch import Judged, Watch
from ui.window.results.verdict_bar import sign_of
from ui.window.workspace import counted_in

SI = UnitSystem.SI
VEHICLE = {"format": FORMAT, "vehicle": {"class": "family car"}, "job": {"reason": "no heat"}}
WEIGHED = (  # what technicians came with, and what was read since
    "62 degC in frost, upper hose warm early",
    "cold in frost, upper hose warm early",
    "heater cold, gauge normal",
    "warm after 26 min",
    "hot at idle, fan still",
    "a hose by infrared",
    "complaint of heat, normal reading",
    "repaired, read twice",
)


@cache
def weighed(name: str) -> tuple[Check, Diagnosis]:
    """The check of a told case with its odds counted in, as the window does it."""
    check = answered(name)[1].check
    odds = diagnose(check.case, {}, effort=FEW)
    return counted_in(check, odds), odds


@pytest.mark.parametrize("name", WEIGHED)
def test_the_verdict_says_nothing_that_its_odds_deny(name: str, look) -> None:
    check, odds = weighed(name)
    found = conclude(check)
    p = {cause.fault: cause.probability for cause in odds.causes}
    named = {key: value for key, value in p.items() if key not in (HEALTHY.key, "not_in_list")}
    if found.green:
        assert p[HEALTHY.key] >= max(named.values())
        assert sign_of(check).tone == "good"
    if found.lead.code is GroundCode.VALVE_SUSPECTED:
        others = [value for key, value in {**named, HEALTHY.key: p[HEALTHY.key]}.items() if key not in OPEN_VALVES]
        assert sum(named.get(key, 0.0) for key in OPEN_VALVES) >= max(others)
        assert "thermostat" in plain(check).lead
    if found.lead.odds is not None:
        assert found.lead.odds.faults[0] == odds.best.fault
    assert headline(check, SI).startswith(f"{check_label(check)}.")
    assert sign_of(check).word == check_label(check)


@pytest.mark.parametrize("name", WEIGHED)
def test_the_circuit_shows_each_place_as_it_was_read_and_lights_no_other_check(name: str) -> None:
    check, odds = weighed(name)
    plot = cause_circuit(odds, SI)
    if plot is None:
        return
    said = plot.words.alternative
    record = check.case.evidence.after if odds.record == "after" else check.case.evidence.before
    assert record is not None
    for spot in record.spots:
        if spot.what in SPOT_AT and SPOT_AT[spot.what] in READ_AT:
            assert f"read {spot.word or temperature(float(spot.value[0]), SI)}" in said
    for reading in check.elsewhere:
        assert f"read {reading.word or temperature(reading.as_read, SI)}" in said
    if conclude(check).state is VehicleState.HEALTHY:
        assert "with no fault" in plot.words.title


def test_the_circuit_lights_the_check_that_the_odds_ask_for_and_none_where_they_ask_for_none(monkeypatch) -> None:
    """Of a vehicle that is settled to be healthy nothing more is asked: no place of it is lit."""
    _, odds = weighed("heater cold, gauge normal")
    assert odds.next_check is not None
    lit = (MEASURE_HERE, CHECK_HERE)
    asked = cause_circuit(odds, SI)
    assert asked is not None
    assert any(words in asked.words.alternative for words in lit)
    monkeypatch.setattr("reports.plots.circuit.next_by_odds", lambda _found: None)
    settled = cause_circuit(odds, SI)
    assert settled is not None
    assert not any(words in settled.words.alternative for words in lit)


# ---- before and after ------------------------------------------------------------------------------------------------

COLD_RUN = [[0, "0 degC"], [5, "18 degC"], [10, "30 degC"], [20, "38 degC"], [30, "40 degC"]]
GOOD_RUN = [[0, "0 degC"], [5, "38 degC"], [10, "66 degC"], [15, "84 degC"], [20, "88 degC"], [30, "88 degC"]]
AIR = {"ambient": "0 degC", "heater_setting": "off", "driving": "country road", "engine_off_phases": "no"}
PAIRS = {"mended": (COLD_RUN, GOOD_RUN), "as before": (COLD_RUN, COLD_RUN), "no fault": (GOOD_RUN, GOOD_RUN)}
BOTH = ("van-repaired", *PAIRS)


@cache
def repaired(name: str) -> tuple[WholeCheck, BeforeAfter]:
    if name in PAIRS:
        before, after = ({**AIR, "curve": curve} for curve in PAIRS[name])
        tree = {**VEHICLE, "evidence": {"before": before, "after": after}}
        case = resolve(CaseText(tree))
        assert isinstance(case, Case), case
        whole = check_with_records(case, {}, members=20)
    else:
        whole = example_answered(name)
    with pytest.MonkeyPatch.context() as patch:
        if name in PAIRS:
            patch.setattr(fit, "CLOUD", FEW_ROUNDS)
        both = compare(WarmupStudy(whole.check.case, whole.records))
    assert both is not None
    return whole, both


@pytest.mark.parametrize("name", BOTH)
def test_before_and_after_say_the_same_on_every_face(name: str) -> None:
    whole, both = repaired(name)
    said = proof_sentence(both, SI)
    assert before_after_json(both, SI)["sentences"][0] == said
    assert before_after_chart(both, SI).words.alternative == said
    assert so_far_sentence(both, SI).endswith(said)
    assert so_far_chart(both, SI).words.alternative == so_far_sentence(both, SI)
    found = conclude(whole.check)
    assert found.repaired
    if both.proof in (Proof.REPAIRED, Proof.NO_FAULT):
        assert found.state is VehicleState.HEALTHY
    if both.proof is Proof.SAME:
        assert found.state is VehicleState.RUNS_COLD
    if found.green:
        assert both.proof in (Proof.REPAIRED, Proof.OPEN, Proof.NO_FAULT)


def test_the_pairs_reach_what_they_are_for() -> None:
    assert repaired("van-repaired")[1].proof is Proof.REPAIRED
    assert conclude(repaired("mended")[0].check).state is VehicleState.HEALTHY
    assert conclude(repaired("as before")[0].check).state is VehicleState.RUNS_COLD


def test_page_two_names_both_readings_of_the_repair() -> None:
    second = customer_pages("repaired, read twice")[1]
    assert "Coolant temperature 45 °C after 30 min 90 °C after 30 min" in second


# ---- live ------------------------------------------------------------------------------------------------------------

LIVE = {"open valve": "lift=0.4", "healthy": ""}
UNTIL = 900.0  # s


@cache
def live(name: str) -> tuple[Judged, Watch]:
    watch = Watch(CaseText(VEHICLE), "before")
    judged = watch.judge(course(LIVE[name], TOWN, 5.0).log(until=UNTIL), None, last=True)
    assert judged is not None
    return judged, watch


@pytest.mark.parametrize("name", LIVE)
def test_live_words_are_those_of_the_one_conclusion(name: str, look) -> None:
    judged, _ = live(name)
    assert judged.whole is not None
    assert judged.odds is not None
    assert judged.enough is not None
    check, found = judged.whole.check, judged.whole.conclusion
    line = judged_line(judged, SI)
    assert f"{conclusion_label(found)}; {odds_line(judged.odds)}" in line
    assert headline(check, SI).startswith(f"{conclusion_label(found)}.")
    assert sign_of(check).word == conclusion_label(found)
    assert with_odds(check, "before", judged.odds.causes).weighed == check.weighed
    best = max(judged.odds.causes, key=lambda cause: cause.probability).fault
    if found.green:
        assert best == HEALTHY.key
    (told, *_) = enough_lines(judged.enough)
    if judged.enough.settled:
        assert told.startswith("This is settled: healthy") is (found.state is VehicleState.HEALTHY)


def test_a_valve_that_stands_open_and_a_healthy_vehicle_are_told_apart_live() -> None:
    """So that the walk over live words sees both a fault and none."""
    assert live("open valve")[0].whole is not None
    states = {name: live(name)[0].conclusion for name in LIVE}
    assert states["open valve"] is not None
    assert states["open valve"].state is VehicleState.RUNS_COLD
    assert states["healthy"] is not None
    assert states["healthy"].state is not VehicleState.RUNS_COLD
