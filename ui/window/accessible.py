"""Names that a screen reader speaks and that tests find: each field is called by its label, with what it belongs to."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QWidget

from engcalc.case.catalogue import entry
from engcalc.case.sections import SECTION_LABELS
from engcalc.case.text import steps
from engcalc.words.texts import window_texts

ITEM_LABELS = {
    "duties": "Duty",
    "airflow.upstream": window_texts.COOLER_AHEAD_OF_THE_RADIATOR,
    "circuit.extra": window_texts.COOLER_IN_THE_COOLANT,
    "rig": "Point",
    "problems": "Problem",
    "schedule": "Step",
    "heater_changes": "Setting",
    "spots": "Reading",
}
RECORD_LABELS = {"before": "Before the repair", "after": "After the repair"}


def group_of(path: str) -> str:
    """What a path belongs to, in words: ``Radiator``, ``Duty 2``, ``Before the repair, reading 1``."""
    keys = steps(path)
    if keys[0] == "evidence":
        record = RECORD_LABELS.get(str(keys[1]), "") if len(keys) > 1 else SECTION_LABELS["evidence"]
        if len(keys) > 3 and keys[2] in ITEM_LABELS and isinstance(keys[3], int):
            return f"{record}, {ITEM_LABELS[str(keys[2])].lower()} {keys[3] + 1}"
        return record
    for at, key in enumerate(keys):
        if isinstance(key, int):
            return f"{ITEM_LABELS['.'.join(map(str, keys[:at]))]} {key + 1}"
    return SECTION_LABELS[str(keys[0])]


def name_of(path: str) -> str:
    """The accessible name of the field at a path: ``Radiator: Core height``, ``Duty 2: Grade``."""
    return f"{group_of(path)}: {entry(path).input.label}"


def tie(label: QLabel, widget: QWidget, name: str, description: str = "") -> None:
    """Tie a label to its field, for the eye, the keyboard and the screen reader."""
    label.setBuddy(widget)
    widget.setAccessibleName(name)
    if description:
        widget.setAccessibleDescription(description)


def retire(widget: QWidget) -> None:
    """Take a widget out of sight and let Qt delete it; until then nobody finds it or its parts by name."""
    widget.hide()
    for part in (widget, *widget.findChildren(QWidget)):
        part.setAccessibleName("")
    widget.deleteLater()
