"""The parts that all fields share: label, hint, error in words; and the fields for words and texts."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QRect, Qt
from PySide6.QtGui import QDragEnterEvent, QFocusEvent, QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import (
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QSizePolicy,
    QWidget,
)

from engcalc.case.catalogue import entry
from engcalc.classroom.symbols import in_letters, with_index_below
from engcalc.errors import InputFault
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import form_texts
from ui.window.accessible import name_of, tie
from ui.window.form.binding import Binding, BoundField
from ui.window.form.quantity import filled
from ui.window.plain import PlainLabel, plain_label, tip
from ui.window.rhythm import Edges, Gap, em, keep_gaps, sideways, upright
from ui.window.still_combo import StillCombo
from ui.window.theme import show_tone

WITHOUT_END = 100_000  # pixels, higher than any text


class Editing(QObject):
    """Leaves undo to the document; reports which field has the keyboard."""

    def __init__(self, field: Field) -> None:
        super().__init__(field)
        self._field = field

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Qt's hook."""
        happened = event.type()  # asked once: Qt tells of every event here
        if (
            happened is QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and any(event.matches(key) for key in (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo))
        ):
            event.ignore()
            return True
        if happened is QEvent.Type.DragEnter and isinstance(event, QDragEnterEvent) and event.mimeData().hasUrls():
            event.ignore()  # a case that is dragged in belongs to the window
            return True
        if happened is QEvent.Type.FocusIn:
            self._field.focused()
        if happened is QEvent.Type.FocusOut:
            self._field.left()
            if isinstance(watched, QLineEdit) and isinstance(event, QFocusEvent) and _goes_elsewhere(event):
                watched.setCursorPosition(0)  # of a text that is longer than its line, the beginning is read
        return False


def _goes_elsewhere(event: QFocusEvent) -> bool:
    """Whether the keyboard goes to another entry, and not only to a menu or another window."""
    return event.reason() not in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason)


class Wrapped(PlainLabel):
    """Text that wraps to the width it is given and takes just the height that this needs.

    A plain QLabel that wraps leaves its height to layouts, which guess it for a width of their own.
    """

    def __init__(self, text: str, tone: str) -> None:
        self._laid_out = False
        super().__init__(text)
        self.setWordWrap(True)
        self.setProperty("tone", tone)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._fit()

    def setText(self, text: str) -> None:
        """Show another text."""
        super().setText(text)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's hook."""
        super().resizeEvent(event)
        if not self._laid_out or event.size().width() != event.oldSize().width():
            self._laid_out = True
            self._fit()

    def changeEvent(self, event: QEvent) -> None:
        """Another font needs another height."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit()

    def _fit(self) -> None:
        width = max(self.width(), 4 * em()) if self._laid_out else 30 * em()
        self.setMinimumHeight(0)  # QLabel never answers less than the minimum it has
        self.setFixedHeight(self.height_at(width))

    def height_at(self, width: int) -> int:
        """The height that the text needs at a width."""
        return max(0, super().heightForWidth(width))  # -1 for no text

    def hasHeightForWidth(self) -> bool:
        """The height is settled here, not by the layout."""
        return False


class Hint(Wrapped):
    """Small print that keeps the room it once took at a width, one line at least: what follows does not move."""

    def __init__(self) -> None:
        self._most: dict[int, int] = {}  # the height taken, by width
        super().__init__("", "muted")

    def height_at(self, width: int) -> int:
        """The height that the text needs, or that the longest one before it needed."""
        needed = max(wrapped_height(self, self.text(), width), self.fontMetrics().height())
        self._most[width] = max(needed, self._most.get(width, 0))
        return self._most[width]

    def changeEvent(self, event: QEvent) -> None:
        """Another font takes other room."""
        if event.type() is QEvent.Type.FontChange:
            self._most.clear()
        super().changeEvent(event)


class FaultLine(Wrapped):
    """What is wrong, in the room that a hint leaves; longer words are cut short there and stand in full in the tip."""

    def __init__(self, hint: Hint) -> None:
        self._hint = hint
        self._full = ""
        super().__init__("", "error")

    def setText(self, text: str) -> None:
        """Say this, as far as there is room."""
        self._full = text
        self.setToolTip(tip(text))
        self._fit()

    def text(self) -> str:
        """All that was said."""
        return self._full

    def _fit(self) -> None:
        width = max(self.width(), 4 * em()) if self._laid_out else 30 * em()
        room = self._hint.height_at(width)
        said = self._full
        while wrapped_height(self, said, width) > room and " " in said:
            said = said.rstrip("…").rpartition(" ")[0] + "…"
        PlainLabel.setText(self, said)
        self.setFixedHeight(room)


def wrapped_height(label: QLabel, text: str, width: int) -> int:
    """The height that a text takes in a label's type when it is wrapped to a width, in pixels."""
    room = QRect(0, 0, width, WITHOUT_END)
    return label.fontMetrics().boundingRect(room, int(Qt.TextFlag.TextWordWrap), text).height()


def words(text: str, tone: str) -> Wrapped:
    """A line of small print that wraps."""
    return Wrapped(text, tone)


