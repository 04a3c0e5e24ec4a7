"""Problem sheets and keys as files: PDF for people, JSON for programs, and a table for the answers that come back."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence

from reportlab.platypus.flowables import Flowable

from engcalc.classroom.as_data import key_data, sheet_data
from engcalc.classroom.problem import PosedProblem
from engcalc.classroom.symbols import SymbolSet
from engcalc.words.classroom_words import KEY, SHEET, heading_of
from reports.layout import PAGE_SIZES, Running, compose, frame_width, new_page
from reports.pages.worksheet import hints_page, key_pages, sheet_page


def worksheet_files(problems: Sequence[PosedProblem], symbols: SymbolSet) -> Mapping[str, bytes]:
    """Every file of a class's sheets by its name; the same problems give the same bytes. ``problems`` are of one topic,
    one seed and one system of units, at least one."""
    first = problems[0]
    stem = f"{first.topic.key}-{first.seed}"
    sheets = [sheet_data(problem, symbols) for problem in problems]
    keys = [key_data(problem, symbols) for problem in problems]
    return {
        f"{stem}-sheet.pdf": sheet_pdf(problems, symbols),
        f"{stem}-key.pdf": key_pdf(problems, symbols),
        f"{stem}-sheet.json": _json({"sheets": sheets}),
        f"{stem}-key.json": _json({"keys": keys}),
        f"{stem}-answers.csv": _answers_table(problems),
    }


def sheet_pdf(problems: Sequence[PosedProblem], symbols: SymbolSet) -> bytes:
    """A page for each person, and the hints on a page of their own at the end."""
    width = _width(problems[0])
    story: list[Flowable] = []
    for problem in problems:
        story += [*sheet_page(problem, symbols, width), new_page()]
    return compose([*story, *hints_page(problems[0])], _running(problems[0], SHEET))


def key_pdf(problems: Sequence[PosedProblem], symbols: SymbolSet) -> bytes:
    """For each person answers, bands, the whole working and the likely slips."""
    width = _width(problems[0])
    story: list[Flowable] = []
    for problem in problems:
        story += ([new_page()] if story else []) + key_pages(problem, symbols, width)
    return compose(story, _running(problems[0], KEY))


def _width(problem: PosedProblem) -> float:
    return frame_width(PAGE_SIZES[problem.system])


def _running(problem: PosedProblem, kind: str) -> Running:
    title = f"{heading_of(problem, kind)} – {problem.topic.title}"
    return Running(
        title=title,
        left=heading_of(problem, kind),
        right=problem.topic.title,
        footer=f"Heatdocket, {problem.topic.key}, seed {problem.seed}",
        draft=False,
        page_size=PAGE_SIZES[problem.system],
        subject=problem.topic.title,
    )


def _json(data: object) -> bytes:
    return (json.dumps(data, ensure_ascii=False, allow_nan=False, indent=2) + "\n").encode()


def _answers_table(problems: Sequence[PosedProblem]) -> bytes:
    """The table that ``worksheet --check`` reads, its answers still empty."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["name", *(asked.symbol for asked in problems[0].asked)])
    writer.writerows([problem.name, *("" for _ in problem.asked)] for problem in problems)
    return text.getvalue().encode()
