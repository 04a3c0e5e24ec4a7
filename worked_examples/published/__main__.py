"""Prints every published example as one Markdown table: the one in README.md of this folder."""

from importlib import import_module
from pathlib import Path

from worked_examples.published.comparison import Example, markdown

SHARED = ("__init__", "__main__", "comparison")


def scripts() -> list[str]:
    """The names of the example scripts of this folder."""
    return sorted(file.stem for file in Path(__file__).parent.glob("*.py") if file.stem not in SHARED)


def examples() -> dict[str, Example]:
    """Every example by the name of its script."""
    return {name: import_module(f"worked_examples.published.{name}").compare() for name in scripts()}


if __name__ == "__main__":
    print(markdown(examples()))
