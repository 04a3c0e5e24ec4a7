"""Scores of the calibration study, from its rows; beside each what a judge would score whose odds mean what they say.

The row of a vehicle holds text; a number that was not taken is "nan".
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.units import Array

Row = dict[str, str]
BINS = 10  # of equal count
FEWEST = 5  # vehicles in a bin; fewer bins where there are not so many vehicles
SMALLEST = 1e-6  # of a probability whose logarithm is taken


@dataclass(frozen=True)
class Stratum:
    """Part of the vehicles: its name, which they are, and the aim for its calibration error."""

    name: str
    holds: Callable[[Row], bool]
    aim: float = 0.08


STRATA = (
    Stratum("overall", lambda _: True, 0.05),
    Stratum("inlet-side valve", lambda r: r["inlet"] == "1"),
    Stratum("outlet-side valve", lambda r: r["inlet"] == "0"),
    Stratum("ambient under 5 degC", lambda r: float(r["ambient"]) < 5.0),
    Stratum("never reached 80 degC", lambda r: float(r["hottest"]) < 80.0),
    Stratum("log-rich", lambda r: r["rich"] == "1"),
    Stratum("reading-poor", lambda r: r["rich"] == "0"),
)


def numbers(rows: Sequence[Row], key: str) -> Array:
    """A column as numbers."""
    return np.array([float(r[key]) for r in rows])


def right_first(rows: Sequence[Row]) -> Array:
    """1 where the likeliest cause is the true one, else 0."""
    return np.array([float(r["top"] == r["truth"]) for r in rows])


def equal_bins(p: Array) -> list[Array]:
    """Indices of bins of equal count, in rising order of p."""
    return list(np.array_split(np.argsort(p, kind="stable"), min(BINS, max(len(p) // FEWEST, 1))))


def expected_calibration_error(p: Array, right: Array) -> float:
    """Mean gap of claim and share right over bins of equal count."""
    return float(sum(len(i) * abs(p[i].mean() - right[i].mean()) for i in equal_bins(p)) / len(p))


def perfect(p: Array, seed: int = 1) -> tuple[float, float]:
    """The calibration error that a perfectly calibrated judge would score on the same odds, by chance alone: its mean
    and its 95th percentile."""
    rng = np.random.default_rng(seed)
    found = [expected_calibration_error(p, (rng.random(len(p)) < p).astype(np.float64)) for _ in range(400)]
    return float(np.mean(found)), float(np.quantile(found, 0.95))


def table(rows: Sequence[Row]) -> list[str]:
    """The scores as lines of a table."""
    lines = ["| what | vehicles | found | aim | a perfect judge |", "| --- | --- | --- | --- | --- |"]
    return [*lines, *_calibration(rows), *_hits(rows), *_bits(rows), *_sampling(rows)]


def _line(what: str, vehicles: int, found: str, aim: str = "", by_perfect: str = "") -> str:
    return f"| {what} | {vehicles} | {found} | {aim} | {by_perfect} |"


def _calibration(rows: Sequence[Row]) -> list[str]:
    lines = []
    for stratum in STRATA:
        part = [r for r in rows if stratum.holds(r)]
        if len(part) < 2 * FEWEST:
            continue
        p = numbers(part, "p_top")
        mean, high = perfect(p)
        lines.append(
            _line(
                f"top-cause calibration error, {stratum.name}",
                len(part),
                f"{expected_calibration_error(p, right_first(part)):.3f}",
                f"under {stratum.aim}",
                f"{mean:.3f}, 95 % under {high:.3f}",
            )
        )
    return lines


def _share(what: str, hit: Array, aim: str, claimed: Array) -> str:
    if not hit.size:
        return _line(what, 0, "none")
    return _line(what, hit.size, f"{hit.mean():.3f}", aim, f"{claimed.mean():.3f}")


def _hits(rows: Sequence[Row]) -> list[str]:
    p, right, grouped = numbers(rows, "p_top"), right_first(rows), numbers(rows, "in_group")
    by_group, sure = numbers(rows, "p_group"), numbers(rows, "p_top") >= 0.8
    stuck = np.array([r["truth"] == "thermostat_stuck_open" for r in rows])
    lines = [
        _share("claims of 80 % or more that are right", right[sure], "0.85", p[sure]),
        _share(
            "true cause under 1 %", (numbers(rows, "p_true") < 0.01).astype(np.float64), "0.01", numbers(rows, "under")
        ),
        _share("top cause right", right, "", p),
        _share("top group holds the true cause", grouped, "0.85", by_group),
        _share("the same where the valve is stuck open", grouped[stuck], "0.95", by_group[stuck]),
    ]
    four = np.array([r for r in numbers(rows, "four_in_group") if np.isfinite(r)])
    alone = np.array([r for r in numbers(rows, "alone_in_group") if np.isfinite(r)])
    claimed = {k: numbers(rows, f"{k}_p_group")[np.isfinite(numbers(rows, f"{k}_p_group"))] for k in ("alone", "four")}
    return [
        *lines,
        _share("top group, log alone", alone, "", claimed["alone"]),
        _share("top group, the same logs with four hand readings", four, "", claimed["four"]),
    ]


def _recovered(rows: Sequence[Row], key: str) -> float:
    """Share of the uniform entropy, log2 of the number of causes, that is gone."""
    return float(1.0 - numbers(rows, key).mean() / numbers(rows, "uniform").mean())


def _bits(rows: Sequence[Row]) -> list[str]:
    twice = [r for r in rows if np.isfinite(float(r["four_entropy"]))]
    bits, rule, rate = (np.log2(np.maximum(numbers(rows, k), SMALLEST)) for k in ("p_true", "rule_true", "rate_true"))
    lines = [
        _line(
            "share of the uniform entropy gone by the base rates", len(rows), f"{_recovered(rows, 'entropy_prior'):.2f}"
        ),
        _line("share of the uniform entropy gone, all evidence", len(rows), f"{_recovered(rows, 'entropy'):.2f}"),
    ]
    if twice:
        lines += [
            _line("the same, log alone", len(twice), f"{_recovered(twice, 'alone_entropy'):.2f}", "0.5"),
            _line(
                "the same, those logs with four hand readings",
                len(twice),
                f"{_recovered(twice, 'four_entropy'):.2f}",
                "0.7",
            ),
        ]
    for what, beside, aim in (("the base rates", rate, ""), ("the rules of thumb", rule, "0.5")):
        gain = bits - beside
        error = gain.std() / np.sqrt(len(gain))
        lines.append(
            _line(
                f"bits of the true cause beyond {what}",
                len(rows),
                f"{gain.mean():.2f} ± {error:.2f}",
                aim,
                f"{(-numbers(rows, 'entropy') - beside).mean():.2f}",
            )
        )
    return lines


def _sampling(rows: Sequence[Row]) -> list[str]:
    lines = []
    for key, what, aim in (("least_likely", "causes above 10 %", 400), ("least_possible", "causes above 0.5 %", 150)):
        least = numbers(rows, key)
        least = least[np.isfinite(least)]
        if least.size:
            low, middle = np.quantile(least, [0.1, 0.5])
            lines.append(
                _line(
                    f"fewest effective draws of {what}, 10th percentile and median",
                    least.size,
                    f"{low:.0f}, {middle:.0f}",
                    str(aim),
                )
            )
    gap = numbers(rows, "second_seed")
    gap = gap[np.isfinite(gap)]
    if gap.size:
        lines.append(_line("another seed of the draws within 5 points", gap.size, f"{(gap < 0.05).mean():.2f}", "0.95"))
    return [
        *lines,
        _line("processor seconds for one diagnosis, mean", len(rows), f"{numbers(rows, 'seconds').mean():.1f}", "10"),
    ]


def missed(rows: Sequence[Row], below: float = 0.002) -> list[str]:
    """The vehicles whose true cause had next to nothing."""
    return [
        f"- seed {r['seed']}: {r['truth']} had {100 * float(r['p_true']):.2f} %; "
        f"{r['top']} was given {100 * float(r['p_top']):.0f} % ({r['reason']})"
        for r in rows
        if float(r["p_true"]) < below
    ]


def wrong_claims(rows: Sequence[Row]) -> list[str]:
    """Claims of 80 % or more that are wrong."""
    return [
        f"- seed {r['seed']}: {r['top']} was given {100 * float(r['p_top']):.0f} %; it was {r['truth']}, which had "
        f"{100 * float(r['p_true']):.1f} % ({r['reason']})"
        for r in rows
        if float(r["p_top"]) >= 0.8 and r["top"] != r["truth"]
    ]
