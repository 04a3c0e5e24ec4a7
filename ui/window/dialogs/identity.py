"""Make a signing identity, or bring one, in a file or on a token; then its fingerprint and how others check it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QDialogButtonBox,
    QFrame,
    QTabWidget,
    QWidget,
)

from engcalc.case.file import is_there
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.page.paper_words import HOW_TO_CHECK
from engcalc.words.texts import dialog_texts
from reports.identity import (
    PASSWORD_LETTERS,
    Identity,
    bring_token,
    change_password,
    load_identity,
    make_identity,
    renew_identity,
)
from ui.trusting import change_known, end_told
from ui.trusting import now as local_now
from ui.window.dialogs.background import Background, WorkingDialog, in_words
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, ask_save, button, right, say_faults, size, words
from ui.window.rhythm import AROUND_A_CARD, AROUND_A_DIALOG, upright
from ui.window.scrolled import Page, scrolled
from ui.window.still_combo import StillTabs

SUFFIXES = (".p12", ".pfx")
TOKEN_KINDS, TOKEN_SUFFIX = dialog_texts.FILES_THAT_NAME_A_TOKEN_TOKEN_JSON, ".token.json"
MOST_IDENTITIES = 100  # that are offered a name of their own


@dataclass(frozen=True)
class Wish:
    """What the person typed for a new identity."""

    path: Path
    name: str
    credential: str
    password: str


class IdentityDialog(WorkingDialog):
    """Three ways to a signing identity. ``ready`` tells its file once it is made or was opened."""

    ready = Signal(object)

    def __init__(self, parent: QWidget | None = None, now: Callable[[], datetime] = local_now, name: str = "") -> None:
        """``name``: who prepares the report, where that is typed."""
        super().__init__(parent)
        self.setWindowTitle("Signing identity")
        self._now = now
        self._background = Background(self)
        self.identity: Identity | None = None
        self.identity_path: Path | None = None
        self._make_entries()
        self.name.line.setText(name)
        self.place.line.setText(str(free_place(Path.home())))
        self._set_up()
        (self.credential if name else self.name).line.setFocus()

    # ---- putting together -------------------------------------------------------------------------------------------

    def _make_entries(self) -> None:
        self.name = LabelledLine("&Name", help_text=dialog_texts.AS_THE_REPORT_IS_TO_SHOW_IT)
        self.credential = LabelledLine("C&redential", help_text=dialog_texts.SUCH_AS_MASTER_TECHNICIAN)
        self.password = LabelledLine(
            "&Password", help_text=dialog_texts.AT_LEAST_LETTERS.format(password_letters=PASSWORD_LETTERS)
        )
        self.again = LabelledLine("Password &again")
        self.place = PlaceEntry(
            dialog_texts.KEEP_IT_IN_THIS_FILE_WITH_KEY,
            ask_save(dialog_texts.KEEP_THE_IDENTITY_IN, dialog_texts.SIGNING_IDENTITIES_P12_PFX_TOKEN_JSON),
            dialog_texts.IDENTITY_FILE_TO_MAKE,
            dialog_texts.ENDS_IN_P12,
        )
        self.brought = PlaceEntry(
            dialog_texts.FILE_OF_THE_IDENTITY_WITH_KEY,
            ask_open("Open an identity", dialog_texts.SIGNING_IDENTITIES_P12_PFX_TOKEN_JSON),
            dialog_texts.IDENTITY_FILE_TO_OPEN,
            dialog_texts.PKCS_12_FILE,
        )
        self.brought_password = LabelledLine("Its &password", dialog_texts.PASSWORD_OF_THE_IDENTITY_FILE)
        self.new_password = LabelledLine(
            "&New password", help_text=dialog_texts.AT_LEAST_SO_MANY_LETTERS.format(password_letters=PASSWORD_LETTERS)
        )
        self.new_again = LabelledLine("New password a&gain")
        self.library = PlaceEntry(
            dialog_texts.LIBRARY_OF_THE_TOKENS_MAKER_WITH_KEY,
            ask_open(
                dialog_texts.LIBRARY_THAT_REACHES_THE_TOKEN, dialog_texts.PROGRAM_LIBRARIES_SO_DYLIB_DLL_ALL_FILES
            ),
            dialog_texts.LIBRARY_OF_THE_TOKEN,
            dialog_texts.IT_SPEAKS_PKCS_11,
        )
        self.pin = LabelledLine(
            dialog_texts.PIN_OF_THE_TOKEN_WITH_KEY, help_text=dialog_texts.IT_TAKES_THE_PLACE_OF_THE_PASSWORD
        )
        self.token_place = PlaceEntry(
            dialog_texts.FILE_THAT_NAMES_THE_TOKEN_WITH_KEY,
            ask_save(dialog_texts.KEEP_THE_TOKENS_NAME_IN, TOKEN_KINDS),
            dialog_texts.FILE_TO_MAKE_THAT_NAMES_THE_TOKEN,
            dialog_texts.NEITHER_KEY_NOR_PIN_IS_IN_IT,
        )
        for entry in self._secrets():
            entry.hide_letters()

    def _secrets(self) -> tuple[LabelledLine, ...]:
        return self.password, self.again, self.brought_password, self.new_password, self.new_again, self.pin

    def _set_up(self) -> None:
        self.make_button = button("&Make the identity", main=True)
        self.make_button.clicked.connect(self.make)
        self.open_button = button("&Open the identity")
        self.open_button.clicked.connect(self.bring)
        self.renew_button = button("&Renew it")
        self.renew_button.clicked.connect(self.renew)
        self.lock_button = button("Change the pass&word")
        self.lock_button.clicked.connect(self.lock_anew)
        self.token_button = button("&Take the token")
        self.token_button.clicked.connect(self.take_token)
        self.tabs = QTabWidget()
        self.tabs.setTabBar(StillTabs(dialog_texts.MAKE_OR_BRING_AN_IDENTITY))
        self.tabs.setAccessibleName(dialog_texts.MAKE_OR_BRING_AN_IDENTITY)
        self.tabs.addTab(
            _column(self.name, self.credential, self.password, self.again, self.place, right(self.make_button)),
            "Make one",
        )
        self.tabs.addTab(
            _column(
                words(dialog_texts.ONE_THAT_AN_AUTHORITY_ISSUED_TO_YOU, "muted"),
                self.brought,
                self.brought_password,
                right(self.open_button, self.renew_button),
                words(dialog_texts.TO_LOCK_IT_WITH_ANOTHER_PASSWORD, "muted"),
                self.new_password,
                self.new_again,
                right(self.lock_button),
            ),
            dialog_texts.BRING_RENEW_OR_LOCK_ONE,
        )
        self.tabs.addTab(
            _column(
                words(dialog_texts.ONE_WHOSE_KEY_LIES_ON_A_HARDWARE_TOKEN, "muted"),
                self.library,
                self.pin,
                self.token_place,
                right(self.token_button),
            ),
            "On a token",
        )
        self.wrong = words(tone="error")
        self.wrong.hide()
        self.busy_words = words(dialog_texts.WORKING_A_NEW_KEY_AND_THE_LOCK, "muted")
        self.busy_words.hide()
        self.shown = _IdentityShown()
        self.shown.hide()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        self._column = layout = upright(self, around=AROUND_A_DIALOG)
        self._scroll = scrolled(
            _column(
                words(dialog_texts.SIGNING_IDENTITY_IS_A_FILE_THAT_ONLY),
                self.tabs,
                self.busy_words,
                self.wrong,
                self.shown,
            ),
            "Signing identity",
        )
        layout.addWidget(self._scroll, 1)
        layout.addWidget(buttons)
        self._background.busy_changed.connect(self._busy)
        size(self, 36, 46)

    # ---- doing ------------------------------------------------------------------------------------------------------

    def make(self) -> None:
        """Make the identity that is typed; what is wrong is said beneath its line."""
        self._forget()
        entries = {
            "identity.name": self.name,
            "identity.credential": self.credential,
            "identity.password": self.password,
            "identity.again": self.again,
            "identity.place": self.place,
        }
        faults = self._own_faults()
        if faults:
            say_faults(InputError(faults), entries, self.wrong)
            return
        wish = Wish(_with_suffix(self.place.path or Path()), self.name.text, self.credential.text, self.password.text)
        now = self._now()
        self._background.run(
            lambda: (wish.path, make_identity(wish.path, wish.name, wish.credential, wish.password, now)),
            self._show,
            lambda error: say_faults(error, {**entries, "": self.place}, self.wrong),
        )

    def _own_faults(self) -> tuple[InputFault, ...]:
        faults = []
        if self.password.text != self.again.text:
            faults.append(InputFault("identity.again", "", dialog_texts.TWO_PASSWORDS_DIFFER))
        if self.place.path is None:
            faults.append(InputFault("identity.place", "", dialog_texts.SAY_WHERE_TO_KEEP_IT))
        return tuple(faults)

    def bring(self) -> None:
        """Open the identity that was chosen; what is wrong is said beneath its line."""
        self._with_brought(load_identity)

    def renew(self) -> None:
        """Let the identity that was chosen hold three years more, with the same key."""
        now = self._now()
        self._with_brought(lambda path, password: renew_identity(path, password, now))

    def lock_anew(self) -> None:
        """Change the password of the identity that was chosen."""
        new = self.new_password.text
        if new != self.new_again.text:
            self.new_again.say(dialog_texts.TWO_PASSWORDS_DIFFER)
            return
        self._with_brought(lambda path, password: change_password(path, password, new))

    def take_token(self) -> None:
        """Make a file that names the token; what is wrong is said beneath its line."""
        self._forget()
        library, place, pin = self.library.path, self.token_place.path, self.pin.text
        if library is None or place is None:
            (self.library if library is None else self.token_place).say("say which file")
            return
        file = place if place.name.endswith(TOKEN_SUFFIX) else place.with_name(place.name + TOKEN_SUFFIX)
        entries = {"identity.password": self.pin, "token": self.library, "": self.token_place}
        self._background.run(
            lambda: (file, bring_token(file, library, pin)),
            self._show,
            lambda error: say_faults(error, entries, self.wrong),
        )

    def _with_brought(self, work: Callable[[Path, str], Identity]) -> None:
        """Do something with the file and the password that are typed, and show the identity that comes of it."""
        self._forget()
        path, password = self.brought.path, self.brought_password.text
        if path is None:
            self.brought.say("say which file")
            return
        entries: dict[str, LabelledLine] = {
            "identity.password": self.brought_password,
            "identity.new_password": self.new_password,
            "": self.brought,
        }
        self._background.run(
            lambda: (path, work(path, password)), self._show, lambda error: say_faults(error, entries, self.wrong)
        )

    def _forget(self) -> None:
        self.identity = self.identity_path = None
        self.shown.hide()
        self.wrong.hide()

    def _show(self, found: tuple[Path, Identity]) -> None:
        self.identity_path, self.identity = found
        self.shown.show_identity(self.identity, self.identity_path, self._now())
        for entry in self._secrets():
            entry.line.clear()
        self._remember(self.identity_path, self.identity)
        self._column.activate()
        self._scroll.ensureWidgetVisible(self.shown)
        self.ready.emit(self.identity_path)

    def _remember(self, path: Path, identity: Identity) -> None:
        """Note it among this user's own, so that its end can be told in time."""
        try:
            change_known(lambda store: store.with_own(path, identity))
        except FileFault as fault:
            self.wrong.setText(in_words(fault))
            self.wrong.show()

    def _busy(self, busy: bool) -> None:
        for one in (self.make_button, self.open_button, self.renew_button, self.lock_button, self.token_button):
            one.setEnabled(not busy)
        self.busy_words.setVisible(busy)
        if busy:
            self._column.activate()
            self._scroll.ensureWidgetVisible(self.busy_words)


