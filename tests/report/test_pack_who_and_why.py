"""What the pack says of who comes when and on which terms, and of what looks tight, with what was seen there."""

from __future__ import annotations

from dataclasses import replace

from pack_sample import pack
from test_lender_pack import text

from farmsim.report.document import Sheet
from farmsim.report.pack import capacity, harvest, time_line
from farmsim.study.answers import Place, Waits
from farmsim.study.pack_days import Arrival, Hired
from farmsim.study.tight import Seen

PACK = pack()


def test_who_is_hired_stands_with_the_time_line_and_who_begins_to_buy_with_the_customers() -> None:
    works, learns = "Mon to Fri, 07:00 to 10:00", "60 % in the first week"
    one = replace(
        PACK,
        hired=(
            Hired("2027-04-05", "helper", 1, 0, works, "$15/h", ""),
            Hired("2027-05-03", "pickers", 4, 3, works, "$18/h", learns),
        ),
        arrivals=(
            Arrival(
                "2027-06-14",
                "hotel",
                "30 lb a delivery",
                "",
                "Thu",
                "$8/lb, 14 d later",
                "letter",
                "letter, of 2026-12-03",
            ),
            Arrival("2027-06-21", "growers", "90 blocks", "70 blocks", "", "$9 a block", "hoped for", ""),
        ),
    )
    captions = [
        [part.table.caption for part in chapter.parts(one) if isinstance(part, Sheet)]
        for chapter in (time_line, harvest)
    ]
    assert captions[0] == ["Step by step", "Who is hired"]
    assert captions[1][-2:] == ["Customers in the last year told", "Who begins to buy, or takes another amount"]
    assert time_line.people(one).rows == (
        ("5 Apr 2027", "helper", "1, new", works, "$15/h", "as quick as all"),
        ("3 May 2027", "pickers", "4 instead of 3", works, "$18/h", f"{learns} of the usual pace"),
    )
    assert len(time_line.people(replace(one, hired=one.hired[:1])).columns) == 5
    assert harvest.arrivals(one).rows == (
        (
            "14 Jun 2027",
            "hotel",
            "30 lb a delivery",
            "Thu",
            "$8/lb, 14 d later",
            "letters of interest",
            "letter, of 3 Dec 2026",
        ),
        (
            "21 Jun 2027",
            "growers",
            "90 blocks instead of 70 blocks",
            "-",
            "$9 a block",
            "hoped for",
            "________",
        ),
    )


def test_what_looks_tight_is_told_with_what_was_seen_there_and_in_which_weeks() -> None:
    """Benches that are little taken in a week, but full while lots wait in the hours with people there."""
    bench = Place(
        "opening benches", "opening benches", "benches", 1.0, True, 0.15, 0.27, 0.0, 0.0, 0.8, 4.0, 6.5, 14.0, 8, 0.9,
        (None,) * 168, (), 8, 0.2,
    )  # fmt: skip
    with_it = Seen((bench,), (), ("opening benches",), Waits())
    one = replace(PACK, seen=(Seen((bench,), (), (), Waits()), with_it), tight_weeks=(157, 52))
    sheet = next(
        part.table for part in capacity.parts(one) if isinstance(part, Sheet) and "tight" in part.table.caption
    )
    assert sheet.rows == (
        (
            "opening benches", "does not look tight",
            "full with lots waiting 27 % of the hours with people there; 4 lots a week waited 6.5 h, 1 in 10 over 14 h",
        ),
    )  # fmt: skip
    told = text(capacity.parts(one))
    assert (
        "Looked at were all weeks after the last change of the farm, 157 without the expansion and 52 with it; the tables "
        "below are of one year."
    ) in told
    assert (
        "A place looks tight when it is full while lots wait for 10 % of the time or more, and those that wait do so for 4 h "
        "or more on average. Benches are looked at only while people are there to work at them, so one that is little taken "
        "over the whole week can still hold lots up."
    ) in told
    calm = replace(one, seen=(one.seen[0],) * 2 if one.seen else None)
    for none in (calm, PACK):
        assert "looks tight when" not in text(capacity.parts(none))


def full_place(name: str, kind: str) -> Place:
    """A place that is full with lots waiting for much of the time."""
    hours = (None,) * 168
    return Place(name, kind, "blocks", 100.0, False, 0.9, 0.4, 0.0, 0.0, 0.0, 3.0, 6.0, 14.0, 8, 0.9, hours, (), 8, 0.4)


def test_rooms_that_look_tight_stand_in_one_row_where_either_farm_has_several() -> None:
    """Else the one that is tight before looks as if it were no longer so, when a second one is tight, too."""
    first, second = (full_place(name, "shelf") for name in ("Shed", "Lean-to"))
    alone, both = (
        Seen((first,), (), ("Shed",), Waits(3.0, 6.0)),
        Seen((first, second), (), ("Shed", "Lean-to"), Waits(5.0, 6.0)),
    )
    waited = "lots a week waited 6 h"
    of_both = f"full with lots waiting: Shed 40 % and Lean-to 40 % of the time; 5 {waited}"
    assert capacity.what_was_seen(alone, both).rows == (
        ("rooms", f"full with lots waiting: Shed 40 % of the time; 3 {waited}", of_both),
    )
    assert [row[:2] for row in capacity.what_was_seen(Seen((), (), (), Waits()), alone).rows] == [
        ("Shed", "does not look tight")
    ]


def test_a_place_that_looks_tight_is_called_by_its_whole_name() -> None:
    long = "walk-in behind the barn where it is cool"
    place = full_place(long, "walk-in")
    seen = Seen((place,), (), (long,), Waits())
    assert capacity.what_was_seen(seen, seen).rows[0][0] == long
