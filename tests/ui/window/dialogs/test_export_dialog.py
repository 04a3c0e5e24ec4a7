"""Exporting a report through the dialog: pages beside, a signed file, words where something is wrong."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pypdfium2
import pytest
from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QCheckBox, QComboBox, QLabel, QLineEdit, QPushButton
from widgets import by_name

from engcalc.case.file import parse_case
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.errors import Cancelled
from engcalc.studies.check import check
from engcalc.units import UnitSystem
from reports.build import Options, build
from reports.kinds import Annex, ReportKind
from reports.letterhead import ShopProfile
from reports.recorded import recorded
from reports.verification import VerifyAnswer
from reports.verifying import verify_report
from ui.command import papers
from ui.command.main import RESULT, main
from ui.document import Document
from ui.window.dialogs.export import ExportDialog, draft, in_groups, offered_place
from ui.window.dialogs.identity import IdentityDialog, free_place
from ui.window.dialogs.letterhead import LetterheadDialog
from ui.window.dialogs.preview import ENGINE, render
from ui.window.settings import Settings


@pytest.fixture
def dialog(qtbot, document, van_check, van_evidence, moment, tmp_path) -> ExportDialog:
    made = ExportDialog(document, van_check, UnitSystem.SI, now=lambda: moment, evidence=van_evidence)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    made.place.line.setText(str(tmp_path / "report.pdf"))
    yield made
    made.close()


def press(qtbot, dialog, words) -> None:
    button = next(b for b in dialog.findChildren(QPushButton) if b.text().replace("&", "") == words)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def export(qtbot, dialog) -> None:
    press(qtbot, dialog, "Export")
    qtbot.waitUntil(lambda: not dialog._background.busy, timeout=60_000)


def sign_with(qtbot, dialog, path, password) -> None:
    dialog.findChild(QCheckBox, "sign").setChecked(True)
    by_name(dialog, "Identity file", QLineEdit).setText(str(path))
    by_name(dialog, "Password of the identity", QLineEdit).setText(password)  # key clicks know ASCII only


def test_a_signed_report_is_written_intact_with_its_case(qtbot, dialog, identity_path, password, document, tmp_path):
    sign_with(qtbot, dialog, identity_path, password)
    export(qtbot, dialog)
    data = (tmp_path / "report.pdf").read_bytes()
    found = verify_report(data)
    assert found.outcome is VerifyAnswer.PASSED
    assert found.author.signer == "Åsa Lindqvist"
    assert found.author.signed_at == dialog._now()
    assert parse_case(verify_report(data).case_bytes) == document.text
    assert dialog.exported.sha256 == hashlib.sha256(data).hexdigest()
    assert in_groups(dialog.exported.sha256) in dialog.said.text()
    assert "Signed report" in dialog.said.text()
    pages = render(data)
    qtbot.waitUntil(lambda: dialog.preview._images == pages, timeout=60_000)  # the file itself, no draft of it


def test_without_a_signature_it_is_a_draft_and_says_so(qtbot, dialog, tmp_path):
    assert dialog.unsigned.isVisible()
    assert "DRAFT" in dialog.unsigned.text()
    export(qtbot, dialog)
    assert verify_report((tmp_path / "report.pdf").read_bytes()).outcome is VerifyAnswer.UNDETERMINED
    assert dialog.said.text().startswith("Draft")


def test_the_preview_shows_the_pages_of_the_file(qtbot, dialog, van_check, document, moment):
    dialog.causes.setChecked(False)
    qtbot.waitUntil(lambda: not dialog._previewing.busy, timeout=60_000)
    found = recorded(van_check.case, {})
    assert found is not None
    pdf = build(
        van_check, document.text, ReportKind.CUSTOMER, moment, Options(files_folder=document.folder, records=found)
    ).pdf  # as the command line makes it
    pages = render(pdf)
    assert dialog.preview.page_count == len(pages) > 1
    assert dialog.preview._images == pages
    assert by_name(dialog, f"Page 1 of {len(pages)}", QLabel).isVisible()


def test_another_kind_makes_other_pages(qtbot, dialog):
    qtbot.waitUntil(lambda: dialog.preview.page_count > 0, timeout=60_000)
    qtbot.waitUntil(lambda: not dialog._previewing.busy, timeout=60_000)
    before = list(dialog.preview._images)
    box = by_name(dialog, "Kind of report", QComboBox)
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Down)
    qtbot.waitUntil(lambda: dialog.preview._images != before, timeout=60_000)
    assert dialog.request().kind is ReportKind.SIZING


def test_an_anonymised_report_carries_neither_name_nor_registration(qtbot, dialog, document, tmp_path):
    dialog.anonymised.setChecked(True)
    export(qtbot, dialog)
    data = (tmp_path / "report.pdf").read_bytes()
    job = document.text.get("job")
    carried = verify_report(data).case_bytes.decode()
    with ENGINE, pypdfium2.PdfDocument(data) as document_written:  # the preview is being drawn beside this
        text = "".join(page.get_textpage().get_text_range() for page in document_written)
    for key in ("customer", "registration"):
        assert job[key] not in carried
        assert job[key] not in text


def test_a_wrong_password_is_said_beneath_it_and_nothing_is_written(qtbot, dialog, identity_path, password, tmp_path):
    sign_with(qtbot, dialog, identity_path, "not this one")
    export(qtbot, dialog)
    assert "does not open" in dialog.password.wrong.text()
    assert dialog.password.wrong.isVisible()
    assert list(tmp_path.iterdir()) == []
    sign_with(qtbot, dialog, identity_path, password)
    export(qtbot, dialog)
    assert dialog.exported.signed


def test_an_expired_identity_is_refused_in_words(
    qtbot, document, van_check, van_evidence, moment, identity_path, password, tmp_path
):
    dialog = ExportDialog(
        document,
        van_check,
        UnitSystem.SI,
        now=lambda: moment.replace(year=2036),
        identity=identity_path,
        evidence=van_evidence,
    )
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.place.line.setText(str(tmp_path / "x.pdf"))
    by_name(dialog, "Password of the identity", QLineEdit).setText(password)
    export(qtbot, dialog)
    assert "expired" in dialog.identity.wrong.text()
    assert not (tmp_path / "x.pdf").exists()
    dialog.close()


@pytest.mark.parametrize("what", ["identity", "place"])
def test_what_is_missing_is_asked_for(qtbot, dialog, what):
    dialog.findChild(QCheckBox, "sign").setChecked(what == "identity")
    getattr(dialog, what).line.clear()
    press(qtbot, dialog, "Export")
    assert getattr(dialog, what).wrong.isVisible()
    assert not dialog._background.busy


def test_a_place_that_cannot_be_written_is_said(qtbot, dialog, tmp_path):
    dialog.place.line.setText(str(tmp_path / "no" / "such" / "folder.pdf"))
    export(qtbot, dialog)
    assert "cannot be written" in dialog.place.wrong.text()


def test_a_missing_identity_is_said_at_its_own_line(qtbot, dialog, tmp_path):
    sign_with(qtbot, dialog, tmp_path / "gone.p12", "whatever")
    export(qtbot, dialog)
    assert "cannot be read" in dialog.identity.wrong.text()
    assert dialog.place.wrong.text() == ""


def test_the_name_gets_its_ending(qtbot, dialog, tmp_path):
    dialog.place.line.setText(str(tmp_path / "for the customer"))
    export(qtbot, dialog)
    assert (tmp_path / "for the customer.pdf").exists()


def test_the_file_is_opened_on_demand(qtbot, dialog, monkeypatch, tmp_path):
    opened = []
    monkeypatch.setattr(QDesktopServices, "openUrl", lambda url: opened.append(url) or True)
    assert not dialog.open_button.isEnabled()
    export(qtbot, dialog)
    press(qtbot, dialog, "Open the file")
    assert opened == [QUrl.fromLocalFile(str(tmp_path / "report.pdf"))]


def test_edits_made_meanwhile_do_not_reach_the_report(qtbot, dialog, document, tmp_path):
    """The dialog exports what was checked, even when the document behind it changes."""
    before = document.text
    document.edit("job.customer", "Somebody else")
    export(qtbot, dialog)
    assert parse_case(verify_report((tmp_path / "report.pdf").read_bytes()).case_bytes) == before


@pytest.mark.fresh
def test_closing_at_once_ends_all_work(qtbot, document, van_check, moment):
    dialog = ExportDialog(document, van_check, UnitSystem.SI, now=lambda: moment)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.close()
    assert dialog.preview.page_count == 0


def test_the_desktop_writes_the_pages_that_the_command_line_writes(
    qtbot, document, van_path, moment, tmp_path, monkeypatch
):
    case = document.resolve()
    found = check_with_records(case, {}).check  # as the window's worker makes it
    dialog = ExportDialog(document, found, UnitSystem.SI, now=lambda: moment)
    qtbot.addWidget(dialog)
    dialog.place.line.setText(str(tmp_path / "desktop.pdf"))
    dialog.annex.setCurrentIndex(dialog.annex.findData(Annex.FULL))
    dialog.causes.setChecked(False)
    dialog.export()
    qtbot.waitUntil(lambda: not dialog._background.busy, timeout=60_000)
    monkeypatch.setattr(papers, "now", lambda: moment)
    full = ["--annex", "full", "--no-causes"]
    assert main(["report", str(van_path), "-o", str(tmp_path / "command.pdf"), *full]) == RESULT
    desktop, command = (page_texts(tmp_path / name) for name in ("desktop.pdf", "command.pdf"))
    assert desktop == command
    assert any("The warm-up" in text for text in desktop)
    dialog.close()


def test_pages_that_nobody_waits_for_are_given_up(dialog):
    asked = dialog.request()
    with pytest.raises(Cancelled):
        draft(asked, asked.options, lambda: True)


# ---- what is chosen --------------------------------------------------------------------------------------------------


def test_a_complaint_has_its_causes_in_the_report_unless_they_are_not_wanted(qtbot, dialog, tmp_path):
    assert dialog.causes.isEnabled()
    assert dialog.causes.isChecked()
    export(qtbot, dialog)
    assert any("What may be behind it" in text for text in page_texts(tmp_path / "report.pdf"))
    dialog.causes.setChecked(False)
    export(qtbot, dialog)
    assert not any("What may be behind it" in text for text in page_texts(tmp_path / "report.pdf"))


def test_the_annex_is_chosen_and_follows_the_kind(qtbot, dialog, tmp_path):
    assert dialog.request().options.annex is Annex.SHORT
    dialog.annex.setCurrentIndex(dialog.annex.findData(Annex.NONE))
    export(qtbot, dialog)
    assert len(page_texts(tmp_path / "report.pdf")) == 2
    dialog.kind.setCurrentIndex(dialog.kind.findData(ReportKind.LESSON))
    assert dialog.request().options.annex is Annex.FULL
    dialog.kind.setCurrentIndex(dialog.kind.findData(ReportKind.SIZING))
    assert dialog.request().options.annex is Annex.SHORT


def test_the_annex_that_was_chosen_is_remembered_for_its_kind(qtbot, document, van_check, van_evidence, tmp_path, qapp):
    settings = Settings(tmp_path / "window.ini")
    settings.remember_annex("sizing", "an annex of another program")
    settings.remember_annex("customer", "none")
    made = ExportDialog(document, van_check, UnitSystem.SI, evidence=van_evidence, annexes=settings.annexes)
    qtbot.addWidget(made)
    made.annex_chosen.connect(settings.remember_annex)
    assert made.request().options.annex is Annex.NONE
    made.kind.setCurrentIndex(made.kind.findData(ReportKind.SIZING))
    assert made.request().options.annex is Annex.SHORT, "what is no annex counts as not chosen"
    made.annex.setCurrentIndex(made.annex.findData(Annex.FULL))
    made.annex.activated.emit(made.annex.currentIndex())
    made.kind.setCurrentIndex(made.kind.findData(ReportKind.CUSTOMER))
    assert made.request().options.annex is Annex.NONE
    assert settings.annexes == {"customer": "none", "sizing": "full"}
    made.close()


@pytest.mark.parametrize(
    ("reason", "kind"),
    [("sizing", ReportKind.SIZING), ("lesson", ReportKind.LESSON), ("no heat", ReportKind.CUSTOMER)],
)
def test_the_kind_follows_the_reason_for_the_visit(qtbot, document, moment, reason, kind):
    document.edit("job.reason", reason)
    made = check(document.resolve(), members=2)
    dialog = ExportDialog(document, made, UnitSystem.SI, now=lambda: moment)
    qtbot.addWidget(dialog)
    assert dialog.request().kind is kind
    assert dialog.causes.isChecked() is (kind is ReportKind.CUSTOMER)
    dialog.close()


def test_a_shop_named_once_heads_the_page_and_is_kept(qtbot, dialog, tmp_path):
    kept = []
    dialog.shop_changed.connect(kept.append)
    asked = LetterheadDialog(dialog.shop, dialog)
    asked.chosen.connect(dialog.take_letterhead)
    asked.name.line.setText("Example Workshop")
    asked.contact.setPlainText("1 Sample Lane")
    asked.logo.line.setText(str(tmp_path / "absent.png"))
    asked.save()
    assert "PNG or JPEG" in asked.logo.wrong.text()
    assert not kept
    asked.logo.line.clear()
    asked.save()
    assert kept == [ShopProfile("Example Workshop", "1 Sample Lane")]
    export(qtbot, dialog)
    first = page_texts(tmp_path / "report.pdf")[0]
    assert "Example Workshop" in first
    assert "1 Sample Lane" in first


def test_the_settings_keep_the_shop(tmp_path):
    logo = tmp_path / "logo.png"
    Settings(tmp_path / "window.ini").shop = ShopProfile("Example Workshop", "1 Sample Lane\n555", logo)
    assert Settings(tmp_path / "window.ini").shop == ShopProfile("Example Workshop", "1 Sample Lane\n555", logo)


@pytest.mark.parametrize("agreed", [True, False])
def test_over_a_signed_report_only_when_that_is_agreed_to(qtbot, dialog, signed_report, tmp_path, monkeypatch, agreed):
    there = (tmp_path / "report.pdf").write_bytes(signed_report.read_bytes())
    monkeypatch.setattr("ui.window.dialogs.export.says_yes", lambda *_: agreed)
    export(qtbot, dialog)
    assert (dialog.exported is not None) is agreed
    assert ((tmp_path / "report.pdf").stat().st_size == there) is not agreed


def test_never_over_the_case_itself(qtbot, dialog, document, tmp_path):
    case = tmp_path / "case.pdf"  # a case may have any name
    document.save(case)
    dialog._case_path = case
    dialog.place.line.setText(str(case))
    press(qtbot, dialog, "Export")
    assert "what the report is made from" in dialog.place.wrong.text()
    assert not dialog._background.busy


@pytest.mark.fresh
def test_working_out_the_causes_can_be_stopped(qtbot, document, van_check, moment, tmp_path):
    """Pages without them come at once; a bar tells how far the causes are, and the stop ends them."""
    dialog = ExportDialog(document, van_check, UnitSystem.SI, now=lambda: moment)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitUntil(lambda: dialog.preview.page_count > 0, timeout=60_000)
    qtbot.waitUntil(dialog.stop_button.isVisible, timeout=60_000)
    press(qtbot, dialog, "Stop")
    assert not dialog._previewing.busy
    assert not dialog.progress.isVisible()
    dialog.close()


def page_texts(path) -> list[str]:
    with ENGINE, pypdfium2.PdfDocument(path) as document:  # the preview may be drawn beside this
        return [page.get_textpage().get_text_range() for page in document]


def test_who_has_no_identity_yet_makes_one_from_here(qtbot, dialog, monkeypatch, tmp_path):
    """The name is the one typed on the paper; what is left is a credential and a password, and then its password."""
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    made = []

    def type_and_make(asked: IdentityDialog) -> int:
        assert asked.name.text == dialog._text.typed("job.prepared_by").strip()
        for entry, said in ((asked.name, "A. Technician"), (asked.credential, "Master technician")):
            entry.line.setText(said)
        for entry in (asked.password, asked.again):
            entry.line.setText("only-here-12345")
        asked.make()
        qtbot.waitUntil(lambda: not asked._background.busy, timeout=60_000)
        return 0

    monkeypatch.setattr(IdentityDialog, "exec", type_and_make)
    dialog.identity_made.connect(made.append)
    dialog.sign.setChecked(True)
    assert dialog.make_identity.isVisible()
    qtbot.mouseClick(dialog.make_identity, Qt.MouseButton.LeftButton)
    assert made == [tmp_path / "signing-identity.p12"]
    assert dialog.identity.path == made[0]
    assert not dialog.make_identity.isVisible()
    assert dialog.focusWidget() is dialog.password.line


def test_another_identity_gets_a_file_of_its_own(tmp_path):
    assert free_place(tmp_path) == tmp_path / "signing-identity.p12"
    free_place(tmp_path).touch()
    assert free_place(tmp_path) == tmp_path / "signing-identity-2.p12"


def test_a_case_that_nobody_saved_is_not_offered_the_paper_of_the_one_before(tmp_path, monkeypatch, document):
    monkeypatch.setenv("HOME", str(tmp_path))
    assert offered_place(Document()) == tmp_path / "report.pdf"
    (tmp_path / "report.pdf").touch()
    assert offered_place(Document()) == tmp_path / "report-2.pdf"
    saved = tmp_path / "jobs" / "van.heatcase.json"
    saved.parent.mkdir()
    saved.write_bytes(document.path.read_bytes())
    assert offered_place(Document.read(saved)) == saved.parent / "van.pdf", "its own is made anew in its place"
