"""Lines in which the views ask for something of their own, apart from the case."""

from __future__ import annotations

from engcalc.units import UnitSystem
from ui.window.dialogs.parts import LabelledLine
from ui.window.form.quantity import Unit, completed, system_unit, unit_of


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
