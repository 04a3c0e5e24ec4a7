"""Problem sheets and keys as files: PDF for people, JSON for programs, and a table for the answers that come back."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from reportlab.platypus.flowables import Flowable

from engcalc.case.file import read_whole, write_whole
from engcalc.classroom.as_data import key_data, sheet_data
from engcalc.classroom.class_order import ClassOrder
from engcalc.classroom.marking import SHEET_HEAD, MarkedSheet, class_names, sheet_name
from engcalc.classroom.problem import AskedQuantity, PosedProblem
from engcalc.classroom.symbols import SymbolSet, printed
from engcalc.errors import FileFault
from engcalc.words.lesson.classroom_words import KEY, SHEET, heading_of
from engcalc.words.texts import report_texts, shared_texts
from reports.layout import PAGE_SIZES, RunningLines, compose, frame_width, new_page
from reports.pages.worksheet import hints_page, key_pages, sheet_page

LARGEST_LIST = 1_000_000  # bytes


def list_text(path: Path, wanted: str) -> str:
    """The text of a class list or of answers; ``wanted`` says what the file should be, with its article.

    Raises FileFault when it cannot be read or is no UTF-8.
    """
    try:
        return read_whole(path, wanted, LARGEST_LIST).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileFault(str(path), report_texts.WRITTEN_AS_UTF_8_TEXT.format(wanted=wanted)) from error


def names_in_file(path: Path) -> tuple[str, ...]:
    """The names of a class list. Raises FileFault or InputError with every fault."""
    return class_names(list_text(path, shared_texts.CLASS_LIST_ONE_NAME_TO_A_ROW), str(path))


def marked_file(order: ClassOrder, path: Path) -> tuple[MarkedSheet, ...]:
    """The answers in a file marked. Raises FileFault or InputError with every fault."""
    return order.marked(list_text(path, report_texts.CLASSS_ANSWERS_AS_CSV), str(path))


def write_worksheets(order: ClassOrder, folder: Path) -> tuple[Path, ...]:
    """Write every file of a class's sheets into a folder, which is made where it is missing. Raises FileFault."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileFault(
            str(folder), report_texts.FOLDER_TO_WRITE_INTO.format(strerror=error.strerror or error)
        ) from error
    files = worksheet_files(order.posed(), order.symbols)
    for name, data in files.items():
        write_whole(folder / name, data)
    return tuple(folder / name for name in files)


def worksheet_files(problems: Sequence[PosedProblem], symbols: SymbolSet) -> Mapping[str, bytes]:
    """Every file of a class's sheets by its name; the same problems give the same bytes. ``problems`` are of one topic,
    one seed and one system of units, at least one."""
    first = problems[0]
    stem = sheet_name(first)
    sheets = [sheet_data(problem, symbols) for problem in problems]
    keys = [key_data(problem, symbols) for problem in problems]
    return {
        f"{stem}-sheet.pdf": sheet_pdf(problems, symbols),
        f"{stem}-key.pdf": key_pdf(problems, symbols),
        f"{stem}-sheet.json": _json({"sheets": sheets}),
        f"{stem}-key.json": _json({"keys": keys}),
        f"{stem}-answers.csv": _answers_table(problems, symbols),
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


def _running(problem: PosedProblem, kind: str) -> RunningLines:
    title = f"{heading_of(problem, kind)} – {problem.topic.title}"
    return RunningLines(
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


def _answers_table(problems: Sequence[PosedProblem], symbols: SymbolSet) -> bytes:
    """The table that ``worksheet --check`` reads, its answers still empty, headed by the symbols of the sheets.

    Each row names its sheet, so that nobody is marked by another sheet's key; each head names the unit.
    Symbols of set B are no plain letters: the mark at the beginning tells spreadsheets so.
    """
    in_plain_letters = symbols is SymbolSet.A
    heads = [_answer_head(one, symbols) for one in problems[0].asked]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["name", SHEET_HEAD, *heads])
    writer.writerows([problem.name, sheet_name(problem), *("" for _ in problem.asked)] for problem in problems)
    return text.getvalue().encode("utf-8" if in_plain_letters else "utf-8-sig")


def _answer_head(asked: AskedQuantity, symbols: SymbolSet) -> str:
    symbol = asked.symbol if symbols is SymbolSet.A else printed(asked.symbol, symbols).replace(",", "_")
    return f"{symbol} [{asked.unit}]" if asked.unit else symbol
