"""Every sentence of the program stands in engcalc/words, so that it can be read in one sitting and translated later.

A sentence is a text of four words or more. Read are the string literals of engcalc, reports and ui; docstrings and what
no person is shown are left out. What stands elsewhere by design is named here, with the reason.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import Formatter

import pytest

ROOT = Path(__file__).parents[3]
WORDS = "engcalc/words/"
TEXTS = ROOT / "engcalc" / "words" / "texts"
FEWEST = 4  # words that make a sentence

BY_DESIGN = {  # a folder or module whose texts stay where they are, and why
    "engcalc/case/sections/": "an input is declared once: label, help and limits together",
    "engcalc/case/records.py": "inputs of the items of lists, declared likewise",
    "engcalc/case/refilling.py": "inputs of a refill, declared likewise",
    "engcalc/case/presets.py": "the classes of vehicles are data: label, duties and values together",
    "engcalc/case/reading_words.py": "the words of a gauge or a hand are input: a case file holds them",
    "engcalc/causes/catalogue/": "a cause is one record, so that adding one is one file",
    "engcalc/causes/record.py": "what a look tells of a cause is declared once, beside its value in health",
    "engcalc/causes/history.py": "the words for how a customer tells of it are declared once, with their keys",
    "engcalc/diagnosis/checks/hand_checks.py": "a hand check is one record",
    "engcalc/diagnosis/checks/part_checks.py": "a check that finds the part of a cause is one record",
    "engcalc/classroom/topics/": "a topic of the class is one record, its lines beside their formulas",
    "engcalc/working/terms.py": "a quantity of the working is declared once: symbol, label, unit and path",
    "engcalc/working/bench_chain.py": "a line of the working is its words beside its formula",
    "engcalc/working/chain.py": "a line of the working is its words beside its formula",
    "engcalc/working/flows_chain.py": "a line of the working is its words beside its formula",
    "engcalc/working/one_pass.py": "a line of the working is its words beside its formula",
    "engcalc/working/rig_chain.py": "a line of the working is its words beside its formula",
    "engcalc/working/sizes_chain.py": "a line of the working is its words beside its formula",
    "engcalc/working/wilson_chain.py": "a line of the working is its words beside its formula",
    "engcalc/logs/dialects.py": "what other people's logs call things: read, not said",
    "engcalc/properties/coefficients.py": "a constant stands beside its source",
    "engcalc/properties/fuel.py": "a constant stands beside its source",
    "engcalc/properties/material.py": "a constant stands beside its source",
    "engcalc/system/in_time/patterns.py": "a pattern of driving stands beside its source",
    "engcalc/properties/refit.py": "a command for developers, by hand",
    "ui/live/at_commands.py": "the names of protocols in their standards",
    "ui/command/startup.py": "it looks at the installation before anything of ours may be imported",
    "reports/plots/registry.py": "a picture is one entry: key, title, builder, places",
    "reports/sections.py": "a section of the report is one entry: key, title, builder, kinds",
}
NOT_SHOWN = {  # how a text begins that no person is shown, or that is no language, and what it is
    "\n    QLabel[tone=": "a style sheet",
    '<?xpacket begin="': "metadata of a PDF",
    "Chang & Wang 1997": "the source of a range",
    "friction at Re 130": "the source of a range",
    "shell and tube ": "a word that a case file holds",
    "hot lap and grid": "a word that is typed on the command line",
    "ran to its end": "a word of the JSON answer, which programs read",
}
# A slip of ours, which the program tells of as its own defect: texts of these are for developers.
OUR_OWN_SLIPS = {"ValueError", "TypeError", "KeyError", "IndexError", "LookupError", "AttributeError"} | {
    "RuntimeError",
    "AssertionError",
    "NotImplementedError",
}
NO_LANGUAGE = re.compile(
    r"\^|\s*(SELECT|INSERT|UPDATE|DELETE|CREATE|ALTER|PRAGMA|DROP|BEGIN|VACUUM) |\\[sdw(]|\(\?[:P]"
    r"|\w+(\[.*\])? \| \w+|.*\b(IN|AND|WHERE) .*(\?|:\w+|\#)|# ORDER BY"
)
PATTERNS = {"compile", "match", "fullmatch", "search", "sub", "findall", "finditer", "split"}  # of the module re
SOURCES = {"ValidRange", "Source"}  # data beside a formula: its range, and the paper that it is from


def parents_of(tree: ast.AST) -> dict[ast.AST, ast.AST]:
    """What each node stands in."""
    return {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}


def written(node: ast.expr) -> str:
    """A text as it is read, with # for what is put in."""
    if isinstance(node, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "#" for part in node.values)
    assert isinstance(node, ast.Constant)
    return str(node.value)


