"""Money that is written in another currency than the farm's: it is never exchanged, so it is a fault wherever it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from farmsim.errors import Fault
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import Figure
from farmsim.scenario.lines import Table
from farmsim.scenario.part import Part
from farmsim.units import CURRENCIES, SPOKEN, is_money_of

Path = tuple[str | int, ...]
MONEY = "currency"


def foreign_money(table: Table) -> list[Fault]:
    """Every figure declared as money that is not of the farm's currency."""
    about = table.get("farm")
    currency = about.get("currency", "USD") if isinstance(about, Table) else "USD"
    if currency not in CURRENCIES:
        return []
    return [
        Fault(path, f'is "{text}"', f"needs money in {currency}", f'Write it like "{_like(figure, str(currency))}".')
        for path, figure, text in _money(Farm, table, ())
        if not is_money_of(text, str(currency))
    ]


def _like(figure: Figure, currency: str) -> str:
    return SPOKEN[figure.unit].metric.replace("EUR", currency)


def _money(part: type[Part], table: object, path: Path) -> Iterator[tuple[Path, Figure, str]]:
    """Every money figure that is written in a table and the tables in it: where, its declaration, and the text."""
    if not isinstance(table, Mapping):
        return
    for figure in part.figures.values():
        here, value = (*path, figure.name), table.get(figure.name)
        if figure.part is not None:
            for inside, inner in _inner(figure, value, here):
                yield from _money(figure.part, inner, inside)
        elif figure.unit.partition("/")[0] == MONEY:
            yield from ((where, figure, text) for where, text in _texts(value, here))


def _inner(figure: Figure, value: object, path: Path) -> Iterator[tuple[Path, object]]:
    """The tables of a figure that is made of figures."""
    if figure.how == "many" and isinstance(value, list):
        yield from (((*path, at), item) for at, item in enumerate(value))
    elif figure.how == "named" and isinstance(value, Mapping):
        yield from (((*path, name), item) for name, item in value.items())
    else:
        yield path, value


def _texts(value: object, path: Path) -> Iterator[tuple[Path, str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, Mapping):
        yield from (((*path, name), text) for name, text in value.items() if isinstance(text, str))
