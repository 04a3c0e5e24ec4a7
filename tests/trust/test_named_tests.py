"""Every test that README.md and CAMPAIGN.md name is there under that name."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

TRUST = Path(__file__).parent
TESTS = TRUST.parent
NAMED = re.compile(r"`(?:(?P<file>[\w/]+\.py)(?:::)?)?(?P<test>(?:\.\.\.|test_)\w+)?`")


def named_tests(page: str) -> list[tuple[str, str]]:
    """File and test, or file alone, in the order of the text; a test without a file is of the file before it."""
    found, file = [], ""
    for one in NAMED.finditer(page):
        file = one["file"] or file
        if one["file"] or one["test"]:
            found.append((file, one["test"] or ""))
    return found


def files_called(name: str) -> list[Path]:
    """The test files of this name, with their path from the project or the end of it."""
    return [path for path in TESTS.rglob(Path(name).name) if path.as_posix().endswith(name)]


@pytest.mark.parametrize("page", ["README.md", "CAMPAIGN.md"])
def test_each_test_that_is_named_is_there(page: str) -> None:
    named = [pair for pair in named_tests((TRUST / page).read_text(encoding="utf-8")) if "test_" in pair[0]]
    assert len(named) >= {"README.md": 60, "CAMPAIGN.md": 4}[page]
    missing = []
    for file, test in named:
        trees = [ast.parse(path.read_text(encoding="utf-8")) for path in files_called(file)]
        functions = {node.name for tree in trees for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
        if not trees:
            missing.append(file)
        elif test.startswith("..."):
            missing += [] if any(name.endswith(test[3:]) for name in functions) else [f"{file}::{test}"]
        elif test and not any(name == test for name in functions):
            missing.append(f"{file}::{test}")
    assert missing == []
