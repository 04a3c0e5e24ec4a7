"""Logs are read once, and again when the file or what its columns hold has changed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.errors import InputError
from ui.window.views.recorded import KEPT, logs_of


def case_of(file: str, columns: dict[str, str] | None = None) -> Case:
    log = {"file": file, **({"columns": columns} if columns else {})}
    found = resolve(CaseText({"format": "heatdocket-case/1", "evidence": {"before": {"log": log}}}))
    assert isinstance(found, Case), found
    return found


def write(path: Path, last: float) -> None:
    rows = [f"{t},{20 + t / 10},{last}" for t in range(0, 300, 5)]
    path.write_text("time (s),coolant [°C],x\n" + "\n".join(rows) + "\n", encoding="utf-8")


def test_the_same_file_is_not_read_twice_for_another_case(tmp_path):
    write(tmp_path / "a.csv", 1.0)
    first = logs_of(case_of("a.csv"), tmp_path)
    assert logs_of(case_of("a.csv"), tmp_path) is first
    assert first["before"].rows == 60


def test_a_changed_file_and_other_columns_are_read_anew(tmp_path):
    write(tmp_path / "a.csv", 1.0)
    first = logs_of(case_of("a.csv"), tmp_path)
    assert logs_of(case_of("a.csv", {"intake_air": "x"}), tmp_path) is not first
    before = (tmp_path / "a.csv").stat()
    write(tmp_path / "a.csv", 2.0)  # as long, and put back to the same time on the disk
    os.utime(tmp_path / "a.csv", ns=(before.st_atime_ns, before.st_mtime_ns))
    assert logs_of(case_of("a.csv"), tmp_path) is not first


def test_only_a_few_are_kept(tmp_path):
    for i in range(KEPT + 1):
        write(tmp_path / f"{i}.csv", float(i))
    first = logs_of(case_of("0.csv"), tmp_path)
    for i in range(1, KEPT + 1):
        logs_of(case_of(f"{i}.csv"), tmp_path)
    assert logs_of(case_of("0.csv"), tmp_path) is not first


def test_a_file_that_is_gone_is_said_by_its_field(tmp_path):
    with pytest.raises(InputError, match=r"evidence\.before\.log\.file"):
        logs_of(case_of("gone.csv"), tmp_path)
