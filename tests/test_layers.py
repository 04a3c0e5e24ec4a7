"""The order of the layers (DEVELOPERS.md) and no circle within one, read from the syntax trees; once from a running
Python without Qt.

Every import counts: nested in a function, for types only, relative, dotted, by importlib.import_module and __import__.
"""

from __future__ import annotations

import ast
import graphlib
import subprocess
import sys
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[1]
OURS = ("engcalc", "reports", "ui", "worked_examples")

# Higher numbers may import lower ones, never the other way, never a neighbour of the same number.
RANKS = {
    "ui.command": 20,
    "ui.window": 19,
    "ui.screening": 18,
    "ui.live": 17,
    "ui.book": 17,
    "ui.document": 16,
    "ui": 15,
    "reports": 14,
    "engcalc.words": 13,
    "engcalc.diagnosis": 12,
    "engcalc.vehicle": 11,
    "engcalc.logs": 10,
    "engcalc.studies": 9,
    "engcalc.classroom": 9,
    "engcalc.verdict": 8,
    "engcalc.working": 8,
    "engcalc.system": 7,
    "engcalc.components": 6,
    "engcalc.properties": 5,
    "engcalc.case": 4,
    "engcalc.causes": 3,
    "engcalc.units": 2,
    "engcalc.quantity_kinds": 1,
    "engcalc.errors": 1,
    "engcalc.words.texts": 1,
    "engcalc": 0,
    "worked_examples": 0,
}
# Both faces may need what the other holds: the window checks the start, the command line opens the window.
ALSO_ALLOWED = {("ui.window", "ui.command.startup")}

# Packages that import every module of their own, whatever it is called: what is added there is one file.
WALKS_ITS_OWN = {"engcalc.causes.catalogue", "engcalc.classroom.topics"}

# A library and the only modules (or packages of modules) that may import it.
HOMES = {
    "PySide6": ("ui.window",),
    "shiboken6": ("ui.window",),
    "reportlab": ("reports",),
    "pyhanko": ("reports",),
    "pyhanko_certvalidator": ("reports",),
    "PIL": ("reports.raster",),
    "ziamath": ("reports.formulas",),
    "svglib": ("reports.formulas",),
    "pypdfium2": ("ui.window",),
    "contourpy": ("reports.plots.lines",),
    "pint": ("engcalc.units",),
    "filelock": ("ui.recovery", "reports.trust_store"),
    "serial": ("ui.live.adapter",),
    "bleak": ("ui.live.low_energy",),
    "can": ("ui.live.can_bus",),
    "isotp": ("ui.live.can_bus",),
    "sqlite3": ("ui.book",),
    "CoolProp": ("engcalc.properties.refit", "engcalc.properties.named_fluid"),  # the second only when asked for one
    "scipy": (),
    "ht": (),
    "fluids": (),
    "psychrolib": (),
    "uncertainties": (),
    "mpmath": (),
    "pytest": (),
    "hypothesis": (),
    "tests": (),
}
FILE_MODULES = ("engcalc.case.file", "engcalc.logs.log", "engcalc.studies.choice.tables", "engcalc.properties.refit")
TALKING_MODULES = ("engcalc.properties.refit",)  # a command run by hand, which says what it did
FILE_CALLS = frozenset(
    {"open", "read_text", "write_text", "read_bytes", "write_bytes", "unlink", "mkdir", "touch", "mkstemp"}
    | {"NamedTemporaryFile", "TemporaryDirectory", "loadtxt", "savetxt", "genfromtxt", "memmap"}
)
TALKING_CALLS = frozenset({"print", "input"})


@dataclass(frozen=True)
class Use:
    """One import or call: the module it stands in, its line, what it names, and whether it runs on import."""

    module: str
    line: int
    target: str
    at_top: bool = True

    def __str__(self) -> str:
        return f"{self.module}:{self.line}: {self.target}"


def modules(root: Path) -> Iterator[tuple[str, Path]]:
    """Every module of ours under ``root``, by dotted name."""
    for package in OURS:
        for file in sorted((root / package).rglob("*.py")):
            parts = file.relative_to(root).with_suffix("").parts
            yield ".".join(parts[:-1] if parts[-1] == "__init__" else parts), file


