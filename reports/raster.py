"""Pictures that people bring: read with care, made small, upright, and stripped of everything but what is seen."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image as Picture
from PIL import ImageOps

from engcalc.words.texts import report_texts

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
            raise PictureFault(report_texts.IT_IS_LARGER_THAN_MB.format(largest_file=bounds.largest_file >> 20))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Picture.DecompressionBombWarning)  # the size is judged here
            return _small(path, bounds)
    except FileNotFoundError as fault:
        raise PictureFault(report_texts.THERE_IS_NO_SUCH_FILE) from fault
    except (OSError, ValueError, SyntaxError, Picture.DecompressionBombError) as fault:
        raise PictureFault(report_texts.IT_CANNOT_BE_READ_AS_A_JPEG_OR_PNG_PICTURE) from fault


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
        raise PictureFault(report_texts.IT_HAS_TOO_MANY_PIXELS)
    shorter, longer = sorted((width, height))
    if shorter < bounds.least_side:
        raise PictureFault(
            report_texts.IT_IS_BY_PIXELS.format(width=width, height=height, least_side=bounds.least_side)
        )
    if longer > bounds.most_slender * shorter:
        raise PictureFault(report_texts.ONE_SIDE_IS_MORE_THAN_TIMES_THE_OTHER.format(most_slender=bounds.most_slender))
