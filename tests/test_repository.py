"""What the repository as a whole must keep to."""

from __future__ import annotations

import ast
import importlib
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

PROJECT = Path(__file__).resolve().parents[1]
TOP_LEVEL = {
    *("README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"),
    *("engcalc", "ui", "reports", "tests", "worked_examples"),
}
LONGEST_FILE = 650  # lines of Python as the formatter spreads them
# Written so that this file holds none of what it looks for.
MACHINE_PATH = re.compile(r"(?<![\w.~}\)-])/(?:work|tmp|root|home|opt)/")
REGISTRY = re.compile(r"(?:pypi|crates|anaconda|npmjs|pythonhosted|deb\.debian)\.(?:org|io|com)|proxy\.golang", re.I)


@pytest.fixture(scope="module")
def tracked() -> list[str]:
    if not shutil.which("git") or not (PROJECT / ".git").exists():
        pytest.skip("not a git checkout: there is no list of tracked files to look at")
    done = subprocess.run(["git", "ls-files", "-z"], cwd=PROJECT, capture_output=True, text=True, check=True)
    return [name for name in done.stdout.split("\0") if name and (PROJECT / name).is_file()]


def texts(tracked: list[str]):
    """Tracked text files outside .ci, with their lines numbered from 1."""
    for name in tracked:
        content = (PROJECT / name).read_bytes()
        if b"\0" in content or name.startswith(".ci/") or name.endswith((".pdf", ".p12", ".png", ".ttf")):
            continue
        yield from ((name, number, line) for number, line in enumerate(content.decode("utf-8").splitlines(), start=1))


def test_the_top_level_holds_what_it_may(tracked):
    tops = {name.split("/")[0] for name in tracked}
    assert {name for name in tops - TOP_LEVEL if not name.startswith(".")} == set()


@pytest.mark.parametrize("pattern", [MACHINE_PATH, REGISTRY], ids=["machine path", "registry host"])
def test_no_file_names_a_machine_or_a_registry(tracked, pattern):
    assert [f"{name}:{number}: {line.strip()}" for name, number, line in texts(tracked) if pattern.search(line)] == []


@pytest.mark.parametrize(
    ("pattern", "line"),
    [
        (MACHINE_PATH, "open('" + "/tmp" + "/x')"),
        (MACHINE_PATH, "see " + "/home" + "/someone/x"),
        (REGISTRY, "https://" + "pypi" + ".org/simple"),
        (REGISTRY, "files." + "pythonhosted" + ".org"),
    ],
)
def test_the_patterns_catch_what_they_are_for(pattern, line):
    assert pattern.search(line)


def test_no_python_file_is_too_long(tracked):
    modules = [name for name in tracked if name.endswith(".py")]
    lengths = {name: len((PROJECT / name).read_text(encoding="utf-8").splitlines()) for name in modules}
    assert {name: length for name, length in lengths.items() if length > LONGEST_FILE} == {}


PATH_IN_TICKS = re.compile(r"`([\w.-]+(?:/[\w.-]+)+/?|[\w-]+\.(?:py|md|json|csv|toml))`")
NO_PATHS = {"m3/h"}


def ends_of(tracked: list[str]) -> set[str]:
    """Every way to name a tracked file or its folder from somewhere above it, a module also without its suffix."""
    ends = set()
    for name in tracked:
        for path in (Path(name), *Path(name).parents):
            whole = path.with_suffix("") if path.suffix == ".py" else path
            for parts in (path.parts, whole.parts):
                ends |= {"/".join(parts[first:]) for first in range(len(parts))}
    return ends


