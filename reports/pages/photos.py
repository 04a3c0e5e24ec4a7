"""The picture on page one: read with care, made small, stripped of everything but what is seen."""

from __future__ import annotations

import io
import warnings
from pathlib import Path, PureWindowsPath

from PIL import Image as Picture
from PIL import ImageOps
from reportlab.platypus import Image
from reportlab.platypus.flowables import Flowable

from reports.kinds import Order
from reports.layout import para, space
from reports.tagging import Tagged
from reports.texts import plain

FORMATS = ("JPEG", "PNG")
LARGEST_FILE = 40 << 20  # bytes
MOST_PIXELS = 100_000_000  # a picture that unpacks to more is refused
LONGEST_SIDE = 1400  # pixels, in the report
WIDEST, HIGHEST, LEAST_HEIGHT = 330.0, 220.0, 110.0  # pt


def photo(order: Order, width: float) -> list[Flowable]:
    """The first picture that the case names and that can be read, and words on each that cannot."""
    made: list[Flowable] = []
    for name in order.check.case.job.photos:
        try:
            data, size = load(order.files_folder, name)
        except PhotoFault as fault:
            made.append(para(f"The picture {name} is not shown: {fault}.", "small"))
            continue
        scale = min(WIDEST / size[0], HIGHEST / size[1], width / size[0])
        shown = Image(io.BytesIO(data), width=size[0] * scale, height=size[1] * scale, hAlign="LEFT")
        return [*made, space(8), _Fitting(shown, "Figure", f"Photograph {plain(name)}")]
    return made


class _Fitting(Tagged):
    """A picture that makes do with the room left on its page, down to ``LEAST_HEIGHT``."""

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size in the room there is."""
        self.highest = height if height >= LEAST_HEIGHT else HIGHEST
        return super().wrap(width, height)


class PhotoFault(Exception):
    """Why a picture cannot be shown, in words."""


def load(folder: Path | None, name: str) -> tuple[bytes, tuple[int, int]]:
    """The picture as a JPEG and its size in pixels; upright, small, without place, time or camera.

    Raises PhotoFault. Only a file beside the case is read: a name that leads elsewhere is refused.
    """
    path = _beside(folder, name)
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise PhotoFault(f"it is larger than {LARGEST_FILE >> 20} MB")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Picture.DecompressionBombWarning)  # the size is judged here
            return _small(path)
    except (OSError, ValueError, SyntaxError, Picture.DecompressionBombError) as fault:
        raise PhotoFault("it cannot be read as a JPEG or PNG picture") from fault


def _beside(folder: Path | None, name: str) -> Path:
    if folder is None or not name.strip() or "\0" in name:
        raise PhotoFault("it was not found beside the case")
    if Path(name).is_absolute() or PureWindowsPath(name).drive:
        raise PhotoFault("only pictures beside the case are read")
    path = (folder / name).resolve()
    if not path.is_relative_to(folder.resolve()):
        raise PhotoFault("only pictures beside the case are read")
    if not path.is_file():
        raise PhotoFault("it was not found beside the case")
    return path


def _small(path: Path) -> tuple[bytes, tuple[int, int]]:
    with Picture.open(path, formats=FORMATS) as opened:
        if opened.width * opened.height > MOST_PIXELS:
            raise PhotoFault("it has too many pixels")
        opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
        upright = ImageOps.exif_transpose(opened)
        upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        flat = Picture.new("RGB", upright.size, "white")
        shown = upright.convert("RGBA")
        flat.paste(shown, mask=shown.getchannel("A"))
        buffer = io.BytesIO()
        flat.save(buffer, "JPEG", quality=85)
        return buffer.getvalue(), flat.size