def is_sentence(text: str) -> bool:
    """Whether a text has words enough, most of them of letters, and is no pattern or command."""
    enough = len(text.split()) >= FEWEST and len(re.findall(r"[A-Za-z]{2,}", text)) >= FEWEST - 1
    return enough and not NO_LANGUAGE.match(text) and not text.startswith(tuple(NOT_SHOWN))


def _called(node: ast.AST) -> str:
    """The last name of what is called, empty when nothing is."""
    function = node.func if isinstance(node, ast.Call) else None
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


def _is_annotation(node: ast.AST, parent: ast.AST) -> bool:
    return node in (getattr(parent, "annotation", None), getattr(parent, "returns", None))


def _is_pattern(node: ast.AST) -> bool:
    of_re = isinstance(node, ast.Call) and ast.unparse(node.func).startswith("re.")
    return of_re and _called(node) in PATTERNS


def is_shown(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Whether a text may reach a person: no docstring, comparison, annotation, pattern, source or slip of ours."""
    if isinstance(parents[node], ast.Expr | ast.Compare):
        return False
    while (parent := parents.get(node)) is not None:
        for_developers = isinstance(parent, ast.Assert) or (
            isinstance(parent, ast.Raise) and parent.exc is not None and _called(parent.exc) in OUR_OWN_SLIPS
        )
        if for_developers or _is_pattern(parent) or _called(parent) in SOURCES or _is_annotation(node, parent):
            return False
        node = parent
    return True


def texts_of(tree: ast.AST) -> Iterator[ast.Constant | ast.JoinedStr]:
    """Every string literal, a formatted one as a whole and not by its pieces; those inside what is put in as well."""
    pieces: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            specs = [v.format_spec for v in node.values if isinstance(v, ast.FormattedValue) and v.format_spec]
            inside = [n for spec in specs for n in ast.walk(spec)]
            pieces |= {id(n) for n in [*node.values, *inside] if isinstance(n, ast.Constant | ast.JoinedStr)}
    for node in ast.walk(tree):
        is_text = isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))
        if is_text and id(node) not in pieces:
            assert isinstance(node, ast.JoinedStr | ast.Constant)
            yield node


def sentences_in(source: str) -> list[ast.Constant | ast.JoinedStr]:
    """The sentences of a module that a person may be shown."""
    tree = ast.parse(source)
    found = [node for node in texts_of(tree) if is_sentence(written(node))]
    parents = parents_of(tree) if found else {}
    return [node for node in found if is_shown(node, parents)]


def outside(root: Path) -> Iterator[Path]:
    """The modules in which no sentence stands."""
    for folder in ("engcalc", "reports", "ui"):
        for path in sorted((root / folder).rglob("*.py")):
            if not path.relative_to(root).as_posix().startswith((WORDS, *BY_DESIGN)):
                yield path


def test_no_sentence_stands_outside_the_words():
    found = [
        f"{path.relative_to(ROOT)}:{node.lineno}: {written(node)[:80]}"
        for path in outside(ROOT)
        for node in sentences_in(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_what_stands_elsewhere_by_design_is_there_and_has_sentences():
    for place in BY_DESIGN:
        modules = sorted((ROOT / place).rglob("*.py")) if place.endswith("/") else [ROOT / place]
        assert any(sentences_in(module.read_text(encoding="utf-8")) for module in modules), place


FOUND = [
    'X = "choose another name for it"',
    'X = f"choose another {name} for it"',
    'f({"key": "the fan does not run"})',
    'raise InputError("name the file of the log")',
    "f(f\"{a if b else 'the fan does not run'}\")",
    'class A:\n    label = "Time since the start"',
    'X = Thing("Time since the start")',
]
LET_THROUGH = [
    '"""A docstring of a module, in words."""',
    'def f():\n    """A docstring of a function, in words."""',
    'X = "three words only"',
    'X = text == "the words of a file"',
    'raise ValueError("a slip of ours, told as such")',
    'X = re.compile("the words of another program")',
    'book.execute("SELECT id FROM visits WHERE day = ?")',
    'X: Literal["four words of type"] = f()',
    'X = ValidRange("Re", 1, 2, "Smith 1999, on plain tubes")',
]


@pytest.mark.parametrize("source", FOUND)
def test_a_sentence_is_found_wherever_it_hides(source):
    assert len(sentences_in(source)) == 1


@pytest.mark.parametrize("source", LET_THROUGH)
def test_what_nobody_is_shown_is_let_through(source):
    assert sentences_in(source) == []


def kept_texts() -> dict[str, dict[str, str]]:
    """The texts by module and name."""
    found: dict[str, dict[str, str]] = {}
    for path in sorted(TEXTS.glob("*_texts.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        pairs = [(node.targets[0], node.value) for node in tree.body if isinstance(node, ast.Assign)]
        found[path.stem] = {ast.unparse(name): ast.literal_eval(value) for name, value in pairs}
    return found


def places(text: str) -> set[str]:
    """The names of what a text has put in."""
    return {name for _, name, _, _ in Formatter().parse(text) if name}


@cache
def uses() -> tuple[tuple[str, str, str, set[str] | None], ...]:
    """Every use of a text outside this package: where, the module, the name, and what is put in (None: nothing is)."""
    return tuple(_uses())


def _uses() -> Iterator[tuple[str, str, str, set[str] | None]]:
    kept = kept_texts()
    for folder in ("engcalc", "reports", "ui"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            source = path.read_text(encoding="utf-8")
            if not any(module in source for module in kept):
                continue
            tree = ast.parse(source)
            parents = parents_of(tree)
            for node in ast.walk(tree):
                if not (isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in kept):
                    continue
                around = parents[node]
                call = parents[around] if isinstance(around, ast.Attribute) and around.attr == "format" else None
                put_in = {str(word.arg) for word in call.keywords} if isinstance(call, ast.Call) else None
                yield f"{path.relative_to(ROOT)}:{node.lineno}", node.value.id, node.attr, put_in


def test_what_a_text_wants_put_in_is_put_in_by_name():
    kept = kept_texts()
    wrong = []
    for where, module, name, put_in in uses():
        wanted = places(kept[module].get(name, "")) if put_in is not None else set()
        if name not in kept[module] or (put_in is not None and put_in != wanted):
            wrong.append(f"{where}: {module}.{name}")
    assert wrong == []


def test_every_text_is_said_somewhere():
    said = {(module, name) for _, module, name, _ in uses()}
    assert [f"{m}.{n}" for m, texts in kept_texts().items() for n in texts if (m, n) not in said] == []


def test_each_heading_names_the_module_that_says_what_stands_under_it():
    for path in sorted(TEXTS.glob("*_texts.py")):
        headings = re.findall(r"^# (\S+\.py)$", path.read_text(encoding="utf-8"), re.MULTILINE)
        assert headings or path.stem == "shared_texts", path
        assert [heading for heading in headings if not (ROOT / heading).is_file()] == []