def test_the_paths_that_the_developers_page_names_are_there(tracked):
    named = set(PATH_IN_TICKS.findall((PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")))
    assert len(named) > 200, "the pattern finds no paths any more"
    assert sorted(path for path in named - NO_PATHS if path.rstrip("/") not in ends_of(tracked)) == []


REFERENCE = re.compile(r":(?:mod|func|class|data|meth):`~?((?:engcalc|reports|ui)[\w.]*)`")


def is_there(name: str) -> bool:
    """Whether a dotted name is a module, or something in one."""
    parts = name.split(".")
    for length in range(len(parts), 0, -1):
        module = ".".join(parts[:length])
        try:
            found: Any = importlib.import_module(module)
        except ModuleNotFoundError:
            continue
        for part in parts[length:]:
            found = getattr(found, part, None)
        return found is not None
    return False


def test_what_docstrings_refer_to_is_there(tracked):
    """A module that moves into another room takes the references to it along."""
    modules = [name for name in tracked if name.endswith(".py") and not name.startswith("tests/")]
    named = {
        (reference, name)
        for name in modules
        for reference in REFERENCE.findall((PROJECT / name).read_text(encoding="utf-8"))
    }
    assert len(named) > 50, "the pattern finds no references any more"
    assert sorted(f"{name}: {reference}" for reference, name in named if not is_there(reference)) == []


def test_the_licence_is_mit():
    text = (PROJECT / "LICENSE").read_text(encoding="utf-8")
    assert text.startswith("MIT License\n")
    assert "WITHOUT WARRANTY OF ANY KIND" in text
    assert project()["license"] == "MIT"


# Where a library is imported by another name than it is installed by
MODULES = {
    "pyserial": ("serial",),
    "python-can": ("can",),
    "can-isotp": ("isotp",),
    "PySide6-Essentials": ("PySide6", "shiboken6"),
    "pillow": ("PIL",),
    "pyHanko": ("pyhanko",),
}
ONLY_WHERE_ASKED_FOR = {"pkcs11"}  # an extra; without it the program says what to install
READ_BUT_NOT_IMPORTED = {"tzdata"}  # by the standard library, where the system has no time zones


def project() -> dict[str, Any]:
    return tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def library(pin: str) -> str:
    """Its name, without what it is to bring along in square brackets."""
    return pin.split("~=", maxsplit=1)[0].split("[", maxsplit=1)[0]


def imported() -> set[str]:
    """The top of everything that the product imports, nested imports too."""
    trees = (
        ast.parse(file.read_text(encoding="utf-8"))
        for top in ("engcalc", "reports", "ui")
        for file in (PROJECT / top).rglob("*.py")
    )
    nodes = [node for tree in trees for node in ast.walk(tree)]
    names = [alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names]
    names += [node.module or "" for node in nodes if isinstance(node, ast.ImportFrom) and node.level == 0]
    return {name.split(".")[0] for name in names} - set(sys.stdlib_module_names) - TOP_LEVEL


def test_what_is_imported_is_declared_and_what_is_declared_is_imported():
    """A library that only comes along with another may go away with it."""
    extras = project()["optional-dependencies"]
    imported_extras = (*extras["cluster"], *extras["can"], *extras["ble"])
    declared = [library(pin) for pin in (*project()["dependencies"], *imported_extras)]
    declared = [name for name in declared if name not in READ_BUT_NOT_IMPORTED]
    expected = {name: MODULES.get(name, (name.replace("-", "_"),)) for name in declared}
    used = imported() - ONLY_WHERE_ASKED_FOR
    assert used - {module for modules in expected.values() for module in modules} == set()
    assert [name for name, modules in expected.items() if not used & set(modules)] == []


def test_the_table_of_dependencies_is_the_one_that_is_installed():
    rows = re.findall(r"^\| (\S[^|]*?) \|", (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.M)
    told = {
        part.split(" ")[0]: part.split(" ")[1]
        for row in rows
        for part in row.split(", ")
        if re.fullmatch(r"\S+ [0-9.]+", part)
    }
    extras = project()["optional-dependencies"].values()
    pins = {library(pin): pin.split("~=")[1] for pins in (project()["dependencies"], *extras) for pin in pins}
    assert {name: pin for name, pin in pins.items() if not f"{pin}.".startswith(f"{told.get(name)}.")} == {}
    assert set(told) - set(pins) == set()


def test_dependencies_are_pinned_to_compatible_releases():
    extras = project()["optional-dependencies"].values()
    pins = [*project()["dependencies"], *(pin for extra in extras for pin in extra)]
    assert [pin for pin in pins if "~=" not in pin] == []
