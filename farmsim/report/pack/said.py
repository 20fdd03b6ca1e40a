"""How the pack says money, years, ratios and weights: the same in every chapter."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from farmsim import units
from farmsim.report.books import Said
from farmsim.report.html import Column
from farmsim.report.words import Weights, about, day, plural, rounded_to, tidy
from farmsim.study.answers import FEWEST, Total
from farmsim.study.books_answers import Kept, YearTold
from farmsim.study.pack_answers import Buyer, Pack

BLANK = "________"
TO_WRITE = "____ (to be written by the farm)"
SIMPLE, TERM = "Simple debt-service coverage", "Term debt coverage"
CAPACITY = "Capital debt repayment capacity"
POOR = "in a poor year"
NONE = "-"


class Told(Said):
    """The money and the weights of a pack as it says them."""

    def __init__(self, pack: Pack) -> None:
        super().__init__(pack.currency)
        self.weights = Weights(pack.system)
        self.has_poor = pack.runs >= FEWEST
        self.unit = pack.currency

    def exact(self, value: float) -> str:
        """To the whole unit of money: $160,000."""
        return units.show(float(round(value)) + 0.0, "currency", currency=self.unit, digits=12)

    def bare(self, value: float) -> str:
        """To three of its digits, without its unit: 1,010,000."""
        return f"-{about(-value)}" if value < 0 else about(value)

    def poor(self, value: Total) -> str:
        """What a poor run has of it, behind a usual one's."""
        return f" ({self.money(value.low)} {POOR})" if self.has_poor else ""


def whole(value: float | None) -> str:
    """Money in a table, to its whole unit; a line where there is none."""
    if value is None or value != value:
        return NONE
    text = f"{value:,.0f}"
    return "0" if text == "-0" else text


def cents(value: float, currency: str) -> str:
    """Money in a table to the cent, all of its digits: 13,245.00; of a currency without cents to its whole unit."""
    text = f"{value:,.{0 if units.cents_of(currency) == 1 else 2}f}"
    return text.lstrip("-") if not float(text.replace(",", "")) else text


def ratio(value: float | None) -> str:
    """A ratio to two digits."""
    return NONE if value is None or value != value else f"{value:.2f}"


def percent(value: float | None) -> str:
    """A share to whole percent; above 100 as it is."""
    return NONE if value is None or value != value else f"{100 * value:.0f} %"


def usual(year: YearTold, line: str) -> float | None:
    """A usual run's figure of a year; None where a run has none."""
    found = year.lines.get(line)
    return None if found is None else found.usual


def poor(year: YearTold, line: str) -> float | None:
    """The figure of a poor run (1 in 10)."""
    found = year.lines.get(line)
    return None if found is None else found.low


def average(year: YearTold, line: str) -> float:
    """The average over runs; nothing where there is no such line."""
    found = year.lines.get(line)
    return 0.0 if found is None else found.mean.value


def day_of(written: str) -> str:
    """A written day as a date: 4 Jan 2027; what is no day stays as it is."""
    try:
        return day(date.fromisoformat(written))[4:]
    except ValueError:
        return tidy(written)


def year_columns(pack: Pack, books: Kept | None = None) -> list[Column]:
    """A column of money for each year of the books, with the day it ends."""
    years = (books or pack.expanded).years
    return [Column(f"Year {year.number}", f"to {day_of(year.last)}") for year in years]


def added_up(parts: Sequence[float], total: float) -> list[float]:
    """Parts rounded to whole units of money so that they add up to a total that is rounded already."""
    return [value + 0.0 for value in rounded_to(parts, total, 0)]


def of_sales(buyers: Sequence[Buyer]) -> list[float]:
    """What each customer is of all sales, in whole percent that add up as printed."""
    exact = [100 * each.share for each in buyers]
    return added_up(exact, float(round(sum(exact))))


def years_of(loan_years: float) -> str:
    """How long a loan runs: 10 years."""
    return plural(loan_years, "year")


def joined(pieces: Iterable[str]) -> str:
    """Sentences after one another, empty ones left out."""
    return " ".join(piece for piece in pieces if piece)
