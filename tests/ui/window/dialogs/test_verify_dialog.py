"""Checking a report through the dialog: intact, broken, could not tell, and the case out of it."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import QMimeData, QPoint, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QLineEdit, QPushButton
from reportlab.pdfgen.canvas import Canvas
from widgets import by_name

from reports.identity import load_identity
from reports.signing import CarriedFile, PageBox, Stamp, attach_case, attach_files, sign_report
from reports.verification import VerifyAnswer
from reports.verifying import verify_report
from ui.window.dialogs.verify import VerifyDialog


@pytest.fixture
def dialog(qtbot) -> VerifyDialog:
    made = VerifyDialog()
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.close()


def press(qtbot, dialog, words) -> None:
    button = next(b for b in dialog.findChildren(QPushButton) if b.text().replace("&", "") == words)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def check(qtbot, dialog, path) -> None:
    line = by_name(dialog, "Report to check", QLineEdit)
    line.clear()
    qtbot.keyClicks(line, str(path))
    press(qtbot, dialog, "Check")
    qtbot.waitUntil(lambda: not dialog._background.busy, timeout=60_000)


def told(dialog) -> str:
    return " ".join(label.text() for label in dialog.summary)


def test_an_intact_report_says_who_signed_and_what_that_is_worth(qtbot, dialog, signed_report):
    check(qtbot, dialog, signed_report)
    assert dialog.outcome.text() == "Intact"
    assert dialog.outcome.accessibleName() == "Outcome: Intact"
    for words in (
        "Åsa Lindqvist",
        "Master technician, licence 1234",
        "stated by the signer",
        "made this identity",
        "not vouched for by others",
        "by telephone or in person",
        dialog.found.author.fingerprint,
    ):
        assert words in told(dialog)


def test_one_changed_byte_is_told_as_broken(qtbot, dialog, signed_report, tmp_path):
    data = bytearray(signed_report.read_bytes())
    data[len(data) // 3] ^= 1
    broken = tmp_path / "broken.pdf"
    broken.write_bytes(data)
    check(qtbot, dialog, broken)
    assert dialog.found.outcome is VerifyAnswer.FAILED
    assert dialog.outcome.text() == "Broken"
    assert "Do not rely on it" in told(dialog)


def test_what_is_no_report_could_not_be_told(qtbot, dialog, tmp_path):
    text = tmp_path / "notes.pdf"
    text.write_text("shopping list")
    check(qtbot, dialog, text)
    assert dialog.outcome.text() == "Could not tell"
    assert not dialog.case_place.isVisible()


def test_outcomes_differ_in_shape_and_word_not_only_in_colour(qtbot, dialog, signed_report, tmp_path):
    seen = set()
    other = tmp_path / "x.pdf"
    other.write_text("x")
    for path in (signed_report, other):
        check(qtbot, dialog, path)
        seen.add((dialog._sign.text(), dialog.outcome.text()))
    assert len({shape for shape, _ in seen}) == len({word for _, word in seen}) == 2


def test_a_missing_file_is_said_beneath_the_line(qtbot, dialog, tmp_path):
    check(qtbot, dialog, tmp_path / "nowhere.pdf")
    assert "cannot be read" in dialog.report.wrong.text()
    assert dialog.said.text() == ""
    by_name(dialog, "Report to check", QLineEdit).clear()
    press(qtbot, dialog, "Check")
    assert dialog.report.wrong.text() == "say which report"


def test_the_case_comes_out_byte_for_byte(qtbot, dialog, signed_report, tmp_path):
    check(qtbot, dialog, signed_report)
    place = tmp_path / "out.heatcase.json"
    dialog.case_place.line.setText(str(place))
    press(qtbot, dialog, "Save the case")
    assert place.read_bytes() == verify_report(signed_report.read_bytes()).case_bytes
    press(qtbot, dialog, "Save the case")
    assert "exists already" in dialog.case_place.wrong.text()


def test_the_saved_case_can_be_opened(qtbot, dialog, signed_report, tmp_path):
    check(qtbot, dialog, signed_report)
    place = tmp_path / "out.heatcase.json"
    dialog.case_place.line.setText(str(place))
    with qtbot.waitSignal(dialog.open_wanted) as wanted:
        press(qtbot, dialog, "Save and open it")
    assert wanted.args == [place]
    assert place.exists()
    assert not dialog.isVisible()


def test_a_report_may_be_dropped(qtbot, dialog, signed_report):
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(signed_report))])
    dialog.dropEvent(
        QDropEvent(
            QPoint(5, 5), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        )
    )
    qtbot.waitUntil(lambda: dialog.found is not None, timeout=60_000)
    assert dialog.found.outcome is VerifyAnswer.PASSED


def test_a_second_report_takes_the_place_of_the_first(qtbot, dialog, signed_report, tmp_path):
    check(qtbot, dialog, signed_report)
    other = tmp_path / "x.pdf"
    other.write_text("x")
    check(qtbot, dialog, other)
    assert "Åsa Lindqvist" not in told(dialog)


def test_an_intact_report_is_countersigned_and_checked_again(
    qtbot, dialog, signed_report, identity_path, password, tmp_path
):
    check(qtbot, dialog, signed_report)
    part = dialog.countersigning
    assert part.isVisible()
    press(qtbot, dialog, "Countersign")
    assert part.identity.wrong.isVisible()
    part.identity.line.setText(str(identity_path))
    qtbot.keyClicks(part.password.line, "wrong")
    part.place.line.setText(str(tmp_path / "both.pdf"))
    press(qtbot, dialog, "Countersign")
    qtbot.waitUntil(part.password.wrong.isVisible, timeout=60_000)
    assert not (tmp_path / "both.pdf").exists()
    part.password.line.setText(password)
    press(qtbot, dialog, "Countersign")
    qtbot.waitUntil(lambda: dialog.found is not None and len(dialog.found.signatures) == 2, timeout=60_000)
    assert dialog.outcome.text() == "Intact"
    assert part.isHidden(), "there is one field for a reviewer"
    found = verify_report((tmp_path / "both.pdf").read_bytes())
    assert [one.field for one in found.signatures] == ["Author", "Reviewer"]
    assert verify_report(signed_report.read_bytes()).case_bytes == found.case_bytes


def test_what_is_broken_is_not_offered_for_countersigning(qtbot, dialog, signed_report, tmp_path):
    data = bytearray(signed_report.read_bytes())
    data[len(data) // 3] ^= 1
    broken = tmp_path / "broken.pdf"
    broken.write_bytes(data)
    check(qtbot, dialog, broken)
    assert dialog.countersigning.isHidden()


def test_the_case_of_a_broken_report_is_saved_only_when_that_is_said(qtbot, dialog, signed_report, tmp_path):
    data = bytearray(signed_report.read_bytes())
    data[data.index(b"/Type /Page") + 1] ^= 1
    broken = tmp_path / "broken.pdf"
    broken.write_bytes(bytes(data))
    check(qtbot, dialog, signed_report)
    assert (dialog.anyway.isVisible(), dialog.save_button.isEnabled()) == (False, True)
    check(qtbot, dialog, broken)
    assert dialog.found.case_bytes is not None
    assert (dialog.anyway.isVisible(), dialog.save_button.isEnabled(), dialog.open_button.isEnabled()) == (
        True,
        False,
        False,
    )
    dialog.anyway.setChecked(True)
    assert dialog.save_button.isEnabled()
    assert dialog.open_button.isEnabled()


def test_logs_and_tables_come_out_with_the_case(qtbot, dialog, identity_path, password, tmp_path):
    draft = tmp_path / "draft.pdf"
    canvas = Canvas(str(draft))
    canvas.drawString(72, 720, "one page")
    canvas.save()
    carried = attach_case(draft.read_bytes(), b'{"format": "heatdocket-case/1"}')
    carried = attach_files(carried, [CarriedFile("logs/drive.csv", b"time,coolant\n")])
    signer = load_identity(identity_path, password)
    moment = signer.not_before + timedelta(days=1)
    (tmp_path / "r.pdf").write_bytes(sign_report(carried, signer, Stamp(PageBox(0, (60, 60, 290, 130)), "HD"), moment))
    check(qtbot, dialog, tmp_path / "r.pdf")
    (tmp_path / "out").mkdir()
    dialog.case_place.line.setText(str(tmp_path / "out" / "a.heatcase.json"))
    press(qtbot, dialog, "Save the case")
    assert (tmp_path / "out" / "logs" / "drive.csv").read_bytes() == b"time,coolant\n"
    dialog.case_place.line.setText(str(tmp_path / "out" / "b.heatcase.json"))
    press(qtbot, dialog, "Save the case")
    assert "drive.csv goes with it and exists there already" in dialog.case_place.wrong.text()
    assert not (tmp_path / "out" / "b.heatcase.json").exists()
