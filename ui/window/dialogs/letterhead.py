"""The shop's letterhead: name, contact and logo, typed once and kept."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPlainTextEdit, QWidget

from engcalc.errors import InputError
from engcalc.words.page.paper_words import LETTERHEAD_INTRO
from engcalc.words.texts import dialog_texts
from reports.letterhead import ShopProfile, letterhead_of
from ui.window.accessible import tie
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, say_faults, size, words
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_DIALOG, em, upright


class LetterheadDialog(QDialog):
    """Asks for a shop's profile. ``chosen`` tells one that can be drawn; an empty one takes the letterhead away."""

    chosen = Signal(object)

    def __init__(self, profile: ShopProfile, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Letterhead")
        self.name = LabelledLine(dialog_texts.NAME_OF_THE_SHOP_WITH_KEY)
        self.name.line.setText(profile.name)
        self.contact = QPlainTextEdit(profile.contact)
        self.contact.setTabChangesFocus(True)
        self.contact.setFixedHeight(5 * em())
        self.logo = PlaceEntry(
            "&Logo", ask_open("Logo", dialog_texts.PICTURES_PNG_JPG_JPEG_ALL_FILES), help_text=dialog_texts.LOGO_HELP
        )
        self.logo.line.setText(str(profile.logo or ""))
        self.wrong = words(tone="error")
        self.wrong.hide()
        self._lay_out()

    def _lay_out(self) -> None:
        head = plain_label(dialog_texts.ADDRESS_TELEPHONE_OR_MAIL_WITH_KEY)
        tie(head, self.contact, dialog_texts.ADDRESS_TELEPHONE_OR_MAIL)
        button = QDialogButtonBox.StandardButton
        buttons = QDialogButtonBox(button.Save | button.Cancel)
        buttons.accepted.connect(self.save)
        buttons.rejected.connect(self.reject)
        column = upright(self, around=AROUND_A_DIALOG)
        for widget in (words(LETTERHEAD_INTRO, "muted"), self.name, head, self.contact, self.logo, self.wrong):
            column.addWidget(widget)
        column.addStretch(1)
        column.addWidget(buttons)
        size(self, 34, 24)

    @property
    def profile(self) -> ShopProfile:
        """What stands typed."""
        return ShopProfile(self.name.text.strip(), self.contact.toPlainText().strip(), self.logo.path)

    def save(self) -> None:
        """Tell the profile and close; what is wrong with it is said beneath its line."""
        try:
            letterhead_of(self.profile)
        except InputError as error:
            say_faults(error, {"letterhead.name": self.name, "letterhead.logo": self.logo}, self.wrong)
            return
        self.chosen.emit(self.profile)
        self.accept()
