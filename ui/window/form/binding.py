"""What ties the fields of a form to its document: edits one way, texts, faults and defaults the other."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from engcalc.case.case import Case
from engcalc.case.catalogue import CaseInput, entry
from engcalc.case.declare import DetailLevel
from engcalc.case.presets import CLASSES
from engcalc.case.resolve import fuel_of
from engcalc.errors import InputFault
from engcalc.units import UnitSystem
from ui.document import Document, TextChange

DEFAULT_CLASS = "family car"  # as :mod:`engcalc.case.resolve` takes it where none is typed


class BoundField(QWidget):
    """A field as its binding knows it: the path that it shows, and how deep in the form it lies."""

    path: str
    level: DetailLevel

    def refresh(self) -> None:
        """Show what stands in the document."""
        raise NotImplementedError  # each kind its own; Qt's metaclass leaves no room for an abstract class

    def show_faults(self, faults: tuple[InputFault, ...]) -> None:
        """Say in words what is wrong, beside the field."""
        raise NotImplementedError  # as above


class BoundList(Protocol):
    """A list of items as its binding knows it."""

    list_path: str

    def refresh(self, structural: bool) -> None:
        """Follow the document; ``structural`` when items came, went or moved."""


class Binding(QObject):
    """One document, the fields that show it, and the system of units they show."""

    helped = Signal(str)  # words about the field that has the keyboard
    refreshed = Signal()

    def __init__(self, document: Document, system: UnitSystem) -> None:
        super().__init__()
        self.document = document
        self.system = system
        self.faults: tuple[InputFault, ...] = ()
        self._fields: list[BoundField] = []
        self._lists: list[BoundList] = []
        self._unsubscribe = document.subscribe(self._changed)
        self._find_faults()

    def close(self) -> None:
        """Hear no more of the document."""
        self._unsubscribe()

    # -- fields -------------------------------------------------------------------------------------------------

    def add(self, field: BoundField) -> None:
        """Take a new field in and show it what stands in the document."""
        self._fields.append(field)
        field.refresh()
        field.show_faults(self.faults_at(field.path))

    def drop(self, fields: Iterable[BoundField]) -> None:
        """Forget fields that go away."""
        gone = set(map(id, fields))
        self._fields = [f for f in self._fields if id(f) not in gone]

    def add_list(self, items: BoundList) -> None:
        """Take a list of items in."""
        self._lists.append(items)

    def fields(self) -> tuple[BoundField, ...]:
        """Every field that was built."""
        return tuple(self._fields)

    # -- what fields ask ----------------------------------------------------------------------------------------

    @property
    def class_name(self) -> str:
        """The vehicle class in force."""
        typed = self.document.text.typed("vehicle.class")
        return typed if typed in CLASSES else DEFAULT_CLASS

    @property
    def fuel(self) -> str | None:
        """The fuel that was typed."""
        return fuel_of(self.document.text.tree)

    @property
    def good(self) -> Case | None:
        """The last case without faults."""
        return self.document.good

    def kind_of(self, path: str) -> str:
        """The kind of quantity at a path, which a word beside it may decide."""
        declared = entry(path).input
        if declared.kind_by is None:
            return declared.kind
        sibling, kinds = declared.kind_by
        return kinds.get(self.document.text.typed(f"{path.rpartition('.')[0]}.{sibling}"), declared.kind)

    # -- changes ------------------------------------------------------------------------------------------------

    def set_system(self, system: UnitSystem) -> None:
        """Show other units beside the fields; what was typed stays."""
        self.system = system
        self._refresh()

    def _changed(self, change: TextChange) -> None:
        faults = self.faults
        self._find_faults()
        if self.document.in_hand and self.faults == faults:
            self._follow(change.path)  # the rest follows when the hand lets go
            return
        for items in tuple(self._lists):
            items.refresh(structural=change.structural and change.path == items.list_path)
        self._refresh()

    def _follow(self, path: str) -> None:
        """Show the value at a path; leave all other fields as they are."""
        for field in self._fields:
            if lies_in(path, field.path):
                field.refresh()

    def _find_faults(self) -> None:
        self.faults = self.document.faults

    def _refresh(self) -> None:
        for field in self._fields:
            field.refresh()
            field.show_faults(self.faults_at(field.path))
        self.refreshed.emit()

    def faults_at(self, path: str) -> tuple[InputFault, ...]:
        """What is wrong at a path or in it."""
        return tuple(fault for fault in self.faults if lies_in(fault.path, path))


def lies_in(path: str, place: str) -> bool:
    """Whether a path is this place or lies in it."""
    return path == place or path.startswith((f"{place}.", f"{place}["))


def entry_or_none(path: str) -> CaseInput | None:
    """The entry of the catalogue at a path, if there is one."""
    try:
        return entry(path)
    except KeyError:
        return None


def entry_around(path: str) -> CaseInput | None:
    """The entry of the catalogue at a path or around it: a fault may lie within a table."""
    while path:
        found = entry_or_none(path)
        if found is not None:
            return found
        path = path[: max(path.rfind("."), path.rfind("["), 0)]
    return None
