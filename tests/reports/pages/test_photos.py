"""Pictures named in a case: shown small and bare, refused in words, never read from elsewhere."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from PIL import Image

from reports.build import Options, build
from reports.kinds import ReportKind
from reports.pages.photos import BOUNDS, load
from reports.raster import PictureFault

Texts = Callable[[bytes], list[str]]


def picture(path: Path, size: tuple[int, int] = (400, 300), mode: str = "RGB", **options: Any) -> None:
    Image.new(mode, size, (200, 30, 30) if mode == "RGB" else (200, 30, 30, 128)).save(path, **options)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    beside = tmp_path / "case"
    beside.mkdir()
    picture(beside / "hose.jpg")
    picture(tmp_path / "secret.jpg")
    return beside


def test_a_picture_beside_the_case_is_shown(
    folder: Path, subject_from: Any, moment: datetime, page_texts: Texts
) -> None:
    one = subject_from({"format": "heatdocket-case/1", "job": {"photos": ["gone.jpg", "hose.jpg"]}})
    pdf = build(one.check, one.text, ReportKind.CUSTOMER, moment, Options(files_folder=folder)).pdf
    assert "The picture gone.jpg is not shown: it was not found beside the case." in page_texts(pdf)[1]
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        shown = [x for x in opened.pages[1].resources.XObject.values() if x.Subtype == "/Image"]
        assert [(int(x.Width), int(x.Height)) for x in shown] == [(400, 300)]


@pytest.mark.parametrize(
    "name",
    ["../secret.jpg", "/etc/passwd", "sub/../../secret.jpg", "C:\\secret.jpg", "", " ", "no\0zero.jpg", "..", "."],
)
def test_a_name_that_leads_elsewhere_is_refused(folder: Path, name: str) -> None:
    with pytest.raises(PictureFault, match="beside the case"):
        load(folder, name)


def test_a_link_that_leads_elsewhere_is_refused(folder: Path) -> None:
    (folder / "link.jpg").symlink_to(folder.parent / "secret.jpg")
    with pytest.raises(PictureFault, match="beside the case"):
        load(folder, "link.jpg")


def test_without_a_folder_nothing_is_read() -> None:
    with pytest.raises(PictureFault, match="not found"):
        load(None, "hose.jpg")


@pytest.mark.parametrize("data", [b"", b"GIF89a....", b"%PDF-1.4", b"\xff\xd8\xff\xe0 not a picture", b"<svg/>"])
def test_what_is_no_picture_is_refused(folder: Path, data: bytes) -> None:
    (folder / "odd.jpg").write_bytes(data)
    with pytest.raises(PictureFault, match="cannot be read as a JPEG or PNG"):
        load(folder, "odd.jpg")


def test_a_bomb_is_refused(folder: Path) -> None:
    """A small file that unpacks to more pixels than any camera makes."""
    Image.new("1", (20_000, 20_000)).save(folder / "bomb.png", optimize=True)
    assert (folder / "bomb.png").stat().st_size < 1 << 20
    with pytest.raises(PictureFault, match=r"pixels|cannot be read"):
        load(folder, "bomb.png")


def test_it_is_made_small_upright_and_bare(folder: Path) -> None:
    """EXIF orientation 6 means: turn by a quarter to the right to see it upright (CIPA DC-008, table 6)."""
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "A camera"  # orientation, maker
    exif.get_ifd(0x8825)[1] = "N"  # place
    picture(folder / "big.jpg", (3000, 2000), exif=exif)
    found = load(folder, "big.jpg")
    size = (found.width, found.height)
    assert size == (round(BOUNDS.longest_side * 2 / 3), BOUNDS.longest_side)
    with Image.open(io.BytesIO(found.data)) as opened:
        assert opened.size == size
        assert len(opened.getexif()) == 0
    assert b"A camera" not in found.data


def test_a_see_through_picture_stands_on_white(folder: Path) -> None:
    picture(folder / "clear.png", mode="RGBA")
    with Image.open(io.BytesIO(load(folder, "clear.png").data)) as opened:
        red, green, blue = opened.getpixel((5, 5))
    assert (red, green, blue) == pytest.approx((227, 142, 142), abs=4), "half red, half white"
