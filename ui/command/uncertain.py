"""The uncertainty of the duties on the command line: ``heatdocket check --uncertainty``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engcalc.words.texts import command_texts

if TYPE_CHECKING:
    from engcalc.case.case import Case
    from engcalc.studies.spread.spread_study import DutySpread
    from engcalc.units import UnitSystem
    from ui.command.answer import JsonObject


def spreads_of(case: Case) -> tuple[DutySpread, ...]:
    """The study of every duty of a case."""
    from engcalc.studies.spread.spread_study import duty_spread

    return tuple(duty_spread(case, i) for i in range(len(case.duties)))


def spread_lines(found: tuple[DutySpread, ...], system: UnitSystem) -> list[str]:
    """Every duty's sentences and tables."""
    from engcalc.words.sizing.spread_words import INTERVAL_HEAD, SHARE_HEAD, interval_rows, share_rows, spread_sentences

    lines = ["", command_texts.HOW_SURE_EACH_DUTY_IS]
    for one in found:
        lines += ["", *(f"- {said}" for said in spread_sentences(one, system))]
        lines += [" | ".join(row) for row in (SHARE_HEAD, *share_rows(one, system))] if one.shares else []
        lines += [" | ".join(row) for row in (INTERVAL_HEAD, *interval_rows(one, system))]
    return lines


def spread_json(found: DutySpread) -> JsonObject:
    """One duty in the list ``uncertainty`` of ``check --uncertainty --json``."""
    from engcalc.words.sizing.spread_words import spread_sentences
    from ui.command.as_json import number

    best = found.measure_next
    return {
        "duty": found.name,
        "points": found.points,
        "digits_sure": found.settled,
        "holds_probability": number(found.probability),
        "holds_probability_error": number(found.probability_error),
        "wanted_probability": number(found.wanted),
        "linear_standard_uncertainty_K": number(found.linear),
        "intervals": {
            one.quantity.key: {
                "kind": one.quantity.kind,
                "mean_si": number(one.mean),
                "standard_deviation_si": number(one.deviation),
                "low_5_si": number(one.low),
                "high_95_si": number(one.high),
                "standard_error_si": number(one.error),
            }
            for one in found.intervals
        },
        "shares": [
            {
                "paths": list(one.paths),
                "first_order": number(one.first),
                "first_order_error": number(one.first_error),
                "total": number(one.total),
                "total_error": number(one.total_error),
                "linear": number(one.linear),
                "left_if_known_K": number(one.left),
            }
            for one in found.shares
        ],
        "measure_next": None if best is None else list(best.paths),
        "said": list(spread_sentences(found)),
    }
