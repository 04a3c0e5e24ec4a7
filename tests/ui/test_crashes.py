"""Crashes kept for support: where in the program, never what a person entered; bounded, and the owner's alone."""

from __future__ import annotations

import json
import os
import stat
import sys
import tomllib
from pathlib import Path

import pytest

from ui import about, crashes

SECRET = "Jane Customer, 4711"
PROJECT = Path(__file__).resolve().parents[2]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "settings" / "crashes"
    crashes.keep_in(place)
    yield place
    crashes.stop_keeping()


def failing(said: str = SECRET) -> Exception:
    """An error of the engine's own code, raised while another was handled, that quotes what was typed."""
    from engcalc.units import parse

    try:
        try:
            json.loads(f"{{{said}")
        except ValueError:
            parse(said, "temperature")  # no such unit
    except Exception as error:
        return error
    raise AssertionError("it did not fail")


def test_an_entry_says_where_and_never_what(folder, tmp_path):
    crashes.note(failing(), "the window")
    text = crashes.report(folder)
    assert " in the window" in text
    assert "engcalc/units.py:" in text
    assert " in parse" in text
    assert "after JSONDecodeError" in text
    assert "json/decoder.py:" in text
    assert "Heatdocket " in text
    assert "Qt 6." in text
    for kept_out in ("Jane", "4711", str(PROJECT), str(Path.home()), str(tmp_path), "site-packages"):
        assert kept_out not in text


def test_a_module_of_the_person_s_own_is_only_counted(tmp_path):
    assert crashes.place_in_program(str(tmp_path / "jane-customer.py")) is None
    assert crashes.place_in_program(str(PROJECT / "jane-customer.py")) is None
    assert crashes.place_in_program("<string>") is None
    assert crashes.place_in_program(str(PROJECT / "ui" / "about.py")) == "ui/about.py"
    assert (
        crashes.place_in_program("/".join(("", "home", "jane", "site-packages", "numpy", "core.py"))) == "numpy/core.py"
    )


def test_the_same_crash_is_written_once_a_run(folder):
    for _ in range(3):
        crashes.note(failing(), "the window")
    assert crashes.report(folder).count("in the window") == 1
    crashes.note(failing(), "a thread")
    assert crashes.report(folder).count(" UTC: ") == 2


def test_one_run_writes_no_more_than_so_many(folder):
    error = failing()
    for number in range(crashes.MOST_A_RUN + 5):
        crashes.note(error, f"place {number}")
    assert crashes.report(folder).count(" UTC: ") == crashes.MOST_A_RUN


def test_the_files_are_bounded_and_rotated(folder, monkeypatch):
    monkeypatch.setattr(crashes, "MOST_BYTES", 2000)
    crashes.keep_in(folder)
    error = failing()
    for number in range(40):
        crashes.note(error, f"place {number}")
    files = sorted(path.name for path in folder.iterdir())
    assert files == ["crashes.log", "crashes.log.1"]
    assert all(path.stat().st_size <= 2000 for path in folder.iterdir())
    assert "place 39" in crashes.report(folder)
    assert crashes.report(folder).index("place 38") < crashes.report(folder).index("place 39")


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="this system follows every link")
def test_a_link_in_the_place_of_the_file_is_not_followed(folder, tmp_path):
    """Whoever may write in the folder could have crashes added to any file of this person."""
    other = tmp_path / "other"
    other.write_text("mine", encoding="utf-8")
    folder.mkdir(parents=True, exist_ok=True)
    (folder / crashes.FILE).symlink_to(other)
    crashes.note(failing(), "the window")
    assert other.read_text(encoding="utf-8") == "mine"


@pytest.mark.skipif(sys.platform == "win32", reason="rights of files as POSIX has them")
def test_folder_and_file_are_the_owner_s_alone(folder):
    folder.mkdir(parents=True, mode=0o755)
    crashes.note(failing(), "the window")
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE((folder / crashes.FILE).stat().st_mode) == 0o600


def test_a_long_trace_and_a_long_chain_are_cut(folder):
    def deep(left: int) -> None:
        if left == 0:
            raise ValueError(SECRET)
        try:
            deep(left - 1)
        except ValueError as error:
            raise ValueError(SECRET) from error

    with pytest.raises(ValueError, match=SECRET) as raised:
        deep(60)
    crashes.note(raised.value, "the window")
    assert len(crashes.report(folder).splitlines()) <= (crashes.MOST_FRAMES + 1) * crashes.MOST_ERRORS + 2


def test_a_disk_that_refuses_ends_nothing(tmp_path):
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    crashes.keep_in(tmp_path / "file" / "crashes")
    try:
        crashes.note(failing(), "the window")
    finally:
        crashes.stop_keeping()
    assert crashes.report(tmp_path / "file" / "crashes") == ""


def test_the_about_page_names_each_package_with_version_and_licence():
    found = {one.name.lower().replace("_", "-"): one for one in about.packages()}
    declared = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    for requirement in declared:
        one = found[requirement.partition("~")[0].partition("[")[0].lower()]
        assert one.version.startswith(requirement.partition("=")[2].rpartition(".")[0])
    assert len(found) > len(declared)  # what they need themselves
    assert not [one.name for one in found.values() if "\n" in one.licence or not one.licence]
    assert found["pyside6-essentials"].licence.startswith("LGPL-3.0")
    assert found["numpy"].source == "https://github.com/numpy/numpy"
    assert not {"pytest", "ruff"} & found.keys()


def test_the_about_page_says_where_things_are_kept():
    text = "\n".join(f"{head}\n{words}" for head, words in about.about_parts())
    for place in about.places().values():
        assert str(place) in text
    assert "MIT" in text
    assert crashes.versions() in text
