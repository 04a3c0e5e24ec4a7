"""The field of a number: any text with any unit that fits, a list of units, its basis and its uncertainty."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QPushButton, QToolButton, QWidget

from engcalc.case.declare import WRITABLE_BASES, SpreadLaw
from engcalc.case.reading_words import ONLY_IN_WORDS, TOO_HOT, WORDS, spoken_instrument, word_of
from engcalc.case.text import Number
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.told_by_customer import TOO_HOT_CAUTION, word_band
from engcalc.words.texts import form_texts
from ui.window.accessible import retire
from ui.window.form.binding import Binding
from ui.window.form.fields import Field, roomy_combo, row_of, show_line
from ui.window.form.quantity import (
    Filled,
    Unit,
    area_words,
    completed,
    converted,
    filled,
    outside_usual,
    shown,
    spread_words,
    system_unit,
    unit_of,
    units_offered,
    usual_words,
)
from ui.window.form.wrapping import WrappingRow
from ui.window.plain import tip
from ui.window.rhythm import Gap, sideways

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
        self._more.setAccessibleName(form_texts.BASIS_AND_UNCERTAINTY.format(name=self.name))
        self._more.setToolTip(form_texts.WHERE_THE_VALUE_COMES_FROM)
        self._extras = BasisAndUncertainty(self)
        self._words = WordRow(self)
        self._lay(self._line, row_of(self._line, self._units, self._more))
        self._column.insertWidget(2, self._extras)
        self._column.insertWidget(2, self._words)
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
        self._sent = completed(text, self.unit, self._kinds, self._words_for(text))
        self.binding.document.edit(self.path, self._sent)

    def _words_for(self, text: str) -> frozenset[str]:
        """The words that may stand here instead of a number, with what was typed where it is one."""
        said = {text.strip()} if word_of(self._instrument(), text) is not None else set()
        return frozenset({*self.input.words, *said})

    def _instrument(self) -> str:
        """The instrument beside the number that may be read in words; empty for any other."""
        beside = f"{self.path.rpartition('.')[0]}.{self.input.said_with}"
        return spoken_instrument(self.binding.document.text.typed(beside)) if self.input.said_with else ""

    def say(self, word: str) -> None:
        """Put a word in the place of a number."""
        self.binding.document.end_step()
        self.binding.document.edit(self.path, word)
        self.binding.document.end_step()
        self.refresh()

    def _finished(self) -> None:
        show_line(self._line, self.binding.document.text.typed(self.path))
        self.left()

    def _unit_chosen(self) -> None:
        unit = self.unit
        text = converted(self._sent, unit, self._kinds) if unit is not None else None
        if text is None and unit is not None and self._sent:
            text = completed(self._line.text(), unit, self._kinds, self._words_for(self._line.text()))
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
        tool = self._instrument()
        state = (text, repr(found), kind, self.binding.system, stands_in, given, self.path, wrong, self.unit, tool)
        if state != self._state:
            self._show_units(kind, text)
            self._state = (*state[:-2], self.unit, tool)
            self._units.setVisible(self._units.count() > 0 and tool not in ONLY_IN_WORDS)
            self._words.show_words(tool, word_of(tool, text), self.binding.system)
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
            for unit in units_offered(self._kinds):
                self._units.addItem(unit.spelling or "1", unit)
            self._units.setVisible(self._units.count() > 0)
            system_changed = True
        typed = unit_of(text, self._kinds) if text else None
        if typed is None and not text and system_changed:
            typed = system_unit(kind, self.binding.system, self.input)
        if typed is not None:
            self._choose(typed)

    def _extras_wrong(self) -> bool:
        return any(
            self.binding.faults_at(f"{self.path}.{key}") for key in ("basis", "uncertainty", "law", "correlated")
        )

    def _choose(self, wanted: Unit) -> None:
        for at in range(self._units.count()):
            unit = self._units.itemData(at)
            if (unit.meaning, unit.kind) == (wanted.meaning, wanted.kind):
                self._units.setCurrentIndex(at)
                return

    def _show_hint(self, text: str, kind: str, found: Filled | None, spread: float) -> None:
        unit = self.unit
        if (tool := self._instrument()) and word_of(tool, text) is not None:
            word = word_of(tool, text)
            burns = word == TOO_HOT
            band = word_band(tool, word or "", self.binding.system)
            self.set_hint(TOO_HOT_CAUTION if burns else band, "warn" if burns else "muted")
            return
        fits = unit is None or unit.kind == kind
        usual = usual_words(self.input, kind, unit if fits else system_unit(kind, self.binding.system, self.input))
        if found is None:
            self._line.setPlaceholderText("" if text else "not given")
        else:
            self._line.setPlaceholderText(found.text if found.si is None else shown(found.si, unit))
        if text:
            outside = outside_usual(text, self.input, kind) and not self.binding.faults_at(self.path)
            stated = stated_words(self.binding.document.text.get(self.path))
            said = (area_words(text, kind, unit), stated, f"not the {usual}" if outside else usual)
            self.set_hint("; ".join(x for x in said if x), "warn" if outside else "muted")
        else:
            size = (
                "" if found is None or found.si is None else spread_words(spread, found.si, kind, self.binding.system)
            )
            source = "" if found is None else ", ".join(x for x in (found.source, size) if x)
            self.set_hint("; ".join(x for x in (source, usual) if x))


class WordRow(QWidget):
    """The words of the instrument beside a number, where it may be read in words: one press each.

    What temperatures a word stands for is its tip, and the hint of the one that holds: side by side they find room.
    """

    def __init__(self, field: NumberField) -> None:
        super().__init__(field)
        self._field = field
        self._row = WrappingRow(self)
        self._offered: tuple[str, UnitSystem | None] = ("", None)
        self.buttons: dict[str, QPushButton] = {}
        self.hide()

    def show_words(self, tool: str, said: str | None, system: UnitSystem) -> None:
        """Offer the words of an instrument, none for an empty one, each with the temperatures that it stands for; the
        one that holds is pressed in."""
        if (tool, system) != self._offered:
            self._offered = (tool, system)
            while (item := self._row.takeAt(0)) is not None:
                if (old := item.widget()) is not None:
                    retire(old)
            self.buttons = {word: self._button(word, word_band(tool, word, system)) for word in WORDS.get(tool, {})}
            self.setVisible(bool(self.buttons))
        for word, button in self.buttons.items():
            button.setChecked(word == said)

    def _button(self, word: str, band: str) -> QPushButton:
        button = QPushButton(word)
        button.setToolTip(tip(band))
        button.setAccessibleDescription(band)
        button.setCheckable(True)
        button.setProperty("tone", "sign")
        button.setAccessibleName(f"{self._field.name}: {word}")
        button.clicked.connect(lambda _checked=False: self._field.say(word))
        self._field.watch(button)
        self._row.addWidget(button)
        return button


class BasisAndUncertainty(QWidget):
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
        self._law = roomy_combo()
        self._law.setAccessibleName(form_texts.LAW_OF_ITS_UNCERTAINTY.format(name=field.name))
        for law in SpreadLaw:
            self._law.addItem(law.value, "" if law is SpreadLaw.NORMAL else law.value)
        row = sideways(self, between=Gap.HALF)
        for editor in (self._basis, self._uncertainty, self._law):
            row.addWidget(editor, 1)
            field.watch(editor)
        self._law.activated.connect(self._law_chosen)
        self._basis.activated.connect(self._basis_chosen)
        self._uncertainty.textChanged.connect(self._typed)

    def _basis_chosen(self) -> None:
        document = self._field.binding.document
        document.end_step()
        document.edit_extra(self._field.path, basis=self._basis.currentData())
        document.end_step()

    def _law_chosen(self) -> None:
        document = self._field.binding.document
        document.end_step()
        document.edit_extra(self._field.path, law=self._law.currentData())
        document.end_step()

    def _typed(self, text: str) -> None:
        self._field.binding.document.edit_extra(self._field.path, uncertainty=text.strip() and text)

    def refresh(self, found: object) -> None:
        """Show the extras of the value; they can be stated once a value is typed."""
        extras = found if isinstance(found, dict) else {}
        for editor in (self._basis, self._uncertainty, self._law):
            editor.setEnabled(found is not None)
        self._law.setCurrentIndex(max(0, self._law.findData(str(extras.get("law", "")))))
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
