"""Reading and writing the case file: JSON in UTF-8, every spelling kept, replaced in one step or not at all."""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
import tempfile
import time
from contextlib import suppress
from pathlib import Path, PureWindowsPath
from typing import Any, BinaryIO

from engcalc.case.text import FORMAT, CaseText, Number
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.texts import case_texts, shared_texts

SUFFIX = ".heatcase.json"
LARGEST_BYTES = 16 * 1024 * 1024
_DEEPEST = 40
_UNFINISHED = ".part"  # ends the name of a file that is being written
_LEFT_BEHIND = 600.0  # s after which such a file is nobody's; common practice, no source
_FORMAT = re.compile(r"heatdocket-case/([0-9]{1,9})")


def read_case(path: Path) -> CaseText:
    """Read a case file. Raises :class:`InputError` in words: missing, not readable, not a case, a newer format."""
    return parse_case(read_whole(path, "a case file", LARGEST_BYTES), str(path))


def read_whole(path: Path, wanted: str, largest: int) -> bytes:
    """A file's bytes; ``wanted`` says what the file should be, with its article.

    Only a regular file is read: a device, a pipe or a folder is refused before it is opened for good, so nothing here
    waits or runs on without end. Raises FileFault when it cannot be read or has more than ``largest`` bytes.
    """
    try:
        with open_regular(path, wanted) as file:
            data = file.read(largest + 1)
    except OSError as error:
        raise FileFault(
            str(path), case_texts.FILE_CANNOT_BE_READ.format(strerror=error.strerror or error, wanted=wanted)
        ) from error
    if len(data) > largest:
        raise FileFault(str(path), case_texts.FILE_HAS_MORE_THAN_BYTES.format(largest=largest, wanted=wanted))
    return data


def open_regular(path: Path, wanted: str) -> BinaryIO:
    """Open a regular file for reading. FileFault for anything else, and for a name that no file can have."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except ValueError as error:
        raise FileFault(str(path), case_texts.NO_FILE_CAN_HAVE_THIS_NAME.format(wanted=wanted)) from error
    except OSError as error:
        raise FileFault(
            str(path), case_texts.FILE_CANNOT_BE_READ.format(strerror=error.strerror or error, wanted=wanted)
        ) from error
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise FileFault(str(path), case_texts.IT_CANNOT_BE_READ.format(wanted=wanted))
    return os.fdopen(handle, "rb")


def is_there(path: Path) -> bool:
    """Whether anything has this name: no, too, for a name that no file can have, of which ``Path.exists`` raises."""
    return os.path.exists(path)


def is_file(path: Path) -> bool:
    """As :func:`is_there`: whether it is an ordinary file."""
    return os.path.isfile(path)


def is_folder(path: Path) -> bool:
    """As :func:`is_there`: whether it is a folder."""
    return os.path.isdir(path)


NO_FOLDER = Path()
"""Stands for the folder of a case that has no file yet: its files are named in full, as the person chose them."""


class OwnFolder(type(NO_FOLDER)):  # type: ignore[misc]  # the kind of path of this system, known only when running
    """The folder of an example that is open and not saved yet. The case is ours, so whatever else it names by its full
    path was chosen by the person."""


def file_of_case(folder: Path, name: str) -> Path:
    """The place of a file that a case names. It lies in the case's own folder, or beneath it.

    Cases are handed on. What a stranger's case names elsewhere, by its full path, by ``..`` or by a link, is refused:
    it would be read from this machine and shown. Raises FileFault.
    """
    try:
        if Path(name).is_absolute() and (folder == NO_FOLDER or isinstance(folder, OwnFolder)):
            return Path(name)
        if folder == NO_FOLDER:
            raise FileFault(name, case_texts.CHOOSE_THE_FILE)
        if Path(name).is_absolute() or PureWindowsPath(name).drive:
            raise FileFault(name, case_texts.ONLY_FILES_IN_THE_CASES_OWN_FOLDER_ARE_READ)
        place = folder / name
        if not place.resolve().is_relative_to(folder.resolve()):
            raise FileFault(name, case_texts.ONLY_FILES_IN_THE_CASES_OWN_FOLDER_ARE_READ)
    except (OSError, ValueError, RuntimeError) as error:
        if isinstance(error, FileFault):
            raise
        raise FileFault(name, case_texts.NO_FILE_CAN_HAVE_THIS_NAME_NAME_A_FILE) from error
    return place


def state_of(path: Path) -> tuple[int, ...]:
    """What changes whenever a file's content does: its size, its two times, and which file it is."""
    try:
        found = path.stat()
    except (OSError, ValueError):
        return ()
    return found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino


def fingerprint_of(path: Path, largest: int) -> str:
    """SHA-256 of a file's content; empty where it cannot be read."""
    try:
        return hashlib.sha256(read_whole(path, "a file", largest)).hexdigest()
    except FileFault:
        return ""


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
        raise FileFault(name, case_texts.IS_NOT_A_NUMBER_THAT_CAN_BE_USED.format(word=word))

    try:
        tree = json.loads(
            data.decode("utf-8-sig"),
            object_pairs_hook=build,
            parse_float=Number,
            parse_int=Number,
            parse_constant=no_constant,
        )
    except UnicodeDecodeError as error:
        raise FileFault(name, shared_texts.FILE_IS_NOT_UTF_8_TEXT_BYTE.format(start=error.start)) from error
    except json.JSONDecodeError as error:
        raise FileFault(
            name,
            case_texts.FILE_IS_NOT_JSON_AS_A_CASE_FILE_IS.format(lineno=error.lineno, colno=error.colno),
        ) from error
    except RecursionError as error:
        raise FileFault(name, case_texts.FILE_IS_NESTED_TOO_DEEPLY_FOR_A_CASE) from error
    if duplicates:
        raise InputError(
            tuple(InputFault("", key, case_texts.THIS_KEY_STANDS_TWICE_IN_ONE_OBJECT) for key in duplicates)
        )
    return CaseText(_checked(tree, name), data)


