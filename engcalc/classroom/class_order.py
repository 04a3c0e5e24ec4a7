"""What an instructor orders: topic, seed, units, symbols, names; posed, and marked when the answers come back."""

from __future__ import annotations

from dataclasses import dataclass

from engcalc.classroom.marking import MarkedSheet, class_answers, mark
from engcalc.classroom.problem import PosedProblem, pose
from engcalc.classroom.symbols import SymbolSet
from engcalc.classroom.topic import Topic
from engcalc.errors import InputError, InputFault
from engcalc.units import UnitSystem


@dataclass(frozen=True)
class ClassOrder:
    """A class's sheets. Without names there is one sheet, with room for a name."""

    topic: Topic
    seed: int = 1
    system: UnitSystem = UnitSystem.SI
    symbols: SymbolSet = SymbolSet.A
    names: tuple[str, ...] = ()

    def posed_to(self, name: str) -> PosedProblem:
        """One person's problem."""
        return pose(self.topic, self.seed, name, self.system)

    def posed(self) -> tuple[PosedProblem, ...]:
        """Everybody's problem."""
        return tuple(self.posed_to(name) for name in self.names or ("",))

    def marked(self, answers: str, path: str = "answers") -> tuple[MarkedSheet, ...]:
        """The answers in this CSV text marked, and after them everybody of the class list who gave none.

        Raises InputError with every fault; ``path`` names the file in it.
        """
        rows = class_answers(answers, self.posed_to, path)
        strangers = [row.name for row in rows if self.names and row.name not in self.names]
        if strangers:
            raise InputError(tuple(InputFault(path, name, "a name of the class list") for name in strangers))
        given = {row.name for row in rows}
        return (
            *(mark(self.posed_to(row.name), row.values) for row in rows),
            *(mark(self.posed_to(name), {}) for name in self.names if name not in given),
        )
