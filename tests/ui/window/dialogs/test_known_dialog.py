"""Whom a user knows, in the window: a signer taken up, a folder checked, issuers added and forgotten."""

from __future__ import annotations

import shutil

import pytest
from cryptography.hazmat.primitives.serialization import Encoding
from own_authority import OwnAuthority
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QLineEdit, QPushButton
from soft_token import PIN, soft_token
from widgets import by_name

from engcalc.words.texts import dialog_texts
from reports.identity import load_identity, make_identity
from ui.trusting import change_known, known_to_user
from ui.window.dialogs.identity import IdentityDialog
from ui.window.dialogs.known import KnownDialog
from ui.window.dialogs.verify import VerifyDialog


@pytest.fixture(autouse=True)
def a_list_of_its_own(monkeypatch, tmp_path, few_rounds):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


@pytest.fixture
def shown(qtbot):
    made = []

    def show(dialog):
        qtbot.addWidget(dialog)
        dialog.show()
        qtbot.waitExposed(dialog)
        made.append(dialog)
        return dialog

    yield show
    for dialog in made:
        dialog.close()


def press(qtbot, dialog, words) -> None:
    button = next(b for b in dialog.findChildren(QPushButton) if b.text().replace("&", "") == words)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def check(qtbot, dialog, path) -> str:
    by_name(dialog, "Report to check", QLineEdit).setText(str(path))
    press(qtbot, dialog, "Check")
    qtbot.waitUntil(lambda: not dialog._background.busy, timeout=60_000)
    return "\n".join(label.text() for label in dialog.summary)


def test_a_signer_is_known_only_by_the_right_fingerprint(qtbot, shown, signed_report):
    dialog = shown(VerifyDialog())
    assert "Known to you" not in check(qtbot, dialog, signed_report)
    assert dialog.knowing.isVisible()
    by_name(dialog, "Fingerprint from the signer", QLineEdit).setText("0" * 64)
    press(qtbot, dialog, "Know this signer")
    qtbot.waitUntil(lambda: not dialog.knowing._background.busy)
    assert "not from the person who gave it to you" in dialog.knowing.fingerprint.wrong.text()
    assert known_to_user().persons == ()
    by_name(dialog, "Fingerprint from the signer", QLineEdit).setText(dialog.found.author.fingerprint)
    press(qtbot, dialog, "Know this signer")
    qtbot.waitUntil(lambda: not dialog.knowing._background.busy and not dialog._background.busy)
    assert any(label.text().startswith("Known to you since") for label in dialog.summary)
    assert not dialog.knowing.isVisible()


def test_a_folder_is_checked_whole_under_the_sign_of_the_worst(qtbot, shown, signed_report, tmp_path):
    folder = tmp_path / "reports"
    folder.mkdir()
    shutil.copy(signed_report, folder / "a.pdf")
    dialog = shown(VerifyDialog())
    assert check(qtbot, dialog, folder).startswith("1 reports: 1 intact.\nintact: ")
    assert dialog.outcome.text() == "Intact"
    (folder / "b.pdf").write_bytes(signed_report.read_bytes().replace(b"/Producer", b"/Producex", 1))
    assert check(qtbot, dialog, folder).startswith("2 reports: 1 broken, 1 intact.")
    assert dialog.outcome.text() == "Broken"
    assert not dialog.knowing.isVisible()


def test_issuers_and_clocks_are_added_and_forgotten(qtbot, shown, identity_path, password, monkeypatch, tmp_path):
    root = tmp_path / "root.pem"
    root.write_bytes(load_identity(identity_path, password).certificate.public_bytes(Encoding.PEM))
    dialog = shown(KnownDialog())
    assert dialog.list.item(0).text() == dialog_texts.NOBODY_IS_KNOWN_YET
    assert not dialog.forget_button.isEnabled()
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(root), ""))
    press(qtbot, dialog, "Add an issuer…")
    press(qtbot, dialog, "Add a clock…")
    assert [dialog.list.item(at).text().partition(":")[0] for at in (0, 1)] == ["Issuer, names", "Clock, times"]
    dialog.list.setCurrentRow(0)
    press(qtbot, dialog, "Forget")
    assert known_to_user().issuers == known_to_user().clocks == ()
    root.write_bytes(b"no certificate")
    press(qtbot, dialog, "Add an issuer…")
    assert "no certificate" in dialog.said.text()


def test_a_damaged_list_is_told(qtbot, shown, tmp_path):
    change_known(lambda store: store)
    (tmp_path / "config" / "heatdocket" / "trust" / "known.json").write_text("{", encoding="utf-8")
    assert "damaged" in shown(KnownDialog()).said.text()


def test_an_identity_is_renewed_and_locked_anew(qtbot, shown, tmp_path, moment):
    path = tmp_path / "me.p12"
    old = make_identity(path, "B. Builder", "invented", "a password", moment)
    dialog = shown(IdentityDialog(now=lambda: moment.replace(year=2028)))
    dialog.tabs.setCurrentIndex(1)
    by_name(dialog, "Identity file to open", QLineEdit).setText(str(path))
    by_name(dialog, "Password of the identity file", QLineEdit).setText("a password")
    press(qtbot, dialog, "Renew it")
    qtbot.waitUntil(lambda: not dialog._background.busy)
    renewed = load_identity(path, "a password")
    assert (renewed.not_after.year, dialog.identity.fingerprint) == (2031, renewed.fingerprint)
    assert known_to_user().own[0].fingerprint == renewed.fingerprint != old.fingerprint
    by_name(dialog, "Password of the identity file", QLineEdit).setText("a password")
    by_name(dialog, "New password", QLineEdit).setText("another password")
    press(qtbot, dialog, "Change the password")
    assert dialog.new_again.wrong.text() == "the two passwords differ"
    by_name(dialog, "New password again", QLineEdit).setText("another password")
    press(qtbot, dialog, "Change the password")
    qtbot.waitUntil(lambda: not dialog._background.busy)
    assert load_identity(path, "another password").fingerprint == renewed.fingerprint
    assert dialog.new_password.text == ""


def test_a_token_is_taken_and_its_faults_stand_beneath_their_lines(qtbot, shown, tmp_path, moment):
    token, issuer = soft_token(), OwnAuthority(moment, "http://127.0.0.1:9/")
    identity = issuer.identity("T. Token")
    token.hold(identity.key, [identity.certificate])
    dialog = shown(IdentityDialog(now=lambda: moment))
    dialog.tabs.setCurrentIndex(2)
    by_name(dialog, "Library of the token", QLineEdit).setText(str(token.module))
    press(qtbot, dialog, "Take the token")
    assert dialog.token_place.wrong.text() == "say which file"
    dialog.token_place.line.setText(str(tmp_path / "me"))
    for pin, wrong in (("000000", "the token refuses this PIN; it locks itself after a few wrong ones"), (PIN, "")):
        dialog.pin.line.setText(pin)
        press(qtbot, dialog, "Take the token")
        qtbot.waitUntil(lambda: not dialog._background.busy)
        assert dialog.pin.wrong.text() == wrong
    assert dialog.identity_path == tmp_path / "me.token.json"
    assert dialog.shown.fingerprint.text() == identity.fingerprint
    assert load_identity(dialog.identity_path, PIN).fingerprint == identity.fingerprint
    assert dialog.pin.text == ""
