"""Run in a tree to which a cause and a hand check were added: prints what every part of the program says of them.

``python added_cause.py KEY_OF_THE_CAUSE KEY_OF_THE_CHECK`` with the tree as working directory; one JSON object.
"""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime
from typing import Any

import pypdfium2
from PySide6.QtWidgets import QApplication, QLineEdit
from widgets import by_name

from engcalc.case.case import Case
from engcalc.case.catalogue import describe
from engcalc.case.cause_rates import own_rates
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import base_rates
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.studies.check import check
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.causes_told import customer_lines, diagnosis_lines, offered_checks
from reports.build import Options, build
from reports.kinds import ReportKind
from ui.command.diagnosing import diagnosis_json
from ui.document import Document
from ui.window.accessible import name_of
from ui.window.form.panel import FormPanel
from ui.window.views.causes.check_card import CheckCard
from ui.window.views.causes.rates import RatesDialog

RECORD = {
    "ambient": "30 degC",
    "start_temperature": "30 degC",
    "heater_setting": "off",
    "engine_off_phases": "no",
    "schedule": [{"vehicle_speed": "90 km/h", "duration": "20 min", "heater": "off"}],
    "spots": [{"what": "coolant", "at": "20 min", "value": "108 degC"}],
}
LITTLE = Effort(prior=24, steps=1, first=16, round=300, rounds=2)


def case_text(cause: str) -> CaseText:
    """A case with a base rate of its own for the cause."""
    return CaseText(
        {
            "format": FORMAT,
            "job": {"reason": "hot at speed"},
            "base_rates": {cause: "40 %"},
            "evidence": {"before": RECORD},
        }
    )


def diagnosed(case: Case, cause: str) -> Diagnosis:
    """Judged beside a healthy vehicle only, to be quick."""
    others = {key: 0.0 for key in CAUSES if key not in (cause, "healthy")}
    return diagnose(case, {}, base_rates=others, effort=LITTLE)


def told(cause: str, made: str) -> dict[str, Any]:
    """What each part says."""
    text = case_text(cause)
    case = resolve(text)
    assert isinstance(case, Case), case
    found = diagnosed(case, cause)
    options = Options(UnitSystem.SI, diagnosis=found)
    now = datetime(2026, 1, 16, 15, 0, tzinfo=UTC)
    pdf = build(check(case, members=0), text, ReportKind.CUSTOMER, now, options, final=True).pdf
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]
    return {
        "warnings": list(case.warnings),
        "field": next(field for field in describe() if field["path"] == f"base_rates.{cause}"),
        "own rate": own_rates(case.base_rates)[cause],
        "rate": base_rates("hot at speed", CAUSES).rates[cause] * 100.0,
        "probability": found.probability(cause),
        "lines": diagnosis_lines(found),
        "customer": customer_lines(found),
        "command line": diagnosis_json(found, UnitSystem.SI),
        "report": " ".join(" ".join(pages).replace("\ufffe", "-").split()),
        "checks": [value.key for value in found.next_checks],
        **on_screen(text, found, cause, made),
    }


def on_screen(text: CaseText, found: Diagnosis, cause: str, made: str) -> dict[str, Any]:
    """The form's field, the line in the dialog of base rates, and the card of the check."""
    app = QApplication([])
    path = f"base_rates.{cause}"
    form = FormPanel(Document(text), UnitSystem.SI)
    form.go_to(path)
    dialog = RatesDialog("hot at speed", {})
    card = CheckCard(Document(text))
    card.show_checks([one for one in offered_checks(found) if one.key == made][:1], "before", UnitSystem.SI)
    said = {
        "form": [name_of(path), by_name(form, name_of(path), QLineEdit).text()],
        "dialog": [dialog.lines[cause].line.accessibleName(), dialog.lines[cause].line.placeholderText()],
        "card": f"{card.how.text()} {card.tells.text()}",
    }
    form.close_form()
    app.processEvents()
    return said


if __name__ == "__main__":
    sys.stdout.write(json.dumps(told(*sys.argv[1:]), default=str))
