"""The refill view: the case's own entries for it, the answers beneath each part, and the steps; live with each key."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtWidgets import QPushButton, QWidget

from engcalc.case.bench_rules import has_engine
from engcalc.studies.refill_check import RefillCheck, check_refill
from engcalc.units import plain_number, to_unit
from engcalc.words.lesson.bench_words import NO_REFILL
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.texts import view_texts
from engcalc.words.workshop.refill_words import (
    AIR,
    IN_THE_SYSTEM,
    MAKERS_FIRST,
    REFILL,
    STEPS,
    refill_lines,
    refill_parts,
    refill_steps,
)
from ui.window.dialogs.parts import right
from ui.window.form.binding import Binding
from ui.window.form.make import FieldGrid, make_field
from ui.window.paragraph import paragraph
from ui.window.results.card import CardSection
from ui.window.results.lines import Sentence, Sentences
from ui.window.rhythm import BESIDE_A_BAR, upright
from ui.window.scrolled import Page, scrolled
from ui.window.views.view import Context, View, column

FIELDS: Mapping[str, tuple[str, ...]] = {
    IN_THE_SYSTEM: (
        "coolant.volume",
        "coolant.concentration",
        "coolant.cap_pressure",
        "refill.altitude",
        "refill.refractometer",
        "refill.scale",
    ),
    REFILL: (
        "refill.drained",
        "refill.drainable",
        "refill.target",
        "refill.product",
        "refill.hottest",
        "refill.opened",
    ),
    AIR: (
        "refill.filled",
        "refill.level_fall",
        "refill.tank_area",
        "refill.first_look",
        "refill.second_look",
        "refill.pressed_fall",
        "refill.tester",
    ),
    STEPS: ("refill.bleed_screws", "refill.fill", "refill.heater_valve", "refill.rear_heater"),
}
"""The inputs that each part asks for, by their place in the case."""
FROM_CASE = view_texts.FROM_CASE.format(makers_first=MAKERS_FIRST)


class RefillView(View):
    """What to drain and fill in, what the mixture stands, what air is left, and how to bleed; all of it live."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.binding = Binding(context.document, context.system)
        self.said = {head: Sentences(head) for head in FIELDS}
        self._found: RefillCheck | None = None
        self.take = QPushButton(view_texts.TAKE_OVER_THE_READING)
        self.take.setAccessibleName(view_texts.TAKE_OVER_THE_REFRACTOMETERS_READING)
        self.take.clicked.connect(self._take_over)
        copy = QPushButton("Copy all")
        copy.setAccessibleName(view_texts.COPY_REFILL_AND_BLEEDING)
        copy.setToolTip(view_texts.COPY_ANSWERS_AND_STEPS_AS_TEXT)
        copy.clicked.connect(self.copy_table)
        page = Page()
        body = upright(page, around=BESIDE_A_BAR)
        self.note = paragraph("About this form", "muted")
        body.addWidget(self.note)
        for head in FIELDS:
            body.addWidget(self._part(head, *((copy,) if head == IN_THE_SYSTEM else ())))
        body.addStretch(1)
        area = scrolled(page, "Refill")
        column(self, area, stretch=area)

    def _part(self, head: str, *beside: QWidget) -> CardSection:
        box = QWidget()
        layout = upright(box)
        layout.addWidget(FieldGrid([make_field(self.binding, path) for path in FIELDS[head]]))
        layout.addWidget(self.said[head])
        if head == IN_THE_SYSTEM:
            layout.addWidget(right(self.take))
        return CardSection(head, box, *beside)

    def refresh(self) -> None:
        """Work it all out; it is a matter of a millisecond."""
        if self.binding.system is not self.context.system:
            self.binding.set_system(self.context.system)
        case = self.context.case
        if case is not None and not has_engine(case):
            self.note.setText(NO_REFILL)
            case = None
        else:
            self.note.setText(
                view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET if case is None else self.context.behind or FROM_CASE
            )
        self._found = None if case is None else check_refill(case)
        found = self._found
        self.take.setVisible(found is not None and found.offered is not None)
        parts = {} if found is None else refill_parts(found, self.context.system)
        for head in (IN_THE_SYSTEM, REFILL, AIR):
            self.said[head].show_sentences([Sentence(text) for text in parts.get(head, ())])
        lines = []
        for number, step in enumerate(() if found is None else refill_steps(found), 1):
            lines.append(Sentence(step.text, f"{number}"))
            lines += [Sentence(CAUTION_TEXTS[key], "!", "Caution", "warn") for key in step.cautions]
        self.said[STEPS].show_sentences(lines)

    def _take_over(self) -> None:
        """Put the refractometer's reading that stands among the readings into the refill, in one step."""
        offered = None if self._found is None else self._found.offered
        if offered is None:
            return
        document = self.context.document
        taken = {
            "refractometer": f"{plain_number(to_unit(float(offered.freezing[0]), 'degC', 'temperature'))} degC",
            "scale": offered.scale.value,
        }
        document.end_step()
        document.put("refill", {**(document.text.get("refill") or {}), **taken}, view_texts.TAKE_OVER_THE_READING)
        document.end_step()
        self.refresh()

    @property
    def found(self) -> RefillCheck | None:
        """What is shown."""
        return self._found

    def text_to_copy(self) -> str:
        """Answers and steps as text."""
        if self._found is None:
            return ""
        return "\n".join(refill_lines(self._found, self.context.system)) + "\n"

    def close_view(self) -> None:
        """Hear no more of the document."""
        self.binding.close()
