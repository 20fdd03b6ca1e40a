"""How a time or a yield varies, as a grower says it. Values only: nothing is drawn here.

"14 d"                                          fixed
{low = "12 d", likely = "14 d", high = "18 d"}  a triangle
{from = "12 d", to = "18 d", share = "9 of 10"} so many of all lie between (lognormal)
{mean = "9 d", cv = 0.13}                       mean and coefficient of variation (lognormal, or shape = "gamma")
{mean = "8 d to 10 d", cv = 0.13}               a mean known only as a range: drawn once a run
{measured = ["12 d", "15 d", "13 d"]}           the farm's own list, each equally likely
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Fixed:
    """Always the same."""

    value: float
    kind = "fixed"

    @property
    def mean(self) -> float:
        """The value itself."""
        return self.value

    @property
    def sd(self) -> float:
        """None at all."""
        return 0.0


@dataclass(frozen=True, slots=True)
class Triangular:
    """A lowest, a likeliest and a highest value."""

    low: float
    likely: float
    high: float
    kind = "triangular"

    @property
    def mean(self) -> float:
        """A third of the three together."""
        return (self.low + self.likely + self.high) / 3.0

    @property
    def sd(self) -> float:
        """Standard deviation of the triangle."""
        low, likely, high = self.low, self.likely, self.high
        square = low * low + likely * likely + high * high - low * likely - low * high - likely * high
        return math.sqrt(max(0.0, square) / 18.0)


@dataclass(frozen=True, slots=True)
class Between:
    """So large a share of all lies between low and high, as much below as above: lognormal."""

    low: float
    high: float
    share: float
    kind = "between"

    @property
    def log_mean(self) -> float:
        """Mean of the logarithms."""
        return (math.log(self.low) + math.log(self.high)) / 2.0

    @property
    def log_sd(self) -> float:
        """Standard deviation of the logarithms."""
        from statistics import NormalDist  # late: slow to import and seldom needed

        z = NormalDist().inv_cdf((1.0 + self.share) / 2.0)
        return (math.log(self.high) - math.log(self.low)) / (2.0 * z)

    @property
    def mean(self) -> float:
        """Mean of the lognormal, a little above the middle of the range."""
        return math.exp(self.log_mean + self.log_sd**2 / 2.0)

    @property
    def sd(self) -> float:
        """Standard deviation of the lognormal."""
        return self.mean * math.sqrt(math.expm1(self.log_sd**2))


@dataclass(frozen=True, slots=True)
class MeanCv:
    """A mean and a coefficient of variation (standard deviation over mean); 0 is fixed."""

    mean: float
    cv: float
    shape: Literal["lognormal", "gamma"] = "lognormal"
    kind = "mean and cv"

    @property
    def sd(self) -> float:
        """Mean times coefficient of variation."""
        return self.mean * self.cv


@dataclass(frozen=True, slots=True)
class RangeMean:
    """A mean known only as a range: one mean is drawn for each run, then it spreads round that."""

    low: float
    high: float
    cv: float
    shape: Literal["lognormal", "gamma"] = "lognormal"
    kind = "mean in a range"

    @property
    def mean(self) -> float:
        """The middle of the range."""
        return (self.low + self.high) / 2.0

    @property
    def sd(self) -> float:
        """Spread within a run and between runs together."""
        between = (self.high - self.low) ** 2 / 12.0
        return math.sqrt(between + self.cv**2 * (self.mean**2 + between))


@dataclass(frozen=True, slots=True)
class Measured:
    """A list the farm measured; each value is equally likely."""

    values: tuple[float, ...]
    kind = "measured"

    @property
    def mean(self) -> float:
        """Mean of the list."""
        return math.fsum(self.values) / len(self.values)

    @property
    def sd(self) -> float:
        """Standard deviation of the list as it stands."""
        mean = self.mean
        return math.sqrt(math.fsum((value - mean) ** 2 for value in self.values) / len(self.values))


Vary = Fixed | Triangular | Between | MeanCv | RangeMean | Measured
