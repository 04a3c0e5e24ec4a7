"""The one picture that carries a customer's report: a curve against the healthy band, else readings against healthy."""

from __future__ import annotations

from dataclasses import replace

from reportlab.platypus.flowables import Flowable

from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import Rank
from engcalc.studies.checked import Check
from engcalc.vehicle.run import AFTER, BEFORE
from engcalc.words.answer.answer import read_beside
from reports.kinds import Order, ReportKind
from reports.pages.pictures import figure
from reports.plots.describe import Plot
from reports.plots.registry import ChosenDuty, Paper, drawn_at, pictures_at

CURVE = "warmup"  # key of the picture of one record over the healthy band


def one_picture(order: Order, width: float, *, few: bool = False) -> list[Flowable]:
    """The picture under its title, with its caption; empty where nothing was read that could carry anything.

    ``few``: of many readings at one place only the last of each record, where there is no room for all."""
    plot = _chosen(replace(order, check=_last_readings(order.check)) if few else order)
    return [] if plot is None else [figure(plot, width)]


def _last_readings(check: Check) -> Check:
    """The check with the last reading of each place and record alone."""
    return replace(
        check,
        history=tuple({(r.record, r.what): r for r in check.history}.values()),
        readings=tuple({(r.record, r.what): r for r in check.readings}.values()),
        elsewhere=tuple({(r.record, r.what): r for r in check.elsewhere}.values()),
    )


def _chosen(order: Order) -> Plot | None:
    """Both curves after a repair; the curve of a record; what was read by hand, which is no curve."""
    records = order.records
    if records is not None and records.both is not None and records.study.records:
        both = next(iter(drawn_at(Paper.PROOF, records.both, order.system)), None)
        if both is not None:
            return both
    return _curve(order) or _readings(order)


def _curve(order: Order) -> Plot | None:
    """The measured curve of the record that speaks."""
    if order.records is None:
        return None
    speaks = AFTER if conclude(order.check).repaired else BEFORE
    for record in order.records.study.records:
        if record.name == speaks and record.measured is not None:
            entry = next(entry for entry in pictures_at(Paper.WARMUP) if entry.key == CURVE)
            return entry.build(record, order.system)
    return None


def _readings(order: Order) -> Plot | None:
    if not shows_readings(order):
        return None
    return next(iter(drawn_at(Paper.READINGS, ChosenDuty(order.check, None), order.system)), None)


def shows_readings(order: Order) -> bool:
    """Whether readings carry or stand beside the conclusion of a customer's report, so that they are drawn there."""
    found = conclude(order.check)
    carries = found.lead.rank is Rank.READINGS or found.lead.hot is not None or bool(read_beside(order.check))
    return carries and order.kind is ReportKind.CUSTOMER
