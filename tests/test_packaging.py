"""What stands beside the folder build: desktop entry, file association, icon; installed into an empty home."""

from __future__ import annotations

import configparser
import os
import subprocess
import sys
import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path

from engcalc.case.file import SUFFIX

PACKAGING = Path(__file__).resolve().parents[1] / ".packaging"
MIME = "{http://www.freedesktop.org/standards/shared-mime-info}"


def test_the_desktop_entry_opens_cases(tmp_path):
    """Keys as the Desktop Entry Specification has them, version 1.5, from memory."""
    build = tmp_path / "a folder" / "heatdocket"
    (build / "desktop").mkdir(parents=True)
    for file in (PACKAGING / "desktop").iterdir():
        (build / "desktop" / file.name).write_bytes(file.read_bytes())
    share = tmp_path / "home" / ".local" / "share"
    subprocess.run(
        ["sh", str(build / "desktop" / "install")],
        env={"HOME": str(tmp_path / "home"), "PATH": "/usr/bin:/bin"},
        check=True,
        capture_output=True,
    )
    entry = configparser.ConfigParser(interpolation=None)
    entry.optionxform = str
    entry.read(share / "applications" / "heatdocket.desktop", encoding="utf-8")
    main = entry["Desktop Entry"]
    assert (main["Type"], main["Terminal"]) == ("Application", "false")
    assert main["Exec"] == f'"{build / "heatdocket"}" %f'
    kind = ET.parse(share / "mime" / "packages" / "heatdocket.xml").getroot().find(f"{MIME}mime-type")
    assert f"{kind.get('type')};" == main["MimeType"]
    assert kind.find(f"{MIME}glob").get("pattern") == f"*{SUFFIX}"
    icon = share / "icons" / "hicolor" / "scalable" / "apps" / f"{main['Icon']}.svg"
    assert ET.parse(icon).getroot().tag.endswith("svg")


def test_the_folder_build_leaves_out_what_it_does_not_run_with():
    """The network client that comes with the signature library; but nothing that the program declares."""
    excluded = (PACKAGING / "heatdocket.spec").read_text(encoding="utf-8").partition("excludes=")[2].partition("]")[0]
    assert '"aiohttp"' in excluded
    declared = tomllib.loads((PACKAGING.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"][
        "dependencies"
    ]
    assert [pin for pin in declared if f'"{pin.split("~=")[0].split("[")[0]}"' in excluded] == []


def test_signing_needs_no_time_zones_of_the_system():
    """A bare container has none; the signature library asks for one while it is imported."""
    done = subprocess.run(
        [sys.executable, "-c", "import reports.signing; print('imported')"],
        env={**os.environ, "PYTHONTZPATH": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout == "imported\n", done.stderr
