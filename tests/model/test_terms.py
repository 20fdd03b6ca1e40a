"""Rules by the person: overtime by the week, pay, going home early, owner and family, slow first weeks, parts of the day.

Every case is worked out by hand. Hours are counted from Monday 00:00; the shift is from 8 to 16 every day.
"""

from __future__ import annotations

from farmsim.model.desk import Desk
from farmsim.model.luck import Luck
from farmsim.model.rota import CrewRota
from farmsim.model.terms import Homeward, TermedCrew, has_terms
from farmsim.record.measures import summarise
from farmsim.scenario.people import Crew, FromHour, NewHands, Overtime
from farmsim.scenario.values import DAYS, Shift

from .test_crew import DUTIES, Heap, Yard
from .tiny import of_crew, seen

ALWAYS = -float("inf")
D, W = 24.0, 168.0
GO = "when nothing waits"
OWNER = {"paid": "as owner", "called": "last"}


def crew(*duties: str, people: int = 1, **figures: object) -> Crew:
    given: dict[str, object] = {"days": DAYS, "hours": dict.fromkeys(DAYS, Shift(8.0, 16.0)), **figures}
    return Crew(**{"name": "growers", "people": people, "duties": duties or ("open",), **given})


class Farmyard(Yard):
    """A yard whose crews are a farm's."""

    def __init__(self, *crews: Crew | tuple[Crew, tuple[float, Crew]], start: float = 0.0) -> None:
        super().__init__(*DUTIES, "pack")
        self.desk = Desk(start)
        self.people = type(self.people)(self.desk, self.journal, (*DUTIES, "pack"))
        taken_on = [self._take_on(*(one if isinstance(one, tuple) else (one,))) for one in crews]
        self.people.homeward = Homeward(self.desk, [one for one in taken_on if one.may_ever_go])

    def _take_on(self, first: Crew, *later: tuple[float, Crew]) -> TermedCrew:
        rota = CrewRota(first.name, [(ALWAYS, first), *later], Luck(1, 0))
        one = TermedCrew(self.people, first.name, rota)
        one.take_up_duties(self.desk.now)
        self.people.take_on(one)
        return one

    def told(self) -> list[tuple[int, int, float, float, float]]:
        """What was worked: (crew, person, began, ended, overtime)."""
        return [(crew, person, began, ended, over) for _, crew, person, began, ended, _, over in self.stretches()]

    def attended(self, *names: str) -> list[tuple[float, ...]]:
        """Columns of the shifts that are told person by person."""
        rows = self.journal.columns()["attended"]
        return list(zip(*(rows[name].tolist() for name in names), strict=True))


# --- overtime by the week -------------------------------------------------------------------------------------------


def three_late_tasks(**overtime: float) -> Farmyard:
    """Tasks of 3 h that are there at 15:00 on Monday, Tuesday and Wednesday."""
    yard = Farmyard(crew(overtime=Overtime(**overtime)))
    for day, key in enumerate("abc"):
        yard.asks(day * D + 15.0, key, "open", 3.0)
    return yard


def test_no_more_overtime_than_the_week_allows() -> None:
    yard = three_late_tasks(at_most=2.0, at_most_a_week=3.0)
    assert yard.run() == [(18.0, "a open done"), (57.0, "b open done"), (82.0, "c open done")]
    # 2 h on Monday, the 1 h left of the week on Tuesday, none on Wednesday.
    assert yard.told() == [
        (0, 0, 15.0, 18.0, 2.0),
        (0, 0, 39.0, 41.0, 1.0),
        (0, 0, 56.0, 57.0, 0.0),
        (0, 0, 63.0, 64.0, 0.0),
        (0, 0, 80.0, 82.0, 0.0),
    ]


def test_without_a_limit_by_the_week_each_day_has_its_overtime() -> None:
    assert three_late_tasks(at_most=2.0).run() == [(18.0, "a open done"), (42.0, "b open done"), (66.0, "c open done")]


