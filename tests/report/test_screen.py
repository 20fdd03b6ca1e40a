"""The screen keeps its size and tells what there is, whatever the farm."""

from dataclasses import replace

import pytest

from farmsim.report.screen import screen
from farmsim.report.words import adding_up
from farmsim.study.answers import Answers, Known, Settled, Week


def sized(text: str) -> None:
    lines = text.splitlines()
    assert len(lines) <= 44  # the command adds the line that tells where the result is
    assert max(map(len, lines)) <= 100


def alone(answers: Answers) -> Answers:
    """The same as one run would tell it."""
    weeks = {
        name: Week(*(Known(one.value, None) for one in (week.thin, week.usual, week.fat, week.mean)))
        for name, week in answers.weeks.items()
    }
    totals = {name: replace(total, mean=Known(total.mean.value, None)) for name, total in answers.totals.items()}
    return replace(answers, study=replace(answers.study, runs=1), weeks=weeks, totals=totals)


def test_a_farm_with_much_to_tell_still_fits(answers: Answers) -> None:
    many = [replace(answers.promises[0], customer=f"market stall by the river {at}") for at in range(12)]
    places = [replace(answers.places[0], name=f"walk-in of the hall {at}", kind="walk-in") for at in range(8)]
    crews = [replace(answers.crews[0], name=f"night pickers {at}") for at in range(6)]
    names = (*(one.name for one in places), *(one.name for one in crews))
    guesses = tuple((f"{at} {meaning}", 6) for at in range(3) for meaning, _ in answers.guesses)
    farm = replace(
        answers, promises=tuple(many), places=tuple(places), crews=tuple(crews), tight=names, guesses=guesses
    )
    sized(screen(farm))
    assert "less so" in screen(farm)


def test_a_long_name_leaves_its_neighbours_on_the_first_line_alone(answers: Answers) -> None:
    first = screen(
        replace(answers, study=replace(answers.study, farm="Upper hillside by the old lane " * 3))
    ).splitlines()[0]
    assert len(first) <= 100
    assert first.startswith("Upper hillside") and "Mon 4 Jan 2027  " in first and first.endswith("guesses (below)")


def test_two_runs_are_both(answers: Answers) -> None:
    assert "; both runs lie between " in " ".join(screen(answers).split())


def test_one_run_withholds_how_sure_it_is_and_says_so(answers: Answers) -> None:
    text = screen(alone(answers))
    sized(text)
    assert "One run cannot say" in text
    assert "+-" not in text
    assert "lie between" not in text


def test_a_farm_that_did_not_settle_tells_no_usual_week(answers: Answers) -> None:
    growing = Settled("did not settle", 8, 25, "blocks_inside", Known(12.0, 2.0))
    text = screen(replace(answers, settled=growing))
    sized(text)
    assert "NOT SETTLED" in text and "A WEEK" not in text and "8 WEEKS" not in text


@pytest.mark.parametrize("verdict", ["slow start", "starts empty"])
def test_a_farm_that_still_fills_up_gets_a_warning(answers: Answers, verdict: str) -> None:
    assert "MIND" in screen(replace(answers, settled=Settled(verdict, 8, 5, "picked_kg")))


def test_nothing_promised_nothing_tight_nothing_lost(answers: Answers) -> None:
    text = screen(replace(answers, promises=(), gap=None, block_gap=None, tight=(), losses=(), guesses=(), months=()))
    sized(text)
    assert "PROMISES" not in text and "GUESSED" not in text
    assert "Nothing: no place was full" in text


def test_rounded_parts_add_up() -> None:
    assert adding_up([100.4, 0.4, 0.4]) == ["101", "0", "0", "101"]
    assert adding_up([0.44, 0.44, 0.44]) == ["0.5", "0.4", "0.4", "1.3"]  # a small sum shows its tenths
    assert adding_up([1379.6, 150.3, 60.4]) == ["1,380", "150", "60", "1,590"]
