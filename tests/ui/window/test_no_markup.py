"""Markup in a case, a file's name or a message is shown as it stands: nothing is fetched, nothing is drawn of it."""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6 import QtGui
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLabel, QMessageBox, QWidget

from ui.window.plain import plain_box, tip

WINDOW = Path(__file__).parents[3] / "ui" / "window"
MAKERS = {"plain.py"}  # where labels and boxes are made
OTHERWISE = {  # labels made elsewhere, each with why no word of a case is markup in it
    ("paragraph.py", "Paragraph"): "sets plain text, for lines that do not end before a unit",
    ("dialogs/preview.py", "_new_page"): "shows a picture, never a text",
}
MARKUP = {("form/panel.py", "__init__"): "the list of what is to mend: its words are escaped, its links are ours"}
MARK = "<b>bold</b><img src='file:///etc/hostname'>"


def drawn_as_markup(root: QWidget) -> list[str]:
    """Labels and tool tips under ``root`` in which Qt would take the words of the case for markup."""
    found = []
    for widget in root.findChildren(QWidget):
        if isinstance(widget, QLabel) and "<img" in widget.text():
            rich = widget.textFormat()
            if rich is Qt.TextFormat.RichText or (
                rich is Qt.TextFormat.AutoText and QtGui.Qt.mightBeRichText(widget.text())
            ):
                found.append(f"{type(widget).__name__} {widget.objectName()}: {widget.text()[:80]}")
        if "<img" in widget.toolTip() and QtGui.Qt.mightBeRichText(widget.toolTip()):
            found.append(f"tool tip of {type(widget).__name__}: {widget.toolTip()[:80]}")
    tips = (action.toolTip() for action in root.findChildren(QAction))
    return found + [f"tool tip of an action: {one}" for one in tips if "<img" in one and QtGui.Qt.mightBeRichText(one)]


def calls() -> Iterator[tuple[str, str, ast.Call]]:
    """Every call in the window's modules: the module, the function or class around it, the call."""
    for path in sorted(WINDOW.rglob("*.py")):
        module = str(path.relative_to(WINDOW))
        yield from calls_in(module, "", ast.parse(path.read_text(encoding="utf-8")))


def calls_in(module: str, around: str, node: ast.AST) -> Iterator[tuple[str, str, ast.Call]]:
    for child in ast.iter_child_nodes(node):
        named = isinstance(child, ast.FunctionDef | ast.ClassDef)
        if isinstance(child, ast.Call):
            yield module, around, child
        yield from calls_in(module, child.name if named else around, child)


def called(call: ast.Call) -> str:
    return ast.unparse(call.func)


def is_plain(text: ast.expr) -> bool:
    """Whether a tool tip's text is a constant, here or of the words, or goes through :func:`tip`, in every branch."""
    if isinstance(text, ast.IfExp):
        return is_plain(text.body) and is_plain(text.orelse)
    if isinstance(text, ast.Attribute) and text.attr.isupper():
        return ast.unparse(text.value).endswith("_texts")
    return isinstance(text, ast.Constant) or (isinstance(text, ast.Call) and called(text) == "tip")


def test_labels_and_boxes_are_made_in_one_place():
    bare = {
        (module, around)
        for module, around, call in calls()
        if called(call).partition(".")[0] in {"QLabel", "QMessageBox"} and called(call) != "QLabel.heightForWidth"
    }
    assert {(module, around) for module, around in bare if module not in MAKERS} <= OTHERWISE.keys()


def test_every_class_of_labels_takes_plain_text():
    heirs = set()
    for path in WINDOW.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef) and "QLabel" in map(ast.unparse, node.bases):
                heirs.add((str(path.relative_to(WINDOW)), node.name))
    assert heirs == {("plain.py", "PlainLabel"), ("paragraph.py", "Paragraph")}


@pytest.mark.parametrize("name", ["setToolTip", "setWhatsThis"])
def test_a_tip_is_a_fixed_text_or_goes_through_one_function(name):
    tips = [(module, call) for module, _, call in calls() if called(call).rpartition(".")[2] == name]
    assert tips
    assert [f"{module}:{call.lineno}" for module, call in tips if not is_plain(call.args[0])] == []


def test_no_widget_asks_for_markup():
    asked = {(module, around) for module, around, call in calls() if "RichText" in ast.unparse(call)}
    asked |= {(module, around) for module, around, call in calls() if called(call).endswith("setHtml")}
    assert {one for one in asked if one[0] != "plain.py"} == MARKUP.keys()


def labels_that_hold_it(root: QWidget) -> int:
    return sum("<img" in label.text() for label in root.findChildren(QLabel))


@pytest.fixture
def hostile(tmp_path):
    """A case whose every word is markup, in a file and a folder of such names."""
    folder = tmp_path / "<img src=x>"
    folder.mkdir()
    path = folder / "<b>b<img src=x>.heatcase.json"
    tree = {
        "format": "heatdocket-case/1",
        "job": {"title": MARK, "customer": MARK, "complaint": MARK, "notes": MARK, "vehicle": MARK},
        "vehicle": {"class": "family car"},
        "duties": [{"name": MARK, "ambient": "20 degC"}, {"name": MARK + "2", "ambient": "40 degC"}],
        "airflow": {"upstream": [{"name": MARK, "heat": "2 kW"}]},
        MARK: {MARK: MARK},
    }
    path.write_text(json.dumps(tree), encoding="utf-8")
    return path


def test_a_case_of_markup_is_shown_as_it_stands(window, executor, hostile):
    assert window.open_path(hostile)
    executor.run()
    assert labels_that_hold_it(window) > 0
    assert drawn_as_markup(window) == []


def test_faults_that_quote_markup_show_it_as_it_stands(window, executor, hostile):
    tree = json.loads(hostile.read_text(encoding="utf-8"))
    tree["duties"][0]["ambient"] = MARK
    tree["vehicle"]["class"] = MARK
    hostile.write_text(json.dumps(tree), encoding="utf-8")
    window.open_path(hostile)
    executor.run()
    assert [one for one in drawn_as_markup(window) if "To mend" not in one] == []
    mends = [label.text() for label in window.findChildren(QLabel) if "To mend" in label.text()]
    assert mends
    assert not [text for text in mends if "<img" in text]


def test_the_start_page_shows_names_as_they_stand(make_window, hostile):
    first = make_window()
    first.open_path(hostile)
    second = make_window()
    assert drawn_as_markup(second) == []


def test_message_boxes_show_their_words_as_they_stand(qtbot):
    box = plain_box(None, QMessageBox.Icon.Warning, "x", f"{MARK}\x1b\u202e\nsecond line")
    qtbot.addWidget(box)
    assert box.textFormat() is Qt.TextFormat.PlainText
    assert box.text() == f"{MARK}\\u001b\\u202e\nsecond line"


def test_a_tool_tip_with_markup_is_written_out():
    assert tip("plain words") == "plain words"
    assert "<img" not in tip(MARK)
    assert "&lt;img" in tip(MARK)