def test_each_person_has_a_limit_of_their_own_and_every_week_begins_anew() -> None:
    yard = Farmyard(crew(people=2, overtime=Overtime(at_most=2.0, at_most_a_week=2.0)))
    for number, when in enumerate((15.0, 15.0, D + 15.0, W + 15.0)):
        yard.asks(when, f"{number}", "open", 3.0)
    yard.run(W + 48.0)
    assert [(person, over) for _, person, _, _, over in yard.told()] == [(0, 2), (1, 2), (0, 0), (0, 0), (0, 2)]


def test_what_does_not_fit_because_the_weeks_overtime_is_used_up_is_not_begun() -> None:
    yard = Farmyard(crew(fits=("open",), overtime=Overtime(at_most=2.0, at_most_a_week=3.0)))
    for day, key in enumerate("ab"):
        yard.asks(day * D + 15.0, key, "open", 3.0)
    assert yard.run() == [(18.0, "a open done"), (2 * D + 11.0, "b open done")]


def test_a_round_is_cut_to_the_overtime_that_is_left() -> None:
    yard = Farmyard(crew("pick", overtime=Overtime(at_most=2.0, at_most_a_week=1.5)))
    heap = Heap(yard.desk, 9.0, 9.0, 2.0)
    yard.people.duty["pick"].take_from(heap.pool)
    yard.run(3 * D)
    # 1 h of overtime on Monday, the half hour that is left on Tuesday; the rest of the second round on Wednesday.
    assert heap.log == [(17.0, 9.0), (D + 16.5, 8.5), (2 * D + 8.5, 0.5), (2 * D + 10.5, 2.0)]


def test_hours_above_the_weeks_are_paid_as_overtime() -> None:
    yard = three_late_tasks(at_most=2.0, after=40.0)
    yard.run(W)
    # 10, 10, 10, 8, 8, 8, 8 h: 40 h are reached on Friday after 2 of its 8 h.
    assert yard.attended("hours", "stayed", "overtime", "paid", "extra") == [
        (8, 8, 2, 10, 0),
        (8, 8, 2, 10, 0),
        (8, 8, 2, 10, 0),
        (8, 8, 0, 8, 0),
        (8, 8, 0, 8, 6),
        (8, 8, 0, 8, 8),
        (8, 8, 0, 8, 8),
    ]


def test_whoever_works_over_the_begin_of_the_next_shift_is_there_for_it_when_they_are_done() -> None:
    hours = dict.fromkeys(DAYS, Shift(6.0, 29.0))  # the next shift begins at 30
    yard = Farmyard(crew(hours=hours, overtime=Overtime(at_most=3.0), shortest_shift=1.0))
    yard.asks(28.0, "a", "open", 4.0)
    yard.asks(28.0, "b", "open", 1.0)
    assert yard.run(60.0) == [(32.0, "a open done"), (33.0, "b open done")]
    assert yard.attended("when", "stayed", "overtime", "gone")[1:] == [(6, 23, 3, 32), (30, 23, 0, 53)]


def test_one_shift_after_the_other_without_a_gap_is_told_shift_by_shift() -> None:
    yard = Farmyard(crew(hours=dict.fromkeys(DAYS, Shift(6.0, 30.0)), shortest_shift=1.0))
    yard.run(3 * D)
    assert yard.attended("when", "stayed", "gone")[1:] == [(6, 24, 30), (30, 24, 54)]


def test_without_hours_a_week_what_is_worked_past_the_shift_is_paid_as_overtime() -> None:
    yard = three_late_tasks(at_most=2.0, at_most_a_week=3.0)
    yard.run(3 * D)
    assert yard.attended("when", "overtime", "extra", "gone") == [(8, 2, 2, 18), (32, 1, 1, 41), (56, 0, 0, 64)]


# --- the shortest shift, and going home -----------------------------------------------------------------------------


def test_whoever_comes_is_paid_the_shortest_shift() -> None:
    yard = Farmyard(
        crew(hours={"mon": Shift(8.0, 11.0), "tue": Shift(8.0, 16.0)}, days=("mon", "tue"), shortest_shift=4.0)
    )
    yard.run(W)
    assert yard.attended("when", "stayed", "paid") == [(8, 3, 4), (32, 8, 8)]


def test_without_the_rule_everybody_stays_to_the_end() -> None:
    yard = Farmyard(crew(people=2, shortest_shift=4.0))
    yard.run(D)
    assert yard.attended("person", "gone", "paid") == [(0, 16, 8), (1, 16, 8)]


