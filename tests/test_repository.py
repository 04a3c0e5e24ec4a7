"""What the repository as a whole must keep to."""

from __future__ import annotations

import re
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[1]
TOP_LEVEL = {
    *("README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"),
    *("engcalc", "ui", "reports", "tests", "worked_examples"),
}
LONGEST_FILE = 600  # lines of Python
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
        if b"\0" in content or name.startswith(".ci/") or name.endswith((".pdf", ".p12", ".png")):
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


def test_the_licence_is_mit():
    text = (PROJECT / "LICENSE").read_text(encoding="utf-8")
    assert text.startswith("MIT License\n")
    assert "WITHOUT WARRANTY OF ANY KIND" in text
    assert tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["license"] == "MIT"


def test_dependencies_are_pinned_to_compatible_releases():
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    pins = [*project["dependencies"], *(pin for extra in project["optional-dependencies"].values() for pin in extra)]
    assert [pin for pin in pins if "~=" not in pin] == []
