"""Values as they are spoken, in the farm's choice of units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farmsim import units
from farmsim.scenario.values import Range, Shift
from farmsim.scenario.vary import Between, Fixed, MeanCv, Measured, RangeMean, Triangular, Vary


def joined(pieces: Sequence[str]) -> str:
    """Pieces as a spoken list: a, b and c."""
    return " and ".join(piece for piece in (", ".join(pieces[:-1]), *pieces[-1:]) if piece)


@dataclass(frozen=True, slots=True)
class Say:
    """How this farm says its values."""

    system: units.System
    currency: str

    def amount(self, value: float, unit: str) -> str:
        """A value of a declared unit: 18 lb/h, 36 h, 4 %."""
        return units.show(value, unit, self.system, self.currency)

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
