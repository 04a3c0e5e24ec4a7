"""What every script of this folder shares: one published answer beside ours, and the printing of it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class Answer:
    """One published number and ours.

    ``published`` is spelled as printed: half a unit of its last digit is the source's own rounding, and ours has to
    lie within it. Where the source is less sharp than its digits (a value read off a chart, say), ``within`` is the
    allowance in the unit of the number and ``why`` says what it stands on.
    """

    what: str
    unit: str
    published: str
    ours: float
    within: float | None = None
    why: str = ""

    @property
    def allowance(self) -> float:
        """By how much ours may differ."""
        return self.within if self.within is not None else 0.5 * 10.0 ** _last_digit(self.published)

    @property
    def difference(self) -> float:
        """Ours less the published one."""
        return self.ours - float(self.published)

    @property
    def agrees(self) -> bool:
        """Whether ours lies within the allowance."""
        return abs(self.difference) <= self.allowance * (1.0 + 1e-9)  # a half digit is no binary fraction

    def texts(self) -> tuple[str, str, str]:
        """Published, ours (one digit more than published) and the difference, to be read."""
        decimals = max(1 - _last_digit(self.published), 0)
        return self.published, f"{self.ours:.{decimals}f}", f"{self.difference:+.2g}"


@dataclass(frozen=True)
class Example:
    """A published example: where it stands, how the place was read, and its answers."""

    title: str
    source: str
    answers: tuple[Answer, ...]


def _last_digit(text: str) -> int:
    """The power of ten of the last digit printed: 0.62 gives -2, 1.60e3 gives 1."""
    exponent = Decimal(text).as_tuple().exponent
    if not isinstance(exponent, int):
        raise ValueError(f"{text}: a finite number would do")
    return exponent


def show(example: Example) -> None:
    """Print an example as a small table."""
    print(f"{example.title}\n{example.source}\n")
    print(f"{'':40} {'published':>13} {'ours':>13} {'difference':>11}")
    for answer in example.answers:
        published, ours, difference = answer.texts()
        name = f"{answer.what} [{answer.unit}]" if answer.unit else answer.what
        print(f"{name:40} {published:>13} {ours:>13} {difference:>11}  {answer.why}".rstrip())


def markdown(examples: dict[str, Example]) -> str:
    """All examples, by the name of their script, as the table of README.md."""
    rows = ["| script | answer | published | ours | difference | allowed |", "| --- | --- | --- | --- | --- | --- |"]
    for name, example in examples.items():
        for answer in example.answers:
            published, ours, difference = answer.texts()
            what = f"{answer.what}, {answer.unit}" if answer.unit else answer.what
            allowed = f"{answer.allowance:.2g}" + (f": {answer.why}" if answer.why else "")
            rows.append(f"| {name} | {what} | {published} | {ours} | {difference} | {allowed} |")
    return "\n".join(rows)