def test_after_the_shortest_shift_all_but_one_go_home_when_nothing_waits() -> None:
    yard = Farmyard(crew(people=3, shortest_shift=4.0, may_go=GO))
    yard.asks(8.0, "a", "open", 6.0)
    yard.asks(8.0, "b", "open", 3.0)
    yard.asks(15.0, "later", "open", 0.5)
    assert yard.run(D)[-1] == (15.5, "later open done")
    # Person 1 is done at 11, person 2 does nothing; at 12 both go; person 0 is done at 14 and stays.
    assert yard.attended("person", "gone", "stayed", "paid") == [(2, 12, 4, 4), (1, 12, 4, 4), (0, 16, 8, 8)]


def test_whoever_is_busy_longer_is_paid_until_they_go() -> None:
    yard = Farmyard(crew(people=2, shortest_shift=4.0, may_go=GO))
    yard.asks(8.0, "a", "open", 5.0)
    yard.asks(8.0, "b", "open", 6.0)
    yard.run(D)
    assert yard.attended("person", "gone", "paid") == [(0, 13, 5), (1, 16, 8)]


def test_the_break_is_not_counted_and_nobody_goes_in_it() -> None:
    yard = Farmyard(crew(people=2, shortest_shift=4.0, may_go=GO, break_=1.0, break_at=11.5))
    yard.run(D)
    assert yard.attended("person", "gone", "stayed", "paid") == [(1, 13, 4, 4), (0, 16, 7, 7)]
    yard = Farmyard(crew(people=2, shortest_shift=3.5, may_go=GO, break_=1.0, break_at=11.5))
    yard.run(D)
    assert yard.attended("person", "gone", "stayed", "paid") == [(1, 12.5, 3.5, 3.5), (0, 16, 7, 7)]


def test_nobody_goes_while_something_waits_that_is_theirs_at_any_hour() -> None:
    later = (FromHour(from_=14.0, duties=("clear",)),)
    yard = Farmyard(crew(people=2, may_go=GO, by_hour=later))
    yard.asks(7.0, "a", "clear", 0.5)
    assert yard.run(D) == [(14.5, "a clear done")]
    # From 14:00 on one clears, which may bring opening: the other goes when it is cleared.
    assert yard.attended("person", "gone") == [(1, 14.5), (0, 16)]


def test_nobody_goes_while_others_have_work_in_hand_that_brings_theirs() -> None:
    pickers = crew("pick", name="pickers", called="last")
    yard = Farmyard(crew("pack", people=2, may_go=GO, shortest_shift=1.0), pickers)
    yard.asks(8.0, "a", "pick", 5.0)
    yard.run(D)
    assert yard.attended("crew", "person", "gone") == [(0, 1, 13), (0, 0, 16)]


def test_with_nobody_to_stay_what_comes_up_later_waits_for_tomorrow() -> None:
    yard = Farmyard(crew(may_go=GO, stay=0))
    yard.asks(15.0, "a", "open", 1.0)
    assert yard.run(2 * D) == [(33.0, "a open done")]
    assert yard.attended("gone", "paid") == [(8, 0), (33, 1)]


# --- owner and family -----------------------------------------------------------------------------------------------


def test_who_is_called_last_is_sent_only_when_nobody_else_is_free() -> None:
    owner = crew("open", "clear", name="owner", **OWNER)
    yard = Farmyard(owner, crew("clear", "open"))
    for when, key in ((8.0, "a"), (8.5, "b"), (9.75, "c"), (9.75, "d")):
        yard.asks(when, key, "open", 1.0)
    yard.run(D)
    # b finds the grower busy; at 9.75 the grower is free and takes c, the owner d.
    assert [(lot, crew) for lot, crew, *_ in yard.stretches()] == [("a", 1), ("b", 0), ("c", 1), ("d", 0)]


def test_who_is_called_last_from_a_date_on_is_sent_before_others_until_then() -> None:
    in_turn = crew("open", "clear", name="owner", paid="as owner")
    yard = Farmyard((in_turn, (D, in_turn.but(called="last"))), crew("clear", "open"))
    for when, key in ((8.0, "a"), (D + 8.0, "b")):
        yard.asks(when, key, "open", 1.0)
    yard.run(2 * D)
    assert [(lot, crew) for lot, crew, *_ in yard.stretches()] == [("a", 0), ("b", 1)]


