"""Base rates of one's own: how often each cause is behind a visit, typed by whoever counts the cases of a workshop."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QWidget

from engcalc.causes.base_rates import PER_CENT
from engcalc.errors import UnitFault
from engcalc.units import UnitSystem, parse, plain_number
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.texts import view_texts
from ui.window.dialogs.parts import size, words
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, upright
from ui.window.scrolled import Page, scrolled
from ui.window.views.entries import UnitEntry

FRACTION = "fraction"
LIMITS = "0 % to 100 %"


class RatesDialog(QDialog):
    """One line for each cause; ``own`` holds what was typed, in per cent by the cause's key, once accepted."""

    def __init__(self, reason: str, own: Mapping[str, float], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Base rates: {reason}")
        self.own: dict[str, float] = dict(own)
        self.lines: dict[str, UnitEntry] = {}
        for key, rate in PER_CENT[reason].items():
            label = cause_label(key)
            line = UnitEntry(label, f"Base rate: {label}")
            line.set_kind(FRACTION, UnitSystem.SI)
            line.line.setPlaceholderText(f"{plain_number(rate)} %")
            if key in own:
                line.line.setText(f"{plain_number(own[key])} %")
            self.lines[key] = line
        page = Page()
        body = upright(page, around=BESIDE_A_BAR)
        body.addWidget(words(view_texts.HOW_OFTEN_EACH_CAUSE_IS_BEHIND_A_VISIT))
        for line in self.lines.values():
            body.addWidget(line)
        body.addStretch(1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        clear = buttons.addButton("Clear all", QDialogButtonBox.ButtonRole.ResetRole)
        clear.clicked.connect(self._clear)
        buttons.accepted.connect(self._accept)
        buttons.rejected.connect(self.reject)
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addWidget(scrolled(page, "Base rates"), 1)
        layout.addWidget(buttons)
        size(self, 36, 36)

    def _clear(self) -> None:
        for line in self.lines.values():
            line.line.clear()

    def _accept(self) -> None:
        read = {key: _percent(line) for key, line in self.lines.items() if line.text.strip()}
        if None not in read.values():
            self.own = {key: value for key, value in read.items() if value is not None}
            self.accept()


def _percent(line: UnitEntry) -> float | None:
    """The weight typed [per cent]; None where it does not read, which is said beneath."""
    try:
        share = parse(line.full_text, FRACTION).si
    except UnitFault as error:
        line.say(error.faults[0].wanted)
        return None
    if not 0.0 <= share <= 1.0:
        line.say(f"{LIMITS} would do")
        return None
    return 100.0 * share
