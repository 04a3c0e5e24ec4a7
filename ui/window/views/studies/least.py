"""The least core that holds, sought in the room that the case states; any core of the choice goes into the case."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QWidget

from engcalc.case.case import Case
from engcalc.case.text import CaseText
from engcalc.errors import InputError
from engcalc.studies.choice.core_builds import Room, room_of
from engcalc.studies.choice.core_search import Least
from engcalc.studies.choice.kept_cores import KEPT
from engcalc.studies.choice.least_core import LeastCore, with_choice
from engcalc.units import UnitSystem, plain_number, to_unit, unit_for
from engcalc.words.answer.input_words import fault_words
from engcalc.words.sizing.least_core_words import (
    CORES_HEAD,
    NO_ROOM,
    core_in_short,
    core_words,
    least_core_sentences,
    option_chance,
)
from engcalc.words.texts import view_texts
from reports.plots.registry import Screen
from ui.window.accessible import tie
from ui.window.dialogs.background import Stopped, Tell
from ui.window.plain import plain_label
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.results.table import TableText
from ui.window.rhythm import sideways
from ui.window.still_combo import StillCombo
from ui.window.views.studies.adopting import AdoptRow
from ui.window.views.studies.page import StudyPage
from ui.window.views.tables import WideTable
from ui.window.views.view import Context, Question

OF = {Least.VOLUME: "least volume", Least.MASS: "least mass"}


class LeastCorePage(StudyPage[LeastCore]):
    """The least core, the other cores that hold, and a button that puts the chosen one into the case."""

    of_one_duty = False

    def __init__(self, context: Context) -> None:
        self.said = Sentences(view_texts.LEAST_CORE_THAT_HOLDS)
        self.wanted = StillCombo()
        for least, words in OF.items():
            self.wanted.addItem(words, least)
        self.wanted.activated.connect(lambda _index: self.refresh())
        self.choice = AdoptRow(context.document, "core")
        self.table = WideTable("Cores that hold")
        self.pictures = PlaceCards(Screen.LEAST_CORE)
        for card in self.pictures.cards:
            card.view.tapped.connect(lambda key: self.choice.take(int(key)))
        self._of_the_choice = (
            CardSection("The choice", self.choice),
            CardSection(view_texts.ALL_CORES_OF_THE_CHOICE, self.table),
        )
        super().__init__(
            context,
            (_labelled("Seek the", self.wanted, view_texts.WHAT_IS_TO_BE_LEAST),),
            (
                CardSection(view_texts.LEAST_CORE_THAT_HOLDS_EVERY_DUTY, self.said),
                *self.pictures.cards,
                *self._of_the_choice,
            ),
        )
        self.show_nothing()

    def question_of(self, case: Case, _duty: int) -> Question[LeastCore] | str:
        """The search in the room that the case states; in words what is missing."""
        try:
            room = room_of(case)
        except InputError as error:
            return "\n".join(f"{fault_words(fault)}." for fault in error.faults)
        if room is None:
            return NO_ROOM
        text, wanted = self.context.document.text, Least(self.wanted.currentData())
        return Question((case, room, wanted), partial(_work, text, room, wanted))

    def show_answer(self, answer: LeastCore) -> None:
        """Say it, draw it and list what can be chosen; where nothing fits there is no choice to show."""
        self.show_parts()
        for card in self._of_the_choice:
            card.setVisible(bool(answer.front))
        system = self.context.system
        self.said.show_sentences([Sentence(text) for text in least_core_sentences(answer, system)])
        self.pictures.show_pictures(answer, system)
        self.choice.offer(
            (core_words(o.core, system), partial(with_choice, core=o.core, freed=answer.freed)) for o in answer.front
        )
        self.table.put(front_table(answer, system))


def _labelled(words: str, combo: StillCombo, name: str) -> QWidget:
    row = QWidget()
    layout = sideways(row)
    label = plain_label(words)
    tie(label, combo, name)
    layout.addWidget(label)
    layout.addWidget(combo)
    layout.addStretch(1)
    return row


def front_table(found: LeastCore, system: UnitSystem) -> TableText:
    """Every core of the choice with what it does in the duty that is least sure."""
    kinds = ("volume", "mass", "temperature difference", "pressure difference", "pump pressure", "power")
    units = {kind: unit_for(kind, system) for kind in kinds}
    rows = []
    for option in found.front:
        values = (
            option.volume,
            option.mass,
            option.margin,
            option.air_drop,
            option.coolant_drop,
            option.fan_air_power,
        )
        numbers = [plain_number(to_unit(v, units[k], k), 3) for v, k in zip(values, kinds, strict=True)]
        rows.append((core_in_short(option.core, system), *numbers[:3], option_chance(found, option), *numbers[3:]))
    head = (
        CORES_HEAD,
        f"Volume, {units['volume']}",
        f"Mass, {units['mass']}",
        f"Margin, {units['temperature difference']}",
        "Holds",
        f"Air drop, {units['pressure difference']}",
        f"Coolant drop, {units['pump pressure']}",
        view_texts.FAN_TO_AIR.format(power=units["power"]),
    )
    return TableText(head, tuple(rows), words_columns=1)


def _work(text: CaseText, room: Room, wanted: Least, tell: Tell, stopped: Stopped) -> LeastCore:
    return KEPT.least_core(text, room, wanted, progress=tell, cancelled=stopped)
