"""The sales counter: orders that come due in an instant are served after the places have settled, in the house's order."""

from __future__ import annotations

from collections.abc import Callable

from farmsim.model.desk import Desk, Part


class Counter(Part):
    """Everything that is due at this moment, served together. A part of the desk's instant, between places and people."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self._due: list[tuple[tuple[float, ...], Callable[[], None]]] = []
        desk.join(self)

    def due(self, turn: tuple[float, ...], serve: Callable[[], None]) -> None:
        """Something to serve in this instant; the smaller `turn` goes first."""
        self._due.append((turn, serve))
        self.desk.mark(self)

    def settle(self) -> None:
        """Serve what is due, in turn."""
        due, self._due = self._due, []
        due.sort(key=lambda line: line[0])
        for _, serve in due:
            serve()
