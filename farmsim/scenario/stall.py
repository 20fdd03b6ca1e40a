"""What a market stall sells on average: what is asked for, but never more than was brought.

The mean of the smaller of the two, worked out exactly for every way in which a quantity can vary.
Source: partial means of the triangle, lognormal and gamma, by hand from their densities; tested against sums.
"""

from __future__ import annotations

import math

from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular, Vary


def usually_sold(brought: float, asked: Vary) -> float:
    """How much of what is brought is sold on an average day [same unit]."""
    if brought <= 0.0 or asked.mean <= 0.0:
        return 0.0
    match asked:
        case Fixed():
            return min(brought, asked.value)
        case Triangular():
            return _triangular(brought, asked)
        case Between():
            return _lognormal(brought, asked.mean, asked.log_sd)
        case MeanCv():
            return _mean_cv(brought, asked)
        case RangeMean():
            return _mean_cv(brought, MeanCv(asked.mean, asked.cv, asked.shape))
        case Measured():
            return math.fsum(min(brought, value) for value in asked.values) / len(asked.values)


def _mean_cv(brought: float, asked: MeanCv) -> float:
    if asked.cv <= 0.0:
        return min(brought, asked.mean)
    if asked.shape == "gamma":
        shape, scale = asked.cv**-2, asked.mean * asked.cv**2
        below, mass = _gamma_below(shape + 1, brought / scale), _gamma_below(shape, brought / scale)
        return asked.mean * below + brought * (1 - mass)
    return _lognormal(brought, asked.mean, math.sqrt(math.log1p(asked.cv**2)))


def _lognormal(brought: float, mean: float, log_sd: float) -> float:
    z = (math.log(brought / mean) + log_sd**2 / 2) / log_sd
    return mean * _normal_below(z - log_sd) + brought * (1 - _normal_below(z))


def _normal_below(z: float) -> float:
    return math.erfc(-z / math.sqrt(2)) / 2


def _gamma_below(shape: float, x: float) -> float:
    """Share of a gamma of scale 1 that lies below x, by its power series."""
    if x > shape + 40 * math.sqrt(shape) + 40:
        return 1.0
    term = total = 1.0
    step = shape
    while term > total * 1e-16:
        step += 1.0
        term *= x / step
        total += term
    return min(1.0, total * math.exp(shape * math.log(x) - x - math.lgamma(shape + 1)))


def _triangular(brought: float, asked: Triangular) -> float:
    """What is asked for less what is asked for beyond what was brought."""
    low, likely, high = asked.low, asked.likely, asked.high
    if brought >= high:
        return asked.mean
    if brought <= low:
        return brought
    if brought > likely:
        return asked.mean - (high - brought) ** 3 / (3 * (high - low) * (high - likely))
    return brought - (brought - low) ** 3 / (3 * (high - low) * (likely - low))


STALL = "market stall"


def as_market_day(told: str) -> str:
    """What a stall takes, in words: "34 lb a market day"; nothing is delivered to it."""
    return told.replace(" a delivery", " a market day")
