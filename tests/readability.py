"""How dense the code is: syntax nodes for each line of code, and of each function. A figure to watch, no gate.

By hand, from the project's folder: ``python tests/readability.py engcalc [ui reports] [--most 20]``. Names of operators
and contexts count as nodes, docstrings and comments are no code. Below 9 nodes a line reads well; a function over 350
holds more than one thought.
"""

from __future__ import annotations

import argparse
import ast
import io
import sys
import tokenize
from pathlib import Path

NO_CODE = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENDMARKER,
}


def code_lines(source: str) -> int:
    """How many lines hold code."""
    tokens = tokenize.generate_tokens(io.StringIO(source).readline)
    told = (token for token in tokens if token.type not in NO_CODE)
    lines = {line for token in told for line in range(token.start[0], token.end[0] + 1)}
    return len(lines - _docstring_lines(ast.parse(source)))


def _docstring_lines(tree: ast.Module) -> set[int]:
    found: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and ast.get_docstring(node) is not None:
            first = node.body[0]
            found |= set(range(first.lineno, (first.end_lineno or first.lineno) + 1))
    return found


def nodes_in(tree: ast.AST) -> int:
    """How many syntax nodes a tree has."""
    return sum(1 for _ in ast.walk(tree))


def main() -> None:
    """Print the figures of the folders asked for, and their largest functions."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", nargs="+")
    parser.add_argument("--most", type=int, default=20, help="functions to list")
    options = parser.parse_args()
    nodes, lines, functions = 0, 0, []
    for folder in options.folders:
        for path in sorted(Path(folder).rglob("*.py")):
            source = path.read_text(encoding="utf-8")
            tree = ast.parse(source)
            nodes, lines = nodes + nodes_in(tree), lines + code_lines(source)
            inside = (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))
            functions += [(nodes_in(node), f"{path}:{node.lineno} {node.name}") for node in inside]
    functions.sort(reverse=True)
    p99 = functions[len(functions) // 100][0]
    sys.stdout.write(f"{nodes / lines:.2f} nodes a line of code; 99 in 100 of {len(functions)} functions under {p99}\n")
    sys.stdout.writelines(f"{size:6d} {place}\n" for size, place in functions[: options.most])


if __name__ == "__main__":
    main()
