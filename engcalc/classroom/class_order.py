"""What an instructor orders: topic, seed, units, symbols, names; posed, and marked when the answers come back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from engcalc.classroom.draw import as_one_name
from engcalc.classroom.marking import MarkedSheet, class_answers, mark
from engcalc.classroom.problem import PosedProblem, pose
from engcalc.classroom.stated import PLACE, names_with_units, typed_name
from engcalc.classroom.symbols import SymbolSet
from engcalc.classroom.topic import Topic
from engcalc.errors import InputError, InputFault, RangeError
from engcalc.units import UnitSystem
from engcalc.words.texts import class_texts


@dataclass(frozen=True)
class ClassOrder:
    """A class's sheets. Without names there is one sheet, with room for a name."""

    topic: Topic
    seed: int = 1
    system: UnitSystem = UnitSystem.SI
    symbols: SymbolSet = SymbolSet.A
    names: tuple[str, ...] = ()
    stated: Mapping[str, str] = field(default_factory=dict)  # numbers of one's own, of :func:`stated.stated_numbers`

    def posed_to(self, name: str) -> PosedProblem:
        """One person's problem. Raises InputError when the stated numbers make none."""
        try:
            return pose(self.topic, self.seed, name, self.system, self.stated)
        except RangeError as error:
            if not self.stated:
                raise
            typed = "; ".join(f"{typed_name(symbol)} = {text}" for symbol, text in self.stated.items())
            wanted = class_texts.NOT_SENSIBLE.format(names=names_with_units(self.topic, self.system, self.symbols))
            raise InputError((InputFault(PLACE, typed, wanted),)) from error

    def posed(self) -> tuple[PosedProblem, ...]:
        """Everybody's problem."""
        return tuple(self.posed_to(name) for name in self.names or ("",))

    def marked(self, answers: str, path: str = "answers") -> tuple[MarkedSheet, ...]:
        """The answers in this CSV text marked, and after them everybody of the class list who gave none.

        Raises InputError with every fault; ``path`` names the file in it.
        """
        rows = class_answers(answers, self.posed_to, path, self.symbols)
        listed = {as_one_name(name): name for name in self.names}
        strangers = [row.name for row in rows if self.names and as_one_name(row.name) not in listed]
        if strangers:
            raise InputError(tuple(InputFault(path, name, class_texts.NAME_OF_THE_CLASS_LIST) for name in strangers))
        given = {as_one_name(row.name) for row in rows}
        return (
            *(mark(self.posed_to(listed.get(as_one_name(row.name), row.name)), row.values) for row in rows),
            *(mark(self.posed_to(name), {}) for one, name in listed.items() if one not in given),
        )
