"""Faults planted in a module on purpose, one at a time: which of them does no test notice?

By hand, some minutes a module (``pip install -e '.[test,mutation]'``), from the project's folder:

    python tests/mutation/run.py engcalc/verdict.py
    python tests/mutation/run.py --seed 12 --sample 45

Cosmic Ray (cosmic-ray 8, MIT) turns comparisons, signs and operators round and adds 1 to numbers or takes it away.
Beside its changes each decimal number is moved by 5 %. ``targets.toml`` names the quick tests of each module, and the
changes that change no answer. No file is changed: each changed module lives only in a process of its own.
"""

from __future__ import annotations

import argparse
import ast
import io
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import tokenize
import tomllib
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import spec_from_file_location
from pathlib import Path
from types import CodeType
from typing import Any

import pytest
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

ROOT = Path(__file__).parents[2]
TARGETS = Path(__file__).with_name("targets.toml")
MOVED = 1.05  # times each decimal number
# A change that only breaks the program is killed by any test: it would flatter the score.
BREAKS = ("Invert", "Decorator", "Exception", "_Is", "IsNot")
BINARY = ("Add_Sub", "Sub_Add", "Mul_Div", "Div_Mul", "Pow_Mul")
# What is loaded once, before the processes part. None of it may load the module that is changed.
SHARED = ("numpy", "scipy.stats", "scipy.optimize", "hypothesis", "PySide6.QtWidgets", "engcalc.case.resolve")
PATIENCE = 4.0  # times as long as the unchanged module takes: then the change counts as noticed


@dataclass(frozen=True)
class Change:
    """One planted fault: by what, the line as it was and as it is, and the whole module with it."""

    by: str
    line: int
    was: str
    now: str
    source: str

    @property
    def told(self) -> str:
        """The change in one line."""
        return f"{self.line}: {self.was}  ->  {self.now}"


def changes_of(source: str, sample: int, seed: int) -> list[Change]:
    """Changes of a module that could matter: of Cosmic Ray's and of the moved numbers ``sample`` each, 0 for all."""
    plain, found = _meaning(source), {}
    for kind in (_places(source), _decimals(source)):
        drawn, kept = random.Random(seed).sample(kind, len(kind)), 0
        for by, where in drawn if sample else kind:
            changed = _moved(source, where) if by == "moved by 5 %" else mutate_code(source, get_operator(by)(), where)
            if changed is None or changed in found or _meaning(changed) == plain:
                continue
            found[changed] = _change(by, source, changed)
            kept += 1
            if kept == sample:
                break
    return list(found.values())


def _places(source: str) -> list[tuple[str, int]]:
    """Each of Cosmic Ray's operators that is wanted, with the number of each place where it fits."""
    nodes = list(ast_nodes(get_ast(source)))
    found = []
    for name in operator_names():
        operator = get_operator(name)
        kind = name.rpartition("/")[2]
        binary = kind.startswith("ReplaceBinaryOperator_")
        wanted = kind.endswith(BINARY) if binary else not any(word in kind for word in BREAKS)
        if operator.arguments() or not wanted:
            continue
        places = sum(1 for node in nodes for _ in operator().mutation_positions(node))
        found += [(name, k) for k in range(places)]
    return found


def _decimals(source: str) -> list[tuple[str, tokenize.TokenInfo]]:
    """Each decimal number of a module but 0."""
    tokens = tokenize.generate_tokens(io.StringIO(source).readline)
    decimals = (t for t in tokens if t.type == tokenize.NUMBER and any(c in t.string for c in ".e"))
    return [("moved by 5 %", t) for t in decimals if float(t.string) != 0.0]


def _moved(source: str, token: tokenize.TokenInfo) -> str:
    lines = source.splitlines(keepends=True)
    row, start, end = token.start[0] - 1, token.start[1], token.end[1]
    lines[row] = lines[row][:start] + repr(float(token.string) * MOVED) + lines[row][end:]
    return "".join(lines)


class _Stripped(ast.NodeTransformer):
    """Without annotations, docstrings and the decorators of classes (frozen or not), which nobody computes with."""

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        self.generic_visit(node)
        node.decorator_list = []
        return node

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        self.generic_visit(node)
        node.annotation = ast.Constant(None)
        return node

    def visit_arg(self, node: ast.arg) -> ast.AST:
        node.annotation = None
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        self.generic_visit(node)
        node.returns = None
        return node

    def visit_Expr(self, node: ast.Expr) -> ast.AST | None:
        return None if isinstance(node.value, ast.Constant) else node


def _meaning(source: str) -> str:
    try:
        return ast.dump(_Stripped().visit(ast.parse(source)))
    except SyntaxError:
        return ""


def _change(by: str, source: str, changed: str) -> Change:
    pairs = zip(source.splitlines(), changed.splitlines(), strict=False)
    line, (was, now) = next((i, pair) for i, pair in enumerate(pairs, start=1) if pair[0] != pair[1])
    return Change(by.rpartition("/")[2], line, was.strip(), now.strip(), changed)


