"""Lists of items - duties, readings, coolers, steps, rig points - as cards that come, go, double and move."""

from __future__ import annotations

import copy

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QToolButton, QWidget

from engcalc.case.catalogue import DeclaredInput, members
from engcalc.case.declare import DetailLevel
from engcalc.case.resolve import with_duties
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import form_texts
from ui.window.accessible import group_of, retire
from ui.window.form.binding import Binding
from ui.window.form.fields import Field, words
from ui.window.form.lap import LapButton
from ui.window.form.make import FieldGrid, make_field
from ui.window.form.ready import ReadyButton
from ui.window.rhythm import AROUND_A_CARD, Gap, sideways, upright

DUTIES = "duties"
LIST_TITLES = {
    "duties": form_texts.DUTIES_TO_BE_CHECKED,
    "upstream": form_texts.COOLERS_AHEAD_OF_THE_RADIATOR,
    "extra": form_texts.COOLERS_THAT_GIVE_HEAT_TO_THE_COOLANT,
    "schedule": form_texts.HOW_IT_WAS_RUN,
    "heater_changes": "Heater set anew",
    "spots": "Single readings",
    "rig": "Measured points",
    "problems": "Problems",
}


class Card(QFrame):
    """One item: its name, what can be done with it, its fields."""

    def __init__(self, items: ItemList, index: int) -> None:
        super().__init__()
        self.setProperty("tone", "card")
        self.index = index
        self._items = items
        self.path = f"{items.list_path}[{index}]"
        column = upright(self, between=Gap.HALF, around=AROUND_A_CARD)
        self.title = words("", "")
        self.title.setProperty("tone", "heading")
        column.addWidget(self.title)
        column.addLayout(self._buttons())
        self.error = words("", "error")
        column.addWidget(self.error)
        leaves = [m for m in members(items.cls) if isinstance(m, DeclaredInput)]
        self.grid = FieldGrid([make_field(items.binding, f"{self.path}.{leaf.key}") for leaf in leaves])
        column.addWidget(self.grid)
        self.refresh()

    def _buttons(self) -> QHBoxLayout:
        row = sideways(between=Gap.HALF)
        self.buttons: dict[str, QToolButton] = {}
        for word, act in (
            ("Copy", self._items.double),
            ("Up", self._items.move_up),
            ("Down", self._items.move_down),
            ("Remove", self._items.remove),
        ):
            button = QToolButton()
            button.setText(word)
            button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            button.setAccessibleName(f"{group_of(self.path)}: {word}")
            button.clicked.connect(lambda _checked=False, act=act: act(self.index))
            row.addWidget(button)
            self.buttons[word] = button
        row.addStretch(1)
        return row

    def refresh(self) -> None:
        """Show the item's own name and what is wrong with the item as a whole."""
        document = self._items.binding.document
        own = document.text.typed(f"{self.path}.name")
        name = group_of(self.path)
        self.title.setText(f"{name}: {own}" if own else name)
        count = self._items.count
        self.buttons["Up"].setEnabled(self.index > 0)
        self.buttons["Down"].setEnabled(self.index + 1 < count)
        said = "\n".join(capital(f.wanted) for f in self._items.binding.faults if f.path == self.path)
        self.error.setText(said)
        self.error.setVisible(bool(said))


