"""A list of sentences, each with a sign of its weight; kept labels are reused, so that a refresh is cheap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget

from ui.window.paragraph import paragraph
from ui.window.plain import plain_label
from ui.window.rhythm import gridded


@dataclass(frozen=True)
class Sentence:
    """One sentence, the sign before it, what the sign says, and the theme's tone of the sign."""

    text: str
    sign: str = "–"
    means: str = ""
    tone: str = "muted"


class Sentences(QWidget):
    """Sentences under one another."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self._layout = gridded(self)
        self._layout.setColumnStretch(1, 1)
        self._labels: list[tuple[QLabel, QLabel]] = []

    def show_sentences(self, sentences: Sequence[Sentence]) -> None:
        """Show these and nothing else."""
        while len(self._labels) < len(sentences):
            self._labels.append(self._new_line())
        for i, (sign, text) in enumerate(self._labels):
            for label in (sign, text):
                label.setVisible(i < len(sentences))
            if i < len(sentences):
                _fill(sign, text, sentences[i])
        self.setVisible(bool(sentences))

    @property
    def texts(self) -> tuple[str, ...]:
        """What is shown."""
        return tuple(text.text() for _, text in self._labels if not text.isHidden())

    def _new_line(self) -> tuple[QLabel, QLabel]:
        sign, text = plain_label(parent=self), paragraph()
        row = len(self._labels)
        self._layout.addWidget(sign, row, 0, Qt.AlignmentFlag.AlignTop)
        self._layout.addWidget(text, row, 1)
        return sign, text


def _fill(sign: QLabel, text: QLabel, sentence: Sentence) -> None:
    text.setText(sentence.text)
    text.setAccessibleName(f"{sentence.means}: {sentence.text}" if sentence.means else sentence.text)
    sign.setText(sentence.sign)
    sign.setAccessibleName(sentence.means)
    if sign.property("tone") != sentence.tone:
        sign.setProperty("tone", sentence.tone)
        sign.style().unpolish(sign)
        sign.style().polish(sign)
