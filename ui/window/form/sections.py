"""The collapsible sections of the form, made from the catalogue; what is in one is built when it is first opened."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from engcalc.case.bench_rules import of_no_use
from engcalc.case.catalogue import Branch, DeclaredInput, members, pattern_of
from engcalc.case.declare import DetailLevel
from engcalc.case.sections import SECTION_LABELS, Sections
from ui.window.accessible import RECORD_LABELS
from ui.window.form.binding import Binding, entry_or_none, lies_in
from ui.window.form.fields import Field
from ui.window.form.items import ItemList
from ui.window.form.make import FieldGrid, make_field
from ui.window.jobs.steps import FIRST_PATHS, ON_A_VEHICLE, FormPart, has_vehicle
from ui.window.plain import plain_label
from ui.window.rhythm import Edges, Gap, sideways, upright
from ui.window.theme import show_tone

OF_A_SCHOOL = {"job.shop": "School", "job.shop_contact": "School's contact"}
FIRST_FACTS = ("evidence.before.seen",)  # on top of the form, and all of them in their section


@dataclass(frozen=True)
class SectionPlan:
    """One section of the form: its place in the case, its title, the dataclass it is made from."""

    path: str
    title: str
    cls: type
    is_list: bool


def plans() -> tuple[SectionPlan, ...]:
    """Every section, in the order of the case file; the two records of readings are a section each."""
    return tuple(_plans())


def _plans() -> Iterator[SectionPlan]:
    for member in members(Sections):
        assert isinstance(member, Branch)  # the top of a case holds sections only
        if member.key != "evidence":
            yield SectionPlan(member.key, SECTION_LABELS[member.key], member.cls, member.is_list)
            continue
        for record in members(member.cls):
            assert isinstance(record, Branch)  # before and after
            title = f"{SECTION_LABELS['evidence']} {RECORD_LABELS[record.key].lower()}"
            yield SectionPlan(f"evidence.{record.key}", title, record.cls, is_list=False)


class Section(QWidget):
    """A heading that opens and closes, and beneath it fields and lists."""

    opened = Signal()

    def __init__(self, binding: Binding, plan: SectionPlan) -> None:
        super().__init__()
        self.binding, self.plan = binding, plan
        self._depth = DetailLevel.REFINE
        self._part: FormPart | None = None
        self._body: QWidget | None = None
        self.grid: FieldGrid | None = None
        self.lists: list[ItemList] = []
        self.heading = QToolButton()
        self.heading.setText(plan.title)
        self.heading.setCheckable(True)
        self.heading.setArrowType(Qt.ArrowType.RightArrow)
        self.heading.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.heading.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.heading.setProperty("tone", "heading")
        self.heading.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.heading.setAccessibleName(f"Section: {plan.title}")
        self.heading.toggled.connect(self._toggled)
        self._count = plain_label()
        self._count.setProperty("tone", "muted")
        self._head = QFrame()
        self._head.setProperty("tone", "section head")
        head = sideways(self._head, between=Gap.NONE)
        head.addWidget(self.heading, 1)
        head.addWidget(self._count)
        self._column = upright(self, between=Gap.HALF)
        self._column.addWidget(self._head)
        self.refresh()

    def _toggled(self, is_open: bool) -> None:
        self.heading.setArrowType(Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow)
        if is_open and self._body is None:
            self._build()
        if self._body is not None:
            self._body.setVisible(is_open)
        if is_open:
            self.opened.emit()

    def open(self) -> None:
        """Open the section."""
        self.heading.setChecked(True)

    def _build(self) -> None:
        body = QWidget()
        column = upright(body, around=Edges(left=Gap.ONE, bottom=Gap.ONE))
        path = self.plan.path
        if self.plan.is_list:
            self._add_list(column, path, self.plan.cls)
        else:
            paths = [f"{path}.{m.key}" for m in members(self.plan.cls) if isinstance(m, DeclaredInput)]
            self.grid = FieldGrid([make_field(self.binding, p) for p in paths if p not in FIRST_PATHS])
            column.addWidget(self.grid)
            for branch in members(self.plan.cls):
                if isinstance(branch, Branch):
                    self._add_list(column, f"{path}.{branch.key}", branch.cls)
        self._body = body
        self._column.addWidget(body)
        self.set_depth(self._depth)
        self.show_part(self._part)

    def _add_list(self, column: QVBoxLayout, path: str, cls: type) -> None:
        items = ItemList(self.binding, path, cls)
        self.lists.append(items)
        column.addWidget(items)

    def set_depth(self, depth: DetailLevel) -> None:
        """Show the fields down to this depth."""
        self._depth = depth
        if self.grid is not None:
            self.grid.set_depth(depth)
        for items in self.lists:
            items.set_depth(depth)

    def show_part(self, part: FormPart | None) -> None:
        """Show what of the section stands in a part of the form; None for the whole."""
        self._part = part
        self._head.setVisible(part is None or not part.is_short)
        if self.grid is not None:
            self.grid.show_only(None if part is None else part.holds)
        for items in self.lists:
            items.setVisible(part is None or part.holds(items.list_path))
        self.refresh()

    def refresh(self) -> None:
        """Say how many values are typed here and how many are to mend; hide what nobody asks for in this case."""
        if self.grid is not None:
            self.grid.leave_out(frozenset(f.name for f in self.grid.fields if self._is_of_no_use(f.path)))
            self._name_shop(self.grid.fields)
        typed = sum(
            1
            for path in typed_paths(self.binding.document.text.get(self.plan.path), self.plan.path)
            if pattern_of(path) not in FIRST_PATHS and self._shows(path)
        )
        wrong = sum(
            1 for fault in self.binding.faults if lies_in(fault.path, self.plan.path) and self._shows(fault.path)
        )
        said = [f"{typed} typed"] if typed else []
        said += [f"{wrong} to mend"] if wrong else []
        tone = "error" if wrong else "muted"
        show_tone(self._count, tone)
        self._count.setText(", ".join(said))
        self._count.setVisible(bool(said) and self.heading.isVisibleTo(self))

    def _shows(self, path: str) -> bool:
        return self._part is None or self._part.holds(path)

    def _name_shop(self, fields: list[Field]) -> None:
        """A lesson comes from a school, not from a shop."""
        lesson = not has_vehicle(self.binding.document.text)
        for field in fields:
            if field.path in OF_A_SCHOOL:
                said = OF_A_SCHOOL[field.path] if lesson else field.input.label
                name = f"The job: {said}" if lesson else field.name
                field.speak_as(said, name, field.input.help)

    def _is_of_no_use(self, path: str) -> bool:
        """Whether an entry says nothing in this case: of another fluid, or of a vehicle on a lesson's paper."""
        text = self.binding.document.text
        section, _, name = path.partition(".")
        of_vehicle = self._part is not None and section == "job" and name in ON_A_VEHICLE and not has_vehicle(text)
        return of_vehicle or of_no_use(path, text.typed(f"{section}.fluid"))

    def fields(self) -> list[Field]:
        """Every field that was built here."""
        own = [] if self.grid is None else list(self.grid.fields)
        return own + [field for items in self.lists for field in items.fields()]


def typed_paths(node: object, path: str) -> Iterator[str]:
    """The path of every value that stands in this part of a case text."""
    if node is None:
        return
    if entry_or_none(path) is not None:
        yield path
    elif isinstance(node, dict):
        for key, inner in node.items():
            yield from typed_paths(inner, f"{path}.{key}" if path else key)
    elif isinstance(node, list) and node and all(isinstance(x, dict) for x in node):
        for index, inner in enumerate(node):
            yield from typed_paths(inner, f"{path}[{index}]")
    else:
        yield path
