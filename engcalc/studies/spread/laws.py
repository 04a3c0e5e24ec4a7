"""Laws of uncertain inputs (JCGM 101:2008, 6.4) as functions of a uniform number: normal, rectangular, triangular,
lognormal. ``uncertainty`` is the standard uncertainty of each, so that all of one value and one uncertainty have the
same mean and the same standard deviation.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import erfc

import numpy as np

from engcalc.case.declare import SpreadLaw
from engcalc.errors import InputError, InputFault
from engcalc.units import Array
from engcalc.words.texts import shared_texts

_erfc = np.vectorize(erfc, otypes=[np.float64])

# Coefficients of P. J. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988) 477; relative error 1e-16
_MIDDLE = (
    (
        3.3871328727963666080e0,
        1.3314166789178437745e2,
        1.9715909503065514427e3,
        1.3731693765509461125e4,
        4.5921953931549871457e4,
        6.7265770927008700853e4,
        3.3430575583588128105e4,
        2.5090809287301226727e3,
    ),
    (
        1.0,
        4.2313330701600911252e1,
        6.8718700749205790830e2,
        5.3941960214247511077e3,
        2.1213794301586595867e4,
        3.9307895800092710610e4,
        2.8729085735721942674e4,
        5.2264952788528545610e3,
    ),
)
_NEAR = (
    (
        1.42343711074968357734e0,
        4.63033784615654529590e0,
        5.76949722146069140550e0,
        3.64784832476320460504e0,
        1.27045825245236838258e0,
        2.41780725177450611770e-1,
        2.27238449892691845833e-2,
        7.74545014278341407640e-4,
    ),
    (
        1.0,
        2.05319162663775882187e0,
        1.67638483018380384940e0,
        6.89767334985100004550e-1,
        1.48103976427480074590e-1,
        1.51986665636164571966e-2,
        5.47593808499534494600e-4,
        1.05075007164441684324e-9,
    ),
)
_FAR = (
    (
        6.65790464350110377720e0,
        5.46378491116411436990e0,
        1.78482653991729133580e0,
        2.96560571828504891230e-1,
        2.65321895265761230930e-2,
        1.24266094738807843860e-3,
        2.71155556874348757815e-5,
        2.01033439929228813265e-7,
    ),
    (
        1.0,
        5.99832206555887937690e-1,
        1.36929880922735805310e-1,
        1.48753612908506148525e-2,
        7.86869131145613259100e-4,
        1.84631831751005468180e-5,
        1.42151175831644588870e-7,
        2.04426310338993978564e-15,
    ),
)


def normal_quantile(p: Array) -> Array:
    """The normal deviate below which a share p in (0, 1) lies."""
    q = p - 0.5
    tail = np.sqrt(-np.log(np.minimum(p, 1.0 - p)))
    middle = q * _ratio(_MIDDLE, 0.180625 - q * q)
    near = _ratio(_NEAR, tail - 1.6)
    far = _ratio(_FAR, tail - 5.0)
    outer = np.sign(q) * np.where(tail <= 5.0, near, far)
    return np.asarray(np.where(np.abs(q) <= 0.425, middle, outer))


def _ratio(coefficients: tuple[Sequence[float], Sequence[float]], x: Array) -> Array:
    top, bottom = (np.polynomial.polynomial.polyval(x, np.array(c)) for c in coefficients)
    return np.asarray(top / bottom)


def normal_share(z: Array) -> Array:
    """The share of a normal law below a deviate."""
    return np.asarray(0.5 * _erfc(-z / np.sqrt(2.0)))


def quantile(law: SpreadLaw, value: float, uncertainty: float, p: Array) -> Array:
    """The value below which a share p in (0, 1) of a law lies.

    ``value`` is the mean, ``uncertainty`` the standard deviation; a lognormal law needs a value above 0.
    """
    if uncertainty == 0.0:
        return np.full(p.shape, value)
    if law is SpreadLaw.RECTANGULAR:
        return np.asarray(value + np.sqrt(3.0) * uncertainty * (2.0 * p - 1.0))
    if law is SpreadLaw.TRIANGULAR:
        half = np.sqrt(6.0) * uncertainty
        rising = np.sqrt(2.0 * np.minimum(p, 1.0 - p)) - 1.0
        return np.asarray(value + half * np.where(p < 0.5, rising, -rising))
    if law is SpreadLaw.LOGNORMAL:
        width = np.sqrt(np.log1p((uncertainty / value) ** 2))
        return np.asarray(value * np.exp(width * normal_quantile(p) - 0.5 * width**2))
    return np.asarray(value + uncertainty * normal_quantile(p))


def correlated(p: Array, correlations: Mapping[tuple[int, int], float]) -> Array:
    """Uniform numbers, shape (inputs, members), with the normal deviates behind them correlated.

    ``correlations`` has the coefficient of pairs of rows: exact between normal inputs (JCGM 101:2008, 6.4.8), of other
    laws it is that of their normal deviates. Raises InputError where the coefficients cannot hold together.
    """
    if not correlations:
        return p
    rows = sorted({row for pair in correlations for row in pair})
    matrix = np.eye(len(rows))
    for (i, j), r in correlations.items():
        a = rows.index(i)
        b = rows.index(j)
        matrix[a, b] = matrix[b, a] = r
    try:
        root = np.linalg.cholesky(matrix)
    except np.linalg.LinAlgError as error:
        wanted = shared_texts.COEFFICIENTS_THAT_CAN_HOLD_TOGETHER
        raise InputError((InputFault("correlated", "", wanted),)) from error
    out = np.array(p)
    out[rows] = normal_share(root @ normal_quantile(p[rows]))
    return out
