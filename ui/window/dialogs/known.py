"""Whom this user knows: a signer taken up after comparing fingerprints; and all of them, with issuers and clocks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from cryptography import x509
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QListWidget, QListWidgetItem, QWidget

from engcalc.errors import HeatdocketError
from engcalc.words.terms.foreign import quoted
from engcalc.words.texts import dialog_texts
from reports.trust_store import KnownAuthority, KnownPerson, OwnIdentity, TrustStore, read_root
from reports.verification import FoundState, Verification
from ui.trusting import change_known, know_signer, known_to_user
from ui.trusting import now as local_now
from ui.window.accessible import tie
from ui.window.dialogs.background import Background, in_words
from ui.window.dialogs.parts import LabelledLine, ask_open, button, right, say_faults, size, words
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, sideways, upright
from ui.window.scrolled import Page, scrolled


class KnowingSigner(QWidget):
    """Takes up the signer of an intact report. ``known`` tells that it was done."""

    known = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._report: Path | None = None
        self._background = Background(self)
        self.fingerprint = LabelledLine(
            dialog_texts.FINGERPRINT_FROM_THE_SIGNER_WITH_KEY, help_text=dialog_texts.SIXTEEN_GROUPS_OF_FOUR
        )
        self.name = LabelledLine(dialog_texts.NAME_UNDER_WHICH_YOU_KNOW_THEM_WITH_KEY)
        self.button = button("&Know this signer")
        self.button.clicked.connect(self.take)
        self.wrong = words(tone="error")
        self.wrong.hide()
        column = upright(self)
        for widget in (
            words(dialog_texts.DID_THE_SIGNER_GIVE_YOU, "muted"),
            self.fingerprint,
            self.name,
            right(self.button),
            self.wrong,
        ):
            column.addWidget(widget)
        self._background.busy_changed.connect(lambda busy: self.button.setEnabled(not busy))

    def offer(self, report: Path, found: Verification) -> None:
        """Show this for an intact report whose signer is not known."""
        author = found.author
        unknown = author is not None and (author.known is None or author.known.another)
        self._report = report
        self.fingerprint.line.clear()
        self.name.line.setText(author.signer if author is not None else "")
        self.wrong.hide()
        self.setVisible(found.state is FoundState.INTACT and unknown)

    def take(self) -> None:
        """Know the signer; what is wrong is said beneath the line."""
        report, fingerprint, name = self._report, self.fingerprint.text, self.name.text
        if report is None:
            return
        self._background.run(
            lambda: know_signer(report, fingerprint, name),
            lambda _name: self.known.emit(),
            lambda error: say_faults(error, {"fingerprint": self.fingerprint}, self.wrong),
        )


class KnownDialog(QDialog):
    """Everybody known, and one's own identities; each can be forgotten, issuers and clocks added."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(dialog_texts.PEOPLE_AND_AUTHORITIES_YOU_KNOW)
        self.list = QListWidget()
        self.list.setWordWrap(True)
        head = plain_label("&Known")
        tie(head, self.list, "Known")
        self.issuer_button = button("Add an &issuer…")
        self.issuer_button.clicked.connect(self.add_issuer)
        self.clock_button = button("Add a &clock…")
        self.clock_button.clicked.connect(self.add_clock)
        self.forget_button = button("&Forget")
        self.forget_button.clicked.connect(self.forget)
        self.said = words(tone="error")
        body = Page()
        column = upright(body, around=BESIDE_A_BAR)
        row = sideways()
        for widget in (self.issuer_button, self.clock_button, self.forget_button):
            row.addWidget(widget)
        row.addStretch(1)
        column.addWidget(words(dialog_texts.YOU_KNOW_PEOPLE_BY_FINGERPRINTS, "muted"))
        column.addWidget(head)
        column.addWidget(self.list, 1)
        column.addLayout(row)
        column.addWidget(self.said)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addWidget(scrolled(body, "Whom you know"), 1)
        layout.addWidget(buttons)
        self.list.currentItemChanged.connect(self._chosen)
        size(self, 46, 36)
        self.refresh()

    def refresh(self) -> None:
        """Show the list as it is kept."""
        self.list.clear()
        try:
            store = known_to_user()
        except HeatdocketError as error:
            self.said.setText(in_words(error))
            return
        for line, fingerprint in lines_of(store):
            item = QListWidgetItem(line)
            item.setData(Qt.ItemDataRole.UserRole, fingerprint)
            self.list.addItem(item)
        if not self.list.count():
            self.list.addItem(dialog_texts.NOBODY_IS_KNOWN_YET)
        self._chosen()

    def add_issuer(self) -> None:
        """Ask for a root certificate whose word on names is to count."""
        self._add(dialog_texts.ISSUER_WHOSE_WORD_ON_NAMES_COUNTS, TrustStore.with_issuer)

    def add_clock(self) -> None:
        """Ask for a root certificate whose word on times is to count."""
        self._add(dialog_texts.CLOCK_WHOSE_WORD_ON_TIMES_COUNTS, TrustStore.with_clock)

    def _add(self, title: str, to: Callable[[TrustStore, x509.Certificate, date], TrustStore]) -> None:
        chosen = ask_open(title, dialog_texts.ROOT_KINDS)(self, "")
        if not chosen:
            return
        self._change(lambda store: to(store, read_root(Path(chosen)), local_now().date()))

    def forget(self) -> None:
        """Forget whom the list marks."""
        fingerprint = self._fingerprint()
        if fingerprint:
            self._change(lambda store: store.without(fingerprint))

    def _change(self, change: Callable[[TrustStore], TrustStore]) -> None:
        try:
            change_known(change)
        except HeatdocketError as error:
            self.said.setText(in_words(error))
            return
        self.said.setText("")
        self.refresh()

    def _fingerprint(self) -> str:
        item = self.list.currentItem()
        return "" if item is None else str(item.data(Qt.ItemDataRole.UserRole) or "")

    def _chosen(self) -> None:
        self.forget_button.setEnabled(bool(self._fingerprint()))


def lines_of(store: TrustStore) -> list[tuple[str, str]]:
    """What the list says of each, with its fingerprint."""
    return [
        *_known("Person", store.persons),
        *_known("Issuer, names", store.issuers),
        *_known("Clock, times", store.clocks),
        *((_own_line(one), one.fingerprint) for one in store.own),
    ]


def _known(what: str, known: Sequence[KnownPerson | KnownAuthority]) -> list[tuple[str, str]]:
    return [
        (f"{what}: {quoted(one.name)}, since {one.since:%Y-%m-%d}\n{one.fingerprint}", one.fingerprint) for one in known
    ]


def _own_line(one: OwnIdentity) -> str:
    return dialog_texts.YOUR_IDENTITY_VALID_TO.format(
        name=quoted(one.name), not_after=one.not_after, path=one.path, fingerprint=one.fingerprint
    )
