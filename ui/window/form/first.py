"""The six first entries: what a technician knows, and enough for a verdict; how it ran sharpens it."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame

from engcalc.case.text import CaseText
from engcalc.words.texts import form_texts
from ui.window.form.binding import Binding
from ui.window.form.facts import SeenField
from ui.window.form.fields import Field, LongTextField, WordField, words
from ui.window.form.make import FieldGrid
from ui.window.form.number import NumberField
from ui.window.form.told import ChoiceField, ToldField, stand_beside
from ui.window.jobs.steps import FirstPart, has_vehicle
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_CARD, Gap, upright

SPOTS = "evidence.before.spots"
BEFORE = "Before the repair"
WITHOUT_COMPLAINT = ("sizing", "lesson")  # words of job.reason: no vehicle stands there to be read
LOST_SHORT = {"cap or tank": "cap, tank", "nowhere seen": "not seen"}
COLUMN_EMS = 13  # the width of one column, in heights of a line: two beside one another on a small screen
WIDE = frozenset(
    {
        "job.reason",
        "job.told",
        "job.coolant_lost_at",
        "job.onset",
        "job.after_work",
        "evidence.before.seen",
    }
)  # take the whole width
TOLD_BY = {"log": form_texts.AS_THE_LOG_SHOWS, "schedule": form_texts.AS_ITS_SCHEDULE_SAYS}
TITLES = {
    None: form_texts.SIX_ENTRIES_GIVE_A_VERDICT,
    FirstPart.COMPLAINT: form_texts.WHAT_THE_CUSTOMER_TELLS,
    FirstPart.READINGS: form_texts.WHAT_WAS_READ_AND_SEEN,
}
ASKED_ALWAYS = ("job.reason", "vehicle.class", "engine.fuel")
OF_AN_ENGINE = ("engine.fuel",)  # what a bench rig has not


def coolant_spot(text: CaseText) -> int:
    """The place of the first coolant reading in the list, or the place where a new one goes."""
    spots = text.get(SPOTS)
    found = spots if isinstance(spots, list) else []
    for index, spot in enumerate(found):
        if isinstance(spot, dict) and str(spot.get("what", "coolant")).strip().casefold() == "coolant":
            return index
    return len(found)


def reading_path(binding: Binding, key: str) -> str:
    """Where a part of the first coolant reading stands."""
    return f"{SPOTS}[{coolant_spot(binding.document.text)}].{key}"


class ReadingField(NumberField):
    """A part of the first coolant reading, wherever in the list that stands."""

    def __init__(self, binding: Binding, key: str, label: str, name: str) -> None:
        self._key = key
        super().__init__(binding, self._place(binding), label, f"{BEFORE}: {name}")

    def _place(self, binding: Binding) -> str:
        return reading_path(binding, self._key)

    def refresh(self) -> None:
        """Follow the reading as items come and go before it."""
        self.path = self._place(self.binding)
        super().refresh()

    def left(self) -> None:
        """A reading that was emptied again is no reading: take its item away."""
        super().left()
        document = self.binding.document
        index = coolant_spot(document.text)
        if document.text.get(f"{SPOTS}[{index}]") == {}:
            document.remove_item(SPOTS, index)


class ReadWithField(WordField):
    """With what the first coolant reading was taken: scan tool, dash gauge and the like."""

    def __init__(self, binding: Binding) -> None:
        super().__init__(
            binding,
            reading_path(binding, "instrument"),
            "read with",
            form_texts.COOLANT_READ_WITH.format(before=BEFORE),
        )

    def refresh(self) -> None:
        """Follow the reading as items come and go before it."""
        self.path = reading_path(self.binding, "instrument")
        super().refresh()


class ComplaintField(LongTextField):
    """The complaint for the paper, in little room: the buttons above it carry the evidence."""

    lines = 2

    def __init__(self, binding: Binding, path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, path, label, name)
        stand_beside(self)

    def refresh(self) -> None:
        """Show the text."""
        super().refresh()
        self.set_hint("")


class ReasonField(WordField):
    """Why the vehicle is here; what follows from the customer's signs stands in the list itself."""

    keeps_room = False  # it never has a hint

    def refresh(self) -> None:
        """Show the reason."""
        super().refresh()
        self.set_hint("")


class DrivingField(WordField):
    """How it ran, in one word; a log or a schedule of the record tells it better."""

    def refresh(self) -> None:
        """Show the word, or where it is written how it ran."""
        super().refresh()
        text = self.binding.document.text
        told = next((words for key, words in TOLD_BY.items() if text.get(f"evidence.before.{key}")), "")
        if told and not text.typed(self.path):
            self.combo.setItemText(0, told)


