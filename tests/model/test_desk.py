"""The order within an instant: what happens, places until nothing moves, then people; again if things move."""

from __future__ import annotations

from collections.abc import Callable, Generator

import pytest
from simpy.events import Event

from farmsim.model.calendar import Always
from farmsim.model.crew import People
from farmsim.model.desk import Desk, Part
from farmsim.model.lot import Traveller
from farmsim.model.place import Gate, Need, Request
from farmsim.model.places import Places
from farmsim.record.journal import Journal
from farmsim.record.names import Names


class Told:
    """A part of the desk that writes down when it settles, and does something then."""

    def __init__(self, desk: Desk, name: str, log: list[tuple[float, str]]) -> None:
        self.desk, self.name, self.log = desk, name, log
        self.then: list[Callable[[], None]] = []
        self.part = Part(self.settle)
        desk.join(self.part)

    def settle(self) -> None:
        self.log.append((self.desk.now, self.name))
        if self.then:
            self.then.pop(0)()


def parts(*names: str) -> tuple[Desk, list[tuple[float, str]], list[Told]]:
    desk, log = Desk(), []
    return desk, log, [Told(desk, name, log) for name in names]


def happens(desk: Desk, log: list[tuple[float, str]], name: str, *then: Told) -> Callable[[], None]:
    def call() -> None:
        log.append((desk.now, name))
        for part in then:
            desk.mark(part.part)

    return call


def test_first_what_happens_then_the_parts_in_the_order_in_which_they_joined() -> None:
    desk, log, (places, people) = parts("places", "people")
    desk.at(1.0, happens(desk, log, "a lot is ripe", people, places))
    desk.at(1.0, happens(desk, log, "a shift begins", people))
    desk.at(2.0, happens(desk, log, "later"))
    desk.run(until=3.0)
    assert log == [
        (1.0, "a lot is ripe"),
        (1.0, "a shift begins"),
        (1.0, "places"),
        (1.0, "people"),
        (2.0, "later"),
    ]


def test_places_settle_again_and_again_until_nothing_moves_and_only_then_people() -> None:
    desk, log, (places, people) = parts("places", "people")
    places.then = [lambda: desk.mark(places.part), lambda: desk.mark(places.part)]
    desk.at(1.0, happens(desk, log, "now", people, places))
    desk.run(until=2.0)
    assert log == [(1.0, "now"), (1.0, "places"), (1.0, "places"), (1.0, "places"), (1.0, "people")]


def test_what_people_make_happen_at_once_comes_before_places_and_people_look_again() -> None:
    desk, log, (places, people) = parts("places", "people")
    people.then = [lambda: desk.at(1.0, happens(desk, log, "a task of no time is over", people, places))]
    desk.at(1.0, happens(desk, log, "now", people))
    desk.run(until=2.0)
    assert log == [
        (1.0, "now"),
        (1.0, "people"),
        (1.0, "a task of no time is over"),
        (1.0, "places"),
        (1.0, "people"),
    ]


def test_what_places_make_happen_at_once_comes_before_people_are_sent() -> None:
    desk, log, (places, people) = parts("places", "people")
    places.then = [lambda: desk.at(1.0, happens(desk, log, "a lot comes in", people))]
    desk.at(1.0, happens(desk, log, "now", people, places))
    desk.run(until=2.0)
    assert log == [(1.0, "now"), (1.0, "places"), (1.0, "a lot comes in"), (1.0, "people")]


def test_the_last_instant_settles_before_the_run_ends() -> None:
    desk, log, (places,) = parts("places")
    desk.at(1.0, happens(desk, log, "now", places))
    desk.run(until=1.5)
    assert log == [(1.0, "now"), (1.0, "places")]


def test_a_part_with_nothing_to_settle_is_left_alone() -> None:
    desk, log, (places, _) = parts("places", "people")
    desk.at(1.0, happens(desk, log, "now", places))
    desk.run(until=2.0)
    assert log == [(1.0, "now"), (1.0, "places")]