def _nodes(tree: ast.AST, at_top: bool = True) -> Iterator[tuple[ast.AST, bool]]:
    for node in ast.iter_child_nodes(tree):
        yield node, at_top
        inside = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        yield from _nodes(node, at_top and not inside)


def _absolute(node: ast.ImportFrom, module: str, is_package: bool) -> str:
    if not node.level:
        return node.module or ""
    base = module.split(".")
    base = base[: len(base) - node.level + is_package]
    return ".".join([*base, node.module] if node.module else base)


def _called(node: ast.Call) -> str:
    """The last name of what is called: ``open`` for open(...) and for path.open(...)."""
    function = node.func
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


def _targets(node: ast.AST, module: str, is_package: bool) -> list[str]:
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        base = _absolute(node, module, is_package)
        return [f"{base}.{alias.name}" for alias in node.names]
    if isinstance(node, ast.Call) and _called(node) in ("import_module", "__import__"):
        name = node.args[0] if node.args else None
        literal = isinstance(name, ast.Constant) and isinstance(name.value, str)
        return [name.value.lstrip(".")] if literal else ["(a computed name)"]
    return []


def imports(module: str, file: Path) -> tuple[Use, ...]:
    return _imports_in(module, file.name == "__init__.py", file.read_text(encoding="utf-8"))


@cache
def _imports_in(module: str, is_package: bool, source: str) -> tuple[Use, ...]:
    found = []
    for node, at_top in _nodes(ast.parse(source)):
        found += [Use(module, node.lineno, target, at_top) for target in _targets(node, module, is_package)]
    return tuple(found)


def calls(module: str, file: Path) -> Iterator[Use]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            yield Use(module, node.lineno, _called(node))
        elif isinstance(node, ast.Global):
            yield Use(module, node.lineno, "global")


def within(name: str, home: str) -> bool:
    return name == home or name.startswith(home + ".")


def layer(name: str) -> str | None:
    """The layer of a dotted name, its longest match; None when it is not ours."""
    found = [key for key in RANKS if within(name, key)]
    return max(found, key=len) if found else None


def imports_upward(use: Use) -> bool:
    source, target = layer(use.module), layer(use.target)
    if target is None or source == target or use.module.startswith("worked_examples."):
        return False  # a worked example is a script on top of everything
    if any(within(use.module, a) and within(use.target, b) for a, b in ALSO_ALLOWED):
        return False
    if (source, target) == ("ui.command", "ui.window"):
        return use.at_top  # only when a window is asked for: every subcommand runs without Qt
    return source is None or RANKS[target] >= RANKS[source]


def away_from_home(use: Use) -> bool:
    homes = HOMES.get(use.target.split(".")[0])
    return homes is not None and not any(within(use.module, home) for home in homes)


def touches_files(use: Use) -> bool:
    return within(use.module, "engcalc") and use.target in FILE_CALLS and use.module not in FILE_MODULES


def talks_or_keeps_state(use: Use) -> bool:
    talks = use.target in TALKING_CALLS and use.module not in TALKING_MODULES
    return within(use.module, "engcalc") and (talks or use.target == "global")


def faults(root: Path) -> list[str]:
    """Every breach of the rules under ``root``, in words."""
    found = []
    for module, file in modules(root):
        for use in imports(module, file):
            rules = {
                "imports upward or sideways": imports_upward(use),
                "imports a library that lives elsewhere": away_from_home(use),
                "imports a name that cannot be checked": use.target == "(a computed name)"
                and module not in WALKS_ITS_OWN,
            }
            found += [f"{use} {rule}" for rule, broken in rules.items() if broken]
        for use in calls(module, file):
            rules = {"touches files": touches_files(use), "talks or keeps state": talks_or_keeps_state(use)}
            found += [f"{use} {rule}" for rule, broken in rules.items() if broken]
        if within(module, "engcalc") and module != "engcalc" and layer(module) == "engcalc":
            found.append(f"{module} stands in no layer")
    return found


def imported_by_each(root: Path) -> dict[str, set[str]]:
    """For every module of ours the modules of ours that it imports, whenever it does so. A name out of a module counts
    as that module."""
    files = dict(modules(root))
    found: dict[str, set[str]] = {}
    for module, file in files.items():
        named = {_module_of(use.target, files) for use in imports(module, file)}
        found[module] = named - {"", module}
    return found


