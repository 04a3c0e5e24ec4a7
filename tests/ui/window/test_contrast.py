"""Contrast of both palettes, computed: 4.5 for words, 3 for marks and outlines (WCAG 2.2, 1.4.3 and 1.4.11)."""

from __future__ import annotations

import pytest
from contrast import MARKS, WORDS, contrast

from reports.plots import palette
from reports.plots.describe import Tone
from ui.window import theme
from ui.window.jobs.rail import StepMark
from ui.window.results.content import SEVERITY_SIGNS
from ui.window.results.verdict_bar import SIGNS, WAITING
from ui.window.theme import Tones

GROUNDS = ("window", "base", "panel")
SAID = ("text", "muted", "accent", "error", "warn", "good", "cold")  # tones in which words stand
NO_WORDS = {Tone.GROUND, Tone.GRID, Tone.REST, Tone.SURFACE}  # in these no word is set
NO_MARKS = {Tone.GROUND, Tone.GRID}  # the ground, and lines that only help the eye along
PLOTS = {theme.LIGHT: palette.LIGHT, theme.DARK: palette.DARK}
BOTH = pytest.mark.parametrize("tones", [theme.LIGHT, theme.DARK], ids=["light", "dark"])


def test_the_formula_gives_the_standard_s_own_ends():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)  # the well-known grey just below 4.5


@BOTH
def test_words_of_the_window(tones: Tones):
    found = {(tone, on): contrast(getattr(tones, tone), getattr(tones, on)) for tone in SAID for on in GROUNDS}
    found["on accent", "accent"] = contrast(tones.on_accent, tones.accent)
    assert {pair: value for pair, value in found.items() if value < WORDS} == {}


@BOTH
def test_outlines_of_what_is_pressed_or_typed_into(tones: Tones):
    found = {
        (tone, on): contrast(getattr(tones, tone), getattr(tones, on)) for tone in ("edge", "accent") for on in GROUNDS
    }
    assert {pair: value for pair, value in found.items() if value < MARKS} == {}


@BOTH
def test_words_and_marks_of_the_pictures(tones: Tones):
    grounds = {tones.base, PLOTS[tones][Tone.GROUND]}
    heat = {tone for tone in Tone if tone.name.startswith("HEAT_")}
    for tone, colour in PLOTS[tones].items():
        least = min(contrast(colour, ground) for ground in grounds)
        if tone not in NO_MARKS:
            assert least >= MARKS, tone
        if tone not in NO_WORDS | heat:
            assert least >= WORDS, tone


def test_every_state_has_a_form_and_a_word_beside_its_colour():
    marks = [mark for mark in StepMark if mark is not StepMark.ALWAYS]
    assert len({mark.shape for mark in marks}) == len({mark.word for mark in marks}) == len(marks)
    verdicts = [*SIGNS.values(), WAITING]
    assert all(sign.shape and sign.word for sign in verdicts)
    levels = list(SEVERITY_SIGNS.values())
    assert len({shape for shape, _, _ in levels}) == len({word for _, word, _ in levels}) == len(levels)
