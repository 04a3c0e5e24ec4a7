"""Studies and campaigns are scripts beside the tests, in no package: here they are loaded as the tests need them."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType


def loaded(path: Path, name: str = "") -> ModuleType:
    """A script by its path, under a ``name`` of its own or that of its file."""
    name = name or path.stem
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    sys.modules[name] = made  # dataclasses look their module up
    spec.loader.exec_module(made)
    return made
