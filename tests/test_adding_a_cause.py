"""Adding a cause is one file, and so is adding a hand check: done in a copy of the tree; every part then tells of them.

The cause and the check are invented. Nothing else in the copy is touched.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

PROJECT = Path(__file__).resolve().parents[1]
CAUSE, CHECK = "upper_hose_kinked", "upper_hose_looked_at"
LABEL = "The upper radiator hose is kinked"
CAUSE_FILE = "engcalc/causes/catalogue/hoses.py"
CAUSE_TEXT = f'''
from engcalc.causes.record import CaseChange, Cause, VisibleState, same, share, times

KINKED = Cause(
    key="{CAUSE}",
    place=165,
    label="{LABEL}",
    per_cent={{"hot at speed": 2.5}},
    severity=share("coolant flow left", median=0.3, spread=0.7, low=0.05, high=0.8),
    changes=(CaseChange("circuit.pump_flow", times),),
    states={{VisibleState.PUMP: same}},
    checks=("{CHECK}",),
    note="Ask whether a hose was ever replaced.",
)
'''
CHECK_FILE = "engcalc/diagnosis/checks/hand_checks.py"
LAST_RECORD = ")\nCHECKS: Mapping[str, HandCheck]"
CHECK_RECORD = f'''    HandCheck(
        key="{CHECK}",
        title="Upper radiator hose looked at",
        minutes=1.0,
        tools="A lamp.",
        how="With the engine cold, follow the upper hose along its whole length.",
        tells="A kink lets little coolant through.",
        answers=("belt_drives_pump",),
        cautions=("fan_by_itself",),
    ),
'''


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What every part says in a copy of the tree with a cause and a check more."""
    tree = tmp_path_factory.mktemp("tree")
    shutil.copytree(PROJECT / "engcalc", tree / "engcalc", ignore=shutil.ignore_patterns("__pycache__"))
    for package in ("reports", "ui", "worked_examples"):
        (tree / package).symlink_to(PROJECT / package)
    assert not (tree / CAUSE_FILE).exists()
    (tree / CAUSE_FILE).write_text(CAUSE_TEXT, encoding="utf-8")
    checks = (tree / CHECK_FILE).read_text(encoding="utf-8")
    assert checks.count(LAST_RECORD) == 1
    (tree / CHECK_FILE).write_text(checks.replace(LAST_RECORD, CHECK_RECORD + LAST_RECORD), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, PROJECT / "tests/oracles/added_cause.py", CAUSE, CHECK],
        cwd=tree,
        env={**os.environ, "PYTHONPATH": str(tree), "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_the_case_file_has_an_input_for_it(told: dict[str, Any]) -> None:
    assert told["warnings"] == []
    assert told["field"]["label"] == LABEL
    assert told["field"]["section"] == "Base rates of causes"
    assert told["own rate"] == pytest.approx(40.0)


def test_its_base_rate_counts(told: dict[str, Any]) -> None:
    # without it, the rates of "hot at speed" sum to 122.8 per cent over all causes
    assert told["rate"] == pytest.approx(100.0 * 2.5 / (122.8 + 2.5))


def test_the_diagnosis_judges_it_and_every_face_names_it(told: dict[str, Any]) -> None:
    assert 0.0 < told["probability"] < 1.0
    line = next(text for text in told["lines"] if text.startswith(f"{LABEL}: "))
    assert "If so, coolant flow left: " in line
    assert "Ask whether a hose was ever replaced." in line
    assert "upper radiator hose looked at" in line  # the check that tells it
    listed = next(cause for cause in told["command line"]["causes"] if cause["fault"] == CAUSE)
    assert listed["summary"] == line
    assert told["command line"]["base_rates"]["rates"][CAUSE] > 0.0
    assert line in told["report"]
    assert any(LABEL[1:] in text for text in told["customer"])


def test_the_window_has_a_field_and_a_line_for_it(told: dict[str, Any]) -> None:
    assert told["form"] == [f"Base rates of causes: {LABEL}", "40 %"]
    assert told["dialog"] == [f"Base rate: {LABEL}", "2.5 %"]


def test_the_check_is_offered_and_told(told: dict[str, Any]) -> None:
    assert CHECK in told["checks"]
    offered = next(check for check in told["command line"]["next_checks"] if check["what"] == CHECK)
    assert offered["text"].startswith("Upper radiator hose looked at (about 1 min). Tools: a lamp.")
    assert "With the engine cold, follow" in offered["text"]
    assert len(offered["cautions"]) == 1
    assert told["card"].startswith("With the engine cold, follow the upper hose")
