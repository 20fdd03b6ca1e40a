"""The outlet that dries: what it takes, what it weighs when dry, and whose work it is."""

from __future__ import annotations

from farmsim.record import balance
from farmsim.record.tables import Record
from farmsim.scenario.fresh_sales import Dries

from ..tiny import LINE, OUTLET, OWNER, OYSTER, SHED, D, lines, log, seen

LATE = OWNER.but(days=("mon", "thu", "fri"), duties=(*OWNER.duties, "dry"))  # picked a morning late: seconds too
DRYER = OUTLET.but(name="dryer", days=("fri",), dries=Dries(ratio=10.0))


def dried(**parts: object) -> Record:
    record = seen(**{"crew": (LATE,), "customer": (DRYER,), **parts})  # type: ignore[arg-type]
    assert balance.faults(record) == []
    return record


def test_what_is_left_is_dried_instead_of_sold() -> None:
    assert log(dried(), "stock_out", "dried", "orders") == lines("""
        fri 09:00  2.5 seconds of oyster to dry to dryer, good until thu2 07:08
        fri 09:00  2.5 oyster laid out at dryer, 0.25 when dry
    """)


def test_firsts_near_their_date_are_dried_with_them() -> None:
    near = DRYER.but(takes_firsts_left=7 * D)
    assert log(dried(customer=(near,)), "dried") == ["fri 09:00  5 oyster laid out at dryer, 0.5 when dry"]


def test_laying_them_out_is_work() -> None:
    works = DRYER.but(dries=Dries(ratio=10.0, pace=2.0))
    tasks = [line for line in log(dried(customer=(works,)), "tasks") if " dry" in line]
    assert tasks == ["fri 10:15  owner 0 ends dry, begun fri 09:00"]
    assert [line for line in log(dried(), "tasks") if " dry" in line] == []


def test_work_that_is_not_done_in_a_shift_goes_on_in_the_next() -> None:
    works = DRYER.but(dries=Dries(ratio=10.0, pace=2.5 / 12), days=("fri",))
    tasks = [line for line in log(dried(customer=(works,), weeks=2), "tasks") if " dry" in line]
    assert tasks[0] == "fri 18:00  owner 0 ends dry, begun fri 09:00"
    assert tasks[1] == "mon2 09:00  owner 0 ends dry, begun mon2 06:00"


def test_what_one_has_taken_is_not_there_for_another() -> None:
    works = DRYER.but(dries=Dries(ratio=10.0, pace=2.0))
    record = dried(customer=(works, works.but(name="other"), OUTLET.but(days=("fri",))))
    assert log(record, "dried") == ["fri 09:00  2.5 oyster laid out at dryer, 0.25 when dry"]
    assert len([row for row in record.rows("tasks") if row[2] == "dry"]) == 1


def test_two_strains_are_laid_out_in_one_go() -> None:
    works = DRYER.but(dries=Dries(ratio=5.0, pace=2.0))
    strains = {"oyster": OYSTER, "nameko": OYSTER}
    start, room = (LINE, LINE.but(name="B", strain="nameko")), (SHED.but(holds=100.0),)
    record = seen(strains, crew=(LATE,), customer=(works,), start=start, room=room)
    assert len(record.rows("dried")) == 2
    assert len([row for row in record.rows("tasks") if row[2] == "dry"]) == 1
