"""Words of the charts that teach: what each short way is, and what it costs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from engcalc.studies.bench.approximations import READ_F
from engcalc.studies.teaching import ROOM, Shortcut, ShortcutCost
from engcalc.units import ZERO_CELSIUS, UnitSystem, show

SHORTCUTS: Mapping[Shortcut, str] = {
    Shortcut.ONE_TERM: "The one-term formula with NTU to the power 0.22, in place of the series",
    Shortcut.ROOM_PROPERTIES: f"Properties of both fluids at {ROOM - ZERO_CELSIUS:g} °C, in place of where they are",
    Shortcut.WITHOUT_F: "The mean temperature difference as in counterflow, without F",
    Shortcut.READ_F: f"F as a chart is read, to {READ_F:g}, in place of the NTU",
}
EXACT = "Exact"
SHORTCUT_TITLE = "What a common approximation costs"
SHORTCUT_LEAD = "The radiator's heat at the same flows and inlets by a shorter way, and by how much that is off."
SHORTCUT_HEAD = ("Way", "Heat", "Off by")
SLIDERS_TITLE = "What if"
CHOSEN_DUTY = "Duty"
NO_DUTY = "There is no duty to draw. A bench has its charts under Bench."
DUTY_WANTED = "a case with a duty; heatdocket rig works an exchanger on a bench"
NO_POINT = "This duty has no steady state that could be drawn: see the reasons under Verdict."
CHARTS_TITLE = "Charts"


def shortcut_rows(exact: float, costs: Sequence[ShortcutCost], system: UnitSystem) -> tuple[tuple[str, str, str], ...]:
    """The exact heat [W] and that of each short way, with its error."""
    first = (EXACT, show(exact, "heat rate", system), "")
    return (first, *((SHORTCUTS[c.by], show(c.heat, "heat rate", system), f"{100.0 * c.error:+.2g} %") for c in costs))


def duration_words(seconds: float) -> str:
    """A time in seconds below two minutes, else in minutes."""
    return f"{seconds:.0f} s" if seconds < 120.0 else f"{seconds / 60.0:.1f} min"
