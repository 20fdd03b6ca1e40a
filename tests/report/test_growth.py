"""The phases of a farm that grows on the screen and in their picture, whatever their number and names."""

from __future__ import annotations

from dataclasses import replace

import pytest
from test_nothing_overlaps import LONG, collisions
from test_screen import sized

from farmsim.report import growth as told
from farmsim.report.figures import growth as picture
from farmsim.report.screen import screen
from farmsim.study.answers import Answers, Change, Known, Promise, Total
from farmsim.study.growth_answers import Course, Growth, Phase

POUND = 0.45359237  # kg, exact by definition (international yard and pound, 1959)


def phase(number: int, name: str, week: int, weeks: int, promised: float = 50.0) -> Phase:
    figures = {
        "picked_kg": 100.0 * POUND,
        "sold_kg": 80.0 * POUND,
        "blocks_in": 60.0,
        "blocks_sold": 5.0 * (number - 1),
    }
    promises = (Promise("shop", "kg", promised, 0.9 * promised, 1, 1, 1, 1),) if promised else ()
    first = f"2027-{(number - 1) % 12 + 1:02d}-04"
    a_week = {measure: Known(value, 1.0) for measure, value in figures.items()}
    picked = Total(Known(1.0, None), 1.0, 1.0, 1.0, (1.0,))
    return Phase(number, name, first, week, weeks, a_week, picked, promises, ("racks", 0.7), ("racks", "owner"))


def grown(*phases: Phase, after: int = 0) -> Growth:
    weeks = sum(one.weeks for one in phases)
    course = Course((1000.0,) * weeks, (1200.0,) * weeks, (1300.0,) * weeks)
    return Growth(phases, dict.fromkeys(("picked_kg", "promised_kg", "blocks_in", "blocks_sold"), course), after)


def test_a_row_says_when_how_long_how_much_and_what_looks_tightest(answers: Answers) -> None:
    two = grown(phase(1, "one shed", 1, 9, promised=0.0), phase(2, "two rooms", 10, 12), after=1)
    assert told.rows(answers.study, two) == [
        ("1 one shed", "Jan 27", "9", "100", "80", "-", "60", "0", "racks"),
        ("2 two rooms", "Feb 27", "12", "100", "80", "90 %", "60", "5", "racks"),
    ]
    assert "1 phase comes after these 8 weeks." in " ".join(" ".join(told.told(answers.study, two)).split())


def test_blocks_sold_have_a_column_only_if_any_are_sold(answers: Answers) -> None:
    without, with_ = (told.told(answers.study, grown(phase(number, "shed", 1, 8))) for number in (1, 2))
    assert "sold" not in without[0].split()
    assert "sold" in with_[0].split()


def test_changes_that_begin_no_phase_are_told_too(answers: Answers) -> None:
    two = grown(phase(1, "shed", 1, 3), phase(2, "barn", 4, 5))
    barn, market = Change("2027-01-25", 4, ("room Barn comes",)), Change("2027-02-08", 6, ("customer market comes",))
    only, both = (
        screen(replace(answers, growth=two, study=replace(answers.study, changes=changes, before=5)))
        for changes in ((barn,), (barn, market))
    )
    assert "CHANGES" not in only
    assert "week 6: customer market comes." in both


@pytest.mark.parametrize("count", [1, 4, 7, 40])
def test_the_screen_keeps_its_size_with_phases(answers: Answers, count: int) -> None:
    phases = [phase(at + 1, LONG * 2, 1 + 9 * at, 9) for at in range(count)]
    text = screen(replace(answers, growth=grown(*phases)))
    sized("\n".join(text.splitlines()[min(count, 12) + 4 :]))
    assert max(map(len, text.splitlines())) <= 100
    assert "GROWTH" in text and "CHANGES" not in text
    assert f"  {count} Upper" in text
    assert ("phases before these: phases.csv" in text) == (count > 12)


@pytest.mark.parametrize("count", [1, 3, 9])
@pytest.mark.parametrize("weeks", [2, 13, 50])
def test_nothing_overlaps_in_the_picture(answers: Answers, count: int, weeks: int) -> None:
    phases = [phase(at + 1, LONG * 3, 1 + weeks * at, weeks) for at in range(count)]
    study = replace(answers.study, farm=LONG * 3, weeks=weeks * count)
    assert collisions(picture.draw(study, grown(*phases))) == []


def test_a_phase_too_short_for_its_number_is_still_in_the_caption(answers: Answers) -> None:
    phases = (phase(1, "shed", 1, 100), phase(2, "barn", 101, 1), phase(3, "hall", 102, 100))
    figure = picture.draw(replace(answers.study, weeks=201), grown(*phases))
    assert [text.get_text() for text in figure.axes[0].texts] == ["1", "3"]
    assert "2 barn (1 week)" in figure.texts[-1].get_text().replace("\n", " ")
