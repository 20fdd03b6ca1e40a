"""Values as they are spoken, in the farm's choice of units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farmsim import units
from farmsim.scenario.forms import DAY_LIST, QUANTITY, ROTA, SHARES, WORD
from farmsim.scenario.price_form import PRICES
from farmsim.scenario.values import DAYS, PerWeek, Range, Shift
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular, Vary

if TYPE_CHECKING:
    from farmsim.scenario.fields import Figure


def joined(pieces: Sequence[str]) -> str:
    """Pieces as a spoken list: a, b and c."""
    return " and ".join(piece for piece in (", ".join(pieces[:-1]), *pieces[-1:]) if piece)


def days_said(days: Sequence[str]) -> str:
    """Days of the week as they are spoken: Mon to Fri; Tue and Fri."""
    at = [DAYS.index(day) for day in days]
    if len(at) == 7:
        return "every day"
    if len(at) > 2 and at == list(range(at[0], at[0] + len(at))):
        return f"{days[0].title()} to {days[-1].title()}"
    return joined([day.title() for day in days])


def _listed(value: object) -> tuple[object, ...]:
    return value if isinstance(value, tuple) else (value,)


@dataclass(frozen=True, slots=True)
class Say:
    """How this farm says its values."""

    system: units.System
    currency: str

    def amount(self, value: float, unit: str) -> str:
        """A value of a declared unit: 18 lb/h, 36 h, 4 %."""
        return units.show(value, unit, self.system, self.currency)

    def money(self, value: float) -> str:
        """Money to the cent: $1,854.02, $160,000."""
        return units.show(round(value, 2), "currency", self.system, self.currency, digits=14)

    def plain(self, value: float, unit: str) -> tuple[float, str]:
        """A value as a bare number and the unit it is shown in: (470.0, "lb")."""
        number, _, rest = units.show(value, unit, self.system, self.currency, digits=15).partition(" ")
        return float(number.replace(",", "")), rest

    def clock(self, hour: float) -> str:
        """A time of day: 08:30."""
        return units.show_clock(hour)

    def shift(self, shift: Shift) -> str:
        """A shift: 06:00 to 14:00."""
        return f"{self.clock(shift.start)} to {self.clock(shift.end)}"

    def range(self, range_: Range, unit: str) -> str:
        """A range: 54 to 62 degF."""
        return self.between(range_.low, range_.high, unit)

    def between(self, low: float, high: float, unit: str) -> str:
        """Two values of one unit: 12 to 18 d."""
        first, last = self.amount(low, unit), self.amount(high, unit)
        number, _, rest = first.partition(" ")
        return f"{number} to {last}" if last.endswith(f" {rest}") else f"{first} to {last}"

    def vary(self, vary: Vary, unit: str) -> str:
        """How something varies: 12 to 18 d, likeliest 14 d."""
        match vary:
            case Fixed():
                return self.amount(vary.value, unit)
            case Triangular():
                return f"{self.between(vary.low, vary.high, unit)}, likeliest {self.amount(vary.likely, unit)}"
            case Between():
                return f"{self.between(vary.low, vary.high, unit)} in {self.amount(vary.share, 'fraction')} of cases"
            case MeanCv():
                return f"{self.amount(vary.mean, unit)} on average, spread by {self.amount(vary.cv, 'fraction')}"
            case RangeMean():
                mean = self.between(vary.low, vary.high, unit)
                return f"{mean} on average (not known better), spread by {self.amount(vary.cv, 'fraction')}"
            case Measured():
                return f"{self.amount(vary.mean, unit)} on average, as in the {len(vary.values)} measured"

    def shifts(self, shifts: Mapping[str, Shift]) -> str:
        """Shifts with the days they are for, days of like shifts together; without days when all are alike."""
        days: dict[Shift, list[str]] = {}
        for day, shift in shifts.items():
            days.setdefault(shift, []).append(day)
        if len(days) == 1:
            return self.shift(next(iter(days)))
        return joined([f"{days_said(which)} {self.shift(shift)}" for shift, which in days.items()])

    def figure(self, figure: Figure, value: object) -> str:
        """The value of any figure, whatever its form: 16 d on average, spread by 13 %; 65/35 %; yes."""
        match value:
            case None:
                return "not given"
            case bool():
                return "yes" if value else "no"
            case Fixed() | Triangular() | Between() | MeanCv() | RangeMean() | Measured():
                return self.vary(value, figure.unit)
            case Range():
                return self.range(value, figure.unit)
            case PerWeek():
                return f"{value.days} days a week, days off in turn"
            case dict():
                return self._by_name(figure, value)
            case tuple():
                return self._list(figure, value)
            case int() | float() if figure.form in (QUANTITY, PRICES) and figure.unit:
                return self.amount(value, figure.unit)
        if figure.part is not None and not isinstance(value, str):
            return ", ".join(self._inner(each, getattr(value, name)) for name, each in figure.part.figures.items())
        return figure.form.say(value, figure.unit)

    def _by_name(self, figure: Figure, value: Mapping[str, object]) -> str:
        """Shifts by day, or amounts by strain."""
        shifts = {day: shift for day, shift in value.items() if isinstance(shift, Shift)}
        if shifts:
            days = f"{days_said(list(shifts))} " if len(set(shifts.values())) == 1 else ""
            return f"{days}{self.shifts(shifts)}"
        if figure.form.name == "amounts that vary by strain":
            return joined([f"{name} {self.figure(figure, much)}" for name, much in value.items()]) or "nothing"
        if figure.form.name == "strains by strain":
            each = [f"{', else '.join(map(str, _listed(others)))} for {name}" for name, others in value.items()]
            return joined(each) or "none"
        amounts = {name: much for name, much in value.items() if isinstance(much, int | float)}
        if figure.form.name == "amounts by name":
            return joined([f"{self.amount(much, figure.unit)} from {name}" for name, much in amounts.items()])
        return joined([f"{self.amount(much, figure.unit)} of {name}" for name, much in amounts.items()]) or "nothing"

    def _list(self, figure: Figure, value: tuple[object, ...]) -> str:
        if (
            figure.part is not None and figure.part.__str__ is object.__str__
        ):  # it has no short way of its own to be said
            parts = figure.part.figures.items()
            each = (", ".join(self._inner(one, getattr(item, name)) for name, one in parts) for item in value)
            return "; ".join(each) or "none"
        if figure.form is SHARES:
            return "/".join(f"{100 * part:.0f}" for part in value if isinstance(part, float)) + " %"
        if figure.form in (DAY_LIST, ROTA):
            return days_said([str(day) for day in value])
        return figure.form.say(value, figure.unit) or "none"

    def _inner(self, figure: Figure, value: object) -> str:
        """A figure among others of one table: words for themselves, numbers with what they are."""
        said = self.figure(figure, value)
        return said if figure.form is WORD else f"{figure.name.replace('_', ' ')} {said}"
