"""The case that is being worked on: its text, its undo list, who listens. No Qt.

Widgets show what stands here and send edits; they never change a case themselves. A step of the undo list keeps the
whole text before and after (texts share their unchanged parts), so undo gives back exactly what stood there. Text that
is wrong is kept as typed, like any other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from engcalc.case.case import Case
from engcalc.case.catalogue import entry
from engcalc.case.file import (
    LARGEST_BYTES,
    NO_FOLDER,
    SUFFIX,
    OwnFolder,
    fingerprint_of,
    is_there,
    read_case,
    state_of,
    write_case,
)
from engcalc.case.named_files import DIGESTS, logs_named, needed_files, with_digests
from engcalc.case.resolve import Faults, KeptSections, resolve
from engcalc.case.sections import SECTION_LABELS
from engcalc.case.text import CaseText, steps
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.texts import document_texts
from ui.carrying import carried_along, with_remarks

UNTITLED = "New case"


@dataclass(frozen=True)
class EditStep:
    """One edit: its name in words, the path it touches, the text before and after."""

    name: str
    path: str
    old: CaseText
    new: CaseText
    structural: bool = False


@dataclass(frozen=True)
class TextChange:
    """What listeners are told: where the text changed, and whether items came, went or moved there."""

    path: str
    structural: bool

    @property
    def alters_text(self) -> bool:
        """Whether something stands typed otherwise than before; what only was saved stands as it was."""
        return bool(self.path) or self.structural


Listener = Callable[[TextChange], None]


class ChangedOutside(FileFault):
    """The case file is no longer what was read: saving would lose what somebody else saved."""


class Document:
    """A case text with its place on the disk, what was saved, an undo list without end, and listeners.

    ``saved`` is the text on the disk where that differs (recovered work), ``beside`` the folder of an example that was
    opened as a new case.
    """

    def __init__(
        self,
        text: CaseText | None = None,
        path: Path | None = None,
        saved: CaseText | None = None,
        beside: Path | None = None,
    ) -> None:
        self._text = text if text is not None else CaseText()
        self._saved = saved if saved is not None else self._text
        self._path, self._beside = path, beside
        self._done: list[EditStep] = []
        self._undone: list[EditStep] = []
        self._open_step = False
        self.in_hand = False
        self._listeners: list[Listener] = []
        self._resolved: tuple[CaseText, tuple[object, ...], Case | Faults] | None = None
        self._sections: KeptSections = {}
        self._on_disk = None if path is None else fingerprint_of(path, LARGEST_BYTES)
        self._good: Case | None = None

    @classmethod
    def read(cls, path: Path) -> Document:
        """The document of a case file. Raises :class:`engcalc.errors.InputError` in words."""
        return cls(read_case(path), path)

    @property
    def text(self) -> CaseText:
        """What stands typed."""
        return self._text

    @property
    def path(self) -> Path | None:
        """The case file, or None before the first save."""
        return self._path

    @property
    def folder(self) -> Path | None:
        """The folder in which files named by the case (logs, photos) are looked for."""
        if self._path is not None:
            return self._path.parent
        return None if self._beside is None else OwnFolder(self._beside)

    @property
    def name(self) -> str:
        """The file's name without its ending."""
        return UNTITLED if self._path is None else self._path.name.removesuffix(SUFFIX)

    @property
    def dirty(self) -> bool:
        """Whether the text differs from what was saved."""
        return self._text != self._saved

    # -- listeners ----------------------------------------------------------------------------------------------

    def subscribe(self, listener: Listener) -> Callable[[], None]:
        """Call ``listener`` after each change; the returned function ends that."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def _tell(self, change: TextChange) -> None:
        for listener in tuple(self._listeners):
            listener(change)

    # -- edits --------------------------------------------------------------------------------------------------

    def edit(self, path: str, typed: str) -> None:
        """Put a typed value; the empty text takes it away. A stated basis and uncertainty stay with the value."""
        if typed == "" and self._text.get(path) is None:
            return
        new = self._text.with_typed(path, typed)
        extras = self._extras_of_open_step(path)
        if typed and extras is not None and self._text.get(path) is None:
            new = new.with_value(path, {**extras, "value": typed})
        self._take(EditStep(f"Change {label_of(path)}", path, self._text, _pruned(new, path) if typed == "" else new))

    def _extras_of_open_step(self, path: str) -> Mapping[str, object] | None:
        """The value object that the running step began with, so that retyping a value keeps its basis."""
        if not (self._open_step and self._done and self._done[-1].path == path):
            return None
        found = self._done[-1].old.get(path)
        return found if isinstance(found, dict) else None

    def edit_extra(
        self, path: str, *, basis: str | None = None, uncertainty: str | None = None, law: str | None = None
    ) -> None:
        """State basis, uncertainty or law of a typed value (None leaves it, the empty text takes it away)."""
        found = self._text.get(path)
        bare = {} if found is None else {"value": found}
        extras: dict[str, object] = dict(found) if isinstance(found, dict) else bare
        for key, given in (("uncertainty", uncertainty), ("basis", basis), ("law", law)):
            if given == "":
                extras.pop(key, None)
            elif given is not None:
                extras[key] = given
        value = extras.get("value") if set(extras) <= {"value"} else extras
        new = self._text.with_value(path, value)
        self._take(
            EditStep(document_texts.CHANGE_BASIS_OF.format(label_of=label_of(path)), f"{path}.", self._text, new)
        )

    def put(self, path: str, value: object, name: str = "") -> None:
        """Put a value that is no plain text: a fact, a list of texts, a table. None takes it away."""
        if value is None and self._text.get(path) is None:
            return
        new = self._text.with_value(path, value)
        new = _pruned(new, path) if value is None else new
        self._take(EditStep(name or f"Change {label_of(path)}", path, self._text, new))

    def insert_item(self, list_path: str, index: int, item: Mapping[str, object] | None = None) -> None:
        """Insert an item into a list before ``index``."""
        self._restructure(
            f"Add to {label_of(list_path)}", list_path, self._text.with_item(list_path, index, dict(item or {}))
        )

    def remove_item(self, list_path: str, index: int) -> None:
        """Take an item out of a list; a list left empty goes with it."""
        new = self._text.without_item(list_path, index)
        self._restructure(
            f"Remove from {label_of(list_path)}",
            list_path,
            new if new.get(list_path) else _pruned(new.with_value(list_path, None), list_path),
        )

    def move_item(self, list_path: str, index: int, to: int) -> None:
        """Move an item of a list to the place ``to``."""
        items = list(self._text.get(list_path) or [])
        items.insert(to, items.pop(index))
        self._restructure(f"Move in {label_of(list_path)}", list_path, self._text.with_value(list_path, items))

    def put_items(self, list_path: str, items: Sequence[Mapping[str, object]], name: str = "") -> None:
        """Put a whole list of items; an empty one goes away."""
        new = self._text.with_value(list_path, list(items) or None)  # what is no list is refused as a list of items
        self._restructure(
            name or f"Write out {label_of(list_path)}", list_path, new if items else _pruned(new, list_path)
        )

    def take_text(self, text: CaseText, name: str) -> None:
        """Put a whole other text in place of this one, as one step that undo takes back."""
        self._restructure(name, "", text)

    def _restructure(self, name: str, path: str, new: CaseText) -> None:
        self.end_step()
        self._take(EditStep(name, path, self._text, new, structural=True))
        self.end_step()

    def _take(self, step: EditStep) -> None:
        if step.new == self._text:
            return
        last = self._done[-1] if self._done else None
        if last is not None and self._open_step and last.path == step.path and not step.structural:
            self._done[-1] = replace(last, new=step.new)
            if last.old == step.new:
                self._done.pop()
                self._open_step = False
        else:
            self._done.append(step)
            self._open_step = True
        self._undone.clear()
        self._text = step.new
        self._tell(TextChange(step.path.rstrip("."), step.structural))

    def slide(self, path: str, typed: str) -> None:
        """As :meth:`edit`, while a hand moves the value: what takes long is left until :meth:`let_go`."""
        self.in_hand = True
        try:
            self.edit(path, typed)
        finally:
            self.in_hand = False

    def let_go(self, path: str) -> None:
        """The hand has let go of a value: its last change is told once more, to be followed in full."""
        self.end_step()
        self._tell(TextChange(path, structural=False))

    # -- undo ---------------------------------------------------------------------------------------------------

    def end_step(self) -> None:
        """Close the running step: the next edit of the same field starts one of its own."""
        self._open_step = False

    @property
    def undo_name(self) -> str | None:
        """What undo would take back, in words; None when there is nothing."""
        return self._done[-1].name if self._done else None

    @property
    def redo_name(self) -> str | None:
        """What redo would do again, in words; None when there is nothing."""
        return self._undone[-1].name if self._undone else None

    def undo(self) -> None:
        """Take back the last step."""
        if self._done:
            step = self._done.pop()
            self._undone.append(step)
            self._go(step, step.old)

    def redo(self) -> None:
        """Do the last step that was taken back again."""
        if self._undone:
            step = self._undone.pop()
            self._done.append(step)
            self._go(step, step.new)

    def _go(self, step: EditStep, text: CaseText) -> None:
        self.end_step()
        self._text = text
        self._tell(TextChange(step.path.rstrip("."), step.structural))

    # -- resolved and saved -------------------------------------------------------------------------------------

    def resolve(self) -> Case | Faults:
        """The case in SI or its faults; computed once for each text, and for each state of a log that fills duties."""
        logs = self._state_of_logs()
        if self._resolved is None or self._resolved[0] is not self._text or self._resolved[1] != logs:
            answer = self._with_possible_rig(self._with_log(resolve(self._text, self._sections)))
            if isinstance(answer, Case):
                answer = with_remarks(answer, self._text, self.folder or NO_FOLDER)
            self._resolved = (self._text, logs, answer)
            if isinstance(answer, Case):
                self._good = answer
        return self._resolved[2]

    def _state_of_logs(self) -> tuple[object, ...]:
        """What changes with the content of the logs that duties are filled from, and of every file whose content the
        case states; nothing where there are none."""
        folder = self.folder or NO_FOLDER
        if self._text.get(DIGESTS):
            return tuple(state_of(folder / name) for name in needed_files(self._text).values())
        duties = self._text.get("duties")
        if not any(
            isinstance(duty, dict) and "log_time" in duty for duty in (duties if isinstance(duties, list) else ())
        ):
            return ()
        return tuple(state_of(folder / name) for name in logs_named(self._text).values())

    def _with_log(self, answer: Case | Faults) -> Case | Faults:
        """The case with duties that a log fills."""
        if isinstance(answer, Faults) or all(duty.log_time is None for duty in answer.duties):
            return answer
        from engcalc.vehicle.logged_duties import with_logged_duties  # heavy: only for a case that needs it

        try:
            return with_logged_duties(answer, self.folder)
        except InputError as error:
            return Faults(error.faults, answer.warnings)

    def _with_possible_rig(self, answer: Case | Faults) -> Case | Faults:
        """The case, unless what a rig measured cannot be."""
        if isinstance(answer, Faults) or not (answer.rig or answer.problems):
            return answer
        from engcalc.studies.rig import with_possible_points  # heavy: only for a case that needs it

        try:
            return with_possible_points(answer)
        except InputError as error:
            return Faults(error.faults, answer.warnings)

    @property
    def faults(self) -> tuple[InputFault, ...]:
        """What is wrong with what stands typed. A fault of a record that its stand-in duties repeat is named once."""
        answer = self.resolve()
        if isinstance(answer, Case):
            return ()
        if self._text.get("duties"):
            return answer.faults
        return tuple(f for f in answer.faults if not _repeated(f, answer.faults))

    @property
    def good(self) -> Case | None:
        """The last case without faults; None when there was none yet."""
        self.resolve()
        return self._good

    @property
    def changed_outside(self) -> bool:
        """Whether the case file is no longer what was read or written here: another window or program wrote it."""
        return self._path is not None and fingerprint_of(self._path, LARGEST_BYTES) != self._on_disk

    def accept_outside(self) -> None:
        """What was saved outside may be written over; it stays in the backup beside the file."""
        self._on_disk = None if self._path is None else fingerprint_of(self._path, LARGEST_BYTES)

    def save(self, path: Path | None = None) -> None:
        """Write the case file, and the files that it names beside it where they are not there yet.

        Raises :class:`FileFault` in words; the old file then stays as it was. Where another window or program saved
        it meanwhile, that is a :class:`ChangedOutside`, until :meth:`accept_outside`.
        """
        target = path or self._path
        if target is None:
            raise FileFault("", document_texts.CHOOSE_WHERE_THE_CASE_IS_TO_BE_SAVED)
        if target == self._path and self.changed_outside:
            raise ChangedOutside(str(target), document_texts.ANOTHER_WINDOW_OR_PROGRAM_SAVED)
        folder = target.absolute().parent
        text = with_digests(carried_along(self._text, self.folder, folder), folder)
        write_case(text, target)
        self._text, self._path, self._saved = text, target, text
        self._on_disk = fingerprint_of(target, LARGEST_BYTES)
        self.end_step()
        self._tell(TextChange("", structural=False))


def free_name_beside(path: Path) -> Path:
    """A name for a second version of a case beside the first."""
    stem = path.name.removesuffix(SUFFIX)
    names = (path.with_name(f"{stem} ({number}){SUFFIX}") for number in range(2, 1000))
    return next((place for place in names if not is_there(place)), path.with_name(f"{stem} (again){SUFFIX}"))


def _repeated(fault: InputFault, faults: tuple[InputFault, ...]) -> bool:
    """Whether a duty that nobody typed only repeats what is wrong with the record it was filled from."""
    return fault.path.startswith("duties[") and any(
        other.path.startswith("evidence.") and (other.given, other.wanted) == (fault.given, fault.wanted)
        for other in faults
    )


def label_of(path: str) -> str:
    """A name in words for a path: the label of its input, or of the list or section that it lies in."""
    keys = steps(path)
    for end in range(len(keys), 0, -1):
        try:
            return entry("".join(f"[{k}]" if isinstance(k, int) else f".{k}" for k in keys[:end])[1:]).input.label
        except KeyError:
            continue
    words = [str(k).replace("_", " ") for k in keys if not isinstance(k, int)]
    return SECTION_LABELS.get(words[-1], words[-1]) if words else "the case"


def _pruned(text: CaseText, path: str) -> CaseText:
    """Take away the objects that a removal at ``path`` left empty; items of lists stay, a person may yet fill them."""
    keys = steps(path)[:-1]
    while keys and not isinstance(keys[-1], int):
        here = "".join(f"[{k}]" if isinstance(k, int) else f".{k}" for k in keys)[1:]
        if text.get(here) != {}:
            break
        text = text.with_value(here, None)
        keys = keys[:-1]
    return text
