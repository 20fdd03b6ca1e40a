"""The year strip: what differs from month to month, and the days on which the farm stands still."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean

from farmsim.scenario.date_forms import TWELVE
from farmsim.scenario.farm import Farm
from farmsim.scenario.values import MONTHS
from farmsim.units import HOURS_A_WEEK


@dataclass(frozen=True)
class Factors:
    """A figure that differs by month, January first: 1 is what the farm's file says elsewhere; and its mean."""

    what: str
    meaning: str
    months: tuple[float, ...]
    mean: float


@dataclass(frozen=True)
class Open:
    """The months, January first, in which a line is started, or in which a room rests."""

    what: str
    does: str
    months: tuple[bool, ...]


@dataclass(frozen=True)
class Still:
    """Days on which some or all of the farm stands still, the last one included; what stops."""

    name: str
    first: str
    last: str
    stops: tuple[str, ...]


@dataclass(frozen=True)
class Year:
    """Everything that goes by the calendar; days of standstill are those that meet the simulated weeks."""

    factors: tuple[Factors, ...] = ()
    lines: tuple[Open, ...] = ()
    rooms: tuple[Open, ...] = ()
    still: tuple[Still, ...] = ()

    @property
    def is_plain(self) -> bool:
        """Whether every month is like every other and no day is lost."""
        return not (self.factors or self.lines or self.rooms or self.still)


def year(farm: Farm, state: Farm, weeks: int) -> Year:
    """The year of a farm.

    farm: its first state, which tells when the simulated time begins; state: the state that is told of
    weeks: measured weeks
    """
    first = farm.farm.start
    end = first + timedelta(hours=weeks * HOURS_A_WEEK)
    started = (Open(line.name, "started", _twelve(line.months)) for line in state.start if line.months != MONTHS)
    resting = (Open(room.name, "rests", _twelve(room.rests)) for room in state.room if room.rests)
    return Year(tuple(_factors(state)), tuple(started), tuple(resting), tuple(_still(state, first, end)))


def _factors(farm: Farm) -> Iterator[Factors]:
    """Every figure with twelve values, one a month, that are not all as usual."""
    for attribute, figure in type(farm.months).figures.items():
        months = getattr(farm.months, attribute)
        if figure.form is TWELVE and months != figure.default:
            yield Factors(figure.name.replace("_", " "), figure.meaning, months, fmean(months))


def _twelve(months: tuple[str, ...]) -> tuple[bool, ...]:
    return tuple(month in months for month in MONTHS)


def _still(farm: Farm, first: date, end: date) -> Iterator[Still]:
    for shut in sorted(farm.shut, key=lambda shut: (shut.first, shut.end, shut.name)):
        if shut.first < end and shut.end >= first:
            yield Still(shut.name, shut.first.isoformat(), shut.end.isoformat(), shut.stops)
