"""Pictures that people bring: read with care, made small, upright, and stripped of everything but what is seen."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image as Picture
from PIL import ImageOps

FORMATS = ("JPEG", "PNG")


class PictureFault(Exception):
    """Why a picture cannot be shown, in words."""


@dataclass(frozen=True)
class Bounds:
    """What a picture may be, and how large it stands in the file.

    ``lossless`` keeps drawn edges sharp, as a logo has them; a photograph is far smaller as a JPEG.
    """

    largest_file: int  # bytes
    most_pixels: int  # what unpacks to more is refused
    longest_side: int  # pixels, in the report
    least_side: int = 1  # pixels
    most_slender: float = 1e9  # longer side over shorter one
    lossless: bool = False


@dataclass(frozen=True)
class Raster:
    """A picture as it goes into the report: the bytes of a JPEG or PNG, and its size [pixels]."""

    data: bytes
    width: int
    height: int


def read_raster(path: Path, bounds: Bounds) -> Raster:
    """The picture in this file. Raises PictureFault for whatever is no JPEG or PNG within the bounds."""
    try:
        if path.stat().st_size > bounds.largest_file:
            raise PictureFault(f"it is larger than {bounds.largest_file >> 20} MB")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Picture.DecompressionBombWarning)  # the size is judged here
            return _small(path, bounds)
    except FileNotFoundError as fault:
        raise PictureFault("there is no such file") from fault
    except (OSError, ValueError, SyntaxError, Picture.DecompressionBombError) as fault:
        raise PictureFault("it cannot be read as a JPEG or PNG picture") from fault


def _small(path: Path, bounds: Bounds) -> Raster:
    with Picture.open(path, formats=FORMATS) as opened:
        _within(opened.width, opened.height, bounds)
        side = (bounds.longest_side, bounds.longest_side)
        opened.draft("RGB", side)
        upright = ImageOps.exif_transpose(opened)
        upright.thumbnail(side)
        flat = Picture.new("RGB", upright.size, "white")
        shown = upright.convert("RGBA")
        flat.paste(shown, mask=shown.getchannel("A"))
        buffer = io.BytesIO()
        if bounds.lossless:
            flat.save(buffer, "PNG", optimize=True)
        else:
            flat.save(buffer, "JPEG", quality=85)
        return Raster(buffer.getvalue(), *flat.size)


def _within(width: int, height: int, bounds: Bounds) -> None:
    """Refuse what has too many or too few pixels, or is too long for its height."""
    if width * height > bounds.most_pixels:
        raise PictureFault("it has too many pixels")
    shorter, longer = sorted((width, height))
    if shorter < bounds.least_side:
        raise PictureFault(f"it is {width} by {height} pixels; at least {bounds.least_side} each way would do")
    if longer > bounds.most_slender * shorter:
        raise PictureFault(f"one side is more than {bounds.most_slender:g} times the other")