def test_in_turn_the_one_who_names_it_earlier_is_sent() -> None:
    yard = Farmyard(crew("open", "clear", name="owner", paid="as owner"), crew("clear", "open"))
    yard.asks(8.0, "a", "open", 1.0)
    yard.run(D)
    assert [(lot, crew) for lot, crew, *_ in yard.stretches()] == [("a", 0)]


def test_owners_are_not_paid_and_their_hours_at_work_are_told() -> None:
    yard = Farmyard(crew(**OWNER, overtime=Overtime(at_most=2.0)))
    yard.asks(9.0, "a", "open", 1.5)
    yard.asks(15.5, "b", "open", 1.0)
    yard.run(D)
    assert yard.attended("hours", "overtime", "paid", "extra", "owned", "gone") == [(8, 0.5, 0, 0, 2.5, 16.5)]


def test_beyond_the_ceiling_of_the_week_a_person_does_nothing_more() -> None:
    yard = Farmyard(crew(**OWNER, at_most_hours=5.0))
    yard.asks(8.0, "a", "open", 4.0)
    yard.asks(D + 8.0, "b", "open", 4.0)
    assert yard.run(2 * W) == [(12.0, "a open done"), (W + 11.0, "b open done")]
    # On Tuesday 1 h is left; the other 3 h of b are the first thing on the next Monday.
    assert yard.told() == [(0, 0, 8.0, 12.0, 0.0), (0, 0, 32.0, 33.0, 0.0), (0, 0, W + 8.0, W + 11.0, 0.0)]


def test_the_ceiling_is_for_each_person() -> None:
    yard = Farmyard(crew(people=2, **OWNER, at_most_hours=5.0))
    for key in "ab":
        yard.asks(8.0, key, "open", 5.0)
    yard.asks(D + 8.0, "c", "open", 1.0)
    assert yard.run(W) == [(13.0, "a open done"), (13.0, "b open done")]


def test_what_is_only_begun_if_it_fits_goes_to_somebody_it_fits() -> None:
    yard = Farmyard(crew(people=2, **OWNER, at_most_hours=5.0, fits=("open",)))
    yard.asks(8.0, "a", "open", 4.0)
    yard.asks(D + 8.0, "b", "open", 2.0)
    assert yard.run(W) == [(12.0, "a open done"), (D + 10.0, "b open done")]
    assert [person for _, person, *_ in yard.told()] == [0, 1]


# --- slow first weeks -----------------------------------------------------------------------------------------------

HALF = NewHands(pace=(0.5, 0.8))


def test_whoever_makes_the_crew_larger_on_a_date_is_slow_at_first() -> None:
    yard = Farmyard((crew(new_hands=HALF), (W, crew(people=2, new_hands=HALF))))
    for week in range(1, 4):
        for key in "ab":
            yard.asks(week * W + 8.0, f"{key}{week}", "open", 2.0)
    yard.run(4 * W)
    assert [(person, ended - began) for _, person, began, ended, _ in yard.told()] == [
        (0, 2), (1, 4), (0, 2), (1, 2.5), (0, 2), (1, 2),
    ]  # fmt: skip


def test_what_a_slow_hand_leaves_is_counted_at_full_pace() -> None:
    yard = Farmyard((crew(people=1, new_hands=HALF), (W, crew(people=2, new_hands=HALF))))
    yard.asks(W + 8.0, "long", "open", 30.0)
    yard.asks(W + 14.0, "a", "open", 3.0)
    yard.run(W + 3 * D)
    # The slow hand does 1 h of it in the 2 h to 16:00; the 2 h left take 4 h on the next morning.
    assert [(row[0], *row[2:6]) for row in yard.stretches()][:4] == [
        ("long", 0, W + 8.0, W + 16.0, 8.0),
        ("a", 1, W + 14.0, W + 16.0, 2.0),
        ("a", 1, W + D + 8.0, W + D + 12.0, 4.0),
        ("long", 0, W + D + 8.0, W + D + 16.0, 8.0),
    ]


