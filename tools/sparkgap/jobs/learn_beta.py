"""The beta distribution: its distribution function and its quantiles.

The shares of a Dirichlet distribution follow it one by one. The incomplete beta function comes from its continued
fraction (Abramowitz and Stegun 26.5.8), the quantile from halving; tests hold both against a reference library.
"""

from __future__ import annotations

import math

_TINY = 1e-300
_STEPS = 10_000
_HALVINGS = 200


def share_interval(share: float, strength: float, level: float) -> tuple[float, float]:
    """The interval that holds a share with probability ``level``, as much of it below as above left out.

    ``share`` is the mean, ``strength`` the number of jobs that it rests on.
    """
    a, b = share * strength, (1.0 - share) * strength
    rest = (1.0 - level) / 2.0
    return quantile(rest, a, b), quantile(1.0 - rest, a, b)


def quantile(p: float, a: float, b: float) -> float:
    """The x below which a share lies with probability p; a = 0 and b = 0 are the certain ends 0 and 1."""
    if a <= 0.0 or b <= 0.0:
        return 0.0 if a <= 0.0 else 1.0
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if distribution(middle, a, b) < p:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def distribution(x: float, a: float, b: float) -> float:
    """The probability that a share with the parameters a and b, both above 0, lies below x."""
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    if x > (a + 1.0) / (a + b + 2.0):  # the fraction converges fast on the other side only
        return 1.0 - distribution(1.0 - x, b, a)
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    return math.exp(front) / (a * _fraction(x, a, b))


def _fraction(x: float, a: float, b: float) -> float:
    """The continued fraction 1 + d1/(1 + d2/(1 + …)), from its front by the way of Lentz."""
    value, c, d = 1.0, 1.0, 0.0
    for n in range(1, _STEPS):
        m = n // 2
        if n % 2:
            term = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            term = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d = 1.0 / ((1.0 + term * d) or _TINY)
        c = (1.0 + term / c) or _TINY
        value *= c * d
        if abs(c * d - 1.0) < 1e-15:
            break
    return value
