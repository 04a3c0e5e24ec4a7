"""A file full of junk in the form: told in words, and kept to the last bit."""

from __future__ import annotations

import json

import pytest
from PySide6.QtWidgets import QLabel
from widgets import by_name, open_sections

from engcalc.case.declare import DetailLevel
from engcalc.case.text import FORMAT
from ui.window.form.panel import FormPanel
from ui.window.main_window import MainWindow


def opened(window: MainWindow, *sections: str) -> FormPanel:
    form = window.workspace.form
    form.set_depth(DetailLevel.DETAIL)
    open_sections(form, sections)
    return form


JUNK = (
    {"radiator": "large", "duties": "Idle", "evidence": [1]},
    {"duties": [1, "x", {"grade": []}], "rig": {}},
    {
        "evidence": {
            "before": {
                "spots": [None, "hot", {"what": 3, "value": {"value": None}}],
                "seen": [],
                "curve": "x",
                "log": 7,
                "codes": "P0128",
            }
        }
    },
    {"vehicle": {"class": ["van"], "mass": {"value": ["1"], "basis": 3}}, "engine": {"fuel": {"a": 1}}},
    {
        "evidence": {
            "before": {
                "curve": [[1], 3, ["1", "2", "3"], [{}, None]],
                "log": {"file": 3, "columns": []},
                "seen": {"level_low": "perhaps", "other": True},
                "codes": [1, None, []],
            }
        }
    },
    {"job": None, "airflow": {"upstream": [[]]}, "circuit": {"extra": None}, "limits": {"margin": True}},
)


@pytest.mark.parametrize("junk", JUNK)
def test_a_file_full_of_junk_opens_with_faults_in_words_and_keeps_every_bit(window, tmp_path, qtbot, junk):
    path = tmp_path / "junk.heatcase.json"
    path.write_text(json.dumps({"format": FORMAT, **junk}), encoding="utf-8")
    assert window.open_path(path)
    form = opened(window, *(section.plan.path for section in window.workspace.form.sections))
    assert window.document.faults
    for fault in window.document.faults:
        form.go_to(fault.path)
    for field in form.binding.fields():
        field.setFocus()
    assert not window.document.dirty
    assert by_name(form, "What is to mend", QLabel).isVisible()
