"""Propagation of distributions: the sum of four standard normal quantities, by the draws that a check uses."""

import numpy as np

from engcalc.studies.uncertainty import scores
from worked_examples.published.comparison import Answer, Example, show

MEMBERS = 200_000
NOISE_U = 4.0 * 2.0 / (2.0 * MEMBERS) ** 0.5  # four standard errors of a standard deviation of 2
NOISE_END = 4.0 * (0.025 * 0.975 / MEMBERS) ** 0.5 / 0.0292  # ... and of a 2.5 % quantile, density 0.0292 there


def compare() -> Example:
    """Y = X1 + X2 + X3 + X4, each of mean 0 and standard deviation 1."""
    y = np.sum([scores(f"X{i}", MEMBERS, seed=1) for i in (1, 2, 3, 4)], axis=0)
    low, high = np.quantile(y, [0.025, 0.975])
    why = f"noise of {MEMBERS} draws, four standard errors"
    return Example(
        "Sum of four normal quantities",
        "JCGM 101:2008 (GUM Supplement 1), 9.2.2",
        (
            Answer("standard uncertainty", "", "2.00", float(np.std(y)), NOISE_U, why),
            Answer("lower end of the 95 % interval", "", "-3.92", float(low), NOISE_END, why),
            Answer("upper end of the 95 % interval", "", "3.92", float(high), NOISE_END, why),
        ),
    )


if __name__ == "__main__":
    show(compare())