def test_a_bell_in_the_past_is_refused() -> None:
    desk = Desk(start=5.0)
    with pytest.raises(ValueError, match=r"a bell at 4\.0 h cannot ring: it is 5\.0 h already"):
        desk.at(4.0, lambda: None)


def test_a_bell_for_this_very_instant_rings() -> None:
    desk, rung = Desk(start=5.0), []
    desk.at(5.0, lambda: rung.append(desk.now))
    desk.run(until=6.0)
    assert rung == [5.0]


def test_there_is_nothing_to_wait_for_when_the_hour_has_come() -> None:
    desk = Desk(start=5.0)
    assert desk.until(5.0) is None
    assert desk.until(4.0) is None
    assert desk.until(6.0) is not None


def test_the_desk_is_quiet_only_when_nothing_else_is_due() -> None:
    desk = Desk()
    said: dict[str, bool] = {}
    desk.at(1.0, lambda: said.update(another_bell_is_due=desk.quiet))
    desk.at(1.0, lambda: said.update(alone=desk.quiet))
    desk.at(2.0, lambda: said.update(later=desk.quiet))
    desk.run(until=3.0)
    assert said == {"another_bell_is_due": False, "alone": True, "later": True}


# --- places and people at the desk ----------------------------------------------------------------------------------


class Yard:
    """Two places, one after the other, with one person; lots wash, then dry, and write down what they do."""

    def __init__(self, wash: int = 1, dry: int = 1) -> None:
        self.desk = Desk()
        journal = Journal(Names())
        self.places = Places(self.desk, journal)
        self.people = People(self.desk, journal, ("wash", "dry"))
        self.people.add("washers", Always(), ("dry", "wash"))
        self.wash, self.dry = self.places.add("wash", wash), self.places.add("dry", dry)
        self.log: list[tuple[float, str]] = []

    def note(self, what: str) -> None:
        self.log.append((self.desk.now, what))

    def lot(self, key: str, comes: float, wash: float = 1.0, dry: float = 1.0) -> None:
        self.desk.process(self._life(Traveller(key, comes), comes, wash, dry))

    def _life(self, lot: Traveller, comes: float, wash: float, dry: float) -> Generator[Event, None, None]:
        if comes:
            yield self.desk.timeout(comes)
        for rank, (place, hours) in enumerate(((self.wash, wash), (self.dry, dry))):
            lot.rank = rank
            wait = self.places.ask(lot, Need(place.name, (place,), 1000))
            if wait is not None:
                yield self.desk.as_event(wait)
            if rank:
                self.places.leave(lot, "wash")
            self.note(f"{lot.key} in {place.name}")
            yield self.desk.as_event(self.people.do(lot, place.name, hours))
            self.note(f"{lot.key} {place.name} done")
        self.places.leave(lot, "dry")

    def run(self, until: float = 100.0) -> list[tuple[float, str]]:
        self.desk.run(until=until)
        return self.log


def two_lots() -> list[tuple[float, str]]:
    yard = Yard()
    yard.lot("a", 0.0)
    yard.lot("b", 0.0)
    return yard.run()


def test_a_freed_person_goes_where_the_lots_stand_after_they_have_moved() -> None:
    # Handed on at once, the person would see only b, which asked first, and never a, which is further on.
    assert two_lots() == [
        (0.0, "a in wash"),
        (1.0, "a wash done"),
        (1.0, "a in dry"),
        (1.0, "b in wash"),
        (2.0, "a dry done"),
        (3.0, "b wash done"),
        (3.0, "b in dry"),
        (4.0, "b dry done"),
    ]


def test_lots_inserted_in_reverse_tell_the_same_story() -> None:
    yard = Yard()
    yard.lot("b", 0.0)
    yard.lot("a", 0.0)
    assert yard.run() == two_lots()


