"""The margin of one duty over two inputs."""

from __future__ import annotations

from functools import partial

from engcalc.case.case import Case
from engcalc.case.catalogue import entry
from engcalc.errors import InputError
from engcalc.studies.sweeps import MarginMap, margin_map
from engcalc.units import Array
from engcalc.words.texts import view_texts
from reports.plots.registry import Screen
from ui.window.dialogs.background import Stopped, Tell
from ui.window.results.card import PlaceCards
from ui.window.views.studies.axis import AxisChooser
from ui.window.views.studies.page import StudyPage
from ui.window.views.studies.ranges import default_pair
from ui.window.views.view import Context, Question

COLUMNS, ROWS = 31, 25  # points of the map
LEAST = 2  # points each way; fewer are no map


class MapPage(StudyPage[MarginMap]):
    """Where the limit is held, over speed and weather or any other two inputs."""

    def __init__(self, context: Context) -> None:
        self.across, self.up = AxisChooser("Across"), AxisChooser("Up")
        self.pictures = PlaceCards(Screen.MAP)
        super().__init__(context, (self.across, self.up), self.pictures.cards)
        for axis in (self.across, self.up):
            axis.changed.connect(self.refresh)
        self.show_nothing()

    def question_of(self, case: Case, duty: int) -> Question[MarginMap] | str:
        """The map over the two chosen inputs."""
        for axis, default in zip((self.across, self.up), default_pair(case, duty), strict=True):
            axis.show_choices(case, duty, default)
        spans = []
        for axis in (self.across, self.up):
            try:
                spans.append(axis.read(case, self.context.system))
            except InputError:
                continue
        if len(spans) < 2:
            return view_texts.NO_INPUT
        paths = (self.across.path, self.up.path)
        x, y = (
            span.values(entry(path).input.kind, n) for span, path, n in zip(spans, paths, (COLUMNS, ROWS), strict=True)
        )
        if min(x.size, y.size) < LEAST:
            return view_texts.NUMBER_THAT_COUNTS_RUNS_OVER_WHOLE_STEPS
        return Question((case, duty, paths, *spans), partial(_work, case, duty, paths, x, y))

    def show_answer(self, answer: MarginMap) -> None:
        """Draw the map."""
        self.show_parts()
        self.pictures.show_pictures(answer, self.context.system)


def _work(case: Case, duty: int, paths: tuple[str, str], x: Array, y: Array, tell: Tell, stopped: Stopped) -> MarginMap:
    return margin_map(case, duty, x, y, x_axis=paths[0], y_axis=paths[1], progress=tell, cancelled=stopped)