class ItemList(QWidget):
    """The cards of one list, and a button for one more."""

    def __init__(self, binding: Binding, list_path: str, cls: type) -> None:
        super().__init__()
        self.binding, self.list_path, self.cls = binding, list_path, cls
        self._depth = DetailLevel.DETAIL
        self.cards: list[Card] = []
        self._column = upright(self)
        self._note = words("", "muted")
        self._write_out = QPushButton("Write these out")
        self._write_out.clicked.connect(self._written_out)
        self._add = QPushButton("Add")
        self._add.setAccessibleName(f"{group_of(f'{list_path}[0]').rpartition(' ')[0]}: Add")
        self._add.clicked.connect(lambda: self.insert(self.count))
        title = words(LIST_TITLES[list_path.rpartition(".")[2]], "")
        title.setProperty("tone", "heading")
        self._column.addWidget(title)
        self._column.addWidget(self._note)
        self._column.addWidget(self._write_out, 0, Qt.AlignmentFlag.AlignLeft)
        self._column.addWidget(self._add, 0, Qt.AlignmentFlag.AlignLeft)
        if list_path == DUTIES:
            self._column.insertWidget(2, LapButton(binding))
            self._column.insertWidget(3, ReadyButton(binding))
        binding.add_list(self)
        self.rebuild()

    @property
    def count(self) -> int:
        """How many items are typed."""
        found = self.binding.document.text.get(self.list_path)
        return len(found) if isinstance(found, list) else 0

    def set_depth(self, depth: DetailLevel) -> None:
        """Show the fields down to this depth."""
        self._depth = depth
        for card in self.cards:
            card.grid.set_depth(depth)

    def refresh(self, structural: bool) -> None:
        """Follow the document: cards are made anew when items came, went or moved."""
        if structural or len(self.cards) != self.count:
            self.rebuild()
        for card in self.cards:
            card.refresh()
        self._show_note()

    def rebuild(self) -> None:
        """Make every card anew."""
        self.drop_cards()
        for index in range(self.count):
            card = Card(self, index)
            card.grid.set_depth(self._depth)
            self.cards.append(card)
            self._column.insertWidget(self._column.count() - 1, card)
        self._show_note()

    def drop_cards(self) -> None:
        """Take the cards away, and their fields out of the form."""
        self.binding.drop(field for card in self.cards for field in card.grid.fields)
        for card in self.cards:
            self._column.removeWidget(card)
            retire(card)
        self.cards = []

    def _show_note(self) -> None:
        own_duties = self.list_path == DUTIES and not self.binding.document.text.get(DUTIES)
        said = "\n".join(f.wanted for f in self.binding.faults if f.path == self.list_path)
        if own_duties:
            names = "; ".join(duty["name"] for duty in self._class_duties())
            said = form_texts.NONE_TYPED_THOSE_OF_THE_CLASS_COUNT.format(names=names)
        self._note.setText(said)
        self._note.setVisible(bool(said))
        self._write_out.setVisible(own_duties)

    def _class_duties(self) -> list[dict[str, str]]:
        return list(with_duties(self.binding.document.text.tree)[DUTIES])

    def _written_out(self) -> None:
        self.binding.document.put_items(DUTIES, [dict(duty) for duty in self._class_duties()])

    # -- what the buttons do ------------------------------------------------------------------------------------

    def insert(self, index: int) -> None:
        """An empty item before ``index``; the keyboard goes to its first field."""
        self.binding.document.insert_item(self.list_path, index)
        self._go_to(index)

    def double(self, index: int) -> None:
        """A copy of the item, behind it."""
        item = self.binding.document.text.get(f"{self.list_path}[{index}]")
        twin = copy.deepcopy(item) if isinstance(item, dict) else {}
        self.binding.document.insert_item(self.list_path, index + 1, twin)
        self._go_to(index + 1)

    def remove(self, index: int) -> None:
        """Take the item out; undo brings it back."""
        self.binding.document.remove_item(self.list_path, index)
        if self.cards:
            self.cards[min(index, len(self.cards) - 1)].buttons["Remove"].setFocus()
        else:
            self._add.setFocus()

    def move_up(self, index: int) -> None:
        """One place towards the front."""
        self._move(index, index - 1, "Up")

    def move_down(self, index: int) -> None:
        """One place towards the end."""
        self._move(index, index + 1, "Down")

    def _move(self, index: int, to: int, word: str) -> None:
        self.binding.document.move_item(self.list_path, index, to)
        button = self.cards[to].buttons[word]
        (button if button.isEnabled() else self.cards[to].buttons["Up" if word == "Down" else "Down"]).setFocus()

    def _go_to(self, index: int) -> None:
        if index < len(self.cards):
            self.cards[index].grid.fields[0].setFocus()

    # -- what the section asks ----------------------------------------------------------------------------------

    def fields(self) -> list[Field]:
        """Every field of every card."""
        return [field for card in self.cards for field in card.grid.fields]
