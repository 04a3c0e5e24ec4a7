"""What must hold before the program starts: our own packages, Qt's system libraries, a display.

This module imports nothing of Heatdocket and no Qt, because it has to be able to say that either is missing. A missing
library or display would otherwise end the process inside Qt, where no Python code can catch it.
"""

from __future__ import annotations

import base64
import ctypes
import hashlib
import importlib.util
import os
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

DISTRIBUTION = "heatdocket"
OWN_PACKAGES = ("engcalc", "ui", "reports", "worked_examples")
WINDOWLESS = frozenset({"offscreen", "minimal", "vnc", "eglfs", "linuxfb", "minimalegl", "vkkhrdisplay"})
NEEDS_X11 = frozenset({"xcb"})


class StartupError(RuntimeError):
    """The program cannot start here; the text says why and what would mend it."""


@dataclass(frozen=True)
class SystemLibrary:
    """A shared library that Qt loads, and the Debian package that carries it."""

    file: str
    package: str


QT_LIBRARIES = (
    SystemLibrary("libGL.so.1", "libgl1"),
    SystemLibrary("libEGL.so.1", "libegl1"),
    SystemLibrary("libglib-2.0.so.0", "libglib2.0-0"),
    SystemLibrary("libxkbcommon.so.0", "libxkbcommon0"),
    SystemLibrary("libfontconfig.so.1", "libfontconfig1"),
    SystemLibrary("libdbus-1.so.3", "libdbus-1-3"),
)
X11_LIBRARIES = (
    SystemLibrary("libxcb-cursor.so.0", "libxcb-cursor0"),
    SystemLibrary("libxcb-icccm.so.4", "libxcb-icccm4"),
    SystemLibrary("libxcb-keysyms.so.1", "libxcb-keysyms1"),
    SystemLibrary("libxcb-shape.so.0", "libxcb-shape0"),
    SystemLibrary("libxcb-xkb.so.1", "libxcb-xkb1"),
    SystemLibrary("libxkbcommon-x11.so.0", "libxkbcommon-x11-0"),
)


def _loads(file: str) -> bool:
    try:
        ctypes.CDLL(file)
    except OSError:
        return False
    return True


def _x11_answers(display: str) -> bool:
    """Whether an X server takes a connection at ``display``; True when that cannot be asked."""
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError:
        return True
    xcb.xcb_connect.restype = ctypes.c_void_p
    xcb.xcb_connection_has_error.argtypes = [ctypes.c_void_p]
    xcb.xcb_disconnect.argtypes = [ctypes.c_void_p]
    connection = xcb.xcb_connect(display.encode(), None)
    failed = bool(xcb.xcb_connection_has_error(connection))
    xcb.xcb_disconnect(connection)
    return not failed


def qt_platforms(environ: Mapping[str, str]) -> tuple[str, ...]:
    """The Qt platforms that will be tried here, first choice first; empty when there is nothing to show a window on.

    ``QT_QPA_PLATFORM`` decides when it is set (a list with ``;``, each name with options after ``:``).
    """
    asked = environ.get("QT_QPA_PLATFORM", "")
    names = tuple(name for part in asked.split(";") if (name := part.split(":")[0].strip()))
    if not names:
        names = ("wayland", "xcb")
    has = {"wayland": bool(environ.get("WAYLAND_DISPLAY")), "xcb": bool(environ.get("DISPLAY"))}
    return tuple(name for name in names if has.get(name.removesuffix("-egl"), name in WINDOWLESS))


def missing_qt_libraries(
    platforms: Iterable[str] = (), system: str = sys.platform, loads: Callable[[str], bool] = _loads
) -> tuple[SystemLibrary, ...]:
    """The system libraries that Qt needs for ``platforms`` and this machine lacks; none are asked for off Linux.

    ``loads`` tells whether a shared library of that file name loads. X11's own libraries count only when X11 is the
    only platform to be tried.
    """
    if system != "linux":
        return ()
    wanted = QT_LIBRARIES + (X11_LIBRARIES if frozenset(platforms) == NEEDS_X11 else ())
    return tuple(library for library in wanted if not loads(library.file))


