"""Problem sheets on the command line: the topics, a class's sheets and keys, and answers marked."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from engcalc.errors import InputError, InputFault
from ui.command.named_case import SYSTEMS

if TYPE_CHECKING:
    from engcalc.classroom.class_order import ClassOrder
    from engcalc.classroom.topic import Topic
    from ui.command.answer import Answer, JsonObject


def worksheet_command(options: argparse.Namespace) -> Answer:
    """``heatdocket worksheet``: list, pose, write or mark. InputError with every fault."""
    if options.list:
        return _topics()
    order = _order(options)
    if options.check is not None:
        return _marked(order, options)
    if options.output is not None:
        return _written(order, options)
    return _sheet_answer(order)


def _topics() -> Answer:
    from engcalc.classroom.topics import TOPICS
    from engcalc.words.lesson.classroom_words import topic_lines

    return {"topics": [{"topic": key, "title": topic.title} for key, topic in TOPICS.items()]}, topic_lines()


def _order(options: argparse.Namespace) -> ClassOrder:
    from engcalc.classroom.class_order import ClassOrder
    from engcalc.classroom.stated import stated_numbers
    from engcalc.classroom.symbols import SymbolSet
    from reports.worksheets import names_in_file

    topic = _topic(options.topic)
    names = () if options.class_list is None else names_in_file(options.class_list)
    stated = stated_numbers(topic, options.number)
    return ClassOrder(topic, options.seed, SYSTEMS[options.units], SymbolSet(options.symbols), names, stated)


def _topic(key: str | None) -> Topic:
    from engcalc.classroom.topics import TOPICS

    found = TOPICS.get(key or "")
    if found is None:
        raise InputError((InputFault("topic", key or "", f"one of {', '.join(TOPICS)}"),))
    return found


def _sheet_answer(order: ClassOrder) -> Answer:
    from engcalc.classroom.as_data import key_data, sheet_data
    from engcalc.words.lesson.classroom_words import key_lines, sheet_lines

    problems, symbols = order.posed(), order.symbols
    data: JsonObject = {
        "sheets": [sheet_data(problem, symbols) for problem in problems],
        "keys": [key_data(problem, symbols) for problem in problems],
    }
    lines = [line for p in problems for line in (*sheet_lines(p, symbols), "", *key_lines(p, symbols), "")]
    return data, lines[:-1]


def _written(order: ClassOrder, options: argparse.Namespace) -> Answer:
    from reports.worksheets import write_worksheets

    paths = [str(path) for path in write_worksheets(order, options.output)]
    return {"files": paths, "sheets": len(order.names) or 1}, paths


def _marked(order: ClassOrder, options: argparse.Namespace) -> Answer:
    from engcalc.classroom.as_data import marked_data
    from engcalc.words.lesson.classroom_words import marked_lines
    from reports.worksheets import marked_file

    found = marked_file(order, options.check)
    data: JsonObject = {"topic": order.topic.key, "seed": order.seed, "marked": [marked_data(one) for one in found]}
    return data, marked_lines(found, order.symbols)
