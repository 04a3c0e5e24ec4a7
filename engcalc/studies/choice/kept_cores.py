"""The searches for a least core, kept by what was asked: study, paper and export of one case seek once.

A search takes minutes. Whose job it is changes nothing of it, so a name typed for the paper starts none.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import replace

from engcalc.case.text import CaseText
from engcalc.studies.choice import core_search
from engcalc.studies.choice.core_builds import Room
from engcalc.studies.choice.core_search import Least, resolved_case
from engcalc.studies.choice.least_core import LeastCore, least_core, with_choice
from engcalc.studies.crew import Crew
from engcalc.studies.members import Progress, Stop

MOST_KEPT = 4  # searches; common practice, no source
OF_THE_JOB = "job"  # section of a case that no search reads


class KeptCores:
    """Searches by their content, the ones asked for last; safe to ask from several threads.

    Two that ask the same at once both search: neither waits for a search that the other may stop.
    """

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most = most
        self._kept: OrderedDict[str, LeastCore] = OrderedDict()
        self._lock = threading.Lock()

    def least_core(
        self,
        text: CaseText,
        room: Room,
        wanted: Least = Least.VOLUME,
        *,
        progress: Progress = None,
        cancelled: Stop = None,
    ) -> LeastCore:
        """As :func:`engcalc.studies.choice.least_core.least_core`; a search that was stopped is not kept."""
        key = _content(text, room, wanted)
        with self._lock:
            known = self._kept.get(key)
        if known is None:
            with Crew() as crew:
                found = least_core(text, room, wanted, progress=progress, cancelled=cancelled, crew=crew)
        else:
            found = _in_text(known, text)
        with self._lock:
            self._kept[key] = found
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return found


KEPT = KeptCores()


def _content(text: CaseText, room: Room, wanted: Least) -> str:
    """What the answer follows from: the case without its job, the room, and all builds that are tried."""
    sections = {name: section for name, section in text.tree.items() if name != OF_THE_JOB}
    return repr((sections, room, wanted, core_search.all_tried()))


def _in_text(known: LeastCore, text: CaseText) -> LeastCore:
    """A known answer with the text as it is now, in which another job may stand."""
    if known.least is None or known.checked is None:
        return known
    whole = with_choice(text, resolved_case(text), known.least.core, known.freed)
    return replace(known, text=whole, checked=replace(known.checked, case=resolved_case(whole)))