class _Loader(SourceFileLoader):
    def __init__(self, name: str, path: str, source: str) -> None:
        super().__init__(name, path)
        self.source = source

    def get_code(self, *_: object) -> CodeType:
        return compile(self.source, self.path, "exec")


class _Finder(MetaPathFinder):
    """Gives a changed source for one module."""

    def __init__(self, name: str, path: Path, source: str) -> None:
        self.name, self.path, self.source = name, str(path), source

    def find_spec(self, fullname: str, *_: object) -> ModuleSpec | None:
        if fullname != self.name:
            return None
        return spec_from_file_location(fullname, self.path, loader=_Loader(fullname, self.path, self.source))


def say(text: str) -> None:
    """One line for the person who waits."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def started(path: str, source: str, tests: Sequence[str], shown: bool = False) -> int:
    """Process that runs the tests with a source in the module's place; it ends with pytest's code."""
    process = os.fork()
    if process:
        return process
    os.setpgid(0, 0)
    if not shown:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
    sys.meta_path.insert(0, _Finder(_module(path), ROOT / path, source))
    code: int = 99
    try:
        quietly = ("-W", "ignore::pytest.PytestAssertRewriteWarning")  # hypothesis was loaded before
        code = int(pytest.main(["-x", "-n", "0", "-p", "no:cacheprovider", *quietly, *tests]))
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def _module(path: str) -> str:
    return path.removesuffix(".py").replace("/", ".")


def survivors(path: str, changes: Sequence[Change], tests: Sequence[str], jobs: int, patience: float) -> list[Change]:
    """Changes that no test notices. What takes longer than ``patience`` [s] is noticed."""
    waiting, running, alive = list(reversed(changes)), {}, []
    while waiting or running:
        while waiting and len(running) < jobs:
            change = waiting.pop()
            running[started(path, change.source, tests)] = (change, time.monotonic())
        time.sleep(0.05)
        for process, (change, since) in list(running.items()):
            ended, status = os.waitpid(process, os.WNOHANG)
            if ended:
                del running[process]
                if os.waitstatus_to_exitcode(status) == 0:
                    alive.append(change)
                    say(f"  survives {change.told} ({change.by})")
            elif time.monotonic() - since > patience:
                os.killpg(process, signal.SIGKILL)
    return alive


def measured(path: str, target: dict[str, Any], options: argparse.Namespace) -> tuple[int, list[Change]]:
    """How many changes of a module were tried, and those that survive."""
    source = (ROOT / path).read_text(encoding="utf-8")
    same = {(one["was"], one["now"]) for one in target.get("same", ())}
    changes = [c for c in changes_of(source, options.sample, options.seed) if (c.was, c.now) not in same]
    if options.again:
        told = set(json.loads(Path(options.again).read_text(encoding="utf-8")).get(path, ()))
        changes = [c for c in changes if f"{c.was}  ->  {c.now}" in told]
    say(f"{path}: {len(changes)} changes")
    began = time.monotonic()
    _, status = os.waitpid(started(path, source, target["tests"], shown=True), 0)
    if os.waitstatus_to_exitcode(status) != 0:
        raise SystemExit(f"{path}: its tests fail before anything is changed")
    patience = 10.0 + PATIENCE * options.jobs * (time.monotonic() - began)
    return len(changes), survivors(path, changes, target["tests"], options.jobs, patience)


def main() -> None:
    """Measure the modules asked for, and print a score of each."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("modules", nargs="*", help="paths as in targets.toml; none: all of them")
    parser.add_argument(
        "--sample", type=int, default=0, help="that many of Cosmic Ray's changes, and as many moved numbers; 0: all"
    )
    parser.add_argument("--seed", type=int, default=11, help="of the sample")
    parser.add_argument("--jobs", type=int, default=2, help="processes at a time")
    parser.add_argument("--out", help="file to write the survivors to")
    parser.add_argument("--again", help="such a file: try only what survived then")
    options = parser.parse_args()
    targets = tomllib.loads(TARGETS.read_text(encoding="utf-8"))
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    left, scores = {}, []
    folder = tempfile.mkdtemp(prefix="mutation-")
    os.environ["TMPDIR"] = tempfile.tempdir = folder
    try:
        for name in SHARED:
            import_module(name)
        for path in options.modules or targets:
            assert _module(path) not in sys.modules, f"{path} is loaded too early"
            tried, alive = measured(path, targets[path], options)
            left[path] = [f"{c.was}  ->  {c.now}" for c in alive]
            scores.append(f"{path}: {tried - len(alive)} of {tried} noticed")
            if options.out:
                Path(options.out).write_text(json.dumps(left, indent=1, ensure_ascii=False), encoding="utf-8")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    say("\n".join(scores))


if __name__ == "__main__":
    main()
