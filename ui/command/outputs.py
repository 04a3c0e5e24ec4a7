"""What a command may write over: nothing that exists unless that is asked for, and never what it reads."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from engcalc.case.file import is_file
from engcalc.errors import FileFault
from engcalc.words.texts import command_texts, report_texts, shared_texts


def may_replace(output: Path, inputs: Iterable[Path | None], *, force: bool, drafts: bool = False) -> None:
    """Raise FileFault where ``output`` is one of ``inputs``, or exists already and ``force`` was not given.

    With ``drafts``, a report that nobody signed is written over unasked: it is made anew from its case.
    """
    from reports.overwriting import in_the_way

    if not os.path.lexists(output):
        return
    if any(given is not None and _same(output, given) for given in inputs):
        raise FileFault(
            str(output),
            command_texts.CHOOSE_ANOTHER_NAME.format(an_input=report_texts.FILE_IS_WHAT_THE_REPORT_IS_MADE_FROM),
        )
    if force:
        return
    if in_the_way(output, ()) == report_texts.SIGNED_REPORT_IS_THERE_ALREADY:
        raise FileFault(
            str(output),
            command_texts.CHOOSE_ANOTHER_NAME_OR_ADD_FORCE.format(signed=report_texts.SIGNED_REPORT_IS_THERE_ALREADY),
        )
    if not (drafts and _is_pdf(output)):
        raise FileFault(str(output), shared_texts.FILE_OF_THIS_NAME_EXISTS_ALREADY_CHOOSE)


def _is_pdf(path: Path) -> bool:
    return is_file(path) and path.suffix.lower() == ".pdf"


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except (OSError, ValueError):
        return os.path.realpath(one) == os.path.realpath(other)
