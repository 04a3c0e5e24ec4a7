"""Reading and writing the case file: JSON in UTF-8, every spelling kept, replaced in one step or not at all."""

from __future__ import annotations

import json
import os
import re
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Any

from engcalc.case.text import FORMAT, CaseText, Number
from engcalc.errors import FileFault, InputError, InputFault

SUFFIX = ".heatcase.json"
LARGEST_BYTES = 16 * 1024 * 1024
_DEEPEST = 40
_FORMAT = re.compile(r"heatdocket-case/(\d+)")


def read_case(path: Path) -> CaseText:
    """Read a case file. Raises :class:`InputError` in words: missing, not readable, not a case, a newer format."""
    return parse_case(read_whole(path, "a case file", LARGEST_BYTES), str(path))


def read_whole(path: Path, wanted: str, largest: int) -> bytes:
    """A file's bytes; ``wanted`` says what the file should be, with its article.

    Raises FileFault when it cannot be read or has more than ``largest`` bytes.
    """
    try:
        size = path.stat().st_size
        if size > largest:
            raise FileFault(str(path), f"the file has {size} bytes; {wanted} has at most {largest}")
        return path.read_bytes()
    except OSError as error:
        raise FileFault(str(path), f"the file cannot be read ({error.strerror or error}); name {wanted}") from error


def parse_case(data: bytes, name: str = "the case") -> CaseText:
    """The case text in these bytes; ``name`` stands in the error."""
    duplicates: list[str] = []

    def build(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        built: dict[str, Any] = {}
        for key, value in pairs:
            if key in built:
                duplicates.append(key)
            built[key] = value
        return built

    def no_constant(word: str) -> Any:
        raise FileFault(name, f"{word} is not a number that can be used; write a finite number")

    try:
        tree = json.loads(
            data.decode("utf-8-sig"),
            object_pairs_hook=build,
            parse_float=Number,
            parse_int=Number,
            parse_constant=no_constant,
        )
    except UnicodeDecodeError as error:
        raise FileFault(name, f"the file is not UTF-8 text (byte {error.start}); save it as UTF-8") from error
    except json.JSONDecodeError as error:
        raise FileFault(
            name,
            f"the file is not JSON as a case file is: it breaks off or has a slip in line {error.lineno}, column "
            f"{error.colno}. Look there, or open a saved copy",
        ) from error
    except RecursionError as error:
        raise FileFault(name, "the file is nested too deeply for a case") from error
    if duplicates:
        raise InputError(
            tuple(InputFault("", key, "this key stands twice in one object; keep one") for key in duplicates)
        )
    return CaseText(_checked(tree, name), data)


def _checked(tree: Any, name: str) -> dict[str, Any]:
    if not isinstance(tree, dict):
        raise FileFault(name, 'a case file is one JSON object with "format": "heatdocket-case/1"')
    found = tree.get("format")
    match = _FORMAT.fullmatch(found) if isinstance(found, str) else None
    if match is None:
        raise FileFault(name, f'the key "format" should read "{FORMAT}"; this file has {found!r}')
    if int(match.group(1)) > int(FORMAT.rpartition("/")[2]):
        raise FileFault(name, f"the file was written by a newer program ({found}); this one reads {FORMAT}")
    if _depth(tree) > _DEEPEST:
        raise FileFault(name, "the file is nested too deeply for a case")
    return tree


def _depth(node: Any) -> int:
    if isinstance(node, dict):
        return 1 + max(map(_depth, node.values()), default=0)
    return 1 + max(map(_depth, node), default=0) if isinstance(node, list) else 0


def case_bytes(case: CaseText) -> bytes:
    """The file's bytes: those that it was read from while nothing is changed; else written anew.

    Anew: two blanks of indent, keys in the order typed, every number as spelled.
    """
    if case.read_from is not None:
        return case.read_from
    return (_dump(case.tree, 0) + "\n").encode("utf-8")


def _dump(node: Any, indent: int) -> str:
    if isinstance(node, Number):
        return str(node)
    if isinstance(node, dict):
        return _block("{}", [f"{_plain(k)}: {_dump(v, indent + 1)}" for k, v in node.items()], indent)
    if isinstance(node, list):
        return _block("[]", [_dump(v, indent + 1) for v in node], indent)
    return _plain(node)


def _plain(node: Any) -> str:
    """JSON of a plain value; a lone surrogate, which UTF-8 cannot hold, keeps its escape."""
    text = json.dumps(node, ensure_ascii=False)
    return json.dumps(node) if any("\ud800" <= c <= "\udfff" for c in text) else text


def _block(brackets: str, parts: list[str], indent: int) -> str:
    flat = f"{brackets[0]}{', '.join(parts)}{brackets[1]}"
    if not parts or (indent > 1 and len(flat) + 2 * indent < 100 and "\n" not in flat):
        return flat
    inner = "  " * (indent + 1)
    return f"{brackets[0]}\n{inner}" + f",\n{inner}".join(parts) + f"\n{'  ' * indent}{brackets[1]}"


def write_case(case: CaseText, path: Path) -> None:
    """Replace the file in one step: written beside it, flushed to the disk, renamed. Raises :class:`FileFault`."""
    write_whole(path, case_bytes(case))


def write_whole(path: Path, data: bytes, *, private: bool = False, fresh: bool = False) -> None:
    """Write ``data`` to ``path`` by way of a file beside it, so that ``path`` is never seen half written.

    ``private`` leaves the file readable and writable by its owner only. ``fresh`` refuses a path that exists
    already: the name is claimed with an empty file first, which two writers cannot both succeed in.
    Raises FileFault when the place cannot be written to or, with ``fresh``, is taken.
    """
    try:
        if fresh:
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except FileExistsError:
        raise FileFault(str(path), "a file of this name exists already; choose another name") from None
    except OSError as error:
        raise _cannot_write(path, error) from error
    try:
        _write_beside(path, data, private)
    except OSError as error:
        if fresh:
            path.unlink(missing_ok=True)
        raise _cannot_write(path, error) from error


def _write_beside(path: Path, data: bytes, private: bool) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)  # mode 0600
    try:
        with os.fdopen(handle, "wb") as beside:
            beside.write(data)
            beside.flush()
            os.fsync(beside.fileno())
        if not private:
            Path(name).chmod(_usual_mode(path))
        Path(name).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise


def _usual_mode(path: Path) -> int:
    """The mode the file has already, or what an ordinary new file gets here."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0o077)  # the mask can only be read by setting it; put back at once
    os.umask(mask)
    return 0o666 & ~mask


def _cannot_write(path: Path, error: OSError) -> FileFault:
    return FileFault(str(path), f"the file cannot be written ({error.strerror or error}); choose another place")
