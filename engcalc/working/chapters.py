"""Chapters of a working: steps under one title, and the same with their numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from engcalc.errors import RangeError
from engcalc.working.shown import Shown, Term, WorkingLine, show_step


@dataclass(frozen=True)
class Chapter:
    """Some steps under one title."""

    title: str
    steps: tuple[WorkingLine, ...]


@dataclass(frozen=True)
class WorkedChapter:
    """A chapter with its lines, and what could not be shown and why (empty unless something is wrong)."""

    title: str
    lines: tuple[Shown, ...]
    failures: tuple[str, ...]


def worked_with(chapter: Chapter, terms: Mapping[str, Term], results: object) -> WorkedChapter:
    """A chapter with the numbers that its terms name among the results."""
    lines = []
    failures = []
    for step in chapter.steps:
        try:
            line = show_step(step, terms, results)
        except RangeError as fault:
            failures.append(str(fault))
            continue
        if line is not None:
            lines.append(line)
    return WorkedChapter(chapter.title, tuple(lines), tuple(failures))


def steps_with(terms: Mapping[str, Term]) -> Callable[..., WorkingLine]:
    """A maker of steps that takes their labels from these terms."""

    def step(
        symbol: str,
        formula: str,
        source: str,
        parts: Mapping[str, str] | None = None,
        condition: str = "",
        count: str = "",
        note: str = "",
    ) -> WorkingLine:
        return WorkingLine(symbol, terms[symbol].label, formula, source, parts or {}, condition, count, note)

    return step
