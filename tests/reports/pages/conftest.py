"""Reports of the worked examples, built once, and ways to read a PDF that are not ours: pdfium and qpdf."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from engcalc.case.file import parse_case, read_case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from reports.build import Options, build
from reports.kinds import Annex, ReportKind

EXAMPLES = Path(__file__).resolve().parents[3] / "worked_examples"

REPAIRED: dict[str, Any] = {
    "format": "heatdocket-case/1",
    "job": {
        "work_order": "WO-2031",
        "shop": "Northgate Garage",
        "shop_contact": "12 Mill Lane",
        "customer": "J. Märtens",
        "vehicle": "Delivery van",
        "registration": "AB 12 CDE",
        "odometer": "184 300 km",
        "complaint": "Never gets warm.",
        "reason": "no heat",
        "work_done": "Thermostat and seal replaced.",
    },
    "vehicle": {"class": "delivery van"},
    "thermostat": {"minimum_opening": "4 %"},
    "duties": [{"name": "Ring road", "ambient": "2 degC", "vehicle_speed": "90 km/h", "heater": "low"}],
    "evidence": {
        "before": {
            "ambient": "2 degC",
            "heater_setting": "low",
            "soak": "10 h",
            "start_temperature": "3 degC",
            "schedule": [{"vehicle_speed": "90 km/h", "heater": "low", "duration": "60 min"}],
            "spots": [
                {"what": "coolant", "at": "10 min", "value": "21 degC"},
                {"what": "coolant", "at": "58 min", "value": "38.5 degC"},
                {"what": "vent", "at": "58 min", "value": "19 degC", "instrument": "vent_probe"},
            ],
            "codes": ["P0128"],
            "seen": {"upper_hose_warms_early": True, "level_low": False},
        },
        "after": {
            "ambient": "-9 degC",
            "heater_setting": "high",
            "spots": [{"what": "coolant", "at": "25 min", "value": "86 degC"}],
        },
    },
}


@dataclass(frozen=True, eq=False)
class Subject:
    """A case, its check, and its text."""

    text: CaseText
    check: Check


def subject_of(text: CaseText, members: int = 20) -> Subject:
    case = resolve(text)
    assert not isinstance(case, Faults), case.faults
    return Subject(text, check_with_records(case, {}, members=members).check)


def made_case(tree: dict[str, Any], members: int = 20) -> Subject:
    return subject_of(parse_case(json.dumps(tree).encode()), members)


@cache
def _example(name: str) -> Subject:
    return made_case(REPAIRED) if name == "repaired" else subject_of(read_case(EXAMPLES / f"{name}.heatcase.json"))


@pytest.fixture(scope="session")
def example() -> Callable[[str], Subject]:
    """A worked example by its name, or ``repaired``: a van measured before and after."""
    return _example


@pytest.fixture(scope="session")
def subject_from() -> Callable[..., Subject]:
    return made_case


@pytest.fixture(scope="session")
def report(moment: datetime) -> Callable[..., bytes]:
    """The pages of an example's report, by default with all that there is; each report is built once."""

    @cache
    def built(name: str, kind: ReportKind, system: UnitSystem, final: bool, annex: Annex) -> bytes:
        one = _example(name)
        return build(one.check, one.text, kind, moment, Options(system, annex=annex), final=final).pdf

    def asked(
        name: str,
        kind: ReportKind,
        system: UnitSystem = UnitSystem.SI,
        final: bool = False,
        annex: Annex = Annex.FULL,
    ) -> bytes:
        return built(name, kind, system, final, annex)  # a default that is named is the same report

    return asked


@pytest.fixture(scope="session")
def page_texts() -> Callable[[bytes], list[str]]:
    """The text of each page as pdfium reads it, blanks and line ends as one blank."""

    def read(pdf: bytes) -> list[str]:
        document = pypdfium2.PdfDocument(pdf)
        try:
            return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
        finally:
            document.close()

    return read
