"""The field of a number: any text with any unit that fits, a list of units, its basis and its uncertainty."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QToolButton, QWidget

from engcalc.case.declare import WRITABLE_BASES
from engcalc.case.text import Number
from engcalc.units import UnitSystem
from ui.window.form.binding import Binding
from ui.window.form.fields import Field, roomy_combo, row_of, show_line
from ui.window.form.quantity import (
    Filled,
    Unit,
    completed,
    converted,
    filled,
    outside_usual,
    shown,
    spread_words,
    system_unit,
    unit_of,
    units_of,
    usual_words,
)

LONGEST_TYPED = 2_000_000  # characters; the grammar refuses more than 200, but what was pasted is kept to be seen


class NumberField(Field):
    """A number with its unit. A bare number takes the unit that is chosen beside it."""

    keeps_room = True

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self._sent = ""
        self._kind = ""
        self._state: object = None
        self._system: UnitSystem | None = None
        self._line = QLineEdit()
        self._line.setMaxLength(LONGEST_TYPED)
        self._units = roomy_combo()
        self._units.setMinimumContentsLength(4)
        self._units.setAccessibleName(f"{self.name}, unit")
        self._more = QToolButton()
        self._more.setText("±")
        self._more.setCheckable(True)
        self._more.setAccessibleName(f"{self.name}, basis and uncertainty")
        self._more.setToolTip("Where the value comes from, and its uncertainty")
        self._extras = Extras(self)
        self._lay(self._line, row_of(self._line, self._units, self._more))
        self._column.insertWidget(2, self._extras)
        self._extras.hide()
        self.watch(self._units)
        self._line.textChanged.connect(self._typed)
        self._line.editingFinished.connect(self._finished)
        self._units.activated.connect(self._unit_chosen)
        self._more.toggled.connect(self._extras.setVisible)
        binding.add(self)

    @property
    def _kinds(self) -> tuple[str, ...]:
        return (self._kind, self.input.also) if self.input.also else (self._kind,)

    @property
    def unit(self) -> Unit | None:
        """The unit chosen beside the line."""
        chosen = self._units.currentData()
        return chosen if isinstance(chosen, Unit) else None

    def _typed(self, text: str) -> None:
        self._sent = completed(text, self.unit, self._kinds, frozenset(self.input.words))
        self.binding.document.edit(self.path, self._sent)

    def _finished(self) -> None:
        show_line(self._line, self.binding.document.text.typed(self.path))
        self.left()

    def _unit_chosen(self) -> None:
        unit = self.unit
        text = converted(self._sent, unit, self._kinds) if unit is not None else None
        if text is None and unit is not None and self._sent:
            text = completed(self._line.text(), unit, self._kinds, frozenset(self.input.words))
        if text:
            self.binding.document.end_step()
            self.binding.document.edit(self.path, text)
            self.binding.document.end_step()
        self.refresh()

    def refresh(self) -> None:
        """Show the text as typed, its unit, and what stands in for it when absent."""
        text = self.binding.document.text.typed(self.path)
        if text != self._sent or (text != self._line.text() and not self._line.hasFocus()):
            self._sent = text
            show_line(self._line, text)
        found = self.binding.document.text.get(self.path)
        kind = self.binding.kind_of(self.path)
        stands_in = filled(self.path, self.input, kind, self.binding.good, self.binding.class_name, self.binding.fuel)
        given = self.binding.good.given.get(self.path) if self.binding.good is not None else None
        wrong = bool(self.binding.faults_at(self.path))
        state = (text, repr(found), kind, self.binding.system, stands_in, given, self.path, wrong, self.unit)
        if state != self._state:
            self._show_units(kind, text)
            self._state = (*state[:-1], self.unit)
            self._show_hint(text, kind, stands_in, given.uncertainty if given is not None and not given.typed else 0.0)
            if self._extras_wrong():
                self._more.setChecked(True)
            self._extras.refresh(found)

    def _show_units(self, kind: str, text: str) -> None:
        system_changed = self._system is not self.binding.system
        self._system = self.binding.system
        if kind != self._kind:
            self._kind = kind
            self._units.clear()
            for unit in (u for k in self._kinds for u in units_of(k)):
                self._units.addItem(unit.spelling or "1", unit)
            self._units.setVisible(self._units.count() > 0)
            system_changed = True
        typed = unit_of(text, self._kinds) if text else None
        if typed is None and not text and system_changed:
            typed = system_unit(kind, self.binding.system, self.input)
        if typed is not None:
            self._choose(typed)

    def _extras_wrong(self) -> bool:
        return any(self.binding.faults_at(f"{self.path}.{key}") for key in ("basis", "uncertainty"))

    def _choose(self, wanted: Unit) -> None:
        for at in range(self._units.count()):
            unit = self._units.itemData(at)
            if (unit.meaning, unit.kind) == (wanted.meaning, wanted.kind):
                self._units.setCurrentIndex(at)
                return

    def _show_hint(self, text: str, kind: str, found: Filled | None, spread: float) -> None:
        unit = self.unit
        fits = unit is None or unit.kind == kind
        usual = usual_words(self.input, kind, unit if fits else system_unit(kind, self.binding.system, self.input))
        if found is None:
            self._line.setPlaceholderText("" if text else "not given")
        else:
            self._line.setPlaceholderText(found.text if found.si is None else shown(found.si, unit))
        if text:
            outside = outside_usual(text, self.input, kind) and not self.binding.faults_at(self.path)
            stated = stated_words(self.binding.document.text.get(self.path))
            said = (stated, f"not the {usual}" if outside else usual)
            self.set_hint("; ".join(x for x in said if x), "warn" if outside else "muted")
        else:
            size = (
                "" if found is None or found.si is None else spread_words(spread, found.si, kind, self.binding.system)
            )
            source = "" if found is None else ", ".join(x for x in (found.source, size) if x)
            self.set_hint("; ".join(x for x in (source, usual) if x))


class Extras(QWidget):
    """The basis and the uncertainty of a typed value."""

    def __init__(self, field: NumberField) -> None:
        super().__init__(field)
        self._field = field
        self._basis = roomy_combo()
        self._basis.setAccessibleName(f"{field.name}, basis")
        for word in ("", *WRITABLE_BASES):
            self._basis.addItem(word or "basis not stated", word)
        self._uncertainty = QLineEdit()
        self._uncertainty.setPlaceholderText("± uncertainty")
        self._uncertainty.setAccessibleName(f"{field.name}, uncertainty")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._basis, 1)
        row.addWidget(self._uncertainty, 1)
        for editor in (self._basis, self._uncertainty):
            field.watch(editor)
        self._basis.activated.connect(self._basis_chosen)
        self._uncertainty.textChanged.connect(self._typed)

    def _basis_chosen(self) -> None:
        document = self._field.binding.document
        document.end_step()
        document.edit_extra(self._field.path, basis=self._basis.currentData())
        document.end_step()

    def _typed(self, text: str) -> None:
        self._field.binding.document.edit_extra(self._field.path, uncertainty=text.strip() and text)

    def refresh(self, found: object) -> None:
        """Show the extras of the value; they can be stated once a value is typed."""
        extras = found if isinstance(found, dict) else {}
        for editor in (self._basis, self._uncertainty):
            editor.setEnabled(found is not None)
        self._basis.setCurrentIndex(max(0, self._basis.findData(str(extras.get("basis", "")))))
        uncertainty = extras.get("uncertainty")
        if not isinstance(uncertainty, Number | str | type(None)) or uncertainty is None:
            uncertainty = ""
        show_line(self._uncertainty, str(uncertainty))


def stated_words(found: object) -> str:
    """The basis and the uncertainty that a value states, in words."""
    extras = found if isinstance(found, dict) else {}
    uncertainty = extras.get("uncertainty")
    return " ".join(str(x) for x in (extras.get("basis"), f"± {uncertainty}" if uncertainty else None) if x)
