"""Things that wait without a place of their own: ripe lots, and picked mushrooms until they are packed."""

from __future__ import annotations

from farmsim.model.desk import Desk
from farmsim.model.heaps import Picked, Ripe, Unpacked
from farmsim.model.lot import Lot
from farmsim.model.place import Place, Stay
from farmsim.model.places import Places
from farmsim.record.journal import Journal
from farmsim.record.names import Names


def lot(key: str, ripe_at: float, blocks: int = 8, called: bool = False) -> Lot:
    one = Lot(key, 0.0, (), "A", "oyster", 0, 0)
    one.ripe_at, one.blocks = ripe_at, blocks
    if called:
        one.stays["booked"] = Stay(Place("Shed", 0, 99_000), blocks * 1000, 0.0, 0.0)
    return one


def test_ripe_lots_are_told_longest_first_those_called_to_a_room_last() -> None:
    ripe = Ripe(["oyster"], Places(Desk(), Journal(Names())))
    for each in (lot("b", 5.0), lot("called", 1.0, called=True), lot("a", 5.0), lot("old", 2.0)):
        ripe.add(each)
    assert [each.key for each in ripe.oldest_first("oyster")] == ["old", "a", "b", "called"]


def test_free_blocks_are_those_not_called_yet_counted_again_when_somebody_moved() -> None:
    ripe, one = Ripe(["oyster"], Places(Desk(), Journal(Names()))), lot("a", 1.0)
    for each in (one, lot("b", 2.0, blocks=5), lot("c", 3.0, called=True)):
        ripe.add(each)
    assert ripe.free_blocks("oyster", moves=1) == 13
    one.blocks = 6
    ripe.count_again("oyster")
    assert ripe.free_blocks("oyster", moves=1) == 11
    ripe.remove(one)
    assert ripe.free_blocks("oyster", moves=1) == 5


def test_what_comes_in_first_is_packed_first_and_rounds_of_one_instant_lie_in_the_order_of_their_strains() -> None:
    told = []
    rounds = [Picked("oyster", 7.0, 2.0, 0.0), Picked("shiitake", 7.0, 1.0, 0.0), Picked("chestnut", 7.0, 1.0, 0.0)]
    for order in (rounds, rounds[::-1]):
        heap = Unpacked()
        heap.add(Picked("shiitake", 6.0, 1.0, 0.0))
        for each in order:
            heap.add(each)
        told.append([(each.picked, each.strain) for each in heap.waiting])
    assert told[0] == told[1] == [(6.0, "shiitake"), (7.0, "chestnut"), (7.0, "oyster"), (7.0, "shiitake")]


def test_what_is_taken_together_was_picked_when_the_first_of_it_was() -> None:
    heap = Unpacked()
    for each in (Picked("oyster", 6.0, 2.0, 1.0), Picked("other", 6.5, 9.0, 0.0), Picked("oyster", 7.0, 4.0, 0.0)):
        heap.add(each)
    taken, hours = heap.take("oyster", pace=1.0, hours=5.0)
    assert (taken.told(), hours) == (("oyster", 6.0, 4.0, 1.0), 5.0)
    assert [each.told() for each in heap.waiting] == [("other", 6.5, 9.0, 0.0), ("oyster", 7.0, 2.0, 0.0)]
