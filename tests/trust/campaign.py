"""The recorded campaign, all of it: fuzz guided by coverage, killed writers, bad disks, a monkey at the window.

    pip install -e '.[test,fuzz]'
    PYTHONPATH=.:tests/trust:tests/oracles QT_QPA_PLATFORM=offscreen python tests/trust/campaign.py OUT
    PYTHONPATH=... python tests/trust/campaign.py OUT --table          the table of CAMPAIGN.md alone, from OUT

Each part is a script of its own and leaves what came of it in OUT as JSON. Linux, as root for disks of its own; hours.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
INPUTS = {"cases": 60_000, "logs": 60_000, "tables of parts": 60_000, "reports": 25_000}
KILLS = {"save": 400, "export": 400}
KEPT_KILLED, DISK_TRIES, STEPS = 300, 200, 20_000


def run_all(out: Path) -> None:
    """Every part, one after the other."""
    out.mkdir(parents=True, exist_ok=True)
    for kind, count in INPUTS.items():
        subprocess.run([sys.executable, str(HERE / "guided_fuzz.py"), kind, str(count), str(out)], check=True)
    for what, kills in KILLS.items():
        _kept(out / f"kill_{what}.json", HERE / "killed_writers.py", what, kills)
    _kept(out / "kill_keep.json", HERE.parent / "oracles" / "killed_book.py", KEPT_KILLED)
    _kept(out / "disks.json", HERE / "bad_disks.py", DISK_TRIES, before=("unshare", "--mount"))
    _kept(out / "monkey.json", HERE / "window_monkey.py", STEPS)


def _kept(file: Path, script: Path, *words: object, before: tuple[str, ...] = ()) -> None:
    command = [*before, sys.executable, str(script), *(str(word) for word in words)]
    file.write_bytes(subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout)


def table(out: Path) -> list[str]:
    """One row a kind: tried, answered or whole, refused in words, slow, defects."""
    lines = ["| what | tried | answered or whole | refused in words | slow | defects |", "|" + " --- |" * 6]
    return lines + [_row(one) for one in _runs(out)]


def _runs(out: Path) -> list[dict[str, Any]]:
    found = [_read(out / f"{kind.replace(' ', '_')}.json") for kind in INPUTS]
    found += [_read(out / f"kill_{what}.json") for what in KILLS]
    book = _read(out / "kill_keep.json")
    told = f"kills: keep in the job book ({book['commits']} commits)"
    whole = book["kills"] - len(book["lost"])
    found.append(
        {"kind": told, "tried": book["kills"], "answered": whole, "refused": 0, "slow": 0, "defects": book["lost"]}
    )
    found += _read(out / "disks.json")
    monkey = _read(out / "monkey.json")
    told = f"steps of the monkey ({monkey['dialogs']} dialogs left)"
    done = {"kind": told, "tried": monkey["steps"], "answered": monkey["steps"], "refused": 0, "slow": 0}
    return [*found, {**done, "defects": monkey["defects"]}]


def _read(file: Path) -> Any:
    return json.loads(file.read_bytes())


def _row(one: dict[str, Any]) -> str:
    counts = (one["tried"], one["answered"], one["refused"], one["slow"], len(one["defects"]))
    return f"| {one['kind']} | {' | '.join(str(count) for count in counts)} |"


if __name__ == "__main__":
    if "--table" not in sys.argv:
        run_all(Path(sys.argv[1]))
    sys.stdout.write("\n".join(table(Path(sys.argv[1]))) + "\n")