def _checked(tree: Any, name: str) -> dict[str, Any]:
    if not isinstance(tree, dict):
        raise FileFault(name, case_texts.CASE_FILE_IS_ONE_JSON_OBJECT_WITH_FORMAT)
    found = tree.get("format")
    match = _FORMAT.fullmatch(found) if isinstance(found, str) else None
    if match is None:
        has = case_texts.FILE_HAS_NO_FORMAT if found is None else repr(found)
        raise FileFault(name, case_texts.KEY_FORMAT_SHOULD_READ.format(format=FORMAT, found=has))
    if int(match.group(1)) > int(FORMAT.rpartition("/")[2]):
        raise FileFault(name, case_texts.FILE_WAS_WRITTEN_BY_A_NEWER_PROGRAM.format(found=found, format=FORMAT))
    if _too_deep(tree):
        raise FileFault(name, case_texts.FILE_IS_NESTED_TOO_DEEPLY_FOR_A_CASE)
    return tree


def _too_deep(tree: Any) -> bool:
    """Whether objects and lists stand deeper in one another than a case ever has them."""
    level = [tree]
    for _ in range(_DEEPEST + 1):
        level = [
            below
            for node in level
            if isinstance(node, dict | list)
            for below in (node.values() if isinstance(node, dict) else node)
        ]
        if not level:
            return False
    return True


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
        lines = [f"{_plain(k)}: {_dump(v, indent + 1)}" for k, v in node.items()]
        return _block("{}", lines, indent)
    if isinstance(node, list):
        return _block("[]", [_dump(v, indent + 1) for v in node], indent)
    return _plain(node)


def _plain(node: Any) -> str:
    """JSON of a plain value; a lone surrogate, which UTF-8 cannot hold, keeps its escape."""
    text = json.dumps(node, ensure_ascii=False)
    if any("\ud800" <= c <= "\udfff" for c in text):
        return json.dumps(node)
    return text


def _block(brackets: str, parts: list[str], indent: int) -> str:
    flat = f"{brackets[0]}{', '.join(parts)}{brackets[1]}"
    if not parts or (indent > 1 and len(flat) + 2 * indent < 100 and "\n" not in flat):
        return flat
    inner = "  " * (indent + 1)
    body = f",\n{inner}".join(parts)
    return f"{brackets[0]}\n{inner}{body}\n{'  ' * indent}{brackets[1]}"


def write_case(case: CaseText, path: Path) -> None:
    """Replace the file in one step: written beside it, flushed to the disk, renamed. Raises :class:`FileFault`.

    What stood there before is kept beside it under the name that :func:`backup_of` gives.
    """
    data = case_bytes(case)
    with suppress(FileFault):  # nothing there to keep, or nothing that can be read
        before = read_whole(path, "a case file", LARGEST_BYTES)
        if before != data:
            write_whole(backup_of(path), before)
    write_whole(path, data)


def backup_of(path: Path) -> Path:
    """Where the last version of a case file is kept."""
    place = Path(os.path.realpath(path))
    return place.with_name(f"{place.name}~")


def write_whole(path: Path, data: bytes, *, private: bool = False, fresh: bool = False) -> None:
    """Write ``data`` to ``path`` by way of a file beside it, so that ``path`` is never seen half written.

    A link stays a link: the file it leads to is replaced. ``private`` leaves the file readable and writable by its
    owner only. ``fresh`` refuses a path that exists already: the name is claimed with an empty file first, which two
    writers cannot both succeed in. Raises FileFault when the place cannot be written to or, with ``fresh``, is taken.
    """
    try:
        if fresh:
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except FileExistsError:
        raise FileFault(str(path), shared_texts.FILE_OF_THIS_NAME_EXISTS_ALREADY) from None
    except (OSError, ValueError) as error:
        raise _cannot_write(path, error) from error
    try:
        _write_beside(Path(os.path.realpath(path)), data, private)
    except (OSError, ValueError) as error:
        if fresh:
            path.unlink(missing_ok=True)
        raise _cannot_write(path, error) from error


def _write_beside(path: Path, data: bytes, private: bool) -> None:
    if is_there(path) and not is_file(path):
        raise OSError(None, case_texts.IT_IS_NO_ORDINARY_FILE)
    prefix = f".{path.name[:40]}."
    _sweep(path.parent, prefix)
    handle, name = tempfile.mkstemp(prefix=prefix, suffix=_UNFINISHED, dir=path.parent)  # mode 0600
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
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Bring the names in a folder to the disk, so that a file just renamed outlives a power cut."""
    with suppress(OSError):  # not every system lets a folder be flushed
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _sweep(folder: Path, prefix: str) -> None:
    """Take away what a writer that was killed left of the same file, long ago enough to be nobody's work."""
    for left in folder.iterdir():
        if left.name.startswith(prefix) and left.name.endswith(_UNFINISHED):
            with suppress(OSError):
                if time.time() - left.stat().st_mtime > _LEFT_BEHIND:
                    left.unlink()


def _usual_mode(path: Path) -> int:
    """The mode the file has already, or what an ordinary new file gets here."""
    if is_there(path):
        return path.stat().st_mode & 0o777
    mask = os.umask(0o077)  # the mask can only be read by setting it; put back at once
    os.umask(mask)
    return 0o666 & ~mask


def _cannot_write(path: Path, error: OSError | ValueError) -> FileFault:
    why = getattr(error, "strerror", None) or error
    return FileFault(str(path), case_texts.FILE_CANNOT_BE_WRITTEN.format(why=why))
