"""The causes on paper: page one and the evidence page say what the diagnosis says, word for word."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from typing import Any

import numpy as np
import pypdfium2
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.grounds import VehicleState
from engcalc.diagnosis.odds.diagnosis import Diagnosis, Group, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.studies.check import check
from engcalc.units import UnitSystem
from engcalc.vehicle.own_prior import OwnHistory, OwnPrior, Place
from engcalc.words.diagnosis.causes import cause_label, check_sentence, evidence_sentence, group_sentence
from engcalc.words.diagnosis.causes_told import (
    SPEAKS,
    customer_lines,
    diagnosis_lines,
    evidence_row,
    odds_lines,
    rates_words,
    told_groups,
)
from engcalc.words.diagnosis.own_history_words import moved_words, own_history_line
from engcalc.words.page.cautions import ALL
from engcalc.words.page.circuit_words import CAPTION_HEALTHY
from engcalc.words.terms.numbers import chance, lowered
from reports.build import Options, build
from reports.kinds import Annex, ReportKind

UNNAMED_FIRST = ("not_in_list", "thermostat_stuck_open")
NOW = datetime(2026, 1, 16, 15, 0, tzinfo=UTC)
TREE: dict[str, Any] = {
    "format": FORMAT,
    "job": {"reason": "no heat", "complaint": "Never gets warm."},
    "vehicle": {"class": "delivery van"},
    "duties": [{"name": "Ring road", "ambient": "-5 degC", "vehicle_speed": "60 km/h", "heater": "high"}],
    "evidence": {
        "before": {
            "ambient": "-5 degC",
            "soak": "12 h",
            "start_temperature": "-4 degC",
            "heater_setting": "high",
            "engine_off_phases": "no",
            "schedule": [{"vehicle_speed": "60 km/h", "heater": "high", "duration": "30 min"}],
            "spots": [
                {"what": "coolant", "at": "30 min", "value": "34 degC", "instrument": "scan_tool"},
                {"what": "upper_hose", "at": "5 min", "value": "15 degC", "instrument": "clamp"},
            ],
        }
    },
}
TEXT = CaseText(TREE)


@cache
def found() -> Diagnosis:
    case = resolve(TEXT)
    assert isinstance(case, Case), case
    return diagnose(case, {}, effort=Effort(prior=24, steps=1, first=16, round=150, rounds=1))


def pages(
    diagnosis: Diagnosis | None, system: UnitSystem = UnitSystem.SI, kind: ReportKind = ReportKind.CUSTOMER
) -> list[str]:
    pdf = build(
        check(found().case, members=0),
        TEXT,
        kind,
        NOW,
        Options(system, diagnosis=diagnosis, annex=Annex.FULL),
        final=True,
    ).pdf
    return [one_line(page.get_textpage().get_text_range()) for page in pypdfium2.PdfDocument(pdf)]


def one_line(text: str) -> str:
    """Text without regard to where its lines break; a line may also break after a hyphen."""
    return " ".join(text.replace("\ufffe", "-").split())


@pytest.mark.parametrize("enough", [True, False])
def test_page_one_says_what_the_diagnosis_says_to_the_customer(enough: bool) -> None:
    diagnosis = replace(found(), enough=enough)
    first = pages(diagnosis)[0]
    for line in customer_lines(diagnosis):
        assert one_line(line) in first
    best = chance(diagnosis.best.probability)
    assert enough or best not in first, "odds that cannot be relied on are not told to a customer"


def test_the_likeliest_part_leads_with_its_own_odds_and_names_what_looks_alike() -> None:
    a, b = found().causes[:2]
    group = Group((a.fault, b.fault), 0.62, None)
    both = replace(found(), enough=True, groups=(group,), causes=(replace(a, probability=0.45), b))
    lead = customer_lines(both)[0]
    assert lead.startswith("Most likely, about 4 in 10: ")
    assert cause_label(a.fault)[1:] in lead
    alike = customer_lines(both)[1]
    assert alike.startswith("These readings alone cannot tell it from: ")
    assert cause_label(b.fault)[1:] in alike
    leads = customer_lines(replace(both, causes=(replace(a, probability=0.9), replace(b, probability=0.1))))
    assert leads[0] == f"Most likely, about 9 in 10: {cause_label(a.fault)[0].lower()}{cause_label(a.fault)[1:]}."
    assert leads[1].endswith("(about 1 in 10).")
    alone = customer_lines(replace(found(), enough=True, groups=(), causes=(replace(a, probability=0.31), b)))[0]
    assert alone.startswith("It is not clear yet what is wrong. First among several, about 3 in 10: ")


def test_beneath_a_healthy_conclusion_no_line_says_that_something_is_wrong() -> None:
    """75 °C after 26 min in frost read "gets warm as it should" above "It is not clear yet what is wrong"."""
    a, b = found().causes[:2]
    for odds, first in ((0.3, "first among several, about 3 in 10"), (0.6, "most likely, about 6 in 10")):
        unlike = replace(
            found(),
            enough=True,
            groups=(),
            causes=(replace(a, fault="thermostat_opens_early", probability=odds), replace(b, probability=0.0)),
        )
        assert customer_lines(unlike, VehicleState.HEALTHY)[0] == (
            f"No reading shows a fault so far. If the complaint stays, {first}: "
            "the thermostat opens well under its rating."
        )
        assert "No reading" not in customer_lines(unlike)[0]
    likely = replace(found(), enough=True, groups=(), causes=(replace(a, fault="healthy", probability=0.3), b))
    ends = "The odds that no part is at fault: about 3 in 10."
    assert customer_lines(likely, VehicleState.HEALTHY)[0] == f"No reading shows a fault so far. {ends}"
    assert customer_lines(likely)[0] == f"It is not clear yet whether something is wrong. {ends}"
    poorly = customer_lines(likely, VehicleState.HEATS_POORLY)[0]
    assert poorly.startswith("These readings do not show yet which part it is. The odds that no part is at fault: ")
    assert diagnosis_lines(likely, UnitSystem.SI, None, VehicleState.HEATS_POORLY)[1].startswith(poorly)
    assert not any(line.startswith("No fault") for line in odds_lines(likely, UnitSystem.SI, VehicleState.RUNS_COLD))
    for state in (None, VehicleState.CANNOT_TELL, VehicleState.HEALTHY):
        assert odds_lines(likely, UnitSystem.SI, state)[0].startswith("No fault that these readings would show: first")


def test_a_customer_is_told_of_no_list_that_is_not_on_the_page() -> None:
    a, b = (replace(cause, fault=fault) for cause, fault in zip(found().causes[:2], UNNAMED_FIRST, strict=True))
    likeliest = replace(
        found(), enough=True, groups=(), causes=(replace(a, probability=0.52), replace(b, probability=0.31))
    )
    lead, other, check = customer_lines(likeliest)
    part = "Of the parts that can be named, “the thermostat is stuck open” comes first (about 3 in 10)."
    assert lead == f"It is not clear yet what is wrong. {part}"
    assert other == "About 5 in 10 it is something else: the known faults fit what was read only in part."
    ranked = [CHECKS[c.key].title for c in likeliest.next_checks if not c.first]
    assert check == (
        "Read the temperatures once more with a second thermometer. "
        f"The check that tells the most now: {ranked[0][0].lower()}{ranked[0][1:]}."
    )
    assert customer_lines(likeliest, VehicleState.RUNS_COLD)[0] == f"It is not clear yet which part it is. {part}"
    rare = replace(likeliest, causes=(likeliest.causes[0], replace(b, probability=0.01)))
    assert customer_lines(rare)[0] == "It is not clear yet what is wrong.", (
        "a part that is hardly possible leads nothing"
    )
    second = replace(likeliest, causes=(replace(b, probability=0.6), replace(a, probability=0.2)))
    assert customer_lines(second)[-1] == ("Or: something that is not among the known faults (about 2 in 10).")


def test_what_fits_no_cause_is_given_no_range_and_says_what_to_do() -> None:
    """112 °C with bubbles read "the likeliest cause 81 to 94 °C. It speaks strongly for the likeliest cause"."""
    a, b = (replace(cause, fault=fault) for cause, fault in zip(found().causes[:2], UNNAMED_FIRST, strict=True))
    unnamed = replace(
        found(), enough=True, groups=(), causes=(replace(a, probability=0.6), replace(b, probability=0.3))
    )
    read = next(item for item in unnamed.evidence if item.kind == "temperature")
    assert "likeliest" not in evidence_sentence(read, "not_in_list")
    assert evidence_row(read, "not_in_list", UnitSystem.SI)[3] == "not simulated"
    assert "likeliest" in evidence_sentence(read, "thermostat_stuck_open")
    [line] = [one for one in odds_lines(unnamed, UnitSystem.SI) if one.startswith("Something that is not in this list")]
    assert "Read it again with a second thermometer; replace no part yet." in line
    assert "test for combustion gas" not in line
    behind = replace(unnamed, causes=(replace(b, probability=0.6), replace(a, probability=0.3)))
    [line] = [one for one in odds_lines(behind, UnitSystem.SI) if one.startswith("Something that is not in this list")]
    assert "second thermometer" not in line, "others do fit what was read"
    before = unnamed.case.evidence.before
    assert before is not None
    bubbles = replace(before, seen={**before.seen, "bubbles_when_running": True})
    with_gas = replace(unnamed, case=replace(unnamed.case, evidence=replace(unnamed.case.evidence, before=bubbles)))
    [line] = [
        one for one in odds_lines(with_gas, UnitSystem.SI) if one.startswith("Something that is not in this list")
    ]
    assert line.endswith(
        "Gas or steam that gathers in the engine is not simulated and may be it: the test for combustion gas tells."
    )


@pytest.mark.parametrize("system", list(UnitSystem))
def test_the_evidence_page_holds_odds_evidence_check_and_base_rates(system: UnitSystem) -> None:
    text = " ".join(pages(found(), system)[1:])
    for line in (
        *odds_lines(found(), system),
        *(group_sentence(g) for g in told_groups(found())),
        rates_words(found()),
    ):
        assert one_line(line) in text
    for item in found().evidence:
        for cell in evidence_row(item, found().best.fault, system):
            assert one_line(cell) in text
    assert one_line(SPEAKS) in text
    assert one_line(CAPTION_HEALTHY) in text, "two numbers are called healthy, and each says which it is"
    assert "What each cause would show" in text
    following = found().next_check
    assert following is not None
    assert one_line(check_sentence(following, found().case)) in text
    cautions = {caution.key: caution.text for caution in ALL}
    for key in CHECKS[following.key].cautions:
        assert text.count(one_line(cautions[key])) >= 2, "beside the check, and at the end of the report"


def test_a_sizing_report_has_them_too_and_none_has_them_unasked() -> None:
    assert "What may be behind it" in " ".join(pages(found(), kind=ReportKind.SIZING))
    assert "What may be behind it" not in " ".join(pages(None))


def test_results_of_checks_stand_among_the_readings_with_their_instrument() -> None:
    before = TREE["evidence"]["before"]
    spots = [
        {"what": "cap_opens", "value": "0.3 bar", "instrument": "pressure_gauge"},
        {"what": "freezing_point", "value": "-24 degC", "instrument": "propylene_scale"},
    ]
    text = CaseText(
        {
            **TREE,
            "evidence": {
                "before": {
                    **before,
                    "spots": spots,
                    "seen": {"combustion_gas_found": True, "pressure_held_cold": False},
                }
            },
        }
    )
    case = resolve(text)
    assert isinstance(case, Case), case
    pdf = build(check(case, members=0), text, ReportKind.CUSTOMER, NOW, Options(UnitSystem.SI), final=True).pdf
    said = " ".join(one_line(p.get_textpage().get_text_range()) for p in pypdfium2.PdfDocument(pdf))
    for words in (
        "Pressure at which the cap opens on the tester",
        "0.3 bar",
        "refractometer, scale for propylene glycol",
        "The test finds combustion gas in the coolant yes",
        "The cold system holds the tester's pressure no",
        "do not seal or pressurise the system",
    ):
        assert words in said, words


def test_page_one_says_when_the_vehicle_is_judged_by_its_own_record_and_what_that_changed() -> None:
    """Page one, and not the annex alone."""
    kept = found().kept
    assert kept is not None
    own = [u for u in kept.problem.unknowns if not u.of_record]
    place = Place(np.zeros(len(own)), 0.25 * np.eye(len(own)))
    prior = OwnPrior(tuple(u.key for u in own), tuple(u.spread for u in own), {"outlet": place, "inlet": place}, 0.2)
    best, other = (cause.fault for cause in found().causes[:2])
    odds = {best: 0.31, other: 0.3}
    known = replace(found(), own=OwnHistory(4, "2025-03-04", "before", 0.94, prior), by_class=odds)
    line = own_history_line(known)
    assert "the visit of 2025-03-04 (job 4)" in line
    assert "is down to 63 %" in line  # 1 - 0.8 * 0.75 of the variance is left, and its root of the spread
    moved = f"{lowered(cause_label(best))} would have about 3 in 10 in place of {chance(found().best.probability)}."
    assert line.endswith(f"By its class alone {moved}")
    one, two = pages(known)[:2]
    assert line in one
    assert "odds that start from this vehicle's own healthy record, the visit of 2025-03-04 (job 4)." in two
    assert "own healthy record" not in "".join(pages(found())[:2])


def test_what_its_class_alone_would_say_is_told_in_words() -> None:
    best, other = (cause.fault for cause in found().causes[:2])
    now = found().best.probability
    assert chance(now) not in (chance(0.31), chance(0.3))  # else nothing would have moved
    same = moved_words(replace(found(), by_class={best: now}))
    assert same == f"By its class alone the odds would be much the same: {lowered(cause_label(best))}, {chance(now)}."
    another = moved_words(replace(found(), by_class={other: 0.6, best: 0.3}))
    assert f"another cause would lead: {lowered(cause_label(other))}, about 6 in 10. " in another
    assert f"{cause_label(best)} would have about 3 in 10 in place of {chance(now)}." in another
    assert moved_words(found()) == ""
