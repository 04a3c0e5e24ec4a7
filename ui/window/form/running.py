"""How the vehicle ran since its start, as one choice: it stands in the record's schedule like any other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ui.window.form.binding import Binding
from ui.window.form.fields import Field, roomy_combo

# The choices: what is shown, and the one step that says it. Speeds that stand for such running: common practice.
HELP = ("What the vehicle did from its start until the reading. Town is taken as a steady 50 km/h, the open road as "
        "90 km/h; write out steps of your own among the readings before the repair.")
HELD = "60 min"  # longer than a reading is taken after; the last step goes on in any case
RUNNINGS: Mapping[str, Mapping[str, str]] = {
    "it idled": {"vehicle_speed": "0 km/h", "duration": HELD},
    "driven in town": {"vehicle_speed": "50 km/h", "duration": HELD},
    "on the open road": {"vehicle_speed": "90 km/h", "duration": HELD}}
NOT_NOTED = "not noted: idling and driving are both reckoned with"
OTHERWISE = "as written out step by step below"


class RunningField(Field):
    """Idled, town or open road, put down as a schedule of one step; a schedule of one's own is shown as that."""

    def __init__(self, binding: Binding, list_path: str, label: str = "", name: str = "") -> None:
        super().__init__(binding, f"{list_path}[0].vehicle_speed", label, name)
        self._list_path = list_path
        self.combo = roomy_combo()
        self.combo.addItem(NOT_NOTED, None)
        for said, step in RUNNINGS.items():
            self.combo.addItem(said, dict(step))
        self._own = self.combo.count()
        self._lay(self.combo)
        self.combo.setWhatsThis(HELP)
        self.combo.setAccessibleDescription(HELP)
        self.combo.activated.connect(self._chosen)
        binding.add(self)

    def focused(self) -> None:
        """The keyboard is here."""
        self.binding.helped.emit(f"{self.name}. {HELP}")

    def _chosen(self, index: int) -> None:
        if index >= self._own:
            return
        step = self.combo.itemData(index)
        self.binding.document.put_items(self._list_path, [] if step is None else [step], "Change how it ran")

    def refresh(self) -> None:
        """Show which choice the schedule is."""
        found = self.binding.document.text.get(self._list_path)
        index = self._place_of(found)
        while self.combo.count() > self._own:
            self.combo.removeItem(self._own)
        if index == self._own:
            self.combo.addItem(OTHERWISE, None)
        self.combo.setCurrentIndex(index)
        self.combo.setToolTip(self.combo.currentText())

    def _place_of(self, found: Any) -> int:
        if not found:
            return 0
        return next((1 + at for at, step in enumerate(RUNNINGS.values()) if found == [step]), self._own)
