"""An instructor's afternoon through the window: a class's table pasted, what it shows, a signed lesson on paper.

The rig is invented: water to water through a coil in counterflow. Its temperatures follow from 1/UA = 0.9 K/kW + 0.55
K/kW (kg/s)^0.8 m_hot^-0.8 and 4,180 J/(kg K), to a tenth of a kelvin.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from poppler import printed_text
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLabel, QLineEdit, QPushButton
from widgets import by_name

from reports.kinds import ReportKind
from reports.verification import VerifyAnswer
from reports.verifying import verify_report
from ui.window.dialogs.export import ExportDialog
from ui.window.dialogs.identity import IdentityDialog
from ui.window.start_page import WayIn
from ui.window.views.bench.view import BenchView
from ui.window.views.paper.view import PaperView
from ui.window.worker import ThreadExecutor

HEAD = (
    "group",
    "hot flow [kg/s]",
    "cold flow [kg/s]",
    "hot in [degC]",
    "hot out [degC]",
    "cold in [degC]",
    "cold out [degC]",
)
ROWS = (
    ("A", "0.06", "0.1", "62.0", "41.5", "14.0", "26.3"),
    ("A", "0.09", "0.1", "61.5", "44.0", "14.0", "29.8"),
    ("A", "0.12", "0.1", "61.2", "45.8", "14.0", "32.5"),
    ("B", "0.075", "0.1", "62.4", "43.4", "14.3", "28.6"),
    ("B", "0.105", "0.1", "60.9", "44.7", "14.3", "31.3"),
    ("B", "0.15", "0.1", "61.0", "47.3", "14.3", "34.9"),
)
SETTINGS = {
    "job.title": "Coil in a tank, water to water",
    "job.reason": "lesson",
    "hot_stream.fluid": "water",
    "hot_stream.flow_uncertainty": "1 %",
    "hot_stream.temperature_uncertainty": "0.1 K",
    "cold_stream.fluid": "water",
    "cold_stream.flow_uncertainty": "1 %",
    "cold_stream.temperature_uncertainty": "0.1 K",
    "exchanger.arrangement": "counterflow",
    "exchanger.area": "0.24 m2",
}
PASSWORD = "only-here-12345"  # letters that a test can type by key
VEHICLE = re.compile(r"\b(vehicle|engine(?! oil)|radiator|cabin|thermostat|workshop)\w*", re.IGNORECASE)


def press(qtbot, widget, words: str) -> None:
    button = next(b for b in widget.findChildren(QPushButton) if b.text().replace("&", "") == words)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


@pytest.fixture
def lesson(make_window, qtbot):
    """A window whose lesson holds the pasted table."""
    window = make_window(executor=ThreadExecutor())
    window.start(WayIn.LESSON)
    for path, typed in SETTINGS.items():
        window.document.edit(path, typed)
    window.workspace.stage.show_view("Bench")
    view = window.findChild(BenchView)
    assert isinstance(view, BenchView)
    view.table.setPlainText("\n".join("\t".join(row) for row in (HEAD, *ROWS)))
    press(qtbot, view, "Take these points")
    assert window.document.faults == ()
    qtbot.waitUntil(lambda: window.workspace.current_check() is not None and not window.checker.busy, timeout=20_000)
    yield window
    window.close()


def made_by_hand(qtbot, place: Path):
    """What a person does in the dialog for a new identity."""

    def drive(dialog: IdentityDialog) -> None:
        dialog.show()
        for name, typed in (
            ("Name", "Ines Okafor"),
            ("Credential", "Laboratory of heat and flow"),
            ("Password", PASSWORD),
            ("Password again", PASSWORD),
            ("Identity file to make", str(place)),
        ):
            type_over(qtbot, by_name(dialog, name, QLineEdit), typed)
        press(qtbot, dialog, "Make the identity")
        qtbot.waitUntil(lambda: not dialog._background.busy, timeout=60_000)
        press(qtbot, dialog, "Close")

    return drive


def exported_by_hand(qtbot, place: Path):
    """What a person does in the export dialog: sign, make an identity first, export."""

    def drive(dialog: ExportDialog) -> None:
        dialog.show()
        assert dialog.kind.currentData() == ReportKind.LESSON
        dialog.findChild(QCheckBox, "sign").click()
        press(qtbot, dialog, "None yet: make one…")
        type_over(qtbot, by_name(dialog, "Password of the identity", QLineEdit), PASSWORD)
        type_over(qtbot, by_name(dialog, "Report file", QLineEdit), str(place))
        press(qtbot, dialog, "Export")
        qtbot.waitUntil(lambda: not dialog._background.busy and not dialog._previewing.busy, timeout=120_000)
        assert dialog.said.text().startswith("Signed report"), dialog.wrong.text()
        press(qtbot, dialog, "Close")

    return drive


def type_over(qtbot, line: QLineEdit, typed: str) -> None:
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, typed)


def test_a_pasted_rig_becomes_a_signed_lesson(lesson, qtbot, tmp_path, monkeypatch):
    """From the table to the signed paper in the window alone, every dialog driven by its own buttons."""
    check = lesson.workspace.current_check()
    assert check.bench is not None
    assert len(check.bench.points) == len(ROWS)
    fit = check.bench.fit
    assert fit is not None
    assert fit.rest == pytest.approx(0.9e-3, rel=0.05)  # tenths of a kelvin leave some 2 % in each conductance
    assert fit.slope == pytest.approx(0.55e-3, rel=0.05)
    labels = [label.text() for label in lesson.findChildren(QLabel) if label.isVisible()]
    assert [text for text in labels if text.endswith("Why the vehicle is here")] == []
    path = tmp_path / "lesson.pdf"
    monkeypatch.setattr(IdentityDialog, "exec", made_by_hand(qtbot, tmp_path / "ines.p12"))
    monkeypatch.setattr(ExportDialog, "exec", exported_by_hand(qtbot, path))
    lesson.workspace.open_step("paper")
    press(qtbot, lesson.findChild(PaperView), "Export...")
    assert lesson.settings.identity == tmp_path / "ines.p12"
    found = verify_report(path.read_bytes())
    assert found.outcome is VerifyAnswer.PASSED
    text = printed_text(path)
    assert "Ines Okafor" in text
    assert "Wilson plot" in text
    assert "Film coefficient" in text
    assert sorted({found.group().casefold() for found in VEHICLE.finditer(text)}) == []
