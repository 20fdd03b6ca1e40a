"""Chores: fixed work on its weekdays, done as duties in turn allow, left out when the last one is not done yet."""

from __future__ import annotations

import datetime

from farmsim.model.run import run, standing_at
from farmsim.scenario.people import Chore
from farmsim.scenario.seasons import Shut

from ..tiny import DAYS, LINE, OWNER, D, farm, lines, log, of_crew, seen

BOOKS = Chore(name="books", days=("mon", "fri"), takes=2.0)
DUTIES = ("chores", "open", "pick", "pack", "clear")


def told(*chores: Chore, duties: tuple[str, ...] = DUTIES, **parts: object) -> list[str]:
    """Who did chores when."""
    record = seen(chore=chores, crew=(of_crew(*duties),), **parts)
    return [line for line in log(record, "tasks") if "chores" in line]


def test_a_chore_is_done_on_its_days_in_the_order_of_duties() -> None:
    assert told(BOOKS) == lines("""
        mon 08:00  owner 0 ends chores, begun mon 06:00
        fri 08:00  owner 0 ends chores, begun fri 06:00
    """)
    opening_first = log(seen(chore=(BOOKS,), crew=(of_crew("open", "chores", "pick", "pack", "clear"),)), "tasks")
    assert opening_first[:2] == lines("""
        mon 08:00  owner 0 ends chores, begun mon 06:00
        mon 09:00  owner 0 ends open A0, begun mon 08:00
    """)


def test_it_may_be_begun_from_its_hour_on() -> None:
    assert told(BOOKS.but(begin=13.0, days=("tue",))) == lines("tue 15:00  owner 0 ends chores, begun tue 13:00")


def test_it_may_need_several_people() -> None:
    crew = OWNER.but(people=2, duties=DUTIES)
    record = seen(chore=(BOOKS.but(people=2, days=("tue",)),), crew=(crew,))
    assert [line for line in log(record, "tasks") if "chores" in line] == lines("""
        tue 08:00  owner 0 ends chores, begun tue 06:00
        tue 08:00  owner 1 ends chores, begun tue 06:00
    """)


def test_one_that_is_not_done_goes_on_and_the_next_is_left_out() -> None:
    short = of_crew(*DUTIES, start=6.0, end=7.0)
    record = seen(chore=(BOOKS.but(days=DAYS, takes=3.0),), crew=(short,))
    done = [line for line in log(record, "tasks") if "chores" in line]
    assert done[:4] == lines("""
        mon 07:00  owner 0 ends chores, begun mon 06:00
        tue 07:00  owner 0 ends chores, begun tue 06:00
        wed 07:00  owner 0 ends chores, begun wed 06:00
        thu 07:00  owner 0 ends chores, begun thu 06:00
    """)
    assert [row[5] for row in record.rows("tasks")][:4] == [0.0, 0.0, 0.0, 3 * D]


def test_chores_keep_people_from_other_work() -> None:
    opened = log(seen(chore=(BOOKS.but(takes=5.0),), crew=(of_crew(*DUTIES),)), "blocks")
    assert opened[1] == "mon 12:00  8 of A0 opened"


def test_without_chores_nothing_changes() -> None:
    assert log(seen(crew=(of_crew(*DUTIES),))) == log(seen(crew=(of_crew(*DUTIES[1:]),)))


def test_a_chore_that_is_not_done_is_among_what_stands_on_the_farm() -> None:
    slow = farm(
        chore=(BOOKS.but(days=("sun",), takes=3.0),),
        crew=(of_crew(*DUTIES, start=6.0, end=7.0),),
        start=(LINE,),
        about={"weeks": 3},
    )
    whole, standing = run(slow, 1, 0, 3), standing_at(slow, 1, 0, 7 * D)
    assert list(standing.chores) == ["chore/books/00"]
    assert run(slow, 1, 0, 3, standing).rows("tasks") == whole.rows("tasks")[len(whole.rows("tasks", before=7 * D)) :]


def test_a_chore_of_a_day_on_which_nobody_works_does_not_come_up() -> None:
    fair = (Shut(name="fair", first=datetime.date(2027, 1, 5), stops=("work",)),)
    assert told(BOOKS.but(days=("tue",)), shut=fair) == []
