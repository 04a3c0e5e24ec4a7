"""The words said when the program cannot start. Library and package names: Debian 12's package contents."""

from __future__ import annotations

import base64
import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from ui.command import startup
from ui.command.startup import StartupError, check_own_packages, check_qt, missing_qt_libraries, qt_platforms

X11 = {"DISPLAY": ":0"}
PROJECT = Path(__file__).resolve().parents[3]


def lacking(*files: str):
    return lambda file: file not in files


def everything(_: str) -> bool:
    return True


class Probe:
    """Finds all that it is asked for, and keeps what that was."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def __call__(self, name: str) -> bool:
        self.asked.append(name)
        return True


@pytest.mark.parametrize(
    ("environ", "expected"),
    [
        ({}, ()),
        (X11, ("xcb",)),
        ({"WAYLAND_DISPLAY": "wayland-0"}, ("wayland",)),
        ({"WAYLAND_DISPLAY": "wayland-0", **X11}, ("wayland", "xcb")),
        ({"QT_QPA_PLATFORM": "offscreen"}, ("offscreen",)),
        ({"QT_QPA_PLATFORM": "offscreen:fontdir=x"}, ("offscreen",)),
        ({"QT_QPA_PLATFORM": "wayland;xcb", **X11}, ("xcb",)),
        ({"QT_QPA_PLATFORM": "xcb"}, ()),
        ({"QT_QPA_PLATFORM": "wayland", **X11}, ()),
    ],
)
def test_platforms_follow_the_environment(environ, expected):
    assert qt_platforms(environ) == expected


def test_nothing_missing_where_everything_loads():
    assert missing_qt_libraries(("xcb",), "linux", everything) == ()


def test_a_missing_library_is_named_with_its_debian_package():
    with pytest.raises(StartupError, match=r"libEGL\.so\.1 \(Debian package libegl1\).*apt-get install libegl1$"):
        check_qt(X11, "linux", lacking("libEGL.so.1"), everything)


def test_all_missing_libraries_are_named_at_once():
    with pytest.raises(StartupError, match=r"apt-get install libgl1 libdbus-1-3 libxcb-cursor0$"):
        check_qt(X11, "linux", lacking("libGL.so.1", "libdbus-1.so.3", "libxcb-cursor.so.0"), everything)


@pytest.mark.parametrize(
    "environ", [{"QT_QPA_PLATFORM": "offscreen"}, {"WAYLAND_DISPLAY": "wayland-0"}, {"WAYLAND_DISPLAY": "w", **X11}]
)
def test_x11_libraries_are_asked_for_only_where_x11_is_the_only_way(environ):
    probe, displays = Probe(), Probe()
    check_qt(environ, "linux", probe, displays)
    assert probe.asked == [library.file for library in startup.QT_LIBRARIES]
    assert displays.asked == []


def test_where_x11_is_the_only_way_its_libraries_and_its_display_are_asked_for():
    probe, displays = Probe(), Probe()
    check_qt(X11, "linux", probe, displays)
    assert probe.asked == [library.file for library in startup.QT_LIBRARIES + startup.X11_LIBRARIES]
    assert displays.asked == [":0"]


def test_continuous_integration_installs_the_very_packages_that_are_named():
    installed = (PROJECT / ".ci" / "run").read_text(encoding="utf-8").split()
    named = {library.package for library in startup.QT_LIBRARIES + startup.X11_LIBRARIES}
    assert named - set(installed) == set()


@pytest.mark.parametrize("system", ["win32", "darwin"])
def test_other_systems_bring_their_own_libraries(system):
    probe, displays = Probe(), Probe()
    check_qt({}, system, probe, displays)
    assert (probe.asked, displays.asked) == ([], [])


def test_no_display_is_said_in_words():
    with pytest.raises(StartupError, match=r"no display.*subcommands"):
        check_qt({}, "linux", everything, everything)
    with pytest.raises(StartupError, match=r"QT_QPA_PLATFORM=xcb"):
        check_qt({"QT_QPA_PLATFORM": "xcb"}, "linux", everything, everything)


def test_a_display_that_does_not_answer_is_named():
    asked = []
    with pytest.raises(StartupError, match=r"display ':7' does not answer"):
        check_qt({"DISPLAY": ":7"}, "linux", everything, asked.append)
    assert asked == [":7"]


@pytest.mark.skipif(sys.platform != "linux", reason="the libraries are Linux's")
def test_the_real_probe_tells_a_library_that_is_there_from_one_that_is_not():
    assert missing_qt_libraries(("offscreen",)) == ()
    assert not startup._loads("libheatdocket-no-such-thing.so.9")
    assert not startup._x11_answers(":7919")


def test_our_own_packages_are_accepted():
    check_own_packages()  # raises where one is a stranger
    places = {name: startup._place(name) for name in startup.OWN_PACKAGES}
    assert places == {name: PROJECT / name for name in startup.OWN_PACKAGES}


def test_a_package_found_elsewhere_is_a_stranger(tmp_path):
    places = {name: PROJECT / name for name in startup.OWN_PACKAGES} | {"engcalc": tmp_path / "engcalc"}
    with pytest.raises(StartupError, match=r"(?s)'engcalc' found at .*environment of its own") as caught:
        check_own_packages(places, PROJECT)
    assert "'reports'" not in str(caught.value)


def test_a_package_that_is_nowhere_is_named():
    places = {name: PROJECT / name for name in startup.OWN_PACKAGES} | {"reports": None}
    with pytest.raises(StartupError, match=r"'reports' is not installed"):
        check_own_packages(places, PROJECT)


def installed(home: Path) -> dict[str, Path | None]:
    """An installation as pip leaves one: four packages and their recorded digests."""
    record = home / "heatdocket-9.9.dist-info"
    record.mkdir()
    (record / "METADATA").write_text("Metadata-Version: 2.1\nName: heatdocket\nVersion: 9.9\n")
    lines = []
    for name in startup.OWN_PACKAGES:
        text = f'"""Ours: {name}."""\n'
        (home / name).mkdir()
        (home / name / "__init__.py").write_text(text)
        digest = base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b"=").decode()
        lines.append(f"{name}/__init__.py,sha256={digest},{len(text)}")
    (record / "RECORD").write_text("\n".join(lines) + "\n")
    return {name: home / name for name in startup.OWN_PACKAGES}


def test_a_package_installed_over_ours_is_found_by_its_digest(tmp_path):
    home = tmp_path.resolve()
    places = installed(home)
    check_own_packages(places, home)
    (home / "reports" / "__init__.py").write_text("somebody_else = True\n")
    with pytest.raises(StartupError, match=r"'reports' found at"):
        check_own_packages(places, home)


def test_a_stranger_first_on_the_import_path_is_found_by_a_fresh_python(tmp_path):
    (tmp_path / "reports").mkdir()
    (tmp_path / "reports" / "__init__.py").write_text("")
    code = "from ui.command.startup import check_own_packages; check_own_packages()"
    path = os.pathsep.join([str(tmp_path), str(PROJECT)])
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONPATH": path},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert "StartupError: The package 'reports' found at" in done.stderr
    assert "Install Heatdocket into a virtual environment of its own" in done.stderr


def test_startup_imports_nothing_of_ours_and_no_qt():
    code = (
        "import sys; import ui.command.startup; "
        "print(sorted(name for name in sys.modules if name.split('.')[0] in "
        "('engcalc', 'reports', 'worked_examples', 'PySide6')))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_script_without_a_guard_is_told_so_and_not_of_a_defect(tmp_path):
    """A helping process reads its parent's script from the top: the report was there, beneath "a defect of ours"."""
    script = tmp_path / "shop.py"
    script.write_text(
        "from multiprocessing import get_context\n"
        "from ui.command.main import main\n"
        "code = main(['fields'])\n"
        "if code == 0:\n"
        "    helper = get_context('spawn').Process(target=print)\n"
        "    helper.start()\n"
        "    helper.join()\n",
        encoding="utf-8",
    )
    environment = {**os.environ, "PYTHONPATH": str(PROJECT)}
    done = subprocess.run(
        [sys.executable, str(script)], capture_output=True, text=True, check=False, timeout=300, env=environment
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr.count("__main__") == 1
    assert "put the call under" in done.stderr
    assert "defect" not in done.stderr
