"""README and DEVELOPERS say what is so: the commands, the case, the pictures, the subcommands, the dependencies."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from engcalc.case.case import Case
from engcalc.case.file import parse_case
from engcalc.case.resolve import resolve
from ui.command.parser import SUBCOMMANDS

PROJECT = Path(__file__).resolve().parents[1]
README = (PROJECT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("end", ["bin/heatdocket", "pytest -n 2"])
def test_each_of_the_two_commands_stands_on_one_line_of_its_own(end):
    lines = [line for line in README.splitlines() if line.startswith("python3 -m venv ") and line.endswith(end)]
    assert len(lines) == 1


def test_every_picture_is_there():
    named = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert len(named) >= 3
    assert [name for name in named if not (PROJECT / name).is_file()] == []


def test_every_subcommand_has_an_answer():
    answered = dict(re.findall(r"<!-- answer of: heatdocket (\w+)[^\n]*-->\n```text\n(.*?)```", README, re.DOTALL))
    assert set(answered) == set(SUBCOMMANDS)
    assert [name for name, answer in answered.items() if not answer.strip()] == []


def test_the_case_shown_is_a_case():
    [shown] = re.findall(r"```json\n(.*?)```", README, re.DOTALL)
    case = resolve(parse_case(shown.encode()))
    assert isinstance(case, Case), case
    assert case.warnings == ()


def test_it_ends_with_what_changed():
    assert re.findall(r"^## (.*)$", README, re.MULTILINE)[-1] == "What changed"


def test_every_dependency_is_described():
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    pins = [*project["dependencies"], *(pin for extra in project["optional-dependencies"].values() for pin in extra)]
    rows = "\n".join(line for line in DEVELOPERS.splitlines() if line.startswith("| "))
    assert [pin for pin in pins if re.split(r"[~\[]", pin)[0] not in rows] == []
