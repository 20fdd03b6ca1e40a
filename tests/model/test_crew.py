"""People: who is sent where, and what becomes of a task at breaks and at the end of a shift."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from farmsim.model.calendar import Always, Rota, Shift, Weekly, ticks
from farmsim.model.crew import Crew, People
from farmsim.model.desk import Desk
from farmsim.model.lot import Traveller
from farmsim.model.work import Pool, Round
from farmsim.record.journal import Journal
from farmsim.record.names import Names

DUTIES = ("soak", "open", "pick", "clear")
EVERY_DAY = tuple(range(7))


def daily(start: float = 8.0, end: float = 16.0, people: int = 1, overtime: float = 0.0) -> Weekly:
    return Weekly(dict.fromkeys(EVERY_DAY, (start, end)), people, overtime)


class Broken:
    """A rota with a break: the same pieces every day."""

    def __init__(self, *pieces: tuple[float, float], people: int = 1) -> None:
        self._pieces, self._people = pieces, tuple(range(people))

    def following(self, when: float) -> Shift:
        day = int(when // 24) - 1
        while True:
            shift = Shift(tuple((24 * day + a, 24 * day + b) for a, b in self._pieces), self._people)
            if shift.end > when:
                return shift
            day += 1


class Yard:
    """Crews and tasks without a farm round them. `log` has one row a task that is done."""

    def __init__(self, *duties: str) -> None:
        self.desk = Desk()
        self.journal = Journal(Names(duties=DUTIES))
        self.people = People(self.desk, self.journal, duties or DUTIES)
        self.log: list[tuple[float, str]] = []
        self.numbers: dict[int, str] = {}

    def crew(self, rota: Rota, *duties: str, name: str = "growers", fits: tuple[str, ...] = ()) -> Crew:
        return self.people.add(name, rota, duties, fits)

    def asks(
        self, when: float, key: str, duty: str, hours: float, rank: int = 0, started: float = 0.0
    ) -> Callable[[], None]:
        def ask() -> None:
            lot = Traveller(key, started, len(self.numbers))
            self.numbers[lot.number] = key
            lot.rank = rank
            task = self.people.do(lot, duty, hours)
            task.then = lambda: self.log.append((self.desk.now, f"{key} {duty} done"))

        self.desk.at(when, ask)
        return ask

    def run(self, until: float = 200.0) -> list[tuple[float, str]]:
        self.desk.run(until=until)
        return self.log

    def stretches(self) -> list[tuple[str, int, int, float, float, float, float]]:
        """What was worked: (lot, crew, person, began, ended, worked, overtime)."""
        rows = self.journal.columns()["tasks"]
        names = ("lot", "crew", "person", "began", "ended", "worked", "overtime")
        found = zip(*(rows[name].tolist() for name in names), strict=True)
        return [(self.numbers.get(row[0], "many"), *row[1:]) for row in found]


# --- shifts, breaks, overtime ---------------------------------------------------------------------------------------


def late_task(rota: Rota, fits: tuple[str, ...] = ()) -> list[tuple[str, int, int, float, float, float, float]]:
    """A task of 3 h that is there at 15:00."""
    yard = Yard()
    yard.crew(rota, "open", fits=fits)
    yard.asks(15.0, "a", "open", 3.0)
    yard.run()
    return yard.stretches()


def test_a_task_of_3_h_that_is_there_at_15_in_a_shift_from_8_to_16_is_done_at_10_the_next_day() -> None:
    assert late_task(daily()) == [("a", 0, 0, 15.0, 16.0, 1.0, 0.0), ("a", 0, 0, 32.0, 34.0, 2.0, 0.0)]


def test_begun_only_if_it_fits_it_is_done_at_11_the_next_day() -> None:
    assert late_task(daily(), fits=("open",)) == [("a", 0, 0, 32.0, 35.0, 3.0, 0.0)]


def test_with_overtime_it_is_done_at_18_the_same_day() -> None:
    assert late_task(daily(overtime=2.0)) == [("a", 0, 0, 15.0, 18.0, 3.0, 2.0)]


def test_with_too_little_overtime_the_rest_is_done_the_next_day() -> None:
    assert late_task(daily(overtime=1.5)) == [("a", 0, 0, 15.0, 17.5, 2.5, 1.5), ("a", 0, 0, 32.0, 32.5, 0.5, 0.0)]


def test_overtime_counts_for_what_fits() -> None:
    assert late_task(daily(overtime=2.0), fits=("open",)) == [("a", 0, 0, 15.0, 18.0, 3.0, 2.0)]


def test_a_task_that_never_fits_is_never_begun() -> None:
    yard = Yard()
    yard.crew(daily(), "open", "clear", fits=("open",))
    yard.asks(8.0, "large", "open", 9.0)
    yard.asks(8.0, "small", "open", 1.0)
    yard.asks(8.0, "other", "clear", 1.0)
    assert yard.run() == [(9.0, "other clear done")]  # no overtaking within a duty, but the next duty goes on


def test_overtime_takes_no_new_task() -> None:
    yard = Yard()
    yard.crew(daily(overtime=2.0), "open")
    yard.asks(15.0, "a", "open", 1.5)
    yard.asks(15.0, "b", "open", 0.25)
    assert yard.run() == [(16.5, "a open done"), (32.25, "b open done")]


def test_a_task_goes_on_through_the_break() -> None:
    yard = Yard()
    yard.crew(Broken((8.0, 12.0), (12.5, 16.5)), "open")
    yard.asks(11.0, "a", "open", 3.0)
    assert yard.run() == [(14.5, "a open done")]
    assert yard.stretches() == [("a", 0, 0, 11.0, 14.5, 3.0, 0.0)]


def test_nobody_is_sent_in_the_break_and_idle_people_begin_when_it_is_over() -> None:
    yard = Yard()
    yard.crew(Broken((8.0, 12.0), (12.5, 16.5), people=2), "open")
    yard.asks(12.25, "a", "open", 1.0)
    yard.asks(12.25, "b", "open", 1.0)
    yard.asks(12.3, "c", "open", 1.0)
    assert yard.run() == [(13.5, "a open done"), (13.5, "b open done"), (14.5, "c open done")]


def test_a_task_that_ends_with_the_break_is_done_and_the_next_waits_for_its_end() -> None:
    yard = Yard()
    yard.crew(Broken((8.0, 12.0), (12.5, 16.5)), "open")
    yard.asks(8.0, "a", "open", 4.0)
    yard.asks(8.0, "b", "open", 1.0)
    assert yard.run() == [(12.0, "a open done"), (13.5, "b open done")]


def test_what_was_left_over_goes_to_the_front_of_the_queue() -> None:
    yard = Yard()
    yard.crew(daily(), "pick", "open")
    yard.asks(15.0, "a", "open", 2.0)
    yard.asks(20.0, "urgent", "pick", 3.0, rank=9)
    assert yard.run() == [(33.0, "a open done"), (36.0, "urgent pick done")]


def test_the_task_in_hand_waits_for_whoever_is_free_first() -> None:
    yard = Yard()
    yard.crew(daily(8.0, 16.0), "open")
    yard.crew(daily(18.0, 22.0), "pick", "open", name="evening")
    yard.asks(15.0, "a", "open", 2.0)
    yard.asks(15.0, "b", "pick", 1.0)
    assert yard.run() == [(19.0, "a open done"), (20.0, "b pick done")]


def test_tasks_in_hand_are_finished_before_new_ones_whatever_their_step() -> None:
    yard = Yard()
    yard.crew(daily(people=2), "open")
    yard.asks(15.0, "a", "open", 2.0, rank=1)
    yard.asks(15.5, "b", "open", 2.0, rank=2)
    yard.asks(16.0, "late", "open", 1.0, rank=9)
    assert yard.run() == [(33.0, "a open done"), (33.5, "b open done"), (34.0, "late open done")]


def test_a_task_in_hand_is_finished_by_a_crew_that_begins_such_tasks_only_if_they_fit() -> None:
    yard = Yard()
    yard.crew(daily(8.0, 16.0), "open", name="day")
    yard.crew(daily(18.0, 19.0), "open", name="evening", fits=("open",))
    yard.asks(15.0, "a", "open", 4.0)
    assert yard.run(until=60.0) == [(34.0, "a open done")]
    assert yard.stretches() == [
        ("a", 0, 0, 15.0, 16.0, 1.0, 0.0),
        ("a", 1, 0, 18.0, 19.0, 1.0, 0.0),
        ("a", 0, 0, 32.0, 34.0, 2.0, 0.0),
    ]


def test_a_night_shift_works_past_midnight() -> None:
    yard = Yard()
    yard.crew(daily(22.0, 30.0), "open")
    yard.asks(23.0, "a", "open", 4.0)
    yard.asks(29.0, "b", "open", 2.0)
    assert yard.run() == [(27.0, "a open done"), (47.0, "b open done")]


def test_people_who_work_over_the_begin_of_the_next_shift_are_free_when_they_are_done() -> None:
    yard = Yard()
    yard.crew(daily(6.0, 29.0, overtime=3.0), "open")  # the next shift begins at 30
    yard.asks(28.0, "a", "open", 4.0)
    yard.asks(28.0, "b", "open", 1.0)
    assert yard.run() == [(32.0, "a open done"), (33.0, "b open done")]


def test_whole_ticks_make_the_stretches_of_a_task_add_up_exactly() -> None:
    yard = Yard()
    yard.crew(daily(ticks(8.1), ticks(9.3)), "open")
    hours = (0.1, 1 / 3, 2.7, 0.9, 5.123)
    for number, each in enumerate(hours):
        yard.asks(ticks(0.01 * number), f"lot {number}", "open", each)
    yard.run(24.0 * 20)
    worked: dict[str, float] = {}
    for lot, _, _, began, ended, each, _ in yard.stretches():
        worked[lot] = worked.get(lot, 0.0) + each
        assert ended - began == each
    assert worked == {f"lot {number}": ticks(each) for number, each in enumerate(hours)}


# --- who is sent ----------------------------------------------------------------------------------------------------


def test_a_crew_does_its_duties_in_their_order() -> None:
    yard = Yard()
    yard.crew(daily(), "pick", "open", "clear")
    for duty in ("clear", "open", "pick"):
        yard.asks(0.0, "a", duty, 1.0)
    assert yard.run() == [(9.0, "a pick done"), (10.0, "a open done"), (11.0, "a clear done")]


def test_within_a_duty_further_on_goes_first_then_longest_waiting_then_started_earlier_then_key() -> None:
    yard = Yard()
    yard.crew(daily(), "open")
    yard.asks(2.0, "b", "open", 1.0)
    yard.asks(2.0, "a", "open", 1.0)
    yard.asks(2.0, "old", "open", 1.0, started=-5.0)
    yard.asks(1.0, "waited", "open", 1.0)
    yard.asks(3.0, "further", "open", 1.0, rank=2)
    assert [text.split()[0] for _, text in yard.run()] == ["further", "waited", "old", "a", "b"]


def sent(first: tuple[str, ...], second: tuple[str, ...], *keys: str) -> list[tuple[str, int]]:
    """Which crew is sent to which lot when all ask to be opened and both crews are free."""
    yard = Yard()
    yard.crew(daily(), *first, name="first")
    yard.crew(daily(), *second, name="second")
    for key in keys:
        yard.asks(0.0, key, "open", 1.0)
    yard.run()
    return [(lot, crew) for lot, crew, *_ in yard.stretches()]


def test_a_duty_goes_to_the_crew_that_names_it_earlier() -> None:
    assert sent(("pick", "open"), ("open", "pick"), "a") == [("a", 1)]


def test_named_equally_early_it_goes_to_the_crew_that_stands_first_in_the_file() -> None:
    assert sent(("open",), ("open",), "a") == [("a", 0)]


def test_the_other_crew_helps_when_the_first_has_nobody_free() -> None:
    assert sent(("pick", "open"), ("open", "pick"), "a", "b", "c") == [("a", 1), ("b", 0), ("c", 1)]


def test_nobody_is_sent_to_a_duty_that_is_not_theirs() -> None:
    yard = Yard()
    yard.crew(daily(), "pick")
    yard.asks(0.0, "a", "open", 1.0)
    assert yard.run() == []


def test_two_people_take_two_tasks_and_one_task_takes_one_person() -> None:
    yard = Yard()
    yard.crew(daily(people=3), "open")
    yard.asks(0.0, "a", "open", 2.0)
    yard.asks(0.0, "b", "open", 2.0)
    yard.run()
    assert yard.stretches() == [("a", 0, 0, 8.0, 10.0, 2.0, 0.0), ("b", 0, 1, 8.0, 10.0, 2.0, 0.0)]


def test_tasks_inserted_in_reverse_go_to_the_same_people() -> None:
    told = []
    for keys in ("abc", "cba"):
        yard = Yard()
        yard.crew(daily(people=2), "open")
        for key in keys:
            yard.asks(9.0, key, "open", 1.5)
        yard.run()
        told.append(yard.stretches())
    assert told[0] == told[1]


def test_two_tasks_woken_by_one_bell_both_find_somebody() -> None:
    yard = Yard()
    yard.crew(daily(people=2), "open")
    yard.asks(1.0, "a", "open", 1.0)
    yard.asks(2.0, "b", "open", 1.0)
    assert yard.run() == [(9.0, "a open done"), (9.0, "b open done")]


def test_duties_given_to_a_crew_from_now_on_are_taken_up() -> None:
    yard = Yard()
    crew = yard.crew(daily(), "pick")
    yard.asks(0.0, "a", "open", 1.0)
    yard.desk.at(40.0, lambda: yard.people.reassign(crew, ("open",), ()))
    yard.desk.at(40.0, yard.people.look)
    assert yard.run() == [(33.0 + 24.0, "a open done")]


def test_a_crew_whose_rota_has_no_shift_yet_is_there_when_its_first_one_begins() -> None:
    class FromTheFourthWeek:
        def following(self, when: float) -> Shift | None:
            return daily().following(max(when, 4 * 168.0)) if when > 168.0 else None

    yard = Yard()
    yard.crew(FromTheFourthWeek(), "open")
    yard.asks(0.0, "a", "open", 1.0)
    assert yard.run(6 * 168.0) == [(4 * 168.0 + 9.0, "a open done")]


def test_the_shift_of_the_hour_at_which_a_run_begins_is_there_at_once() -> None:
    yard = Yard()
    yard.desk = Desk(start=10.0)
    yard.people = People(yard.desk, yard.journal, DUTIES)
    yard.crew(daily(), "open")
    yard.asks(11.0, "a", "open", 1.0)
    assert yard.run() == [(12.0, "a open done")]


def test_those_who_come_are_written_down_with_their_working_hours() -> None:
    yard = Yard()
    yard.crew(Broken((8.0, 12.0), (12.5, 16.0), people=2), "open")
    yard.run(48.0)
    rows = yard.journal.columns()["rostered"]
    assert [column.tolist() for column in rows.values()] == [[0, 0], [8.0, 32.0], [2.0, 2.0], [7.5, 7.5]]


def test_someone_who_never_goes_home_is_not_rostered() -> None:
    yard = Yard()
    yard.crew(Always(), "open")
    yard.asks(3.0, "a", "open", 1.0)
    assert yard.run() == [(4.0, "a open done")]
    assert len(yard.journal.columns()["rostered"]["crew"]) == 0


# --- who is kept apart ----------------------------------------------------------------------------------------------


def kept_apart(people: int = 1) -> Yard:
    yard = Yard()
    yard.people.keep_apart(("pick",), ("open",))
    yard.crew(daily(people=people), "open", "pick", "clear")
    return yard


def test_whoever_has_done_the_one_does_not_do_the_other_on_the_same_day() -> None:
    yard = kept_apart()
    yard.asks(8.0, "a", "pick", 1.0)
    yard.asks(8.5, "b", "open", 1.0)
    yard.asks(8.5, "c", "clear", 1.0)
    assert yard.run() == [(9.0, "a pick done"), (10.0, "c clear done"), (33.0, "b open done")]


def test_the_other_way_round_is_allowed() -> None:
    yard = kept_apart()
    yard.asks(8.0, "a", "open", 1.0)
    yard.asks(8.5, "b", "pick", 1.0)
    yard.asks(8.5, "c", "open", 1.0)
    assert yard.run() == [(9.0, "a open done"), (10.0, "c open done"), (11.0, "b pick done")]


def test_somebody_else_of_the_crew_does_it() -> None:
    yard = kept_apart(people=2)
    yard.asks(8.0, "a", "pick", 1.0)
    yard.asks(9.5, "b", "open", 1.0)
    assert yard.run() == [(9.0, "a pick done"), (10.5, "b open done")]
    assert [row[2] for row in yard.stretches()] == [0, 1]


# --- pools ----------------------------------------------------------------------------------------------------------


class Heap:
    """Pieces of work of so many hours each, handed out one by one."""

    def __init__(self, desk: Desk, *hours: float) -> None:
        self.desk, self.heap = desk, list(hours)
        self.log: list[tuple[float, float]] = []
        self.pool = Pool(self.heap, self.take, self.done)

    def take(self, most_hours: float) -> Round | None:
        if most_hours <= 0.0:
            return None
        piece = self.heap.pop(0)
        hours = min(piece, most_hours)
        if hours < piece:
            self.heap.insert(0, piece - hours)
        return Round(hours, 0.0, hours)

    def done(self, round_: Round) -> None:
        self.log.append((self.desk.now, round_.hours))


def with_heap(hours: list[float], rota: Rota, *duties: str) -> tuple[Yard, Heap]:
    yard = Yard()
    heap = Heap(yard.desk, *hours)
    yard.people.duty["pick"].take_from(heap.pool)
    yard.crew(rota, *duties)
    return yard, heap


def test_a_heap_of_work_is_eaten_away_by_everybody_who_is_free() -> None:
    yard, heap = with_heap([1.0, 1.0, 0.5], daily(people=2), "pick")
    yard.run()
    assert heap.log == [(9.0, 1.0), (9.0, 1.0), (9.5, 0.5)]


def test_a_round_is_cut_to_the_end_of_the_shift_and_what_is_left_waits_for_the_morning() -> None:
    yard, heap = with_heap([1.0, 1.0], daily(8.0, 9.5), "pick")
    yard.run(40.0)
    assert heap.log == [(9.0, 1.0), (9.5, 0.5), (32.5, 0.5)]


def test_a_round_goes_on_through_the_break() -> None:
    yard, heap = with_heap([1.0], Broken((8.0, 8.5), (9.0, 12.0)), "pick")
    yard.run(20.0)
    assert heap.log == [(9.5, 1.0)]
    assert yard.stretches() == [("many", 0, 0, 8.0, 9.5, 1.0, 0.0)]


def test_a_task_in_hand_goes_before_a_heap_and_a_heap_before_a_later_duty() -> None:
    yard, heap = with_heap([], daily(), "pick", "open")
    yard.asks(15.0, "a", "open", 2.0)
    yard.asks(20.0, "b", "open", 1.0)
    yard.desk.at(20.0, lambda: heap.heap.append(1.0))
    assert yard.run() == [(33.0, "a open done"), (35.0, "b open done")]
    assert heap.log == [(34.0, 1.0)]


def test_nobody_can_be_asked_for_a_duty_there_is_not() -> None:
    with pytest.raises(KeyError, match="dance"):
        Yard().people.do(Traveller("a", 0.0), "dance", 1.0)
