"""Words that the program does not use, looked for in every text that a person can read.

Read are the string literals of engcalc/words, reports, ui, the causes and the checks; docstrings are for developers.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK
from engcalc.words.diagnosis.conclusion_words import STEPS
from engcalc.words.diagnosis.seen_words import ACTS_SEEN, HOSE_SEEN, MEANS_SEEN, NOT_SEEN, VALVE_SEEN, VALVE_SEEN_BEFORE
from engcalc.words.page.cautions import CAUTION_TEXTS

ROOT = Path(__file__).parents[1]
READ = (
    "engcalc/words",
    "engcalc/causes",
    "engcalc/diagnosis/checks/hand_checks.py",
    "engcalc/diagnosis/checks/part_checks.py",
    "engcalc/studies/choice/changes.py",
    "reports",
    "ui",
)
NOT_USED = {  # what is not said, and what is said instead
    r"sound (vehicle|one|engine|thermostat|valve)": "healthy",
    r"\breckon": "computed, counted",
    r"\bstands at\b": "is at",
    r"\bstood at\b": "was at",
    r"almost certain": "over 19 in 20",
    r"any of the \S+ others": "the other causes together",
    r"is taken (as|to be)\b": "counts as",
    r"\bin the mean\b": "on average",
    r"for ever\b": "without end",
    r"has its bounds": "no warmer than that",
    r"heat is what lacks": "makes little heat",
    r"no part can be blamed": "blames no part",
    r"\bconvey": "moves",
    r"little in hand": "only just",
    r"in health\b": "in a healthy engine",
    r"\b(lest|albeit|whence|thereof|thereby|wherein|hitherto)\b": "plain words",
    r"\bby means of\b": "with",
    r"\bin order to\b": "to",
    r"\bundersized\b.*\b(broken|failed)\b": "undersized is no word for a broken part",
}
TEXTS = ROOT / "engcalc" / "words" / "texts"
LONGEST = 25  # words in a sentence


def texts(path: Path) -> Iterator[tuple[int, str]]:
    """Every text of a module but docstrings: a formatted one with # for what is put in."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield node.lineno, "".join(str(v.value) if isinstance(v, ast.Constant) else "#" for v in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.lineno, node.value


def modules() -> list[Path]:
    found = [ROOT / part for part in READ]
    return [module for part in found for module in ([part] if part.suffix else sorted(part.rglob("*.py")))]


@cache
def texts_of_the_program() -> tuple[tuple[str, str], ...]:
    """Every text that a person can read, with its place."""
    return tuple((f"{module.relative_to(ROOT)}:{line}", text) for module in modules() for line, text in texts(module))


@pytest.mark.parametrize("word", list(NOT_USED))
def test_no_text_uses_a_word_that_is_not_used(word: str) -> None:
    pattern = re.compile(word, re.IGNORECASE)
    found = [f"{place}: {text[:80]}" for place, text in texts_of_the_program() if pattern.search(text)]
    assert not found, f"say: {NOT_USED[word]}"


def test_the_reader_sees_formatted_texts_and_no_docstrings(tmp_path: Path) -> None:
    module = tmp_path / "one.py"
    module.write_text('"""It stands at."""\nX = f"it stands at {1} K"\n"""of X"""\n', encoding="utf-8")
    assert "it stands at # K" in [text for _, text in texts(module)]
    assert not any("It stands" in text or text == "of X" for _, text in texts(module))


@cache
def told() -> dict[str, str]:
    """What a person reads with the hands full: steps, checks, cautions, what was seen, notes of causes."""
    found = {f"step {key}": step.text for key, step in STEPS.items()}
    found |= {f"check {key}": f"{c.tools} {c.how} {c.tells}" for key, c in EVERY_CHECK.items()}
    found |= {f"caution {key}": text for key, text in CAUTION_TEXTS.items()}
    of_facts = (VALVE_SEEN, VALVE_SEEN_BEFORE, HOSE_SEEN, MEANS_SEEN, NOT_SEEN, ACTS_SEEN)
    found |= {f"seen {key}": text for table in of_facts for key, text in table.items()}
    return found | {f"cause {key}": cause.note for key, cause in CAUSES.items() if cause.note}


def too_long(text: str) -> list[str]:
    """The sentences of a text that have more words than one reads at once."""
    sentences = re.split(r"(?<=[.!?;])\s+(?=\S)", text)
    return [sentence for sentence in sentences if len(sentence.split()) > LONGEST]


@pytest.mark.parametrize("name", list(told()))
def test_no_sentence_has_to_be_read_twice(name: str) -> None:
    assert too_long(told()[name]) == []


def test_no_text_of_the_faces_has_to_be_read_twice() -> None:
    found = {module.stem: [text for _, text in texts(module)] for module in sorted(TEXTS.glob("*_texts.py"))}
    assert len(found) > 20
    assert {name: long for name, said in found.items() if (long := [s for text in said for s in too_long(text)])} == {}


def test_a_long_sentence_is_noticed() -> None:
    assert too_long("word " * LONGEST + "last. Short.") == ["word " * LONGEST + "last."]
