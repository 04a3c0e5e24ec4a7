"""Colours by what they stand for: one set for paper and light screens, one for dark screens.

The hues keep apart for the common kinds of colour blindness, and no picture relies on them alone: every line, bar and
point carries its words. The steps of warmth grow evenly darker on light ground, lighter on dark.
"""

from __future__ import annotations

from collections.abc import Mapping

from reports.plots.describe import Tone

LIGHT: Mapping[Tone, str] = {
    Tone.GROUND: "#ffffff",
    Tone.INK: "#1d2329",
    Tone.MUTED: "#5b6670",
    Tone.GRID: "#d9dee3",
    Tone.FUEL: "#8a6d3b",
    Tone.WORK: "#2f7d4f",
    Tone.EXHAUST: "#69737c",
    Tone.REST: "#8b949c",
    Tone.METAL: "#c4541a",
    Tone.SURFACE: "#b08363",
    Tone.COOLANT: "#c4541a",
    Tone.AIR: "#2273b5",
    Tone.HEATER: "#7a4fa3",
    Tone.VALVE: "#1b7f86",
    Tone.LIMIT: "#b3202e",
    Tone.BOILING: "#86195f",
    Tone.FIRST: "#2273b5",
    Tone.SECOND: "#c4541a",
    Tone.THIRD: "#2f7d4f",
    Tone.FOURTH: "#7a4fa3",
    Tone.HEAT_0: "#4f97c8",
    Tone.HEAT_1: "#5e88bf",
    Tone.HEAT_2: "#6d77b2",
    Tone.HEAT_3: "#83639b",
    Tone.HEAT_4: "#924e7c",
    Tone.HEAT_5: "#9a3856",
    Tone.HEAT_6: "#952838",
    Tone.HEAT_7: "#8a1a1b",
}

DARK: Mapping[Tone, str] = {
    Tone.GROUND: "#15181b",
    Tone.INK: "#e8ecef",
    Tone.MUTED: "#a3adb6",
    Tone.GRID: "#3c444c",
    Tone.FUEL: "#c9a765",
    Tone.WORK: "#62bd87",
    Tone.EXHAUST: "#98a2ab",
    Tone.REST: "#6d7780",
    Tone.METAL: "#f08a4b",
    Tone.SURFACE: "#c79f80",
    Tone.COOLANT: "#f08a4b",
    Tone.AIR: "#63aee8",
    Tone.HEATER: "#b48be0",
    Tone.VALVE: "#4fc0c7",
    Tone.LIMIT: "#f2707b",
    Tone.BOILING: "#e07dbd",
    Tone.FIRST: "#63aee8",
    Tone.SECOND: "#f08a4b",
    Tone.THIRD: "#62bd87",
    Tone.FOURTH: "#b48be0",
    Tone.HEAT_0: "#3b76ab",
    Tone.HEAT_1: "#607cb7",
    Tone.HEAT_2: "#8382bf",
    Tone.HEAT_3: "#ac85bb",
    Tone.HEAT_4: "#cc8ab1",
    Tone.HEAT_5: "#e393a0",
    Tone.HEAT_6: "#f0a290",
    Tone.HEAT_7: "#f8b27f",
}

PAPER = LIGHT