class _IdentityShown(QFrame):
    """An identity that is ready: whose, until when, its fingerprint, and what that is good for."""

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("tone", "card")
        self.setAccessibleName("The identity")
        self._who, self._where = words(), words(tone="muted")
        self.fingerprint = words(fixed=True)
        self._how = words()
        layout = upright(self, around=AROUND_A_CARD)
        for label in (self._who, words("Fingerprint", "muted"), self.fingerprint, self._how, self._where):
            layout.addWidget(label)

    def show_identity(self, identity: Identity, path: Path, now: datetime) -> None:
        """Show this identity."""
        credential = (
            dialog_texts.STATED_BY_THE_SIGNER.format(credential=identity.credential) if identity.credential else ""
        )
        vouched = dialog_texts.MADE_BY_ITS_HOLDER if identity.self_issued else dialog_texts.ISSUED_BY_AN_AUTHORITY
        self._who.setText(f"{identity.name}{credential}. Valid to {identity.not_after:%Y-%m-%d}; {vouched}.")
        self.fingerprint.setText(identity.fingerprint)
        self.fingerprint.setAccessibleName(f"Fingerprint: {identity.fingerprint}")
        self._how.setText(dialog_texts.HOW_OTHERS_CHECK_IT.format(how_to_check=HOW_TO_CHECK))
        self._where.setText(" ".join((f"Kept in {path}.", *end_told(identity.not_after, now))))
        self.show()


def _column(*widgets: QWidget) -> Page:
    body = Page()
    layout = upright(body, around=AROUND_A_CARD)
    for widget in widgets:
        layout.addWidget(widget)
    layout.addStretch(1)
    return body


def free_place(folder: Path) -> Path:
    """A file of this folder for an identity, where none stands yet."""
    numbers = ("", *(f"-{n}" for n in range(2, MOST_IDENTITIES)))
    places = [folder / f"signing-identity{number}{SUFFIXES[0]}" for number in numbers]
    return next((place for place in places if not is_there(place)), places[-1])


def _with_suffix(path: Path) -> Path:
    return path if path.suffix.lower() in SUFFIXES else path.with_name(path.name + SUFFIXES[0])