def _module_of(target: str, files: Collection[str]) -> str:
    """The module that a dotted name is or lies in; empty when it is none of ours."""
    while target and target not in files:
        target = target.rpartition(".")[0]
    return target


def circle(root: Path) -> list[str]:
    """Modules that import one another in a ring, the first one named again at the end; empty when there is none."""
    try:
        graphlib.TopologicalSorter(imported_by_each(root)).prepare()
    except graphlib.CycleError as error:
        return list(error.args[1])
    return []


def test_no_modules_import_one_another_in_a_circle():
    assert circle(PROJECT) == []


CIRCLES = [
    ("from ui.window import menus", "from ui.window.main_window import MainWindow"),
    ("import ui.window.menus", "def f():\n    from ui.window.main_window import example_files"),
    ("from . import menus", "if TYPE_CHECKING:\n    from ui.window.main_window import MainWindow"),
    ("from .menus import Menus", "class A:\n    def f(self):\n        import ui.window.main_window as window"),
]


@pytest.mark.parametrize(("window", "menus"), CIRCLES)
def test_a_circle_is_caught_however_it_is_hidden(tmp_path, window, menus):
    write(tmp_path, "ui/window/main_window.py", window)
    (tmp_path / "ui/window/menus.py").write_text("import json\n", encoding="utf-8")
    assert circle(tmp_path) == []
    (tmp_path / "ui/window/menus.py").write_text(menus, encoding="utf-8")
    assert set(circle(tmp_path)) == {"ui.window.main_window", "ui.window.menus"}


def test_a_longer_circle_is_caught(tmp_path):
    folder = tmp_path / "ui" / "window"
    folder.mkdir(parents=True)
    for name, other in (("a", "b"), ("b", "c"), ("c", "a")):
        (folder / f"{name}.py").write_text(f"from ui.window.{other} import thing\n", encoding="utf-8")
    assert len(circle(tmp_path)) == 4


def test_imports_only_go_down_and_libraries_stay_home():
    assert faults(PROJECT) == []


def test_the_walk_meets_every_package():
    met = {name.split(".")[0] for name, _ in modules(PROJECT)}
    assert met == set(OURS)


BREACHES = [
    ("engcalc/units.py", "from engcalc.case import text", "upward"),
    ("engcalc/causes/record.py", "from engcalc.case.case import Case", "upward"),
    ("engcalc/errors.py", "def f():\n    import engcalc.units", "upward"),
    ("engcalc/case/file.py", "from ..system import circuit", "upward"),
    ("engcalc/case/file.py", "from .. import words", "upward"),
    ("engcalc/case/__init__.py", "from ..properties.air import rho", "upward"),
    ("engcalc/verdict.py", "import engcalc.working", "sideways"),
    ("engcalc/__init__.py", "from engcalc import errors", "upward"),
    ("engcalc/system/airflow.py", "import importlib\nimportlib.import_module('ui.document')", "upward"),
    ("engcalc/system/airflow.py", "__import__('reports.pages')", "upward"),
    ("engcalc/system/airflow.py", "__import__('rep' + 'orts')", "cannot be checked"),
    ("reports/pages.py", "if True:\n    from ui import document", "upward"),
    ("ui/command/main.py", "from ui.window import main", "upward"),
    ("ui/document.py", "def f():\n    from ui.window import main", "upward"),
    ("ui/document.py", "from PySide6.QtCore import QObject", "lives elsewhere"),
    ("ui/book/store.py", "from PySide6.QtCore import QObject", "lives elsewhere"),
    ("ui/book/store.py", "from ui.window import main", "upward"),
    ("ui/book/jobs.py", "from ui.screening import run", "upward"),
    ("reports/pages.py", "from ui.book import store", "upward"),
    ("engcalc/diagnosis/odds/honesty.py", "import sqlite3", "lives elsewhere"),
    ("ui/command/main.py", "def f():\n    import pypdfium2 as pdf", "lives elsewhere"),
    ("ui/window/main.py", "import reportlab.lib", "lives elsewhere"),
    ("ui/window/main.py", "from pyhanko.sign import signers", "lives elsewhere"),
    ("engcalc/case/file.py", "import pint", "lives elsewhere"),
    ("engcalc/properties/coolant.py", "import CoolProp.CoolProp as cp", "lives elsewhere"),
    ("engcalc/system/airflow.py", "from scipy.optimize import brentq", "lives elsewhere"),
    ("reports/plots.py", "import ht", "lives elsewhere"),
    ("engcalc/system/airflow.py", "print('x')", "talks"),
    ("engcalc/system/airflow.py", "open('x')", "touches files"),
    ("engcalc/system/airflow.py", "from pathlib import Path\nPath('x').read_text()", "touches files"),
    ("engcalc/system/airflow.py", "def f():\n    global a\n    a = 1", "keeps state"),
    ("engcalc/spare.py", "", "no layer"),
]


