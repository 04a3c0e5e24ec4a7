"""A reading taken at a place of the circuit that was clicked: the same entry as the next check has."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog, QWidget

from engcalc.units import UnitSystem, plain_number, to_unit, unit_for
from engcalc.vehicle.run import latest_record
from engcalc.words.answer.warmup_words import TITLES
from engcalc.words.page.cautions import CAUTIONS, Situation
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import view_texts
from ui.document import Document
from ui.window.dialogs.parts import size, words
from ui.window.results.lines import Sentence, Sentences
from ui.window.rhythm import AROUND_A_DIALOG, upright
from ui.window.shown import until_left
from ui.window.views.causes.reading_entry import ReadingEntry, place_name


class PlaceReadingDialog(QDialog):
    """Closes once the reading stands in the document. ``at`` [s from the start] is filled in where it is known."""

    def __init__(
        self,
        document: Document,
        record: str,
        place: str,
        system: UnitSystem,
        at: float | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        name = place_name(place)
        self.setWindowTitle(f"Take a reading: {name}")
        self.entry = ReadingEntry(document, record, place, name, system)
        if at is not None and self.entry.at is not None:
            unit = unit_for("time", system)
            self.entry.at.line.setText(f"{plain_number(to_unit(at, unit, 'time'))} {unit}")
        self.entry.put_in.connect(self.accept)
        cautions = Sentences(view_texts.CAUTIONS_OF_THE_READING)
        cautions.show_sentences(
            [Sentence(caution.text, "!", "Caution", "warn") for caution in CAUTIONS[Situation.RUNNING]]
        )
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addWidget(words(view_texts.IT_GOES_INTO_THE_RECORD.format(name=capital(name), titles=TITLES[record])))
        layout.addWidget(self.entry)
        layout.addWidget(cautions)
        size(self, 40, 16)


def take_reading(
    document: Document,
    place: str,
    system: UnitSystem,
    parent: QWidget,
    record: str = "",
    at: float | None = None,
) -> bool:
    """Ask for a reading at a place; whether one was put in. Without a record it goes into the latest."""
    if not record:
        if document.good is None:
            return False
        record = latest_record(document.good)
    dialog = PlaceReadingDialog(document, record, place, system, at, parent)
    return until_left(dialog) == QDialog.DialogCode.Accepted