class Field(BoundField):
    """One input: its label above, its editor, a hint beneath and in its place what is wrong."""

    keeps_room = False  # for a hint where there is none yet, so that nothing moves when one comes

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__()
        self.binding, self.path = binding, path
        self.input = entry(path).input
        self.level = self.input.level
        self.name = name or name_of(path)
        self._said_name, self._help = self.name, self.input.help
        self._faults: tuple[InputFault, ...] = ()
        self._editing = Editing(self)
        self.label = words(label or self.input.label, "")
        self.hint = Hint()
        self.error = FaultLine(self.hint)
        self.hint.hide()
        self.error.hide()
        self._column = upright(self, between=Gap.HAIR, around=Edges(bottom=Gap.HALF))
        self._column.addWidget(self.label)

    def _lay(self, editor: QWidget, row: QWidget | None = None) -> None:
        """Put the editor (or the row that holds it) between label and hint, and tie label and editor."""
        self.editor = editor
        self._column.addWidget(row or editor)
        self._column.addWidget(self.hint)
        self._column.addWidget(self.error)
        self._column.addStretch(1)
        self._show_hint_line()
        tie(self.label, editor, self._said_name, self._help)
        self.watch(editor)
        self.setFocusProxy(editor)

    def speak_as(self, label: str, name: str, help_text: str) -> None:
        """Say something else of the input than its declaration does, to the eye and to a screen reader."""
        if (label, name, help_text) == (self.label.text(), self._said_name, self._help):
            return
        self.label.setText(label)
        self._said_name, self._help = name, help_text
        self.editor.setAccessibleName(name)
        self.editor.setToolTip(tip(help_text))
        self.editor.setWhatsThis(tip(help_text))
        self._describe()
        self.refresh()

    def put_label_beside(self, width: int) -> None:
        """The label before the editor, so wide [px], and not above it."""
        row = QWidget()
        line = sideways(row, between=Gap.HALF)
        self._column.removeWidget(self.editor)
        said = plain_label(self.label.text())
        said.setMinimumWidth(width)
        said.setBuddy(self.editor)
        self.label.hide()
        line.addWidget(said)
        line.addWidget(self.editor, 1)
        self._column.insertWidget(0, row)

    def take_less_room(self) -> None:
        """Leave no room beneath: for fields of one line that stand in a block."""
        keep_gaps(self._column, across=Gap.HAIR)

    def watch(self, editor: QWidget) -> None:
        """Give an editor the manners of this form, and its help."""
        editor.installEventFilter(self._editing)
        if self._help:
            editor.setToolTip(tip(self._help))
            editor.setWhatsThis(tip(self._help))

    def focused(self) -> None:
        """The keyboard is here: say what is wrong in full, else what the field is for."""
        if self._faults:
            self.binding.helped.emit(f"{self._said_name}: {self.error.text()}")
            return
        written = with_index_below(in_letters(self.input.symbol))  # none where words alone have to do
        symbol = f" ({written})" if written else ""
        self.binding.helped.emit(f"{self._said_name}{symbol}. {self._help}".rstrip())

    def left(self) -> None:
        """The keyboard went elsewhere: the edit is one step of the undo list."""
        self.binding.document.end_step()

    @property
    def faults(self) -> tuple[InputFault, ...]:
        """What is wrong here."""
        return self._faults

    def show_faults(self, faults: tuple[InputFault, ...]) -> None:
        """Say in words what is wrong, beside the field."""
        if faults == self._faults:
            return
        self._faults = faults
        said = "\n".join(self.fault_words(fault) for fault in faults)
        self.error.setText(said)
        self._swap_lines(bool(said))
        if self.editor.hasFocus():
            self.focused()
        self.editor.setProperty("wrong", "true" if said else "false")
        self.editor.style().unpolish(self.editor)
        self.editor.style().polish(self.editor)
        self._describe()

    def _swap_lines(self, wrong: bool) -> None:
        """The fault's line or the hint's. The one that goes, goes first: Qt lays out at once what comes into sight, and
        both would push all else down for a moment."""
        if wrong:
            self.hint.hide()
        self.error.setVisible(wrong)
        self._show_hint_line()

    def fault_words(self, fault: InputFault) -> str:
        """One fault as a sentence."""
        wanted = capital(fault.wanted)
        return wanted if wanted.endswith((".", "?", ")")) else f"{wanted}."

    def set_hint(self, text: str, tone: str = "muted") -> None:
        """Show the line beneath the editor."""
        show_tone(self.hint, tone)
        self.hint.setText(text)
        self._show_hint_line()
        self._describe()

    def _show_hint_line(self) -> None:
        """The hint stands where nothing is wrong."""
        self.hint.setVisible((bool(self.hint.text()) or self.keeps_room) and not self._faults)

    def _describe(self) -> None:
        """What a screen reader adds to the name: what is wrong, else help and hint."""
        said = self.error.text() or " ".join(x for x in (self._help, self.hint.text()) if x)
        self.editor.setAccessibleDescription(said)


