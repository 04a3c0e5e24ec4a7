"""Lines and lists in which the views ask for something of their own, apart from the case."""

from __future__ import annotations

from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox

from engcalc.units import UnitSystem
from ui.window.dialogs.parts import LabelledLine
from ui.window.form.quantity import Unit, completed, system_unit, unit_of


class QuietCombo(QComboBox):
    """A list that may be narrower than its longest line, and that leaves the wheel to the page until it is used."""

    def __init__(self) -> None:
        super().__init__()
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(12)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's hook."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class UnitEntry(LabelledLine):
    """A line for a quantity: a bare number gets the unit of its kind when the line is left."""

    def __init__(self, label: str, name: str = "", help_text: str = "") -> None:
        super().__init__(label, name, help_text)
        self._kind = "number"
        self._unit: Unit | None = None
        self.line.editingFinished.connect(self._complete)

    def set_kind(self, kind: str, system: UnitSystem, unit: str = "") -> None:
        """What is measured here, and the unit that a bare number takes: the one named, else the system's."""
        self._kind = kind
        self._unit = unit_of(f"1 {unit}", (kind,)) if unit else system_unit(kind, system)

    @property
    def full_text(self) -> str:
        """What stands typed, a bare number with its unit."""
        return completed(self.text, self._unit, (self._kind,), frozenset())

    def _complete(self) -> None:
        full = self.full_text
        if full != self.text:
            self.line.setText(full)