def test_two_lots_that_wait_for_one_bell_are_both_looked_at() -> None:
    yard = Yard(wash=2, dry=2)
    yard.people.add("others", Always(), ("dry", "wash"))
    opens = 3.0
    for key in "ab":
        lot = Traveller(key, 0.0)
        request = yard.places.ask(
            lot, Need("wash", (yard.wash,), 1000), gate=Gate(lambda now: max(now, opens)), group="held"
        )
        assert request is not None
        request.then = lambda key=key: yard.note(f"{key} in wash")
    yard.lot("c", 1.0)
    assert yard.run() == [
        (1.0, "c in wash"),  # not held by the rule, so it passes those who are
        (2.0, "c wash done"),
        (2.0, "c in dry"),
        (3.0, "c dry done"),
        (3.0, "a in wash"),
        (3.0, "b in wash"),
    ]


def on_the_spot(yard: Yard, wanted: int = 1000) -> bool:
    """Whether a lot that asks in the instant of a bell gets its place before the desk settles."""
    answers: list[Request | None] = []
    yard.desk.at(1.0, lambda: answers.append(yard.places.ask(Traveller("a", 0.0), _wash(yard, wanted))))
    yard.desk.run(until=0.5)
    yard.desk.run(until=2.0)
    return answers == [None]


def _wash(yard: Yard, amount: int) -> Need:
    return Need("wash", (yard.wash,), amount)


def test_a_request_is_granted_on_the_spot_when_nobody_waits_and_nothing_else_is_due() -> None:
    assert on_the_spot(Yard())


def test_a_request_is_not_granted_on_the_spot_while_something_else_is_due() -> None:
    yard = Yard()
    yard.desk.at(0.0, lambda: yard.desk.at(1.0, lambda: None))  # rings after the lot has asked
    assert not on_the_spot(yard)


def test_a_request_is_not_granted_on_the_spot_while_somebody_waits() -> None:
    yard = Yard(wash=2)
    yard.places.ask(Traveller("there", 0.0), _wash(yard, 1000))
    yard.places.ask(Traveller("large", 0.0), _wash(yard, 2000))
    assert not on_the_spot(yard)


def test_a_request_is_not_granted_on_the_spot_while_places_have_to_settle() -> None:
    yard = Yard()
    yard.desk.at(1.0, lambda: yard.desk.mark(yard.places))
    assert not on_the_spot(yard)


def test_people_to_be_sent_do_not_keep_a_place_back_as_they_are_sent_after_the_places_anyway() -> None:
    yard = Yard()
    yard.desk.at(1.0, lambda: yard.desk.mark(yard.people))
    assert on_the_spot(yard)


def test_a_request_is_not_granted_on_the_spot_while_a_rule_holds_the_lot() -> None:
    yard, came = Yard(), []

    def ask() -> None:
        request = yard.places.ask(Traveller("a", 0.0), _wash(yard, 1000), gate=Gate(lambda now: 4.0), group="held")
        assert request is not None
        request.then = lambda: came.append(yard.desk.now)

    yard.desk.at(1.0, ask)
    yard.desk.run(until=5.0)
    assert came == [4.0]


def test_of_two_lots_that_ask_in_one_instant_the_one_further_on_goes_first_whichever_asked_first() -> None:
    yard = Yard()
    came: list[str] = []

    def asks(key: str, rank: int) -> Callable[[], None]:
        def call() -> None:
            lot = Traveller(key, 0.0)
            lot.rank = rank
            request = yard.places.ask(lot, Need("wash", (yard.wash,), 1000))
            assert request is not None
            request.then = lambda: came.append(key)

        return call

    yard.desk.at(1.0, asks("new", 1))
    yard.desk.at(1.0, asks("old", 5))
    yard.desk.at(1.0, lambda: None)
    yard.desk.run(until=2.0)
    assert came == ["old"]
