"""From the empty window to a signed paper of two pages, by mouse and keys: every entry and every click is counted.

It prints the count. The seconds for one are assumed (``hands.py``); the program's own computing is not counted.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
from hands import Hands
from less_effort import LessEffort

from reports.identity import make_identity
from reports.kinds import Annex
from ui.command.main import main
from ui.trusting import now as local_now
from ui.window.dialogs.export import ExportDialog
from ui.window.dialogs.identity import IdentityDialog
from ui.window.main_window import MainWindow
from ui.window.start_page import WayIn

ALLOWED_S = 180.0  # s; three minutes of a person's hands for the paper of one job
PASSWORD = "a long password"
BEFORE = "Before the repair"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of the test's own: the dialogs offer files there, and the offer is taken. Computing is made short."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr("engcalc.diagnosis.odds.diagnosis.Effort", LessEffort)
    monkeypatch.setattr("reports.identity.KEY_ROUNDS", 1000)
    monkeypatch.setattr("reports.identity.MAC_ROUNDS", 2000)
    return tmp_path


def identity_of_the_shop(home: Path) -> Path:
    """An identity that was made on another day; valid by the clock that the dialogs go by."""
    path = home / "author.p12"
    make_identity(path, "J. Smith", "Master technician", PASSWORD, local_now())
    return path


def van_that_heats_poorly(hands: Hands, window: MainWindow) -> None:
    """Slow to warm up, heater lukewarm, in frost; the gauge in a word, one thing seen."""
    hands.click(window, "Told: it is slow to warm up")
    hands.choose(window, "Vehicle: Vehicle class", "delivery van")
    hands.choose(window, "Engine: Fuel", "diesel")
    hands.click(window, "Step 2, Readings")
    hands.enter(window, f"{BEFORE}: Outside temperature", "-6")
    hands.choose(window, f"{BEFORE}: Heater setting", "high")
    hands.choose(window, f"{BEFORE}: Coolant read with", "dash_gauge")
    hands.click(window, f"{BEFORE}: Coolant reading: quarter")
    hands.enter(window, f"{BEFORE}: Time of the coolant reading", "20")
    hands.choose(window, f"{BEFORE}: How it ran", "town")
    seen(hands, window, "upper_hose_warms_early", "Yes: The upper radiator hose warms while the engine is still cold")


def car_hot_at_idle(hands: Hands, window: MainWindow) -> None:
    """Hot at idle on a summer's day, the fan seen still."""
    hands.click(window, "Told: it runs hot standing still")
    hands.choose(window, "Vehicle: Vehicle class", "family car")
    hands.click(window, "Step 2, Readings")
    hands.enter(window, f"{BEFORE}: Outside temperature", "33")
    hands.choose(window, f"{BEFORE}: Heater setting", "off")
    hands.enter(window, f"{BEFORE}: Coolant reading", "113")
    hands.enter(window, f"{BEFORE}: Time of the coolant reading", "30")
    hands.choose(window, f"{BEFORE}: How it ran", "idling")
    seen(hands, window, "fan_runs_when_hot", "No: The radiator fan runs when the engine is hot")


def seen(hands: Hands, window: MainWindow, fact: str, answer: str) -> None:
    hands.choose(window, f"{BEFORE}: One thing seen", fact)
    hands.click(window, answer)


@pytest.mark.parametrize(
    ("job", "first_ever", "first_page", "second_page"),
    [
        (van_that_heats_poorly, True, "thermostat", "Next check: Coolant level"),
        (car_hot_at_idle, False, "Do not drive on", "Fan switch, or the signal that commands the fan"),
    ],
    ids=["van, identity made on the way", "hot at idle, fan still"],
)
def test_a_signed_paper_of_two_pages_takes_less_than_three_minutes(
    job: Callable[[Hands, MainWindow], None],
    first_ever: bool,
    first_page: str,
    second_page: str,
    window,
    executor,
    prompts,
    qtbot,
    home,
    monkeypatch,
    capsys,
):
    hands, making = Hands(qtbot), Hands(qtbot)
    if not first_ever:
        window.settings.identity = identity_of_the_shop(home)
    hands.click(window, WayIn.COMPLAINT.value.button)
    job(hands, window)
    executor.run()
    hands.click(window, "Step 6, Paper")
    for name, text in (("Customer", "A. Example"), ("Registration", "AB 12 CDE"), ("Prepared by", "J. Smith")):
        hands.enter(window, f"The job: {name}", text)
    qtbot.waitUntil(lambda: is_answered(window, executor), timeout=120_000)
    written: list[Path] = []
    monkeypatch.setattr(IdentityDialog, "exec", lambda dialog: make_by_hand(making, dialog))
    monkeypatch.setattr(ExportDialog, "exec", lambda dialog: written.append(sign(hands, dialog)))
    hands.click(window, "Export a report")
    assert prompts.told == []
    capsys.readouterr()
    assert main(["verify", str(written[0])]) == 0, capsys.readouterr().out
    assert capsys.readouterr().out.startswith("Intact")
    with pypdfium2.PdfDocument(written[0]) as document:
        assert len(document) == 2
        first, second = (" ".join(page.get_textpage().get_text_bounded().split()) for page in document)
    assert first_page in first
    assert second_page in second
    with capsys.disabled():
        sys.stdout.write(f"\n{hands.told()}\n")
        if making.entries:
            sys.stdout.write(f"and once, for the identity: {making.told()}\n")
    assert hands.seconds < ALLOWED_S, hands.told()
    assert (making.entries != []) is first_ever


def is_answered(window: MainWindow, executor: object) -> bool:
    """Whether the whole check of what stands typed is there; what is held is computed on the way."""
    executor.run()
    check = window.workspace.current_check()
    return check is not None and not check.unfinished and not check.first_look


def make_by_hand(hands: Hands, dialog: IdentityDialog) -> None:
    """A new identity where it is offered; its name is that of who prepares the report."""
    dialog.show()
    hands.enter(dialog, "Credential", "Master technician")
    hands.enter(dialog, "Password", PASSWORD)
    hands.enter(dialog, "Password again", PASSWORD)
    hands.click(dialog, "Make the identity")
    hands.qtbot.waitUntil(lambda: dialog.identity is not None, timeout=60_000)
    hands.click(dialog, "Close")


def sign(hands: Hands, dialog: ExportDialog) -> Path:
    """Two pages without an annex, signed, written to the place that is offered."""
    dialog.show()
    hands.choose(dialog, "Annex behind it", Annex.NONE)
    if not dialog.identity.text:
        hands.click(dialog, "Sign it")
        hands.click(dialog, "Make a signing identity")
        assert dialog.identity.text, "the new identity is at hand"
    hands.enter(dialog, "Password of the identity", PASSWORD)
    hands.click(dialog, "Export")
    hands.qtbot.waitUntil(lambda: not dialog._background.busy, timeout=120_000)
    assert dialog.exported is not None, [
        one.wrong.text() for one in (dialog, dialog.identity, dialog.password, dialog.place)
    ]
    hands.click(dialog, "Close")
    return dialog.exported.path
