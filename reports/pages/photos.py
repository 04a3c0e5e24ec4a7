"""The photograph on the customer's pages, from a file beside the case."""

from __future__ import annotations

import io
from pathlib import Path, PureWindowsPath

from reportlab.platypus import Image
from reportlab.platypus.flowables import Flowable

from engcalc.case.file import is_file
from engcalc.words.page.paper_words import PHOTO_NOT_SHOWN
from engcalc.words.texts import page_texts
from reports.kinds import Order
from reports.layout import para, space
from reports.raster import Bounds, PictureFault, Raster, read_raster
from reports.tagging import Tagged
from reports.texts import plain

BOUNDS = Bounds(largest_file=40 << 20, most_pixels=100_000_000, longest_side=1400)
WIDEST, HIGHEST = 330.0, 220.0  # pt


def photo(order: Order, width: float, part: float = 1.0) -> list[Flowable]:
    """The first picture that the case names and that can be read, and words on each that cannot.

    ``part`` of the greatest height is what it may take.
    """
    made: list[Flowable] = []
    for name in order.check.case.job.photos:
        try:
            found = load(order.files_folder, name)
        except PictureFault as fault:
            made.append(para(PHOTO_NOT_SHOWN.format(name=name, why=fault), "small"))
            continue
        scale = min(WIDEST / found.width, part * HIGHEST / found.height, width / found.width)
        shown = Image(io.BytesIO(found.data), width=found.width * scale, height=found.height * scale, hAlign="LEFT")
        return [*made, space(8), Tagged(shown, "Figure", f"Photograph {plain(name)}")]
    return made


def load(folder: Path | None, name: str) -> Raster:
    """The picture, upright, small, without place, time or camera.

    Raises PictureFault. Only a file beside the case is read: a name that leads elsewhere is refused.
    """
    return read_raster(_beside(folder, name), BOUNDS)


def _beside(folder: Path | None, name: str) -> Path:
    if folder is None or not name.strip() or "\0" in name:
        raise PictureFault(page_texts.IT_WAS_NOT_FOUND_BESIDE_THE_CASE)
    if Path(name).is_absolute() or PureWindowsPath(name).drive:
        raise PictureFault(page_texts.ONLY_PICTURES_BESIDE_THE_CASE_ARE_READ)
    path = (folder / name).resolve()
    if not path.is_relative_to(folder.resolve()):
        raise PictureFault(page_texts.ONLY_PICTURES_BESIDE_THE_CASE_ARE_READ)
    if not is_file(path):
        raise PictureFault(page_texts.IT_WAS_NOT_FOUND_BESIDE_THE_CASE)
    return path
