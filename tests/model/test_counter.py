"""The sales counter: what is due in an instant is served after the places, in the house's order, before the people."""

from __future__ import annotations

from farmsim.model.counter import Counter
from farmsim.model.desk import Desk, Part


def part(desk: Desk, name: str, log: list[str]) -> Part:
    """A part of the desk that writes down when it settles."""
    joined = Part(lambda: log.append(name))
    desk.join(joined)
    return joined


def test_what_is_due_is_served_in_turn_between_places_and_people() -> None:
    desk, log = Desk(), []
    places = part(desk, "places", log)
    counter = Counter(desk)
    people = part(desk, "people", log)

    def due(name: str, *turn: float) -> None:
        counter.due(turn, lambda: log.append(name))

    desk.at(1.0, lambda: desk.mark(people))
    desk.at(1.0, lambda: due("outlet", 1.0))
    desk.at(1.0, lambda: due("second", 0.0, 2.0))
    desk.at(1.0, lambda: due("first", 0.0, 1.0))
    desk.at(1.0, lambda: desk.mark(places))
    desk.at(1.0, lambda: due("throw out", -1.0))
    desk.run(until=2.0)
    assert log == ["places", "throw out", "first", "second", "outlet", "people"]


def test_each_is_served_once() -> None:
    desk, log = Desk(), []
    counter = Counter(desk)
    for when in (1.0, 2.0):
        desk.at(when, lambda: counter.due((0.0,), lambda: log.append(desk.now)))
    desk.run(until=3.0)
    assert log == [1.0, 2.0]
