"""What the customer tells, as buttons: signs that are told, told not to be so or were not asked, and lists of words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QPushButton, QWidget

from engcalc.words.terms.numbers import capital
from engcalc.words.texts import form_texts
from ui.window.form.binding import Binding
from ui.window.form.fields import Field
from ui.window.form.wrapping import WrappingRow
from ui.window.plain import plain_label, tip
from ui.window.rhythm import Gap, em, upright
from ui.window.theme import show_property

GROUPS: tuple[tuple[str, Mapping[str, str]], ...] = (
    (
        "Runs cold",
        {
            "cold_at_idle": "standing",
            "cold_when_driving": "driving",
            "cold_always": "always",
            "slow_to_warm": "slow to warm",
        },
    ),
    (
        "Runs hot",
        {
            "hot_at_idle": "standing",
            "hot_at_speed": "at speed",
            "hot_towing": "towing, uphill",
            "hot_always": "always",
        },
    ),
    (
        "Also",
        {
            "heater_cold_gauge_low": form_texts.HEATER_COLD_GAUGE_LOW,
            "heater_cold_gauge_normal": form_texts.HEATER_COLD_GAUGE_NORMAL,
            "heater_lukewarm": form_texts.HEATER_LUKEWARM_GAUGE_NORMAL,
            "smell": "smell",
            "steam": "steam",
            "warning_lamp": "lamp",
        },
    ),
)
"""Signs by what they are of, each with what stands on its button."""

_NEXT = {None: True, True: False, False: None}  # what a press makes of not asked, yes and no
_STATES = {None: "not asked", True: "yes", False: "no"}
_MARKS = {None: "", True: "\u2713 ", False: "\u2717 "}  # told by form as well as by colour
LABEL_EMS = 5  # the width of the labels before the buttons, in heights of a line


class RowButton(QPushButton):
    """One of a row of buttons: Tab goes to the row, the arrow keys along it."""

    def __init__(self, short: str) -> None:
        super().__init__(short)
        self.row: list[RowButton] = [self]
        self.setCheckable(True)
        self.setProperty("tone", "sign")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's hook."""
        step = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}.get(Qt.Key(event.key()), 0)
        if not step:
            super().keyPressEvent(event)
            return
        at = self.row.index(self) + step
        if 0 <= at < len(self.row):
            self.row[at].setFocus(Qt.FocusReason.OtherFocusReason)


class SignButton(RowButton):
    """One sign: pressed once it is told, pressed again it is told not to be so, pressed again nobody asked."""

    def __init__(self, short: str, meaning: str) -> None:
        super().__init__(short)
        self._short, self._meaning = short, meaning
        self.show_state(None)

    def show_state(self, state: bool | None) -> None:
        """Show what is noted."""
        self.setText(f"{_MARKS[state]}{self._short}")
        self.setChecked(state is not None)
        show_property(self, "told", _STATES[state])
        self.setAccessibleName(f"Told: {self._meaning}")
        self.setAccessibleDescription(_STATES[state])
        self.setToolTip(tip(f"{capital(self._meaning)}: {_STATES[state]}.\n{form_texts.HOW_TO_PRESS}"))


class ToldField(Field):
    """The signs of the complaint in groups; what nobody asked stays out of the case."""

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self.buttons: dict[str, SignButton] = {}
        box = QWidget()
        rows = upright(box, between=Gap.HALF)
        for title, signs in GROUPS:
            rows.addWidget(_row(title, [self._button(sign, short) for sign, short in signs.items()]))
        _beside(self)
        self._lay(box)
        self.setFocusProxy(next(iter(self.buttons.values())))
        binding.add(self)

    def _button(self, sign: str, short: str) -> SignButton:
        button = self.buttons[sign] = SignButton(short, self.input.options[sign])
        button.clicked.connect(lambda _checked=False: self._pressed(sign))
        self.watch(button)
        return button

    def _noted(self, sign: str) -> bool | None:
        found = self.binding.document.text.get(f"{self.path}.{sign}")
        return found if isinstance(found, bool) else None

    def _pressed(self, sign: str) -> None:
        document = self.binding.document
        document.end_step()
        document.put(f"{self.path}.{sign}", _NEXT[self._noted(sign)], form_texts.CHANGE_WHAT_THE_CUSTOMER_TELLS)
        if document.text.get(self.path) == {}:
            document.put(self.path, None, form_texts.CHANGE_WHAT_THE_CUSTOMER_TELLS)
        document.end_step()
        self.refresh()

    def refresh(self) -> None:
        """Show what is noted."""
        for sign, button in self.buttons.items():
            button.show_state(self._noted(sign))


class ChoiceField(Field):
    """A word out of a short list as buttons; pressing the one that holds takes it back."""

    def __init__(self, binding: Binding, path: str, shorts: Mapping[str, str], label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self.buttons: dict[str, RowButton] = {}
        for word in self.input.options:
            self.buttons[word] = self._button(word, shorts.get(word, word))
        box = _row(self.label.text(), list(self.buttons.values()))
        _beside(self)
        self._lay(box)
        self.setFocusProxy(next(iter(self.buttons.values())))
        binding.add(self)

    def _button(self, word: str, short: str) -> RowButton:
        button = RowButton(short)
        button.setAccessibleName(f"{self.name}: {word}")
        button.clicked.connect(lambda _checked=False: self._pressed(word))
        self.watch(button)
        button.setToolTip(tip(capital(self.input.options[word])))
        return button

    def _pressed(self, word: str) -> None:
        document = self.binding.document
        document.end_step()
        document.edit(self.path, "" if document.text.typed(self.path) == word else word)
        document.end_step()
        self.refresh()

    def refresh(self) -> None:
        """Show the word."""
        typed = self.binding.document.text.typed(self.path).strip().casefold().replace("_", " ")
        for word, button in self.buttons.items():
            button.setChecked(word == typed)


def _row(title: str, buttons: Sequence[RowButton]) -> QWidget:
    """Buttons behind a label, on as many lines as they need."""
    box = QWidget()
    row = WrappingRow(box, headed=True)
    said = plain_label(title)
    said.setMinimumWidth(LABEL_EMS * em())
    row.addWidget(said)
    for button in buttons:
        button.row = list(buttons)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus if button is buttons[0] else Qt.FocusPolicy.ClickFocus)
        row.addWidget(button)
    return box


def _beside(field: Field) -> None:
    """The label stands before the buttons, not above them."""
    field.label.hide()
    field.take_less_room()


def stand_beside(field: Field) -> None:
    """Put a field's label before its editor, as the labels of the buttons stand."""
    field.put_label_beside(LABEL_EMS * em())
    field.take_less_room()
