"""Answers of the engine that many tests ask for, worked out once in a run of the tests.

The engine is pure: the same case, logs, numbers of members and seed give the same answer. Most tests ask the same few
cases through one face or another; what they look at is the face. So the dear questions are kept by the content of
what was asked, callbacks aside, and handed from one worker to the other in a folder of the run. A test of the asking
itself (progress, cancelling, the same again) is marked ``fresh`` and is answered anew each time, as is one that takes a
part of the engine away (``monkeypatch``), from there on.
"""

from __future__ import annotations

import atexit
import functools
import hashlib
import importlib
import inspect
import os
import pickle
import shutil
import tempfile
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from types import ModuleType
from typing import Any

import cloudpickle
import pytest

QUICK = (("engcalc.system.operating_point", "solve"),)  # asked by nearly all others, of few vehicles many times
QUESTIONS = (  # where each stands; those that others are made of first
    ("engcalc.studies.check", "check"),
    ("engcalc.diagnosis.evidence.readings", "check_readings"),
    ("engcalc.vehicle.warmup_study", "study"),
    ("engcalc.diagnosis.whole_check", "check_with_records"),
    ("engcalc.diagnosis.odds.diagnosis", "diagnose"),
    ("engcalc.studies.sweeps", "sweep"),
    ("engcalc.studies.spread.sensitivity", "sensitivity"),
    ("engcalc.studies.choice.least_core", "least_core"),
    ("engcalc.studies.spread.spread_study", "duty_spread"),
    ("engcalc.diagnosis.repair.before_after", "explained"),
    ("engcalc.diagnosis.repair.before_after", "compare"),
    ("engcalc.studies.choice.candidates", "compare_parts"),
    ("engcalc.studies.choice.sizing", "size"),
)
CALLBACKS = (
    "progress",
    "early",
    "cancelled",
    "runner",
    "earlier",
    "crew",
)  # the way to an answer, which does not change it
ENOUGH = 400  # answers of one question in memory
SHORT = 400_000  # bytes; a quick question of more is of hundreds of drawn vehicles, which are asked once
PLACES = ("case", "check.case")  # where an answer holds its case
FRESH = {"now": True}  # True: nothing is kept or taken
CONSTANTS: dict[int, dict[tuple[str, str], Any]] = {}  # by who patched them: module and name, with the value
FACES = ("ui", "reports", "PySide6")  # packages that the engine does not know: taken away, they change no answer
PLACE = "HEATDOCKET_TESTS_ANSWERS"  # the variable by which the workers learn of the folder


def keep_answers() -> None:
    """Put the keeping in the place of each dear question, before any other module takes the question by its name."""
    if PLACE not in os.environ:
        os.environ[PLACE] = tempfile.mkdtemp(prefix="heatdocket-answers-")
        atexit.register(shutil.rmtree, os.environ[PLACE], ignore_errors=True)  # whoever made it, not its workers
    for keep, questions in ((_kept_here, QUICK), (_kept, QUESTIONS)):
        for module, name in questions:
            home = importlib.import_module(module)
            setattr(home, name, keep(getattr(home, name)))
    # Studies and diagnoses in this process alone, with the same answer: the other core is at other tests, and a process
    # takes a second to begin, also where the answer is there already. ``fresh`` tests have a crew.
    crew = importlib.import_module("engcalc.studies.crew").Crew
    crew.alone = property(lambda self: not FRESH["now"] or self._many == 0)
    for patch in ("setattr", "delattr", "setitem", "delitem"):
        setattr(pytest.MonkeyPatch, patch, _noticed(getattr(pytest.MonkeyPatch, patch)))
    pytest.MonkeyPatch.undo = _forgotten(pytest.MonkeyPatch.undo)


def _noticed(patch: Callable[..., None]) -> Callable[..., None]:
    """The same patch. A constant of the engine becomes part of each question; another patch has the test answered anew,
    unless it cannot touch the engine."""

    @functools.wraps(patch)
    def patching(self: pytest.MonkeyPatch, target: Any, *others: Any, **named: Any) -> None:
        if _is_constant(target, others):
            CONSTANTS.setdefault(id(self), {})[target.__name__, others[0]] = others[1]
        else:
            FRESH["now"] = FRESH["now"] or _may_be_the_engines(target)
        patch(self, target, *others, **named)

    return patching


def _forgotten(undo: Callable[[pytest.MonkeyPatch], None]) -> Callable[[pytest.MonkeyPatch], None]:
    """The same undoing; the constants are the engine's own again."""

    @functools.wraps(undo)
    def undoing(self: pytest.MonkeyPatch) -> None:
        CONSTANTS.pop(id(self), None)
        undo(self)

    return undoing