def test_a_round_of_a_slow_hand_is_cut_to_what_they_can_do() -> None:
    yard = Farmyard((crew("pick", new_hands=HALF), (0.0, crew("pick", people=2, new_hands=HALF))))
    heap = Heap(yard.desk, 9.0, 9.0)
    yard.people.duty["pick"].take_from(heap.pool)
    yard.run(D)
    # 8 h of the first for the old hand; the hour left of it takes the new one 2 h, and 3 h of the second 6 h.
    assert heap.log == [(10.0, 1.0), (16.0, 8.0), (16.0, 3.0)]


# --- parts of the day -----------------------------------------------------------------------------------------------


def test_in_the_afternoon_the_duties_are_others_and_what_is_in_hand_is_finished() -> None:
    yard = Farmyard(crew("pick", people=2, by_hour=(FromHour(from_=12.0, duties=("open", "pick")),)))
    yard.asks(8.0, "early", "open", 1.0)
    yard.asks(11.0, "a", "pick", 2.0)
    yard.asks(12.5, "b", "pick", 1.0)
    assert yard.run(D) == [(13.0, "a pick done"), (13.0, "early open done"), (14.0, "b pick done")]


def test_every_morning_begins_with_the_mornings_duties() -> None:
    yard = Farmyard(
        crew("pick", by_hour=(FromHour(from_=12.0, duties=("open",)), FromHour(from_=14.0, duties=("clear",))))
    )
    for key, duty in (("a", "open"), ("b", "clear"), ("c", "pick")):
        yard.asks(1.0, key, duty, 1.0)
        yard.asks(D + 1.0, f"{key}2", duty, 1.0)
    assert [when for when, _ in yard.run(2 * D)] == [9, 13, 15, D + 9, D + 13, D + 15]


def test_over_midnight_an_hour_before_the_shifts_begin_is_the_next_days() -> None:
    night = dict.fromkeys(DAYS, Shift(22.0, 30.0))
    yard = Farmyard(crew("pick", hours=night, by_hour=(FromHour(from_=2.0, duties=("open",)),)))
    yard.asks(12.0, "a", "open", 1.0)
    assert yard.run(2 * D) == [(D + 3.0, "a open done")]


# --- no rule, no price ----------------------------------------------------------------------------------------------


def test_a_crew_without_such_rules_is_a_plain_one() -> None:
    assert not has_terms(crew(overtime=Overtime(at_most=2.0), absence=0.1, wage=18.0, fits=("open",)))
    rules: list[dict[str, object]] = [
        {"overtime": Overtime(at_most=2.0, at_most_a_week=3.0)}, {"overtime": Overtime(after=40.0)},
        {"shortest_shift": 4.0}, {"may_go": GO}, {"paid": "as owner"}, {"called": "last"},
        {"new_hands": HALF}, {"leaves": 0.3}, {"by_hour": (FromHour(from_=12.0, duties=("open",)),)},
    ]  # fmt: skip
    assert [has_terms(crew(**rule)) for rule in rules] == [True] * len(rules)


# --- the end of a run -----------------------------------------------------------------------------------------------


def test_whoever_is_there_at_the_end_of_the_run_is_told_as_if_they_stayed() -> None:
    night = of_crew(start=18.0, end=30.0, name="night", shortest_shift=4.0)
    record = seen(crew=(night,), weeks=1)
    told = [(row[2], row[4], row[6], row[9]) for row in record.rows("attended")]
    assert told[-2:] == [(5 * D + 18.0, 12.0, 12.0, 6 * D + 6.0), (6 * D + 18.0, 12.0, 12.0, None)]
    assert len(told) == len(record.rows("rostered")) == 8  # the Sunday before is among them


def test_an_owner_who_is_there_at_the_end_of_the_run_is_not_paid_either() -> None:
    record = seen(crew=(of_crew(start=18.0, end=30.0, name="night", paid="as owner"),), weeks=1)
    weekly = summarise(record)["weekly"]
    assert list(weekly["rostered_h"]) == [7 * 12.0]
    assert list(weekly["paid_h"]) == [0.0]
    assert list(weekly["owner_h"]) == list(weekly["worked_h"])