OF_A_VEHICLE, VEHICLE_CLASS, IN_WORDS = form_texts.WHY_THE_VEHICLE_IS_HERE, "2  Vehicle class", "In words"
OF_A_LESSON = form_texts.WHAT_IS_WANTED, "What is wanted", form_texts.LESSON_HELP
ON_WHAT = form_texts.WHAT_IT_IS_ABOUT, form_texts.NAME_OF_WHAT_IT_IS_ABOUT, form_texts.BENCH_HELP
QUESTION = IN_WORDS, form_texts.QUESTION_IN_WORDS, form_texts.QUESTION_HELP
"""Label, name and help of these entries in a lesson without a vehicle."""


def part_of(path: str) -> FirstPart:
    """The part that a first entry belongs to: what was read and seen, or what brought the vehicle here."""
    return FirstPart.READINGS if path.startswith("evidence.") else FirstPart.COMPLAINT


class FirstEntries(QFrame):
    """Complaint, class with fuel, weather, heater, a coolant reading with its time and how it ran, one thing seen."""

    def __init__(self, binding: Binding) -> None:
        super().__init__()
        self.setProperty("tone", "card")
        column = upright(self, between=Gap.HALF, around=AROUND_A_CARD)
        self._binding = binding
        self._part: FirstPart | None = None
        self.title = plain_label()
        self.title.setProperty("tone", "heading")
        column.addWidget(self.title)
        self._note = words(form_texts.OF_THE_CLASS, "muted")
        column.addWidget(self._note)
        self._reason = ReasonField(binding, "job.reason", OF_A_VEHICLE)
        self._class = WordField(binding, "vehicle.class", VEHICLE_CLASS)
        self._complaint = ComplaintField(binding, "job.complaint", IN_WORDS)
        self.grid = FieldGrid(
            [
                self._reason,
                ToldField(binding, "job.told"),
                ChoiceField(binding, "job.coolant_lost_at", LOST_SHORT, "Lost at"),
                ChoiceField(binding, "job.onset", {"sudden": "suddenly", "creeping": "slowly"}, "Came"),
                ChoiceField(binding, "job.after_work", {"none": "none"}, "After work"),
                self._complaint,
                self._class,
                WordField(binding, "engine.fuel", "and its fuel"),
                NumberField(binding, "evidence.before.ambient", "3  Outside temperature"),
                WordField(binding, "evidence.before.heater_setting", "4  Heater setting"),
                ReadingField(binding, "value", "5  Coolant reading", "Coolant reading"),
                ReadWithField(binding),
                ReadingField(
                    binding, "at", form_texts.AT_THIS_TIME_SINCE_THE_START, form_texts.TIME_OF_THE_COOLANT_READING
                ),
                DrivingField(binding, "evidence.before.driving", form_texts.HOW_IT_RAN_UNTIL_THEN),
                SeenField(
                    binding,
                    "evidence.before.seen",
                    form_texts.SIXTH_ENTRY_ONE_THING_SEEN,
                    form_texts.ONE_THING_SEEN.format(before=BEFORE),
                ),
            ],
            COLUMN_EMS,
            WIDE,
        )
        column.addWidget(self.grid)
        binding.refreshed.connect(self._ask)
        self._ask()

    def _ask(self) -> None:
        """A complaint is asked for its readings; parts to be chosen and a lesson have none."""
        text = self._binding.document.text
        complaint = text.typed("job.reason") not in WITHOUT_COMPLAINT
        self.title.setText(TITLES[self._part] if complaint else form_texts.WHAT_IT_IS_FOR)
        of_vehicle = has_vehicle(text)
        for field, label, in_a_lesson in (
            (self._reason, OF_A_VEHICLE, OF_A_LESSON),
            (self._class, VEHICLE_CLASS, ON_WHAT),
            (self._complaint, IN_WORDS, QUESTION),
        ):
            field.speak_as(*((label, field.name, field.input.help) if of_vehicle else in_a_lesson))
        self._note.setText(form_texts.OF_THE_CLASS if of_vehicle else form_texts.ON_THE_BENCH)
        self._note.setVisible(self._part is not FirstPart.READINGS)  # it is said once, where a job begins
        bench = text.typed("vehicle.class") == "bench rig"
        asked = [path for path in ASKED_ALWAYS if not (bench and path in OF_AN_ENGINE)]
        self.grid.leave_out(
            frozenset(
                f.name for f in self.grid.fields if not complaint and f.path not in asked and text.get(f.path) is None
            )
        )

    def show_part(self, part: FirstPart | None) -> None:
        """Show those that stand in a part; None for all."""
        self._part = part
        self.grid.show_only(None if part is None else lambda path: part_of(path) is part)
        self._ask()

    def fields(self) -> list[Field]:
        """The fields."""
        return self.grid.fields
