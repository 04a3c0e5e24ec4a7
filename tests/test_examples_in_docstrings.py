"""Every example in a docstring runs and gives what stands beneath it."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
from types import ModuleType

import engcalc

LEAST = 10  # modules that hold an example; fewer would mean that the walk finds none


def modules_of_the_engine() -> list[ModuleType]:
    return [importlib.import_module(found.name) for found in pkgutil.walk_packages(engcalc.__path__, "engcalc.")]


def test_every_example_gives_what_it_says() -> None:
    tried = {module.__name__: results_of(module) for module in modules_of_the_engine()}
    assert {name: result.failed for name, result in tried.items() if result.failed} == {}
    assert sum(result.attempted > 0 for result in tried.values()) >= LEAST


def results_of(module: ModuleType) -> doctest.TestResults:
    """Of all examples of a module. Docstrings without any are left alone: each run asks every source file's date."""
    runner = doctest.DocTestRunner()
    for found in doctest.DocTestFinder().find(module, module.__name__):
        if found.examples:
            runner.run(found)
    return runner.summarize(verbose=False)
