"""What the customer is told: a complaint of cold is not answered with a limit that is held."""

from __future__ import annotations

import pytest
from told_cases import example_answered

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.verdict import Verdict
from engcalc.words.answer.answer import check_label, headline, statement
from engcalc.words.answer.plainly import NOTHING_LOST, PLAIN, beside_lead, plain
from engcalc.words.diagnosis.conclusion_words import TOO_EARLY


def checked(
    value: str,
    at: str = "25 min",
    seen: dict[str, bool] | None = None,
    reason: str = "no heat",
    heater: str = "high",
    ambient: str = "-12 degC",
) -> Check:
    before = {"ambient": ambient, "heater_setting": heater, "spots": [{"value": value, "at": at}], "seen": seen or {}}
    case = resolve(
        CaseText(
            {
                "format": "heatdocket-case/1",
                "vehicle": {"class": "delivery van"},
                "job": {"reason": reason},
                "evidence": {"before": before},
            }
        )
    )
    assert isinstance(case, Case), case
    return check_with_records(case, {}, members=20).check


@pytest.mark.parametrize(
    ("value", "at", "says"),
    [
        ("88 degC", "25 min", "the heater's side"),
        ("41 degC", "25 min", "not settled yet"),
        ("14 degC", "4 min", "too early to tell"),
    ],
)
def test_a_complaint_of_cold_is_answered_by_its_reading(value: str, at: str, says: str) -> None:
    assert says in plain(checked(value, at)).lead


def test_a_verdict_says_no_more_than_its_own_sentence() -> None:
    early = checked("14 degC", "4 min")
    assert early.verdict is Verdict.HOLDS  # the key that scripts read stays one of the four
    assert check_label(early) == TOO_EARLY
    assert headline(early).startswith(f"{TOO_EARLY}. The coolant read 14 °C")
    assert "Holds" not in headline(early)
    assert statement(early, UnitSystem.SI).startswith("The coolant read 14 °C")
    assert check_label(checked("88 degC")) == "Heats poorly"
    hot = checked("14 degC", "4 min", reason="hot at idle")  # nobody asks whether it warms
    assert check_label(hot) == "Not explained yet"


def test_a_normal_reading_does_not_explain_a_complaint_of_heat() -> None:
    told = plain(checked("88 degC", reason="hot at idle"))
    assert told.lead == "What you told us is not explained yet."
    assert NOTHING_LOST not in told.if_left


def test_what_rests_on_the_hand_says_so_instead_of_odds() -> None:
    felt = checked("41 degC", seen={"upper_hose_warms_early": True})
    assert felt.verdict is Verdict.MARGINAL
    assert check_label(felt) == "Cannot tell yet", "the odds may name another cause first"
    assert plain(felt).lead == "What was seen points to the thermostat, and does not prove it yet."
    assert "seen and felt" in beside_lead(felt)
    assert beside_lead(checked("88 degC")) == ""


def test_every_verdict_has_its_words_and_a_suspicion_is_told_as_one() -> None:
    assert set(PLAIN) == {*Verdict, None}
    said = statement(checked("41 degC", seen={"upper_hose_warms_early": True}), UnitSystem.SI)
    assert said.startswith("The coolant read 41 °C 25 min after the start, as it might in a healthy vehicle.")
    assert " The upper radiator hose got warm" in said
    assert said.endswith("that points to a thermostat that does not close.")
    assert said.count(". ") == 1


def test_a_rig_is_told_by_its_points_and_not_as_a_cooling_system() -> None:
    found = plain(example_answered("bench-exchanger").check)
    assert found.lead == "What was measured and what the dimensions give agree."
    assert "holds its temperature" not in found.lead
