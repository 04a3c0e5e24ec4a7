"""The whole form: the first entries, the depth, the sections, what is to mend, and help for the field in hand."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QApplication,
    QButtonGroup,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QWidget,
)
from shiboken6 import isValid

from engcalc.case.declare import DetailLevel
from engcalc.errors import InputFault
from engcalc.units import UnitSystem
from engcalc.words.texts import form_texts
from ui.document import Document, label_of
from ui.window.accessible import group_of
from ui.window.form.binding import Binding, BoundField, entry_around, entry_or_none, lies_in
from ui.window.form.fields import words
from ui.window.form.first import SPOTS, FirstEntries, coolant_spot
from ui.window.form.sections import FIRST_FACTS, Section, plans, typed_paths
from ui.window.jobs.steps import FIRST_PATHS, FormPart
from ui.window.plain import plain_label
from ui.window.rhythm import Edges, Gap, em, sideways, upright

DEPTHS = (
    (DetailLevel.FIRST, "Six entries"),
    (DetailLevel.REFINE, "Usual entries"),
    (DetailLevel.DETAIL, "All entries"),
)
LAID_OUT_MS = 30  # wrapped text settles its height over a few rounds of the event loop
NARROWEST_EMS = 18  # the form's width, in heights of a line
HELP_EMS = 3  # lines of help for the field in hand
MOST_MENDS = 4  # faults named in the strip; the rest is counted


class FormPanel(QWidget):
    """The form of one document."""

    depth_changed = Signal(object)
    elsewhere = Signal(str)  # the path of a field that is wanted and stands in another part of the form

    def __init__(self, document: Document, system: UnitSystem, depth: DetailLevel | None = None) -> None:
        super().__init__()
        self.binding = Binding(document, system)
        self._depth = depth or depth_of(document)
        self._part: FormPart | None = None
        self.first = FirstEntries(self.binding)
        self.sections = [Section(self.binding, plan) for plan in plans()]
        self._ordered = list(self.sections)
        self._mend = words("", "error")
        self._mend.setTextFormat(Qt.TextFormat.RichText)
        self._mend.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self._mend.setAccessibleName(form_texts.WHAT_IS_TO_MEND)
        self._mend.linkActivated.connect(self.go_to)
        self._hidden = words("", "muted")
        self._help = plain_label()
        self._help.setWordWrap(True)
        self._help.setProperty("tone", "muted")
        self._help.setFixedHeight(HELP_EMS * em())
        self._help.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._help.setAccessibleName(form_texts.HELP_FOR_THE_FIELD)
        self._wanted: QWidget | None = None
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(LAID_OUT_MS)
        self._settle.timeout.connect(self._scroll)
        self._lay()
        self.setMinimumWidth(NARROWEST_EMS * em())
        self.binding.helped.connect(self._help.setText)
        self.binding.refreshed.connect(self._refreshed)
        _application().focusChanged.connect(self._follow)
        self.set_depth(self._depth)
        self._refreshed()

    def _lay(self) -> None:
        page = self._page = QWidget()
        column = self._column = upright(page, around=Edges(right=Gap.ONE, bottom=Gap.ONE))
        column.addWidget(self.first)
        column.addLayout(self._depth_row())
        column.addWidget(self._hidden)
        for section in self.sections:
            section.opened.connect(lambda section=section: self._bring(section))
            column.addWidget(section)
        column.addStretch(1)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setWidget(page)
        self.area.setFrameShape(QScrollArea.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.verticalScrollBar().rangeChanged.connect(self._grown)
        whole = upright(self, between=Gap.HALF, around=Edges(bottom=Gap.HALF))
        whole.addWidget(self.area, 1)
        whole.addWidget(self._mend)
        whole.addWidget(self._help)

    def _depth_row(self) -> QHBoxLayout:
        self._show = plain_label("Show:")
        row = sideways(between=Gap.NONE)
        self._depths = QButtonGroup(self)
        for level, text in DEPTHS:
            button = QPushButton(text)
            button.setCheckable(True)
            button.setProperty("tone", "choice")
            button.setAccessibleName(f"Show: {text}")
            button.clicked.connect(lambda _checked=False, level=level: self.set_depth(level))
            self._depths.addButton(button, level.value)
            row.addWidget(button)
        whole = sideways()
        whole.addWidget(self._show)
        whole.addLayout(row)
        whole.addStretch(1)
        return whole

    # -- part and depth -----------------------------------------------------------------------------------------

    def show_part(self, part: FormPart | None) -> None:
        """Show a part of the form, its first section open; None for the whole form."""
        self._part = part
        self.first.setVisible(part is None or part.first is not None)
        self.first.show_part(None if part is None else part.first)
        self._put_in_order()
        for section in self.sections:
            section.show_part(part)
        opened = next((s for s in self.sections if part is not None and s.plan.path == part.opens), None)
        self.set_depth(self._depth)
        if opened is not None:
            opened.open()
        self._help.setText("")  # of the part before; hiding its fields hands the keyboard through others of it
        self._settle.stop()
        self.area.verticalScrollBar().setValue(0)

    def _put_in_order(self) -> None:
        """The sections in the order that the part names them; else as in a case."""
        wanted = [] if self._part is None else list(self._part.sections)
        places = {path: place for place, path in enumerate(wanted)}
        ordered = sorted(self.sections, key=lambda section: places.get(section.plan.path, len(places)))
        if ordered == self._ordered:
            return
        self._ordered = ordered
        first = self._column.indexOf(self._hidden) + 1
        for place, section in enumerate(ordered):
            self._column.removeWidget(section)
            self._column.insertWidget(first + place, section)

    def first_field(self) -> QWidget | None:
        """The first field in sight, if any."""
        shown = [field for field in self.binding.fields() if field.isVisibleTo(self)]
        return shown[0] if shown else None

    def set_depth(self, depth: DetailLevel) -> None:
        """Show the fields down to this depth."""
        self._depth = depth
        for section in self.sections:
            section.setVisible(self._stands(section))
            section.set_depth(self._depth_of_sections())
        self._show_depths()
        self._show_hidden()
        self.depth_changed.emit(depth)

    def _stands(self, section: Section) -> bool:
        """Whether a section stands in the part that is shown."""
        if self._part is None:
            return self._depth is not DetailLevel.FIRST
        return section.plan.path in self._part.sections

    def _depth_of_sections(self) -> DetailLevel:
        """A section that stands in a step is there to be filled in, however few entries were asked for elsewhere."""
        few = self._part is not None and self._depth is DetailLevel.FIRST
        return DetailLevel.REFINE if few else self._depth

    def _show_depths(self) -> None:
        """Offer the depths that make a difference in the part that is shown."""
        part = self._part
        deeper = part is None or (bool(part.sections) and not part.is_short)
        for level, _text in DEPTHS:
            offered = deeper and (part is None or level is not DetailLevel.FIRST)
            self._depths.button(level.value).setVisible(offered)
        self._show.setVisible(deeper)
        self._depths.button(self._depth_of_sections().value).setChecked(True)

    def set_system(self, system: UnitSystem) -> None:
        """Show hints and placeholders in the other system of units."""
        self.binding.set_system(system)

    # -- what changed -------------------------------------------------------------------------------------------

    def _refreshed(self) -> None:
        for section in self.sections:
            section.refresh()
        self._show_mends()
        self._show_hidden()

    def _show_mends(self) -> None:
        faults = self.binding.faults
        links = [f'<a href="{escape(fault.path)}">{self._where(fault)}</a>' for fault in faults[:MOST_MENDS]]
        more = f" and {len(faults) - MOST_MENDS} more" if len(faults) > MOST_MENDS else ""
        self._mend.setText(f"To mend: {'; '.join(links)}{more}." if faults else "")
        self._mend.setVisible(bool(faults))

    def _where(self, fault: InputFault) -> str:
        """Where a fault lies in words; what is wrong too when no field will say it."""
        if not fault.path:
            return _plain(fault.wanted)
        try:
            where = f"{group_of(fault.path)}: {label_of(fault.path)}"
        except KeyError:
            where = fault.path
        return _plain(where if entry_around(fault.path) else f"{where} ({fault.wanted})")

    def _show_hidden(self) -> None:
        count = 0
        if self._part is None and self._depth is DetailLevel.FIRST:
            shown = (f"{SPOTS}[{coolant_spot(self.binding.document.text)}]", *FIRST_PATHS, *FIRST_FACTS)
            paths = typed_paths({k: v for k, v in self.binding.document.text.tree.items() if k != "format"}, "")
            count = sum(1 for p in paths if not any(lies_in(p, place) for place in shown))
        plural = "value is" if count == 1 else "values are"
        self._hidden.setText(
            form_texts.MORE_TYPED_USUAL_AND_ALL_ENTRIES_SHOW_THEM.format(count=count, plural=plural) if count else ""
        )
        self._hidden.setVisible(bool(count))

    # -- going to a field ---------------------------------------------------------------------------------------

    def go_to(self, path: str) -> None:
        """Show the field at a path, or the nearest place there is, and give it the keyboard."""
        if self._part is not None and not self._part.holds(path):
            self.elsewhere.emit(path)
        field = self._field_at(path)
        if field is None or field not in self.first.fields():
            section = next((s for s in self.sections if lies_in(path, s.plan.path)), None)
            if section is None:
                return
            if self._depth is DetailLevel.FIRST:
                self.set_depth(DetailLevel.REFINE)
            section.open()
            field = self._field_at(path)
            if field is not None and field.level.value > self._depth.value:
                self.set_depth(field.level)
        if field is not None:
            field.setFocus()
            self._reveal(field)

    def _field_at(self, path: str) -> BoundField | None:
        found = [field for field in self.binding.fields() if lies_in(path, field.path)]
        return found[0] if found else None

    def _bring(self, section: Section) -> None:
        """Bring an opened section into sight."""
        self._reveal(section.heading)

    def _reveal(self, widget: QWidget) -> None:
        """Scroll to a widget once the page around it is laid out."""
        self._wanted = widget
        self._settle.start()

    def _scroll(self) -> None:
        if self._wanted is not None and isValid(self._wanted):
            self.area.ensureWidgetVisible(self._wanted, 0, 4 * em())

    def _grown(self, _least: int, _most: int) -> None:
        """The page became longer or shorter: what was to be brought into sight has moved, and so has the way there."""
        if self._wanted is not None and isValid(self._wanted) and self._wanted.hasFocus():
            self._settle.start()

    def _follow(self, _old: QWidget | None, now: QWidget | None) -> None:
        """Keep the field with the keyboard in sight, now and once the page is laid out, which places a new one."""
        if now is not None and self._page.isAncestorOf(now):
            self._reveal(now)
            self._scroll()

    def close_form(self) -> None:
        """Let go of the document and the program."""
        self._settle.stop()
        self.binding.close()
        _application().focusChanged.disconnect(self._follow)


def depth_of(document: Document) -> DetailLevel:
    """The depth that a document's own values ask for."""
    deepest = DetailLevel.FIRST
    for path in typed_paths({k: v for k, v in document.text.tree.items() if k != "format"}, ""):
        known = entry_or_none(path)
        level = DetailLevel.REFINE if known is None else known.input.level
        if path.startswith(("duties", "rig")):
            level = max(level, DetailLevel.REFINE, key=lambda x: x.value)
        deepest = max(deepest, level, key=lambda x: x.value)
    return deepest


def _application() -> QApplication:
    application = QApplication.instance()
    assert isinstance(application, QApplication)  # a form lives in one
    return application


def _plain(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")
