"""Problem sheets on the command line: the topics, a class's sheets and keys, and answers marked."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.case.file import read_whole, write_whole
from engcalc.errors import FileFault, InputError, InputFault
from ui.command.named_case import SYSTEMS

if TYPE_CHECKING:
    from engcalc.classroom.problem import PosedProblem
    from engcalc.classroom.symbols import SymbolSet
    from engcalc.classroom.topic import Topic
    from ui.command.answer import Answer, JsonObject

LARGEST_LIST = 1_000_000  # bytes


def worksheet_command(options: argparse.Namespace) -> Answer:
    """``heatdocket worksheet``: list, pose, write or mark. InputError with every fault."""
    from engcalc.classroom.symbols import SymbolSet
    from engcalc.words.classroom_words import topic_lines

    if options.list:
        return _topics(), topic_lines()
    topic = _topic(options.topic)
    symbols = SymbolSet(options.symbols)
    names = _names(options.class_list)
    if options.check is not None:
        return _checked(options, topic, names, symbols)
    problems = [_posed(options, topic, name) for name in names or ("",)]
    if options.output is not None:
        return _written(problems, symbols, options.output)
    return _shown(problems, symbols)


def _topics() -> JsonObject:
    from engcalc.classroom.topics import TOPICS

    return {"topics": [{"topic": key, "title": topic.title} for key, topic in TOPICS.items()]}


def _topic(key: str | None) -> Topic:
    from engcalc.classroom.topics import TOPICS

    found = TOPICS.get(key or "")
    if found is None:
        raise InputError((InputFault("topic", key or "", f"one of {', '.join(TOPICS)}"),))
    return found


def _text(path: Path, wanted: str) -> str:
    try:
        return read_whole(path, wanted, LARGEST_LIST).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileFault(str(path), f"{wanted}, written as UTF-8 text") from error


def _names(path: Path | None) -> tuple[str, ...]:
    from engcalc.classroom.marking import class_names

    return () if path is None else class_names(_text(path, "a class list, one name to a row"), str(path))


def _posed(options: argparse.Namespace, topic: Topic, name: str) -> PosedProblem:
    from engcalc.classroom.problem import pose

    return pose(topic, options.seed, name, SYSTEMS[options.units])


def _shown(problems: list[PosedProblem], symbols: SymbolSet) -> Answer:
    from engcalc.classroom.as_data import key_data, sheet_data
    from engcalc.words.classroom_words import key_lines, sheet_lines

    data: JsonObject = {
        "sheets": [sheet_data(problem, symbols) for problem in problems],
        "keys": [key_data(problem, symbols) for problem in problems],
    }
    lines = [line for p in problems for line in (*sheet_lines(p, symbols), "", *key_lines(p, symbols), "")]
    return data, lines[:-1]


def _written(problems: list[PosedProblem], symbols: SymbolSet, folder: Path) -> Answer:
    from reports.worksheets import worksheet_files

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileFault(str(folder), f"a folder to write into ({error.strerror or error})") from error
    paths = []
    for name, data in worksheet_files(problems, symbols).items():
        write_whole(folder / name, data)
        paths.append(str(folder / name))
    return {"files": paths, "sheets": len(problems)}, paths


def _checked(options: argparse.Namespace, topic: Topic, names: tuple[str, ...], symbols: SymbolSet) -> Answer:
    from engcalc.classroom.as_data import marked_data
    from engcalc.classroom.marking import class_answers, mark
    from engcalc.words.classroom_words import marked_lines

    text = _text(options.check, "a class's answers as CSV")
    answers = class_answers(text, lambda name: _posed(options, topic, name), str(options.check))
    strangers = [row.name for row in answers if names and row.name not in names]
    if strangers:
        raise InputError(tuple(InputFault(str(options.check), name, "a name of the class list") for name in strangers))
    found = [mark(_posed(options, topic, row.name), row.values) for row in answers]
    given = {row.name for row in answers}
    found += [mark(_posed(options, topic, name), {}) for name in names if name not in given]
    data: JsonObject = {"topic": topic.key, "seed": options.seed, "marked": [marked_data(one) for one in found]}
    return data, marked_lines(found, symbols)