@pytest.mark.parametrize(("place", "code", "words"), BREACHES)
def test_a_breach_is_caught(tmp_path, place, code, words):
    write(tmp_path, place, code)
    found = faults(tmp_path)
    assert len(found) == 1, found
    assert words in found[0]


def write(root: Path, place: str, code: str) -> None:
    (root / place).parent.mkdir(parents=True)
    (root / place).write_text(code + "\n", encoding="utf-8")


ALLOWED = [
    ("engcalc/words/answer/reasons.py", "from ..causes import record\nimport engcalc.errors"),
    ("engcalc/case/file.py", "from . import text\nopen('x')"),
    ("engcalc/units.py", "import pint"),
    ("engcalc/properties/refit.py", "def f():\n    import CoolProp\n    print(CoolProp)"),
    ("reports/signing.py", "import pyhanko.sign\nimport reportlab\nprint('x')"),
    ("ui/command/main.py", "def f():\n    from ui.window import main\nimport reports.pages"),
    ("worked_examples/published/one.py", "from engcalc.components import exchanger\nprint(exchanger)"),
    ("ui/window/main.py", "import PySide6.QtWidgets\nfrom ui.document import Document\nfrom ui.command import startup"),
]


@pytest.mark.parametrize(("place", "code"), ALLOWED)
def test_what_is_allowed_is_let_through(tmp_path, place, code):
    write(tmp_path, place, code)
    assert faults(tmp_path) == []


WITHOUT_QT = """
import importlib, sys

class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {blocked!r}:
            raise ModuleNotFoundError(f"{{name}} is blocked", name=name)

sys.meta_path.insert(0, Blocked())
sys.path.insert(0, {project!r})
for name in {names!r}:
    importlib.import_module(name)
heavy = sorted({heavy!r} & {{name.split(".")[0] for name in sys.modules}})
print("met:", *heavy)
"""


def import_all(names: list[str], blocked: set[str], heavy: set[str], cwd: Path) -> subprocess.CompletedProcess[str]:
    code = WITHOUT_QT.format(names=names, blocked=blocked, heavy=heavy, project=str(PROJECT))
    return subprocess.run([sys.executable, "-c", code], cwd=cwd, capture_output=True, text=True, check=False)


def test_everything_outside_the_window_imports_without_qt(tmp_path):
    names = [n for n, _ in modules(PROJECT) if not within(n, "ui.window") and not n.endswith("__main__")]
    names = [n for n in names if not within(n, "worked_examples") or n == "worked_examples"]  # scripts run on import
    blocked = {"PySide6", "shiboken6", "scipy", "ht", "fluids", "psychrolib"}
    done = import_all(names, blocked, set(), tmp_path)
    assert done.returncode == 0, done.stderr
    assert len(names) > 10


def test_the_engine_alone_loads_no_heavy_library(tmp_path):
    """CoolProp takes two seconds to import and stalls every thread meanwhile; pages belong to the report."""
    heavy = {"PySide6", "reportlab", "pyhanko", "CoolProp", "scipy"}
    done = import_all([n for n, _ in modules(PROJECT) if within(n, "engcalc")], set(), heavy, tmp_path)
    assert (done.returncode, done.stdout.split()) == (0, ["met:"]), done.stderr


def test_the_block_does_block(tmp_path):
    done = import_all(["PySide6"], {"PySide6"}, set(), tmp_path)
    assert done.returncode == 1
    assert "PySide6 is blocked" in done.stderr
