"""A cold van, repaired, read by hand a few times in frost: its paper shows a picture and says why the proof is open."""

from __future__ import annotations

from typing import Any

import pypdfium2
from told_cases import NOON, coolant

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.repair.before_after import BeforeAfter, Proof
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.proof_words import proof_sentence
from reports.build import Options, build
from reports.kinds import Annex, ReportKind
from reports.recorded import recorded

PICTURE = "Coolant readings against a healthy vehicle"
FROST = {"heater_setting": "high", "driving": "town", "engine_off_phases": "no", "soak": "12 h"}
FEW = (("12 min", "58 degC"), ("20 min", "73 degC"), ("30 min", "86 degC"))
MANY = tuple((f"{minute} min", f"{minute + 50} degC") for minute in range(8, 38, 2))


def van(after: tuple[tuple[str, str], ...]) -> dict[str, Any]:
    """Repaired, and read so many times since."""
    before = {
        "ambient": "-6 degC",
        **FROST,
        "spots": [coolant("30 degC", at="10 min"), coolant("45 degC", at="20 min")],
    }
    spots = [coolant(value, at=at) for at, value in after]
    return {
        "format": FORMAT,
        "vehicle": {"class": "delivery van"},
        "job": {"reason": "no heat", "complaint": "Never gets warm.", "work_done": "Replaced the thermostat."},
        "evidence": {
            "before": {**before, "seen": {"thermostat_open_when_cold": True}},
            "after": {"ambient": "-5 degC", **FROST, "spots": spots, "seen": {"upper_hose_warms_early": False}},
        },
    }


def paper() -> tuple[BeforeAfter, str, str]:
    """Both records laid together, and the customer's two pages without blanks."""
    text = CaseText(van(FEW))
    case = resolve(text)
    assert isinstance(case, Case), case
    whole = check_with_records(case, {}, members=20)
    records = recorded(case, {})
    assert records is not None
    both = records.both
    assert both is not None
    options = Options(annex=Annex.NONE, records=records)
    with pypdfium2.PdfDocument(build(whole.check, text, ReportKind.CUSTOMER, NOON, options).pdf) as document:
        first, second = ("".join(page.get_textpage().get_text_bounded().split()) for page in document)
    return both, first, second


def squeezed(text: str) -> str:
    """Without blanks and line ends."""
    return "".join(text.split())


def test_few_readings_after_the_repair_are_drawn_and_the_proof_says_why_it_is_open() -> None:
    """It had no picture, and said "is not proven" without a reason."""
    both, first, second = paper()
    assert both.proof is Proof.OPEN
    assert squeezed(PICTURE) in first + second
    assert "Before" in first
    said = proof_sentence(both, UnitSystem.SI)
    assert said.endswith("Now it is warm in time. The readings are too few to prove more than that.")
    assert squeezed(said) in first + second
    assert squeezed("Replaced the thermostat.") in second


def test_however_many_were_read_the_paper_keeps_its_picture_and_its_two_pages() -> None:
    """Fifteen readings left the picture no room, so that none was there."""
    text = CaseText(van(MANY))
    case = resolve(text)
    assert isinstance(case, Case), case
    check = check_with_records(case, {}, members=20).check
    with pypdfium2.PdfDocument(
        build(check, text, ReportKind.CUSTOMER, NOON, Options(annex=Annex.NONE)).pdf
    ) as document:
        pages = [squeezed(page.get_textpage().get_text_bounded()) for page in document]
    assert len(pages) == 2
    assert squeezed(PICTURE) in "".join(pages)
