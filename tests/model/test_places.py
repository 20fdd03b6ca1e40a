"""Counted places: who holds how many, who waits, and in which order they are given."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from farmsim.model.desk import Desk
from farmsim.model.lot import Memory, Traveller
from farmsim.model.place import Gate, Need, Request, thousandths
from farmsim.model.places import Places
from farmsim.record.journal import Journal
from farmsim.record.names import Names

NEVER = float("inf")


Rule = Callable[[float], float]


class Yard:
    """Places without a farm round them; lots are called by name, and `log` says who came where when."""

    def __init__(self, **sizes: float) -> None:
        self.desk = Desk()
        self.journal = Journal(Names(places=tuple((name, "racks", "blocks") for name in sizes)))
        self.places = Places(self.desk, self.journal)
        self.place = {name: self.places.add(name, holds) for name, holds in sizes.items()}
        self.lots: dict[str, Traveller] = {}
        self.log: list[tuple[float, str]] = []

    def at(self, when: float, call: Callable[[], object]) -> None:
        """Let something happen at an hour."""
        self.desk.at(when, lambda: (call(), None)[1])

    def lot(self, key: str, rank: int = 0, started: float = 0.0) -> Traveller:
        lot = self.lots.setdefault(key, Traveller(key, started, len(self.lots)))
        lot.rank = rank or lot.rank
        return lot

    def asks(self, when: float, key: str, *needs: tuple[str, float], **how: object) -> None:
        """At `when` the lot asks for so many in each of some places; "a|b" is either of two."""
        self.at(when, lambda: self._ask(key, needs, **how))

    def _ask(
        self,
        key: str,
        needs: tuple[tuple[str, float], ...],
        gate: Rule | None = None,
        group: str = "",
        rank: int = 0,
        started: float = 0.0,
    ) -> None:
        lot = self.lot(key, rank, started)
        wanted = [
            Need(names, tuple(self.place[name] for name in names.split("|")), thousandths(amount))
            for names, amount in needs
        ]
        request = self.places.ask(lot, *wanted, gate=None if gate is None else Gate(gate), group=group)
        if request is None:
            self._came(lot)
        else:
            request.then = lambda: self._came(lot)

    def _came(self, lot: Traveller) -> None:
        where = " and ".join(f"{stay.amount / 1000:g} in {stay.place.name}" for stay in lot.stays.values())
        self.log.append((self.desk.now, f"{lot.key} has {where or 'nothing'}"))

    def leaves(self, when: float, key: str, *purposes: str) -> None:
        def leave() -> None:
            for purpose in purposes or tuple(self.lots[key].stays):
                self.places.leave(self.lots[key], purpose)

        self.at(when, leave)

    def run(self, until: float = 100.0) -> list[tuple[float, str]]:
        self.desk.run(until=until)
        return self.log


def test_places_are_counted_in_whole_thousandths() -> None:
    assert [thousandths(count) for count in (1.0, 0.6, 0.1 + 0.2, 2 / 3, 1e-3)] == [1000, 600, 300, 667, 1]
    yard = Yard(cooler=1.0)
    for number in range(10):
        yard.asks(0.0, f"parcel {number}", ("cooler", 0.1))
    yard.run(1.0)
    assert yard.place["cooler"].used == 1000  # ten tenths fill it to the brim: in floats they would not
    assert yard.place["cooler"].room == 0


def test_a_lot_gets_several_places_at_once_or_none_of_them() -> None:
    yard = Yard(bench=1, shelf=8)
    yard.asks(0.0, "there", ("shelf", 8))
    yard.asks(1.0, "lot", ("bench", 1), ("shelf", 8))
    yard.asks(2.0, "other", ("bench", 1))  # the bench is free, but the lot is before it
    yard.leaves(3.0, "there")
    yard.leaves(5.0, "lot", "bench")
    assert yard.run() == [
        (0.0, "there has 8 in shelf"),
        (3.0, "lot has 1 in bench and 8 in shelf"),
        (5.0, "other has 1 in bench"),
    ]
    assert yard.place["shelf"].used == 8000


def test_of_alternatives_the_one_with_most_room_is_taken_and_the_first_of_equals() -> None:
    yard = Yard(North=16, East=24, South=24)
    for number, key in enumerate("abcde"):
        yard.asks(float(number), key, ("North|East|South", 8))
    assert yard.run() == [
        (0.0, "a has 8 in East"),
        (1.0, "b has 8 in South"),
        (2.0, "c has 8 in North"),
        (3.0, "d has 8 in East"),
        (4.0, "e has 8 in South"),
    ]


def test_alternatives_are_chosen_by_room_after_a_wait_too() -> None:
    yard = Yard(North=8, East=16)
    yard.asks(0.0, "there", ("North", 8))
    yard.asks(0.0, "here", ("East", 16))
    yard.asks(1.0, "lot", ("North|East", 8))
    yard.leaves(2.0, "there")
    yard.leaves(2.0, "here")
    assert yard.run()[-1] == (2.0, "lot has 8 in East")


def test_a_lot_is_not_sent_elsewhere_because_somebody_is_held_by_a_rule_where_there_is_more_room() -> None:
    yard = Yard(small=5, big=9)
    yard.asks(0.0, "held", ("big", 1), gate=closed_until(50.0), group="other")
    yard.asks(1.0, "lot", ("small|big", 3))
    assert yard.run(10.0) == [(1.0, "lot has 3 in big")]


def test_a_lot_is_never_split_over_places() -> None:
    yard = Yard(North=5, East=5)
    yard.asks(0.0, "lot", ("North|East", 8))
    assert yard.run() == []


def test_nobody_is_overtaken_even_by_a_lot_that_would_fit() -> None:
    yard = Yard(rack=10)
    yard.asks(0.0, "there", ("rack", 6))
    yard.asks(1.0, "large", ("rack", 8))
    yard.asks(2.0, "small", ("rack", 2))
    yard.leaves(3.0, "there")
    assert yard.run() == [(0.0, "there has 6 in rack"), (3.0, "large has 8 in rack"), (3.0, "small has 2 in rack")]


def test_who_waits_for_either_of_two_places_does_not_hold_up_the_one_where_it_is_not_next() -> None:
    yard = Yard(North=8, East=8)
    for key, place in (("n", "North"), ("e", "East")):
        yard.asks(0.0, key, (place, 8))
    yard.asks(1.0, "first", ("North", 8))
    yard.asks(2.0, "second", ("North|East", 8))
    yard.asks(3.0, "third", ("East", 8))
    yard.leaves(4.0, "e")
    yard.leaves(5.0, "n")
    assert yard.run()[2:] == [(4.0, "second has 8 in East"), (5.0, "first has 8 in North")]


def closed_until(opens: float, asked: list[float] | None = None) -> Rule:
    """A rule that holds lots back until an hour; `asked` notes when it was asked."""

    def gate(now: float) -> float:
        if asked is not None:
            asked.append(now)
        return max(now, opens)

    return gate


def test_those_held_by_a_rule_are_passed_those_that_find_no_room_are_not() -> None:
    yard = Yard(shelf=8)
    yard.asks(0.0, "held", ("shelf", 8), gate=closed_until(9.0), group="shiitake")
    yard.asks(1.0, "free", ("shelf", 8), group="oyster")
    yard.leaves(20.0, "free")
    assert yard.run() == [(1.0, "free has 8 in shelf"), (20.0, "held has 8 in shelf")]


def test_a_rule_is_asked_again_at_the_hour_it_named() -> None:
    yard, asked = Yard(shelf=8), []
    yard.asks(0.0, "held", ("shelf", 8), gate=closed_until(9.0, asked), group="shiitake")
    assert yard.run() == [(9.0, "held has 8 in shelf")]
    assert sorted(set(asked)) == [0.0, 9.0]


def test_a_rule_is_not_asked_before_the_hour_it_named_unless_hours_hold_no_longer() -> None:
    yard, asked, opens = Yard(shelf=8), [], [9.0]

    def gate(now: float) -> float:
        asked.append(now)
        return max(now, opens[0])

    yard.asks(0.0, "held", ("shelf", 8), gate=gate, group="shiitake")
    for hour in (1.0, 2.0):
        yard.at(hour, lambda: yard.places.touch(yard.place["shelf"]))
    yard.at(3.0, lambda: opens.__setitem__(0, 0.0))
    yard.at(4.0, yard.places.forget_hours)
    yard.at(5.0, lambda: yard.places.touch(yard.place["shelf"]))
    assert yard.run() == [(5.0, "held has 8 in shelf")]
    assert sorted(set(asked)) == [0.0, 5.0]


def test_a_rule_that_says_never_is_asked_again_only_when_told_so_and_the_place_is_looked_at() -> None:
    yard, said = Yard(shelf=8), [NEVER]
    yard.asks(0.0, "held", ("shelf", 8), gate=lambda now: said[0], group="shiitake")
    yard.at(3.0, lambda: said.__setitem__(0, 0.0))
    yard.at(5.0, lambda: yard.places.touch(yard.place["shelf"]))
    yard.at(6.0, lambda: yard.places.look_again("shiitake"))
    yard.at(7.0, lambda: yard.places.touch(yard.place["shelf"]))
    assert yard.run() == [(7.0, "held has 8 in shelf")]


def test_a_rule_that_holds_one_group_for_ever_does_not_hold_the_others() -> None:
    yard = Yard(shelf=8, bench=1)
    yard.asks(0.0, "held", ("shelf", 8), gate=lambda now: NEVER, group="shiitake")
    yard.asks(1.0, "other", ("shelf", 8), group="oyster")
    yard.asks(2.0, "third", ("bench", 1))
    assert yard.run() == [(1.0, "other has 8 in shelf"), (2.0, "third has 1 in bench")]


def test_a_lot_that_another_rule_holds_from_now_on_keeps_its_turn() -> None:
    yard, told = Yard(shelf=8), [NEVER]
    yard.asks(0.0, "first", ("shelf", 8), gate=lambda now: NEVER, group="shiitake")
    yard.asks(1.0, "second", ("shelf", 8), gate=lambda now: told[0], group="shiitake")
    yard.asks(2.0, "third", ("shelf", 8), gate=lambda now: 0.0 if now > 5.0 else 6.0, group="oyster")
    yard.at(6.0, lambda: told.__setitem__(0, 0.0))
    yard.at(6.0, lambda: yard.places.regroup(yard.lots["second"], "overripe shiitake"))
    assert yard.run() == [(6.0, "second has 8 in shelf")]


def test_who_is_held_by_a_rule_needs_a_group() -> None:
    yard = Yard(shelf=8)
    with pytest.raises(ValueError, match="a is held by a rule, so it needs a group"):
        yard.places.ask(yard.lot("a"), Need("shelf", (yard.place["shelf"],), 8000), gate=Gate(lambda now: NEVER))


def test_when_the_first_of_a_group_is_held_all_of_it_is() -> None:
    yard, asked = Yard(shelf=24), []
    yard.asks(0.0, "first", ("shelf", 8), gate=closed_until(9.0), group="shiitake")
    yard.asks(1.0, "second", ("shelf", 8), gate=closed_until(0.0, asked), group="shiitake")
    yard.asks(2.0, "other", ("shelf", 8), group="oyster")
    assert yard.run() == [(2.0, "other has 8 in shelf"), (9.0, "first has 8 in shelf"), (9.0, "second has 8 in shelf")]


def test_groups_take_turns_by_who_is_first_in_them() -> None:
    yard = Yard(shelf=8)
    yard.asks(0.0, "there", ("shelf", 8))
    yard.asks(1.0, "oyster 1", ("shelf", 8), group="oyster")
    yard.asks(2.0, "shiitake 1", ("shelf", 8), group="shiitake")
    yard.asks(3.0, "oyster 2", ("shelf", 8), group="oyster")
    for when, key in ((4.0, "there"), (5.0, "oyster 1"), (6.0, "shiitake 1")):
        yard.leaves(when, key)
    assert [text.split(" has")[0] for _, text in yard.run()] == ["there", "oyster 1", "shiitake 1", "oyster 2"]


def test_part_of_a_stay_is_given_back_and_goes_to_the_next_at_once() -> None:
    yard = Yard(rack=8)
    yard.asks(0.0, "lot", ("rack", 8))
    yard.asks(1.0, "next", ("rack", 3))
    yard.at(2.0, lambda: yard.places.give_back(yard.lots["lot"], "rack", 2000))
    yard.at(3.0, lambda: yard.places.give_back(yard.lots["lot"], "rack", 1000))
    yard.leaves(4.0, "lot")
    assert yard.run() == [(0.0, "lot has 8 in rack"), (3.0, "next has 3 in rack")]
    assert rows(yard, "freed") == [(0, 0, 2.0, 2000), (0, 0, 3.0, 1000)]


def rows(yard: Yard, table: str) -> list[tuple[float, ...]]:
    columns = yard.journal.columns()[table]
    return list(zip(*(column.tolist() for column in columns.values()), strict=True))


def test_a_stay_is_written_down_when_it_ends_with_what_was_left_of_it() -> None:
    yard = Yard(rack=8)
    yard.asks(0.0, "there", ("rack", 8))
    yard.asks(1.0, "lot", ("rack", 8))
    yard.leaves(3.0, "there")
    yard.at(5.0, lambda: yard.places.give_back(yard.lots["lot"], "rack", 3000))
    yard.at(6.0, lambda: yard.places.ready(yard.lots["lot"], "rack"))
    yard.leaves(8.0, "lot")
    yard.run()
    assert rows(yard, "stays") == [(0, 0, 0, 8000, 0.0, 0.0, 3.0, 3.0), (1, 0, 0, 5000, 1.0, 3.0, 6.0, 8.0)]


def test_a_load_hands_its_places_over_to_its_lots_and_nobody_comes_between() -> None:
    yard = Yard(floor=16)
    yard.asks(0.0, "load", ("floor", 16))
    yard.asks(1.0, "next", ("floor", 16))
    for key in ("a", "b"):
        yard.at(2.0, lambda key=key: yard.places.hand_over(yard.lots["load"], yard.lot(key), "floor", 8000))
    yard.leaves(3.0, "a")
    yard.leaves(4.0, "b")
    assert yard.run() == [(0.0, "load has 16 in floor"), (4.0, "next has 16 in floor")]


def test_a_place_that_shrinks_keeps_who_is_there_and_takes_nobody_until_there_is_room() -> None:
    yard = Yard(rack=16)
    yard.asks(0.0, "a", ("rack", 8))
    yard.asks(0.0, "b", ("rack", 8))
    yard.at(1.0, lambda: yard.places.resize(yard.place["rack"], 8))
    yard.asks(2.0, "c", ("rack", 8))
    yard.leaves(3.0, "a")
    yard.leaves(4.0, "b")
    assert yard.run(3.5) == [(0.0, "a has 8 in rack"), (0.0, "b has 8 in rack")]
    assert yard.place["rack"].room == 0
    assert yard.run()[2:] == [(4.0, "c has 8 in rack")]


def test_a_place_that_grows_is_given_in_that_instant() -> None:
    yard = Yard(rack=8)
    yard.asks(0.0, "a", ("rack", 8))
    yard.asks(1.0, "b", ("rack", 8))
    yard.at(2.0, lambda: yard.places.resize(yard.place["rack"], 16))
    assert yard.run()[1:] == [(2.0, "b has 8 in rack")]


def test_a_closed_place_takes_nothing_in() -> None:
    yard = Yard(North=8, East=8)

    def set_closed(closed: bool) -> None:
        yard.place["North"].closed = closed
        yard.places.touch(yard.place["North"])

    yard.at(0.0, lambda: set_closed(True))
    yard.asks(1.0, "a", ("North|East", 8))
    yard.asks(2.0, "b", ("North|East", 8))
    yard.at(5.0, lambda: set_closed(False))
    assert yard.run() == [(1.0, "a has 8 in East"), (5.0, "b has 8 in North")]


def test_who_gives_up_leaves_every_queue_and_lets_the_next_one_in() -> None:
    yard = Yard(bench=1, shelf=8)
    yard.asks(0.0, "there", ("shelf", 8))
    yard.asks(1.0, "sold", ("bench", 1), ("shelf", 8))
    yard.asks(2.0, "next", ("bench", 1))
    yard.at(4.0, lambda: yard.places.give_up(yard.lots["sold"]))
    assert yard.run() == [(0.0, "there has 8 in shelf"), (4.0, "sold has nothing"), (4.0, "next has 1 in bench")]
    assert rows(yard, "waits") == [(1, 0, 0, 1.0, 4.0)]


def test_giving_up_a_wish_nobody_has_does_nothing() -> None:
    yard = Yard(rack=8)
    yard.places.give_up(yard.lot("a"))
    yard.run()
    assert rows(yard, "waits") == []


def test_a_lot_that_became_smaller_while_it_waited_asks_for_less() -> None:
    yard = Yard(rack=8)
    yard.asks(0.0, "there", ("rack", 3))
    yard.asks(1.0, "lot", ("rack", 8))
    yard.at(2.0, lambda: yard.places.shrink(yard.lots["lot"], "rack", 5000))
    assert yard.run()[1:] == [(2.0, "lot has 5 in rack")]


def turned(yard: Yard, key: str, purpose: str, *names: str) -> Callable[[], None]:
    return lambda: yard.places.turn_to(yard.lots[key], purpose, tuple(yard.place[name] for name in names))


def test_a_waiting_lot_is_turned_to_other_places_and_waits_for_the_old_one_no_more() -> None:
    yard = Yard(North=8, East=8)
    yard.asks(0.0, "there", ("North", 8))
    yard.asks(1.0, "a", ("North", 8))
    yard.asks(2.0, "b", ("North", 8))
    yard.at(3.0, turned(yard, "a", "North", "North", "East"))
    yard.leaves(4.0, "there")
    assert yard.run() == [(0.0, "there has 8 in North"), (3.0, "a has 8 in East"), (4.0, "b has 8 in North")]


def test_a_lot_turned_to_another_place_keeps_its_turn() -> None:
    yard = Yard(North=8, East=8)
    for key, place in (("n", "North"), ("e", "East")):
        yard.asks(0.0, key, (place, 8))
    yard.asks(1.0, "first", ("North", 8))
    yard.asks(2.0, "second", ("East", 8))
    yard.at(3.0, turned(yard, "first", "North", "East"))
    yard.leaves(4.0, "n")
    yard.leaves(5.0, "e")
    yard.leaves(6.0, "first")
    assert yard.run()[2:] == [(5.0, "first has 8 in East"), (6.0, "second has 8 in East")]


def test_a_lot_turned_to_nothing_waits_until_it_is_turned_to_something() -> None:
    yard = Yard(North=8)
    yard.asks(0.0, "there", ("North", 8))
    yard.asks(1.0, "a", ("North", 8))
    yard.at(2.0, turned(yard, "a", "North"))
    yard.leaves(3.0, "there")
    yard.at(9.0, turned(yard, "a", "North", "North"))
    assert yard.run()[1:] == [(9.0, "a has 8 in North")]


def order(*asking: tuple[str, dict[str, float], float]) -> list[str]:
    """In which order lots get the one place, given (key, rank and started, hour of asking)."""
    yard = Yard(rack=1)
    yard.asks(0.0, "there", ("rack", 1))
    for key, how, when in asking:
        yard.asks(when, key, ("rack", 1), **how)
    for hour in range(50, 50 + len(asking)):
        yard.at(float(hour), lambda: [yard.places.leave(lot, "rack") for lot in yard.lots.values() if lot.stays])
    return [text.split(" has")[0] for _, text in yard.run()[1:]]


def test_a_later_step_goes_first() -> None:
    assert order(("early", {"rank": 3}, 1.0), ("late", {"rank": 7}, 2.0)) == ["late", "early"]


def test_within_a_step_who_has_waited_longest_goes_first() -> None:
    assert order(("a", {"started": 0.0}, 2.0), ("b", {"started": -9.0}, 3.0), ("c", {"started": 5.0}, 1.0)) == [
        "c",
        "a",
        "b",
    ]


def test_of_those_who_have_waited_equally_long_the_one_started_earlier_goes_first() -> None:
    assert order(("a", {"started": -1.0}, 2.0), ("b", {"started": -9.0}, 2.0)) == ["b", "a"]


def test_the_key_decides_the_rest_whoever_was_inserted_first() -> None:
    assert order(("b", {}, 2.0), ("a", {}, 2.0)) == ["a", "b"]
    assert order(("a", {}, 2.0), ("b", {}, 2.0)) == ["a", "b"]


def test_places_further_down_the_farm_are_given_first() -> None:
    yard = Yard(rack=8, shelf=8)
    yard.asks(0.0, "a", ("rack", 8))
    yard.asks(0.0, "b", ("shelf", 8))
    for key, place in (("c", "rack"), ("d", "shelf")):
        yard.asks(1.0, key, (place, 8))
    yard.leaves(2.0, "a")
    yard.leaves(2.0, "b")
    assert yard.run()[2:] == [(2.0, "d has 8 in shelf"), (2.0, "c has 8 in rack")]


def test_a_standing_lot_that_asks_again_keeps_the_hour_at_which_it_asked() -> None:
    yard = Yard(rack=8)
    yard.asks(0.0, "there", ("rack", 8))
    yard.asks(1.0, "a", ("rack", 8))
    yard.lot("b").memory = Memory(asked=-5.0)
    yard.asks(2.0, "b", ("rack", 8))
    yard.leaves(3.0, "there")
    assert yard.run()[1:] == [(3.0, "b has 8 in rack")]


def test_who_waits_is_told_in_turn() -> None:
    yard = Yard(rack=8)
    yard.asks(0.0, "there", ("rack", 8))
    yard.asks(1.0, "b", ("rack", 8), group="oyster")
    yard.asks(1.0, "a", ("rack", 8), group="shiitake")
    yard.run(2.0)
    waiting: list[Request] = list(yard.place["rack"].queue)
    assert [request.lot.key for request in waiting] == ["a", "b"]
    assert repr(yard.place["rack"]) == "<rack: 8 of 8 used, 2 waiting>"


def test_moves_are_counted_whenever_somebody_comes_or_leaves() -> None:
    yard = Yard(rack=8)
    moves = yard.place["rack"].moves
    before = moves.count
    yard.asks(0.0, "a", ("rack", 8))
    yard.run(1.0)
    came = moves.count
    yard.leaves(2.0, "a")
    yard.run(3.0)
    assert before < came < moves.count
