"""Every test asserts something: read from the syntax trees of the tests.

A test asserts by one of these:
- an ``assert`` that can fail,
- ``with pytest.raises`` and its like,
- a wait of qtbot that fails when its time is up,
- a library's own check, such as ``numpy.testing.assert_allclose``,
- a call of a function of its own file that does one of these.

What a fixture asserts does not count: it belongs to the fixture's own work.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parent
PYTEST_CHECKS = frozenset({"raises", "warns", "deprecated_call", "fail"})
# pytest-qt's waits that fail when what is waited for does not come; plain ``wait`` only lets time pass
QTBOT_CHECKS = frozenset({"waitUntil", "waitSignal", "waitSignals", "waitCallback", "waitExposed", "waitActive"})

Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(tree: ast.Module) -> list[Function]:
    """Every function of a file: of the module, of its classes, and nested ones."""
    return [node for node in ast.walk(tree) if isinstance(node, Function)]


def own_nodes(function: Function) -> Iterator[ast.AST]:
    """What runs when the function runs: not its decorators, not the bodies of functions defined within."""
    waiting: list[ast.AST] = list(function.body)
    while waiting:
        node = waiting.pop()
        if isinstance(node, Function):
            continue
        yield node
        waiting.extend(ast.iter_child_nodes(node))


def can_fail(node: ast.Assert) -> bool:
    """Whether an assertion depends on anything: ``assert True`` and ``assert (a, "words")`` do not."""
    return not isinstance(node.test, ast.Constant | ast.Tuple)


def checks_by_library(call: ast.Call) -> bool:
    if not isinstance(call.func, ast.Attribute):
        return False
    name = call.func.attr
    owner = ast.unparse(call.func.value)
    if owner == "pytest":
        return name in PYTEST_CHECKS
    if owner == "qtbot":
        return name in QTBOT_CHECKS or name.startswith("assert")
    return name.startswith("assert_")


def asserts_itself(function: Function) -> bool:
    nodes = list(own_nodes(function))
    stated = any(isinstance(node, ast.Assert) and can_fail(node) for node in nodes)
    return stated or any(isinstance(node, ast.Call) and checks_by_library(node) for node in nodes)


def names_used(function: Function) -> set[str]:
    """Names that the function reads, called or handed on, and names of methods."""
    nodes = list(own_nodes(function))
    plain = {node.id for node in nodes if isinstance(node, ast.Name)}
    return plain | {node.attr for node in nodes if isinstance(node, ast.Attribute)}


def asserting(tree: ast.Module) -> set[str]:
    """Names of the file's functions that assert, by themselves or through another of them."""
    found = functions(tree)
    names = {function.name for function in found if asserts_itself(function)}
    while True:
        more = {function.name for function in found if names_used(function) & names}
        if more <= names:
            return names
        names |= more


def is_test(function: Function) -> bool:
    return function.name.startswith("test_")


def silent_tests(text: str) -> list[str]:
    tree = ast.parse(text)
    names = asserting(tree)
    found = [function for function in functions(tree) if is_test(function) and function.name not in names]
    return [f"{function.name}, line {function.lineno}" for function in found]


def test_every_test_asserts_something():
    files = sorted(TESTS.rglob("test_*.py"))
    found = {str(file.relative_to(TESTS)): silent_tests(file.read_text(encoding="utf-8")) for file in files}
    assert {file: tests for file, tests in found.items() if tests} == {}
    assert Path(__file__).name in found


SILENT = [
    "def test_a():\n    run()",
    "def test_a():\n    assert True",
    "def test_a():\n    assert (x == 1, 'always')",
    "def test_a(qtbot):\n    qtbot.wait(10)",
    "def test_a():\n    def never_called():\n        assert x",
    "def helper():\n    run()\ndef test_a():\n    helper()",
    "@pytest.fixture\ndef made():\n    return 1\ndef test_a(made):\n    run()",
    "class TestOne:\n    def test_a(self):\n        run()",
    "@pytest.mark.parametrize('x', [assert_all()])\ndef test_a(x):\n    run()",
]


@pytest.mark.parametrize("text", SILENT)
def test_a_test_that_asserts_nothing_is_found(text):
    assert len(silent_tests(text)) == 1


SPEAKING = [
    "def test_a():\n    assert x == 1",
    "def test_a():\n    for x in y:\n        assert x",
    "def test_a():\n    with pytest.raises(ValueError):\n        run()",
    "def test_a(qtbot):\n    qtbot.waitUntil(lambda: x)",
    "def test_a(qtbot):\n    with qtbot.assertNotEmitted(x):\n        run()",
    "def test_a():\n    np.testing.assert_allclose(x, y)",
    "def helper():\n    assert x\ndef between():\n    helper()\ndef test_a():\n    between()",
    "def test_a():\n    def check(x):\n        assert x\n    run(check)",
    "class TestOne:\n    def holds(self):\n        assert x\n    def test_a(self):\n        self.holds()",
]


@pytest.mark.parametrize("text", SPEAKING)
def test_a_test_that_asserts_is_let_through(text):
    assert silent_tests(text) == []