def check_qt(
    environ: Mapping[str, str] | None = None,
    system: str = sys.platform,
    loads: Callable[[str], bool] = _loads,
    x11_answers: Callable[[str], bool] = _x11_answers,
) -> None:
    """Raise StartupError in words when a window cannot open here. Call it before Qt is imported."""
    if system != "linux":
        return
    environ = os.environ if environ is None else environ
    platforms = qt_platforms(environ)
    missing = missing_qt_libraries(platforms, system, loads)
    if missing:
        raise StartupError(_missing_words(missing))
    if not platforms:
        raise StartupError(_no_display_words(environ))
    if frozenset(platforms) == NEEDS_X11 and not x11_answers(environ["DISPLAY"]):
        raise StartupError(
            f"The display {environ['DISPLAY']!r} does not answer. Start Heatdocket inside a desktop session, or set "
            "DISPLAY to one that runs."
        )


def _missing_words(missing: tuple[SystemLibrary, ...]) -> str:
    named = ", ".join(f"{library.file} (Debian package {library.package})" for library in missing)
    packages = " ".join(library.package for library in missing)
    return (
        f"The window needs system libraries that this machine lacks: {named}. "
        f"On Debian or Ubuntu install them with: sudo apt-get install {packages}"
    )


def _no_display_words(environ: Mapping[str, str]) -> str:
    asked = environ.get("QT_QPA_PLATFORM", "")
    asked_words = f" for QT_QPA_PLATFORM={asked}" if asked else ""
    return (
        f"There is no display to open a window on{asked_words}: neither WAYLAND_DISPLAY nor DISPLAY leads to one. "
        "Start Heatdocket inside a desktop session. The subcommands (heatdocket check CASE and so on) need no display."
    )


def check_own_packages(
    places: Mapping[str, Path | None] | None = None, home: Path | None = None, packages: Iterable[str] = OWN_PACKAGES
) -> None:
    """Raise StartupError when one of our top-level packages is another distribution's.

    Other people publish packages named ``engcalc`` and ``reports`` too. One of theirs may lie earlier on the import
    path, or may have been installed over ours. ``places`` gives where Python finds each package (None: nowhere;
    default: asked of Python), ``home`` the folder that holds ours (default: the one this module was loaded from).
    """
    home = home or Path(__file__).resolve().parents[2]
    places = places if places is not None else {name: _place(name) for name in packages}
    recorded = _recorded_digests(home)
    strangers = {
        name: place
        for name, place in places.items()
        if place is None or place.resolve() != home / name or _overwritten(place / "__init__.py", recorded)
    }
    if strangers:
        raise StartupError("\n".join([*(_stranger_words(*item) for item in strangers.items()), _CURE]))


_CURE = (
    "Install Heatdocket into a virtual environment of its own: python3 -m venv NEW_FOLDER, then "
    "NEW_FOLDER/bin/pip install PROJECT_FOLDER, then start NEW_FOLDER/bin/heatdocket."
)


def _place(name: str) -> Path | None:
    """The folder that Python would import the top-level package ``name`` from."""
    spec = importlib.util.find_spec(name)
    folders = list(spec.submodule_search_locations or ()) if spec else []
    if folders:
        return Path(folders[0])
    return Path(spec.origin) if spec and spec.origin else None


def _recorded_digests(home: Path) -> dict[Path, str]:
    """SHA-256 of our packages' __init__.py as installed; empty when ``home`` is the project folder."""
    wanted = {f"{name}/__init__.py" for name in OWN_PACKAGES}
    for distribution in metadata.distributions(name=DISTRIBUTION, path=[str(home)]):
        files = distribution.files or []
        return {home / file: file.hash.value for file in files if str(file) in wanted and file.hash}
    return {}


def _overwritten(file: Path, recorded: Mapping[Path, str]) -> bool:
    digest = recorded.get(file.resolve())
    if digest is None:
        return False
    found = hashlib.sha256(file.read_bytes()).digest()
    return base64.urlsafe_b64encode(found).rstrip(b"=").decode() != digest


def _stranger_words(name: str, place: Path | None) -> str:
    if place is None:
        return f"Heatdocket's own package {name!r} is not installed."
    others = sorted(set(metadata.packages_distributions().get(name, ())) - {DISTRIBUTION})
    whose = f"belongs to another distribution ({', '.join(others)})" if others else "is not Heatdocket's own"
    return f"The package {name!r} found at {place} {whose}."