def _is_constant(target: Any, others: tuple[Any, ...]) -> bool:
    """Whether a module's name is given a number, a word, several of them, or a class, which its own name tells."""
    if not isinstance(target, ModuleType) or len(others) != 2:
        return False
    values = others[1] if isinstance(others[1], tuple) else (others[1],)
    return all(type(value) in (int, float, str, bool, type) for value in values)


def _may_be_the_engines(target: Any) -> bool:
    """Whether what is patched may be a part of the engine, or something that it works with."""
    if target is os.environ:
        return False
    if isinstance(target, str | ModuleType):
        home = target if isinstance(target, str) else target.__name__
    else:
        home = getattr(target, "__module__", type(target).__module__)
    return home.partition(".")[0] not in FACES


@dataclass(frozen=True)
class Kept:
    """An answer, and the places in it where the very case stands that was asked for."""

    answer: Any
    own: tuple[str, ...]

    @classmethod
    def of(cls, answer: Any, case: Any) -> Kept:
        """What is kept of an answer for a case."""
        return cls(answer, tuple(place for place in PLACES if _at(answer, place) is case))

    def given_for(self, case: Any) -> Any:
        """The answer with this case in it, which says the same as the one first asked for."""
        found = self.answer
        for place in self.own:
            if _at(found, place) is not case:
                found = _with(found, place.split("."), case)
        return found


def _at(answer: Any, place: str) -> Any:
    for name in place.split("."):
        answer = getattr(answer, name, None)
    return answer


def _with(answer: Any, names: list[str], case: Any) -> Any:
    first, *rest = names
    return replace(answer, **{first: _with(getattr(answer, first), rest, case) if rest else case})


def _kept(question: Callable[..., Any]) -> Callable[..., Any]:
    """The same question, answered from what was found before where there is that."""
    answers: OrderedDict[str, Any] = OrderedDict()
    form = inspect.signature(question)

    @functools.wraps(question)
    def asked(*arguments: Any, **named: Any) -> Any:
        if FRESH["now"]:
            return question(*arguments, **named)
        case = arguments[0]
        key = _content(question.__name__, form, arguments, named)
        if key not in answers:
            answers[key] = _from_the_other(key) or _told_the_other(key, Kept.of(question(*arguments, **named), case))
        return _asked_again(answers, key).given_for(case)

    return asked


def _kept_here(question: Callable[..., Any]) -> Callable[..., Any]:
    """The same quick question, answered from what this worker found before.

    To tell the other takes as long as to ask.
    """
    answers: OrderedDict[str, Any] = OrderedDict()

    @functools.wraps(question)
    def asked(*arguments: Any) -> Any:
        whole = b"" if FRESH["now"] else pickle.dumps((arguments, _constants()))
        if not whole or len(whole) > SHORT:
            return question(*arguments)
        key = hashlib.sha256(whole).hexdigest()
        if key not in answers:
            answers[key] = question(*arguments)
        return _asked_again(answers, key)

    return asked


def _asked_again(answers: OrderedDict[str, Any], key: str) -> Any:
    """What is kept under a key; where there is too much, what was not asked for longest goes."""
    answers.move_to_end(key)
    if len(answers) > ENOUGH:
        answers.popitem(last=False)
    return answers[key]


def _content(name: str, form: inspect.Signature, arguments: tuple[Any, ...], named: dict[str, Any]) -> str:
    bound = form.bind(*arguments, **named)
    bound.apply_defaults()
    asked = [(which, value) for which, value in bound.arguments.items() if which not in CALLBACKS]
    return f"{name}-{hashlib.sha256(pickle.dumps((asked, _constants()))).hexdigest()}"


def _constants() -> list[str]:
    """The engine's constants that the test has patched, with their values."""
    return sorted(repr(one) for patched in CONSTANTS.values() for one in patched.items())


def _shared(name: str) -> Path:
    return Path(os.environ[PLACE]) / name


def _from_the_other(key: str) -> Any:
    """What the other worker found, None where it has not."""
    try:
        return pickle.loads(_shared(key).read_bytes())
    except FileNotFoundError:
        return None


def _told_the_other(key: str, answer: Any) -> Any:
    """The answer, told to the other worker where it can be."""
    try:
        data = cloudpickle.dumps(answer)  # a diagnosis holds functions made within others, which pickle does not know
    except (AttributeError, TypeError, pickle.PicklingError):  # it holds what belongs to this process
        return answer
    whole = _shared(f"{key}.{os.getpid()}")
    whole.write_bytes(data)
    whole.replace(_shared(key))  # whole or not at all: the other may be reading
    return answer
