"""What the dialogs share: labelled fields with a place for what is wrong beneath, a file's place, words that wrap."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import (
    QFileDialog,
    QLabel,
    QLineEdit,
    QPushButton,
    QWidget,
)

from engcalc.errors import InputError
from engcalc.words.answer.input_words import fault_words
from ui.window.accessible import tie
from ui.window.dialogs.background import in_words
from ui.window.paragraph import paragraph
from ui.window.plain import plain_label, tip
from ui.window.rhythm import Gap, Type, em, sideways, sized, upright


def words(text: str = "", tone: str = "", *, fixed: bool = False) -> QLabel:
    """A label that wraps and can be copied from; ``fixed`` sets letters of one width, as for a fingerprint."""
    label = paragraph(tone=tone, text=text)
    if fixed:
        font = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
        label.setFont(sized(font, Type.TEXT))
    return label


def button(text: str, name: str = "", *, main: bool = False) -> QPushButton:
    """A push button; the ``main`` one of a dialog answers the return key."""
    made = QPushButton(text)
    made.setAutoDefault(main)
    made.setDefault(main)
    if main:
        made.setProperty("tone", "main")
    if name:
        made.setAccessibleName(name)
    return made


def size(dialog: QWidget, wide: int, high: int) -> None:
    """So many lines of text wide and high, but no larger than the screen."""
    room = dialog.screen().availableGeometry().size()
    dialog.resize(min(wide * em(), room.width()), min(high * em(), room.height() - 2 * em()))


def right(*widgets: QWidget) -> QWidget:
    """Widgets beside one another, at the right."""
    row = QWidget()
    layout = sideways(row)
    layout.addStretch(1)
    for widget in widgets:
        layout.addWidget(widget)
    return row


class LabelledLine(QWidget):
    """A label above a line to type in, and beneath it what is wrong with what was typed."""

    def __init__(self, label: str, name: str = "", help_text: str = "") -> None:
        super().__init__()
        self.line = QLineEdit()
        head = plain_label(label)
        tie(head, self.line, name or label.replace("&", ""), help_text)
        self.line.setToolTip(tip(help_text))
        self.wrong = words(tone="error")
        self.wrong.hide()
        self.row = sideways()
        self.row.addWidget(self.line, 1)
        layout = upright(self, between=Gap.HALF)
        layout.addWidget(head)
        layout.addLayout(self.row)
        layout.addWidget(self.wrong)
        self.line.textChanged.connect(lambda: self.say(""))

    @property
    def text(self) -> str:
        """What stands typed."""
        return self.line.text()

    def hide_letters(self) -> None:
        """Show dots, as for a password."""
        self.line.setEchoMode(QLineEdit.EchoMode.Password)

    def say(self, wrong: str) -> None:
        """Say beneath the line what is wrong; the empty text takes that back."""
        self.wrong.setText(wrong)
        self.wrong.setVisible(bool(wrong))
        self.line.setProperty("wrong", "true" if wrong else "false")
        self.line.style().unpolish(self.line)
        self.line.style().polish(self.line)


class PlaceEntry(LabelledLine):
    """A file's place: typed, or chosen with the button beside it."""

    def __init__(self, label: str, ask: Callable[[QWidget, str], str], name: str = "", help_text: str = "") -> None:
        super().__init__(label, name, help_text)
        self._ask = ask
        choose = button("Choose…", f"Choose: {name or label.replace('&', '')}")
        choose.clicked.connect(self._choose)
        self.row.addWidget(choose)

    @property
    def path(self) -> Path | None:
        """The place typed or chosen; None when the line is empty."""
        typed = self.text.strip()
        return Path(typed).expanduser() if typed else None

    def _choose(self) -> None:
        chosen = self._ask(self, self.text)
        if chosen:
            self.line.setText(chosen)


def ask_open(title: str, kinds: str) -> Callable[[QWidget, str], str]:
    """A question for a file that exists."""
    return lambda parent, now: QFileDialog.getOpenFileName(parent, title, now, kinds)[0]


def ask_save(title: str, kinds: str) -> Callable[[QWidget, str], str]:
    """A question for a place to write to."""
    return lambda parent, now: QFileDialog.getSaveFileName(parent, title, now, kinds)[0]


def say_faults(error: Exception, entries: dict[str, LabelledLine], otherwise: QLabel) -> None:
    """Put each fault beneath the line it belongs to, by field path; what belongs to none goes to ``otherwise``."""
    left = []
    if isinstance(error, InputError):
        for fault in error.faults:
            entry = entries.get(fault.path)
            if entry is None:
                left.append(fault_words(fault))
            else:
                entry.say(f"{fault.given!r}: {fault.wanted}" if fault.given else fault.wanted)
    else:
        left = [in_words(error)]
    otherwise.setText("\n".join(left))
    otherwise.setVisible(bool(left))
