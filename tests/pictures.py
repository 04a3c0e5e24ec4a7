"""Remakes the pictures and the printed answers of README.md: ``python tests/pictures.py``, run by hand.

Pictures of the window (start page, examples and a log played live, light and dark) and page one of a signed report go
to .assets/; each block of README.md that follows ``<!-- answer of: COMMAND -->`` gets what that command prints now.
Look at both before they are committed.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ui.window.main_window import MainWindow

PROJECT = Path(__file__).resolve().parents[1]
ASSETS = PROJECT / ".assets"
SIZE = 1440, 900  # pixels of a picture
PATIENCE = 120.0  # s until an answer has to be there
NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)  # invented, so that the same report comes out again
BLOCK = re.compile(r"(<!-- answer of: (heatdocket [^\n]*?) -->\n)```text\n.*?```\n", re.DOTALL)
PLAYED = "van-no-heat"  # the example whose log is played in the live view
LONGEST = 14  # lines of an answer that README shows


def examples() -> dict[str, Path]:
    """The examples, by name without the ending."""
    import worked_examples

    return {p.name.split(".")[0]: p for p in sorted(worked_examples.folder().rglob("*.heatcase.json"))}


def until_settled(application: Any, window: MainWindow) -> None:
    """Let the window work until its answer stands and is painted."""
    from ui.window.dialogs.background import Background

    end = time.monotonic() + PATIENCE
    application.processEvents()
    while window.checker.busy or any(work.busy for work in window.findChildren(Background)):
        if time.monotonic() > end:
            raise TimeoutError("the window did not settle")
        application.processEvents()
        time.sleep(0.01)
    for _ in range(5):
        application.processEvents()
        time.sleep(0.02)


def grab_windows(folder: Path) -> Iterator[Path]:
    """Pictures of the start page and of each example, in both looks."""
    from PySide6.QtWidgets import QApplication

    from ui.window import theme
    from ui.window.main_window import MainWindow
    from ui.window.menus import Menus
    from ui.window.settings import Settings

    application = QApplication.instance() or QApplication(["heatdocket"])
    for look in (theme.Look.LIGHT, theme.Look.DARK):
        theme.apply(application, look)
        settings = Settings(folder / f"{look.value}.ini")
        settings.look = look
        window = MainWindow(settings, folder / "unsaved")
        Menus(window)
        window.resize(*SIZE)
        window.show()
        until_settled(application, window)
        yield save(window, f"start-{look.value}")
        for name, path in examples().items():
            window.open_example(path)
            until_settled(application, window)
            yield save(window, f"{name}-{look.value}")
        play(application, window, PLAYED)
        yield save(window, f"live-{look.value}")
        window.close()
        application.processEvents()


def play(application: Any, window: MainWindow, name: str) -> None:
    """Play an example's own log in its live view, to the end, as fast as the window can."""
    window.open_example(examples()[name])
    until_settled(application, window)
    workspace: Any = window.workspace
    workspace.stage.show_view("Live")
    view = workspace.side.view
    [log] = examples()[name].parent.glob("*before.csv")
    view._ask_which = lambda *_: str(log)
    view.speed.setCurrentIndex(view.speed.count() - 1)
    view.replay.click()
    end = time.monotonic() + PATIENCE
    while view.work.busy:
        if time.monotonic() > end:
            raise TimeoutError("the log was not played")
        application.processEvents()
        time.sleep(0.01)
    until_settled(application, window)


def save(window: MainWindow, name: str) -> Path:
    """The window as a PNG."""
    path = ASSETS / f"{name}.png"
    if not window.grab().save(str(path)):
        raise OSError(path)
    return smaller(path)


def smaller(path: Path) -> Path:
    """The same picture in 256 colours: a repository keeps every version of it."""
    from PIL import Image

    with Image.open(path) as picture:
        reduced = picture.convert("RGB").quantize(256)
    reduced.save(path, optimize=True)
    return path


def first_page(folder: Path, name: str) -> Path:
    """Page one of the signed customer report of an example, as a PNG."""
    import pypdfium2

    from engcalc.case.file import read_case
    from engcalc.diagnosis.odds.diagnosis import diagnose
    from engcalc.diagnosis.whole_check import check_with_records
    from engcalc.vehicle.run import read_logs
    from reports.build import Options, export_report
    from reports.identity import make_identity
    from reports.kinds import ReportKind
    from reports.recorded import recorded
    from ui.command.named_case import resolved

    case = examples()[name]
    text = read_case(case)
    case_in_si = resolved(text, case)
    found = check_with_records(case_in_si, read_logs(case_in_si, case.parent)).check
    identity = make_identity(folder / "picture.p12", "A. Technician", "invented, for a picture", "only-here", NOW)
    pdf = folder / "picture.pdf"
    logs = read_logs(found.case, case.parent)
    options = Options(records=recorded(found.case, logs), diagnosis=diagnose(found.case, logs))
    export_report(found, text, ReportKind.CUSTOMER, pdf, now=NOW, identity=identity, options=options)
    path = ASSETS / "report.png"
    pypdfium2.PdfDocument(pdf)[0].render(scale=1.5).to_pil().save(path)
    return smaller(path)


def answer(command: str, folder: Path) -> str:
    """What a command prints; long answers are cut and say so."""
    done = subprocess.run(
        [sys.executable, "-c", "from ui.command.main import run; run()", *shlex.split(command)[1:]],
        cwd=folder,
        capture_output=True,
        text=True,
        check=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(PROJECT), "HEATDOCKET_PASSWORD": "only-here"},
    )
    lines = done.stdout.rstrip().splitlines()
    return "\n".join(lines if len(lines) <= LONGEST else [*lines[:LONGEST], "..."])


def refresh_answers(folder: Path) -> None:
    """Put the present answers into README.md: the commands run one after another beside copies of examples and logs."""
    for path in examples().values():
        for beside in (path, *path.parent.glob("*.csv")):
            shutil.copy(beside, folder)
    readme = PROJECT / "README.md"
    text = readme.read_text(encoding="utf-8")
    readme.write_text(BLOCK.sub(lambda m: f"{m[1]}```text\n{answer(m[2], folder)}\n```\n", text), encoding="utf-8")


def main() -> None:
    """All of it."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    sys.path.insert(0, str(PROJECT))
    ASSETS.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path in [*grab_windows(folder), first_page(folder, "van-no-heat")]:
            sys.stdout.write(f"{path.relative_to(PROJECT)}\n")
        refresh_answers(folder)


if __name__ == "__main__":
    main()
