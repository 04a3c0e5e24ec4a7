"""The published examples: each script agrees with its source, runs by itself, and stands in the folder's table."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from engcalc.case.case import Case
from engcalc.case.file import case_bytes, parse_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from worked_examples.published import two_streams
from worked_examples.published.__main__ import SCRIPTS, examples, problem_list, problems
from worked_examples.published.comparison import Answer, Example, markdown

FOLDER = Path(__file__).resolve().parents[2] / "worked_examples" / "published"
NAMES = [script.__name__.rpartition(".")[2] for script in SCRIPTS]


@pytest.fixture(scope="module")
def all_examples() -> dict[str, Example]:
    return examples()


@pytest.mark.parametrize("name", NAMES)
def test_ours_agrees_with_the_published_answer(all_examples, name):
    example = all_examples[name]
    assert example.answers
    missed = [f"{a.what}: {a.texts()}, allowed {a.allowance:g}" for a in example.answers if not a.agrees]
    assert missed == []


def test_thirty_published_problems_from_eight_sources_are_listed():
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    assert problem_list() in text
    counted = [source for source in problems().values() if "from memory)" not in source]
    assert len(counted) >= 30
    assert len({source.split(",")[0].split(" ")[0] for source in counted}) >= 8


@pytest.mark.parametrize("problem", two_streams.PROBLEMS, ids=lambda problem: problem.key)
def test_a_problem_of_a_book_is_a_case_that_opens_again(problem):
    written = case_bytes(CaseText(two_streams.tree_of(problem)))
    again = parse_case(written)
    found = resolve(again)
    assert isinstance(found, Case)
    assert found.problems[0].name == problem.key


def test_no_script_is_left_out():
    present = {file.stem for file in FOLDER.glob("*.py")} - {"__init__", "__main__", "comparison"}
    assert present == set(NAMES)


def test_an_allowance_beyond_the_printed_digits_says_why(all_examples):
    silent = [a.what for e in all_examples.values() for a in e.answers if a.within is not None and not a.why]
    assert silent == []


@pytest.mark.parametrize(("printed", "allowance"), [("0.62", 0.005), ("1.60e3", 5.0), ("166", 0.5), ("2.6e5", 5e3)])
def test_the_allowance_is_half_the_last_printed_digit(printed, allowance):
    assert Answer("x", "", printed, 0.0).allowance == pytest.approx(allowance)


def test_a_wrong_answer_does_not_pass():
    assert not Answer("effectiveness", "", "0.62", 0.6251).agrees
    assert Answer("effectiveness", "", "0.62", 0.6249).agrees


@pytest.mark.parametrize("how", [["-m", "worked_examples.published.janna_9_7"], [str(FOLDER / "janna_9_7.py")]])
def test_a_script_runs_as_a_module_and_by_its_path(how):
    done = subprocess.run(
        [sys.executable, *how],
        cwd=FOLDER.parents[1],
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": str(FOLDER.parents[1])},
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "Janna" in done.stdout
    assert "published" in done.stdout


def test_the_table_in_the_readme_is_current(all_examples):
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    assert markdown(all_examples) in text
    assert [name for name in NAMES if f"| {name} |" not in text] == []