class WordField(Field):
    """A word out of a list; the first line leaves it to the program and says what it then takes."""

    keeps_room = True

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self.combo = roomy_combo()
        self.combo.addItem("", "")
        for word, meaning in self.input.options.items():
            self.combo.addItem(word_line(word, meaning), word)
            self.combo.setItemData(self.combo.count() - 1, meaning, Qt.ItemDataRole.ToolTipRole)
        self._options = self.combo.count()
        self._lay(self.combo)
        self.combo.activated.connect(self._chosen)
        binding.add(self)

    def _chosen(self, index: int) -> None:
        self.binding.document.edit(self.path, self.combo.itemData(index))
        self.binding.document.end_step()

    def refresh(self) -> None:
        """Show the word, or as typed when the list does not hold it."""
        stands_in = filled(self.path, self.input, "word", self.binding.good, self.binding.class_name, self.binding.fuel)
        taken = stands_in is not None and stands_in.text not in ("", "unknown")
        taken_words = f"not stated: {said_word(stands_in.text)}" if stands_in is not None and taken else "not stated"
        self.combo.setItemText(0, taken_words)
        found = self.binding.document.text.get(self.path)
        typed = "" if found is None else str(found)
        plain = typed.strip().casefold().replace("_", " ")
        known = next((w for w in self.input.options if w.casefold().replace("_", " ") == plain), None)
        while self.combo.count() > self._options:
            self.combo.removeItem(self._options)
        if typed and known is None:
            self.combo.addItem(f"as typed: {typed[:40]}", typed)
            known = typed
        self.combo.setCurrentIndex(max(0, self.combo.findData(known or "")))
        self.set_hint(stands_in.source if stands_in is not None and taken and not typed else "")
        self.combo.setToolTip(tip(self.combo.currentText() + (f"\n{self._help}" if self._help else "")))


def word_line(word: str, meaning: str) -> str:
    """A choice with what it means, once where both say the same."""
    word = said_word(word)
    return word if word.casefold() == meaning.casefold() else f"{word} \u2013 {meaning}"


def said_word(word: str) -> str:
    """A word of a list as it is read: files write ``scan_tool``."""
    return word.replace("_", " ")


def roomy_combo() -> StillCombo:
    """A list that may be narrower than its longest line."""
    return StillCombo(8)


class TextField(Field):
    """One line of free text."""

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self._line = QLineEdit()
        self._lay(self._line)
        self._line.textChanged.connect(lambda text: self.binding.document.edit(self.path, text))
        binding.add(self)

    def refresh(self) -> None:
        """Show the text."""
        show_line(self._line, self.binding.document.text.typed(self.path))
        self.set_hint(self.input.help)


class LongTextField(Field):
    """Free text of several lines."""

    lines = 3

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        self._area = text_area(self.lines)
        self._lay(self._area)
        self._area.textChanged.connect(self._edited)
        binding.add(self)

    def _edited(self) -> None:
        self.binding.document.edit(self.path, self._area.toPlainText())

    def refresh(self) -> None:
        """Show the text."""
        show_area(self._area, self.binding.document.text.typed(self.path))
        self.set_hint(self.input.help)


class TextsField(LongTextField):
    """A list of texts, one on each line."""

    def _edited(self) -> None:
        lines = [line for line in self._area.toPlainText().split("\n") if line.strip()]
        self._sent = lines
        self.binding.document.put(self.path, lines or None)

    def refresh(self) -> None:
        """Show the texts, unless the lines already say the same (an empty line may be under way)."""
        found: object = self.binding.document.text.get(self.path)
        lines = [str(x) for x in found] if isinstance(found, list) else [] if found is None else [str(found)]
        if [x for x in self._area.toPlainText().split("\n") if x.strip()] != lines:
            show_area(self._area, "\n".join(lines))
        self.set_hint(form_texts.ONE_ON_EACH_LINE.format(help=self.input.help).rstrip())


def text_area(lines: int) -> QPlainTextEdit:
    """An editor of some lines in which Tab goes to the next field."""
    area = QPlainTextEdit()
    area.setTabChangesFocus(True)
    area.setUndoRedoEnabled(False)
    area.setFixedHeight(lines * area.fontMetrics().lineSpacing() + em())
    return area


def show_line(line: QLineEdit, text: str) -> None:
    """Set a line's text without telling anybody, its beginning in sight; the cursor stays when it is the same."""
    if line.text() != text:
        line.blockSignals(True)
        line.setText(text)
        line.blockSignals(False)
        if not line.hasFocus():
            line.setCursorPosition(0)


def show_area(area: QPlainTextEdit, text: str) -> None:
    """Set an editor's text without telling anybody."""
    if area.toPlainText() != text:
        area.blockSignals(True)
        area.setPlainText(text)
        area.blockSignals(False)


def row_of(*widgets: QWidget) -> QWidget:
    """Widgets side by side, the first one taking the room."""
    row = QWidget()
    layout = sideways(row, between=Gap.HALF)
    for at, widget in enumerate(widgets):
        layout.addWidget(widget, 1 if at == 0 else 0)
    return row
