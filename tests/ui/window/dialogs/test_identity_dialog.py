"""Making a signing identity and bringing one, through the dialog's own fields."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QLineEdit, QPushButton
from widgets import by_name

from reports.identity import load_identity
from ui.window.dialogs.identity import IdentityDialog

pytestmark = pytest.mark.usefixtures("few_rounds")

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def dialog(qtbot) -> IdentityDialog:
    made = IdentityDialog(now=lambda: NOW)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.close()


def type_in(qtbot, dialog, **fields) -> None:
    names = {
        "name": "Name",
        "credential": "Credential",
        "password": "Password",
        "again": "Password again",
        "place": "Identity file to make",
        "file": "Identity file to open",
        "file_password": "Password of the identity file",
    }
    for field, text in fields.items():
        line = by_name(dialog, names[field], QLineEdit)
        line.clear()
        if text.isascii():
            qtbot.keyClicks(line, text)
        else:
            line.setText(text)  # key clicks know ASCII only


def press(qtbot, dialog, words) -> None:
    button = next(b for b in dialog.findChildren(QPushButton) if b.text().replace("&", "") == words)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def complaints(dialog) -> list[str]:
    return [
        label.text() for label in dialog.findChildren(QLabel) if label.property("tone") == "error" and label.isVisible()
    ]


def test_an_identity_is_made_shown_and_can_be_opened(qtbot, dialog, tmp_path):
    type_in(
        qtbot,
        dialog,
        name="Ann Field",
        credential="Master technician",
        password="a long one",
        again="a long one",
        place=str(tmp_path / "ann"),
    )
    with qtbot.waitSignal(dialog.ready) as told:
        press(qtbot, dialog, "Make the identity")
    path = tmp_path / "ann.p12"
    assert told.args == [path]
    found = load_identity(path, "a long one")
    assert (found.name, found.credential) == ("Ann Field", "Master technician")
    assert found.not_before == NOW
    shown = dialog.shown.fingerprint.text()
    assert shown == found.fingerprint
    texts = " ".join(label.text() for label in dialog.shown.findChildren(QLabel))
    assert "stated by the signer" in texts
    assert "vouched for by nobody else" in texts
    assert "by telephone or in person" in texts
    assert complaints(dialog) == []


def test_no_password_stays_on_the_screen(qtbot, dialog, tmp_path):
    type_in(
        qtbot,
        dialog,
        name="Ann",
        credential="Technician",
        password="a long one",
        again="a long one",
        place=str(tmp_path / "ann.p12"),
    )
    line = by_name(dialog, "Password", QLineEdit)
    assert line.echoMode() is QLineEdit.EchoMode.Password
    with qtbot.waitSignal(dialog.ready):
        press(qtbot, dialog, "Make the identity")
    assert line.text() == by_name(dialog, "Password again", QLineEdit).text() == ""


def test_everything_that_is_wrong_is_said_beneath_its_line(qtbot, dialog, tmp_path):
    type_in(qtbot, dialog, password="short", again="short", place=str(tmp_path / "x.p12"))
    press(qtbot, dialog, "Make the identity")
    qtbot.waitUntil(lambda: len(complaints(dialog)) == 3)
    assert dialog.name.wrong.text() == "type your name as the report is to show it"
    assert dialog.credential.wrong.text().startswith("type what you are, such as: Master technician")
    assert "at least 8" in dialog.password.wrong.text()
    type_in(qtbot, dialog, name="Ann")
    assert not dialog.name.wrong.isVisible()
    assert list(tmp_path.iterdir()) == []


def test_two_different_passwords_and_no_place_are_faults(qtbot, dialog):
    dialog.place.line.clear()  # a place is proposed
    type_in(qtbot, dialog, name="Ann", credential="T", password="a long one", again="another one")
    press(qtbot, dialog, "Make the identity")
    assert dialog.again.wrong.text() == "the two passwords differ"
    assert dialog.place.wrong.text() == "say where to keep it"


def test_an_existing_file_is_not_replaced(qtbot, dialog, tmp_path):
    path = tmp_path / "ann.p12"
    path.write_bytes(b"dear to me")
    type_in(qtbot, dialog, name="Ann", credential="T", password="a long one", again="a long one", place=str(path))
    press(qtbot, dialog, "Make the identity")
    qtbot.waitUntil(lambda: "exists already" in dialog.place.wrong.text())
    assert path.read_bytes() == b"dear to me"


def test_an_identity_is_brought(qtbot, dialog, tmp_path, identity_path, password):
    dialog.tabs.setCurrentIndex(1)
    type_in(qtbot, dialog, file=str(identity_path), file_password="not this one")
    press(qtbot, dialog, "Open the identity")
    qtbot.waitUntil(lambda: "does not open" in dialog.brought_password.wrong.text())
    assert dialog.identity is None
    type_in(qtbot, dialog, file_password=password)
    with qtbot.waitSignal(dialog.ready):
        press(qtbot, dialog, "Open the identity")
    assert dialog.identity.name == "Åsa Lindqvist"
    assert dialog.shown.isVisible()


@pytest.mark.parametrize(("content", "words"), [(None, "cannot be read"), (b"no identity", "not an identity file")])
def test_a_file_that_is_no_identity_is_refused_in_words(qtbot, dialog, tmp_path, content, words):
    path = tmp_path / "x.p12"
    if content is not None:
        path.write_bytes(content)
    dialog.tabs.setCurrentIndex(1)
    type_in(qtbot, dialog, file=str(path), file_password="a long one")
    press(qtbot, dialog, "Open the identity")
    qtbot.waitUntil(lambda: words in dialog.brought.wrong.text())


def test_closing_while_it_works_waits_for_the_end(qtbot, dialog, tmp_path):
    path = tmp_path / "ann.p12"
    type_in(qtbot, dialog, name="Ann", credential="T", password="a long one", again="a long one", place=str(path))
    press(qtbot, dialog, "Make the identity")
    dialog.reject()
    assert not path.exists() or load_identity(path, "a long one").name == "Ann"
    assert dialog.identity is None


def test_while_a_key_is_made_the_dialog_says_so(qtbot, dialog, tmp_path):
    """It took five seconds without a word."""
    assert not dialog.busy_words.isVisible()
    type_in(
        qtbot, dialog, name="Ann", credential="T", password="a long one", again="a long one", place=str(tmp_path / "a")
    )
    with qtbot.waitSignal(dialog.ready):
        press(qtbot, dialog, "Make the identity")
        assert dialog.busy_words.isVisible()
    assert not dialog.busy_words.isVisible()
