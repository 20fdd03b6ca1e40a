"""Every text of every picture lies on its sheet and on no other text, for farms of any size and names of any length."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from types import SimpleNamespace

import pandas as pd
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from farmsim.report import pictures
from farmsim.report.figures import cash, flow, harvest, lot_life, spread, strains, week_sheet, year_strip
from farmsim.study.answers import OFTEN, Answers, Month
from farmsim.study.strain_answers import Life, Step, Takes, Work
from farmsim.study.year import Factors, Open, Still, Year

LONG = "Upper hillside by the old lane"
PIXEL = 1.0


def texts(figure: Figure) -> Iterator[Text]:
    """What is written on the sheet."""
    yield from figure.texts
    for axes in figure.axes:
        yield from (*axes.texts, axes.xaxis.label, axes.yaxis.label, *ticks(axes))


def ticks(axes: Axes) -> Iterator[Text]:
    """Tick labels that are shown: those between the ends of their axis."""
    for axis, (low, high) in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
        for tick in axis.get_major_ticks():
            if min(low, high) <= tick.get_loc() <= max(low, high):
                yield from (tick.label1, tick.label2)


def collisions(figure: Figure) -> list[str]:
    figure.canvas.draw()
    boxes = {text: text.get_window_extent() for text in texts(figure) if text.get_visible() and text.get_text().strip()}
    sheet = figure.bbox
    found = [
        f"{text.get_text()!r} leaves the sheet"
        for text, box in boxes.items()
        if box.x0 < sheet.x0 or box.y0 < sheet.y0 or box.x1 > sheet.x1 or box.y1 > sheet.y1
    ]
    for (one, first), (other, second) in combinations(boxes.items(), 2):
        across = min(first.x1, second.x1) - max(first.x0, second.x0)
        up = min(first.y1, second.y1) - max(first.y0, second.y0)
        if across > PIXEL and up > PIXEL:
            found.append(f"{one.get_text()!r} on {other.get_text()!r}")
    return found


def grown(answers: Answers, rooms: int, crews: int, name: str, runs: int) -> Answers:
    """The same answers as those of a farm with so many rooms and crews, all with bad hours."""
    shelf = next(place for place in answers.places if place.kind == "shelf")
    others = [place for place in answers.places if place.kind != "shelf"]
    bad = {"bad": tuple(range(40, 60)), "worst": 44, "worst_share": 0.6}
    named = [
        f"{name[:27]} {number}" if len(name) > 27 else f"{name} {number}" for number in range(1, max(rooms, crews) + 1)
    ]
    big = [replace(shelf, name=named[number], capacity=12500.0, **bad) for number in range(rooms)]
    hands = [replace(answers.crews[0], name=named[number], most_present=12.0, **bad) for number in range(crews)]
    about = replace(answers.study, farm=name * 3, runs=runs)
    totals = {
        key: replace(total, runs=tuple(total.runs[0] * (1 + 0.01 * (number % 17)) for number in range(runs)))
        for key, total in answers.totals.items()
    }
    return replace(answers, study=about, places=(*others, *big), crews=tuple(hands), totals=totals)


@pytest.mark.parametrize(
    ("rooms", "crews", "name", "runs"), [(1, 1, "Shed", 1), (12, 12, LONG, 200), (4, 0, "Room", 20)]
)
def test_week_sheet_and_spread(answers: Answers, rooms: int, crews: int, name: str, runs: int) -> None:
    farm = grown(answers, rooms, crews, name, runs)
    assert collisions(week_sheet.draw(farm.study, farm.places, farm.crews)) == []
    assert collisions(spread.draw(farm.study, list(pictures.strips(farm)))) == []


@pytest.mark.parametrize("count", [1, 2, 6, 13, 25, 60, 120])
def test_months(answers: Answers, count: int) -> None:
    months = [
        Month(
            f"{2027 + at // 12}-{at % 12 + 1:02d}-01", 31 if at else 12, at > 0, 40_000.0, 45_000.0, 52_000.0, 10_000.0
        )
        for at in range(count)
    ]
    for name in (LONG * 3, "WAMMO " * 20):
        assert collisions(harvest.draw(replace(answers.study, farm=name), months)) == []


@pytest.mark.parametrize(
    ("made", "bought", "contaminated", "too_old", "sold", "fruited"),
    [
        (1900, 0, 72, 18, 480, 1330),
        (1000, 900, 1, 1, 1, 1897),
        (2, 1898, 900, 500, 300, 100),
        (10_000, 0, 3_000, 4, 4, 6_992),
        (100, 0, 5, 1, 1, 143),
        (60, 0, 2, 0, 0, 1),
    ],
)
def test_blocks(
    answers: Answers, made: int, bought: int, contaminated: int, too_old: int, sold: int, fruited: int
) -> None:
    rest = made + bought - contaminated - too_old - sold - fruited
    blocks = replace(
        answers.flow, made=made, bought=bought, contaminated=contaminated, too_old=too_old, sold=sold, fruited=fruited,
        more_standing=rest,
    )  # fmt: skip
    assert collisions(flow.draw(replace(answers.study, farm=LONG * 3), blocks)) == []


def test_hours_that_are_bad_in_a_quarter_of_the_weeks_are_underlined_numbered_and_explained(answers: Answers) -> None:
    farm = grown(answers, 2, 1, "Room", 20)
    figure = week_sheet.draw(farm.study, farm.places, farm.crews)
    foot = " ".join(figure.texts[-1].get_text().split())
    assert f"{OFTEN * 100:.0f} of 100 weeks" in foot
    numbers = [text.get_text() for text in figure.axes[0].texts if text.get_fontweight() == "bold" and text.get_text()]
    assert numbers == ["1", "2", "3", "4", "5"]
    told = "Tue 16:00 to Wed 12:00; worst Tue 20:00, in 60 of 100 weeks."
    assert (
        f"5 Room 1: all at work, and work left lying at the end of the shift, {told}" in foot
    )  # a crew named as a room is
    assert f"4 Room 2: full, and lots waiting, {told}" in foot


def life(strain: str, flushes: int, days: float) -> Life:
    names = ["start to ripe", "ripe to called in", "called in to shelved", "shelved to first pick"]
    names += [f"first pick of flush {at} to {at + 1}" for at in range(1, flushes)]
    names += ["first pick of the last flush to cleared"]
    steps = tuple(Step(name, days * (place % 3), days * (place % 3 + 1), 12.0) for place, name in enumerate(names))
    return Life(strain, steps, Step("start to cleared", days * 9, days * 11, 12.0))


@pytest.mark.parametrize(("strain", "flushes", "days"), [("oyster", 1, 0.02), (LONG, 3, 7.0), ("x" * 80, 9, 4000.0)])
def test_lives_of_lots(answers: Answers, strain: str, flushes: int, days: float) -> None:
    lives = [life(f"{number} {strain}", max(1, flushes - number), days / (1 + number)) for number in range(flushes)]
    study = replace(answers.study, farm=LONG * 3)
    assert collisions(lot_life.draw(study, lives)) == []


@pytest.mark.parametrize(("strain", "duties", "size"), [("oyster", 1, 0.001), (LONG, 8, 1.0), ("x" * 80, 14, 9000.0)])
def test_what_strains_take(answers: Answers, strain: str, duties: int, size: float) -> None:
    work = tuple(Work(f"duty {number}", 4.0 * size, 0.3 * size) for number in range(duties))
    one = Takes(strain, 100.0, 80.0, 20.0, 400.0, 0.25 * size, 5.0 * size, 4.0, 0.1, 0.3 * size * duties, 0.4, work)
    assert collisions(strains.draw(replace(answers.study, farm=LONG * 3), [one] * 7)) == []


FACTORS = (1.0, 0.875, 1.125, 10.0, 0.0, 1.0, 1.0, 1.333333, 1.0, 1.0, 0.001, 1.0)
SHUT = Still(LONG * 2, "2027-12-24", "2028-01-02", ("starts", "deliveries", "work"))


@pytest.mark.parametrize(
    "year",
    [
        Year((Factors("orders", "", FACTORS, 1.7),)),
        Year((), (Open(LONG, "started", (True, False) * 6),)),
        Year((), (), (), (SHUT,)),
        Year(
            tuple(Factors(LONG, "", FACTORS, 1.7) for _ in range(6)),
            (Open(LONG, "started", (True,) * 12),) * 9,
            (Open("x" * 80, "rests", (False,) * 12),) * 4,
            (SHUT,) * 40,
        ),
    ],
)
def test_year_strips(answers: Answers, year: Year) -> None:
    assert collisions(year_strip.draw(replace(answers.study, farm=LONG * 3), year)) == []


@pytest.mark.parametrize("count", [1, 2, 13, 25, 61, 109])
@pytest.mark.parametrize("size", [0.01, 40_000.0, 90_000_000.0])
def test_cash(count: int, size: float) -> None:
    months = [f"{2027 + at // 12}-{at % 12 + 1:02d}" for at in range(count)]
    lowest = [size * ((at * 7) % 11 - 4) for at in range(count)]
    table = {
        f"lowest_cash_{name}": [value + more for value in lowest]
        for name, more in (("usual", 0.0), ("poor", -size), ("good", size))
    }
    kept = SimpleNamespace(
        months=pd.DataFrame({"month": months, **table}), farm=LONG * 3, runs=20, currency="USD", limit=size * 3
    )
    assert collisions(cash.draw(kept)) == []
