"""Fields for facts that were seen or not seen: all of them, and the short way of the first entries."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QWidget

from engcalc.words.terms.numbers import capital
from engcalc.words.texts import form_texts
from ui.window.accessible import retire, tie
from ui.window.form.binding import Binding
from ui.window.form.fields import Field, roomy_combo, row_of, words
from ui.window.form.told import RowButton
from ui.window.plain import plain_label
from ui.window.rhythm import Gap, gridded, upright

ANSWERS = (("not checked", None), ("yes", True), ("no", False))


class FactsField(Field):
    """Every fact with three answers: not checked, yes, no."""

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self._combos: dict[str, QComboBox] = {}
        box = QWidget()
        grid = gridded(box)
        grid.setColumnStretch(0, 1)
        for row, (fact, meaning) in enumerate(self.input.options.items()):
            combo = roomy_combo()
            for word, value in ANSWERS:
                combo.addItem(word, value)
            said = words(capital(meaning), "")
            tie(said, combo, f"{self.name.partition(':')[0]}: {capital(meaning)}")
            combo.activated.connect(lambda _index, fact=fact: self._chosen(fact))
            self.watch(combo)
            grid.addWidget(said, row, 0)
            grid.addWidget(combo, row, 1)
            self._combos[fact] = combo
        self._lay(box)
        self.setFocusProxy(next(iter(self._combos.values())))
        binding.add(self)

    def _chosen(self, fact: str) -> None:
        put_fact(self.binding, self.path, fact, self._combos[fact].currentData())

    def refresh(self) -> None:
        """Show the answers; one that is neither yes nor no shows as not checked, with its fault beneath."""
        found = self.binding.document.text.get(self.path)
        facts = found if isinstance(found, dict) else {}
        for fact, combo in self._combos.items():
            value = facts.get(fact)
            combo.setCurrentIndex(1 if value is True else 2 if value is False else 0)


def put_fact(binding: Binding, path: str, fact: str, value: bool | None) -> None:
    """Note a fact as a step of its own."""
    binding.document.end_step()
    binding.document.put(f"{path}.{fact}", value, form_texts.CHANGE_WHAT_WAS_SEEN)
    binding.document.end_step()


class AnswerButton(RowButton):
    """One answer to a fact: yes, no, or not checked, which notes nothing."""

    def __init__(self, answer: str, meaning: str) -> None:
        super().__init__(capital(answer))
        self.setAccessibleName(f"{capital(answer)}: {meaning}")


class SeenField(Field):
    """The first entries' way: choose a thing that was looked at, then say yes, no or not checked.

    Nothing is noted before an answer is pressed. What is noted stays beneath and can be answered anew.
    """

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self._combo = roomy_combo()
        self._combo.addItem(form_texts.CHOOSE_WHAT_WAS_LOOKED_AT, None)
        for fact, meaning in self.input.options.items():
            self._combo.addItem(capital(meaning), fact)
            self._combo.setItemData(self._combo.count() - 1, capital(meaning), Qt.ItemDataRole.ToolTipRole)
        self._combo.activated.connect(self._chosen)
        self._noted = QWidget()
        self._lines = upright(self._noted, between=Gap.HALF)
        self._first: dict[str, AnswerButton] = {}  # of each line that is shown
        self._asked: str | None = None  # chosen, and waiting for its answer
        self._shown: dict[str, bool | None] = {}
        self._noted.hide()
        self._lay(self._combo)
        self._column.insertWidget(2, self._noted)
        binding.add(self)

    def _chosen(self, index: int) -> None:
        """Ask for the answer; nothing is noted yet."""
        fact = self._combo.itemData(index)
        self._combo.setCurrentIndex(0)
        if fact is None:
            return
        self._asked = fact
        self.refresh()
        self._first[fact].setFocus(Qt.FocusReason.OtherFocusReason)

    def _answered(self, fact: str, value: bool | None) -> None:
        if fact == self._asked:
            self._asked = None
        put_fact(self.binding, self.path, fact, value)
        self.refresh()

    def refresh(self) -> None:
        """Show what is noted, and what waits for its answer."""
        found = self.binding.document.text.get(self.path)
        facts: dict[str, bool | None] = {}
        if isinstance(found, dict):
            facts.update((fact, value) for fact, value in found.items() if isinstance(value, bool))
        if self._asked is not None:
            facts.setdefault(self._asked, None)
        if facts == self._shown:
            return
        self._shown = facts
        self._first.clear()
        while (item := self._lines.takeAt(0)) is not None:
            if (line := item.widget()) is not None:
                retire(line)
        for fact, value in facts.items():
            self._lines.addWidget(self._line(fact, value))
        self._noted.setVisible(bool(facts))

    def _line(self, fact: str, noted: bool | None) -> QWidget:
        meaning = capital(self.input.options.get(fact, fact))
        said = plain_label(meaning)
        said.setWordWrap(True)
        buttons = []
        for answer, value in (*ANSWERS[1:], ANSWERS[0]):
            button = AnswerButton(answer, meaning)
            button.setChecked(noted is not None and value is noted)
            button.clicked.connect(lambda _checked=False, value=value: self._answered(fact, value))
            buttons.append(button)
        for button in buttons:
            button.row = list(buttons)
        self._first[fact] = buttons[0]
        return row_of(said, *buttons)
