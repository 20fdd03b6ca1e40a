"""Stock with dates: what dies first leaves first, nothing is lost or made on the way."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from farmsim.model.calendar import FOREVER
from farmsim.model.stock import Parcel, Stock


def stock(*parcels: tuple[str, float, float]) -> Stock:
    """Parcels as (key, kg, dies)."""
    filled = Stock()
    for key, kg, dies in parcels:
        filled.add(Parcel(key, kg, dies=dies))
    return filled


def taken(parts: list[tuple[Parcel, float]]) -> list[tuple[str, float]]:
    return [(parcel.key, kg) for parcel, kg in parts]


def test_what_dies_first_leaves_first_whenever_it_came() -> None:
    full = stock(("late", 5.0, 96.0), ("early", 2.0, 48.0), ("middle", 3.0, 72.0))
    assert taken(full.take(4.0)) == [("early", 2.0), ("middle", 2.0)]
    assert [(parcel.key, parcel.kg) for parcel in full] == [("middle", 1.0), ("late", 5.0)]


def test_parcels_of_one_date_leave_by_key_whichever_was_put_in_first() -> None:
    there, back = stock(("a", 1.0, 48.0), ("b", 1.0, 48.0)), stock(("b", 1.0, 48.0), ("a", 1.0, 48.0))
    assert taken(there.take(1.5)) == taken(back.take(1.5)) == [("a", 1.0), ("b", 0.5)]


def test_an_order_larger_than_the_stock_gets_what_there_is() -> None:
    full = stock(("a", 1.0, 48.0), ("b", 2.0, 72.0))
    assert taken(full.take(10.0)) == [("a", 1.0), ("b", 2.0)]
    assert full.level == 0.0 and len(full) == 0
    assert full.take(1.0) == []


def test_an_order_that_takes_a_parcel_whole_leaves_nothing_of_it() -> None:
    full = stock(("a", 1.0, 48.0), ("b", 2.0, 72.0))
    assert taken(full.take(1.0)) == [("a", 1.0)]
    assert [parcel.key for parcel in full] == ["b"]


def test_an_order_for_nothing_takes_nothing() -> None:
    full = stock(("a", 1.0, 48.0))
    assert full.take(0.0) == [] and full.level == 1.0


def test_a_parcel_is_past_its_date_from_that_moment_on() -> None:
    full = stock(("a", 1.0, 48.0), ("b", 2.0, 48.0), ("c", 2.0, 72.0))
    assert full.past(47.9) == []
    assert [parcel.key for parcel in full.past(48.0)] == ["a", "b"]
    assert full.level == 2.0 and full.first is not None and full.first.dies == 72.0


def test_stock_without_a_date_never_dies() -> None:
    full = stock(("a", 1.0, FOREVER))
    assert full.past(1e9) == [] and Stock().first is None


def test_a_parcel_that_stood_warm_moves_forward() -> None:
    full = stock(("a", 1.0, 48.0), ("b", 1.0, 72.0))
    warm = next(parcel for parcel in full if parcel.key == "b")
    full.redate(warm, 24.0)
    assert [parcel.key for parcel in full] == ["b", "a"] and full.first is not None and full.first.dies == 24.0


def test_a_parcel_of_less_than_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match=r"parcel a: -1.0 kg; a parcel holds 0 kg or more"):
        Parcel("a", -1.0)
    with pytest.raises(ValueError, match="holds 0 kg or more"):
        Parcel("a", float("nan"))


def test_a_parcel_tells_what_it_is() -> None:
    assert repr(Parcel("a", 1.5, dies=48.0)) == "<Parcel a: 1.5 kg until 48 h>"


amounts = some.integers(0, 40).map(lambda quarters: quarters / 4)


@given(some.lists(some.tuples(some.sampled_from(["in", "out", "past"]), amounts, some.integers(1, 9)), max_size=40))
def test_nothing_is_lost_made_or_sold_past_its_date(moves: list[tuple[str, float, int]]) -> None:
    full, came, gone = Stock(), 0.0, 0.0
    for now, (what, kg, days) in enumerate(moves):
        gone += sum(parcel.kg for parcel in full.past(now))
        if what == "in":
            full.add(Parcel(str(now), kg, picked=now, dies=now + days))
            came += kg
        elif what == "out":
            parts = full.take(kg)
            assert all(parcel.dies > now for parcel, _ in parts)
            assert sum(part for _, part in parts) <= kg
            gone += sum(part for _, part in parts)
        assert full.level >= 0.0 and came == gone + full.level
        dates = [parcel.dies for parcel in full]
        assert dates == sorted(dates)
