"""Every text of every picture lies on its sheet and on no other text, for farms of any size and names of any length."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from types import SimpleNamespace

import pandas as pd
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

from farmsim.report import pictures
from farmsim.report.figures import (
    cash,
    ceiling,
    crew_week,
    flow,
    harvest,
    limits,
    lot_life,
    movers,
    plan,
    spread,
    strains,
    swept,
    week_sheet,
    year_strip,
)
from farmsim.scenario.read import load
from farmsim.scenario.values import DAYS, MONTHS
from farmsim.study.answers import OFTEN, Answers, Month
from farmsim.study.ceiling_answers import Ceiling, Level, Range
from farmsim.study.compare import Difference
from farmsim.study.effects import Effect
from farmsim.study.limits_answers import Asked, Gain, Limits
from farmsim.study.plan import plan as planned_starts
from farmsim.study.plan_answers import Planned, Started
from farmsim.study.pool import Where
from farmsim.study.sensitivity import Asked as Of
from farmsim.study.sensitivity import Mover, Sensed
from farmsim.study.strain_answers import Life, Step, Takes, Work
from farmsim.study.sweep import Axis, Best, Point, Swept
from farmsim.study.targets import FIGURES, Kept, Target
from farmsim.study.trials import Brief
from farmsim.study.year import Factors, Open, Still, Year

TINY = Path(__file__).parents[2] / "scenarios" / "tiny.toml"
LONG = "Upper hillside by the old lane"
MEANING = "blocks of a lot that are contaminated, on average over all lots that are made here"
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
    figure.draw_without_rendering()  # puts the names of axes and ticks where they stand
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


def test_on_the_picture_of_cash_the_same_months_of_every_year_are_named() -> None:
    months = [f"{2027 + at // 12}-{at % 12 + 1:02d}" for at in range(61)]
    assert [months[at][5:] for at in cash.told(months)] == ["01", "07"] * 5 + ["01"]
    assert cash.told(months[3:15]) == list(range(12))
    assert [months[3:][at] for at in cash.told(months[3:])][:2] == ["2027-07", "2028-01"]


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


@pytest.mark.parametrize("names", [("delivered",), tuple(FIGURES)])
@pytest.mark.parametrize("blocks", [(80,), (8, 80, 81, 82, 90), (19_000, 25_000, 25_100, 1_000_000)])
def test_ceiling(names: tuple[str, ...], blocks: tuple[int, ...]) -> None:
    targets = tuple(
        Target(name, *FIGURES[name], 0.95 if FIGURES[name][0].unit == "share" else 1250.0) for name in names
    )
    kept = tuple(Kept(target, 0.99 * target.bound, 0.02 * target.bound, "not sure") for target in targets)
    levels = tuple(Level(each, 40, kept, "not sure", False, 0.0) for each in blocks)
    low, high = (blocks[0], blocks[-1]) if len(blocks) > 1 else (None, None)
    found = Ceiling(LONG * 3, "us", "2027-01-04", 52, 0, 25, 1, 40, 0.95, blocks[0], 1, targets, False, (), True,
                    Range(blocks[0], blocks[-1], 1), levels, low, high, low, None)  # fmt: skip
    assert collisions(ceiling.draw(found)) == []


@pytest.mark.parametrize(
    ("rooms", "name", "size"), [(1, "Shed", 0.001), (2, "North", 3.0), (9, LONG, 900.0), (40, "x" * 80, 1e7)]
)
def test_what_one_step_more_brings(answers: Answers, rooms: int, name: str, size: float) -> None:
    def step(where: str, more: str, kind: str, mean: float) -> Gain:
        units = ("kg/week", "blocks/week", "currency/year")
        figures = tuple(
            Difference("sold", unit, size, size, mean * size, (1 + at) * size, None) for at, unit in enumerate(units)
        )
        return Gain(where, kind, more, f"{where}: {more}", 14, "may be the best", figures)

    shelf = next(place for place in answers.places if place.kind == "shelf")
    places = tuple(
        replace(shelf, name=f"{name} {at}", full_waiting=0.97, full_quiet=0.96, idle=0.98) for at in range(rooms)
    )
    more = "a bay of 12,500 shelf places more"
    steps = tuple(step(place.name, more, "place", at % 7 - 3.0) for at, place in enumerate(places))
    outside = (step("both", "both, 5 % more started and asked for", "outside", 9.0),)
    found = Limits(
        farm=name * 3, system="us", currency="USD", start="2027-01-04", weeks=52, since=0, seed=1, lead_in=8, first=5_000,
        runs=10_000, sure=0.95, worth=0.01, fuller=False, figure="sold", now=Asked(size, steps, outside, None, ()), then=None,
        relieved=None, places=places, crews=(), held=(), not_asked=(),
    )  # fmt: skip
    assert collisions(limits.draw(found)) == []
    crews = tuple(replace(answers.crews[0], name=place.name, overtime=12.0) for place in places)
    assert collisions(limits.draw(replace(found, places=(), crews=crews))) == []


def a_sweep(down: int, across: int, name: str, size: float) -> Swept:
    """A sweep of one figure (across 0) or two, of which one value is not possible."""
    counts = [each for each in (down, across) if each]
    axes = [
        Axis(name, LONG, tuple(f"{size * at:g}" for at in range(each)), tuple(size * at for at in range(each)), 0, "0")
        for each in counts
    ]
    places = (
        [(one, other) for one in range(down) for other in range(across)] if across else [(at,) for at in range(down)]
    )
    lines = ("left for all else", "currency/week"), ("sold to orders", "kg/week"), ("delivered of promised", "share")
    points = []
    for place, at in enumerate(places):
        give = 0.5 * size if place else None
        found = tuple(Difference(line, unit, size, size + place, float(place), give, None) for line, unit in lines)
        points.append(Point(at, "is not allowed", ()) if place == 1 else Point(at, "", found))
    means = tuple(size + place for place in range(len(places)))
    best = tuple(Best(line, unit, (len(places) - 1,), means, None, 1.0) for line, unit in lines)
    return Swept(LONG * 3, "us", "USD", "2027-01-04", 20, 52, 0, 1, 8, 0.95, tuple(axes), tuple(points), 0, True, best, 9,
                 pd.DataFrame())  # fmt: skip


@pytest.mark.parametrize(
    ("down", "across", "name", "size"),
    [
        (3, 0, "soak.tanks", 1.0),
        (50, 0, LONG * 3, 12345.5),
        (2, 2, "a.b", 0.001),
        (10, 10, LONG * 2, 12345.5),
        (2, 50, "a.b", 9999.5),
    ],
)
def test_sweeps(down: int, across: int, name: str, size: float) -> None:
    figure = swept.draw(a_sweep(down, across, name, size))
    assert collisions(figure) == []


@pytest.mark.parametrize(
    ("figures", "answers", "name", "size"),
    [(1, 1, "a", 0.001), (9, 2, LONG * 3, 9e5), (60, 3, LONG, 70.0), (6, 2, MEANING, 70.0)],
)
def test_what_moves_the_answer(figures: int, answers: int, name: str, size: float) -> None:
    kinds = ("more", "less", "both ways", "no effect found")
    asked = (Of("left for all else", "currency/week", size), Of("delivered of promised", "share", 0.9))
    found = [Effect(size / (1 + at), size * at, size, 0.1 * size, kinds[at % 4]) for at in range(figures)]  # type: ignore[arg-type]
    told = [
        Mover(f"{name}{at}", f"{at} {name}", 3, "1 h", "2 h", "1 h", "placeholder", True, (effect,) * answers)
        for at, effect in enumerate(found)
    ]
    sensed = Sensed(LONG * 3, "us", "USD", "2027-01-04", 1, 52, 0, 8, 0.95, (*asked, asked[0])[:answers], tuple(told), (), 8, 2,
                    0, 5, 0, 100, 300)  # fmt: skip
    figure = movers.draw(sensed)
    assert collisions(figure) == []
    names = [label.get_text().replace("\n", " ") for label in figure.axes[0].get_yticklabels()]
    assert name == LONG * 3 or names == [mover.meaning for mover in reversed(told)]


@pytest.fixture(scope="module")
def found() -> Planned:
    return planned_starts(load(TINY), (), 5, 1, 1, Brief(weeks=2, where=Where(1)))


@pytest.mark.parametrize(("lines", "name", "blocks"), [(1, "oyster", 3), (6, LONG, 12_345), (20, "x" * 80, 99_999)])
def test_plans_of_the_starts(found: Planned, lines: int, name: str, blocks: int) -> None:
    started = Started(name, "oyster", "here", 7.0, float(7 * blocks), ("mon",), DAYS, MONTHS, 0.2, (blocks,) * 7)
    about = found.before.farm.but(name=LONG * 3)
    big = replace(found, before=found.before.but(farm=about), lines=(started,) * lines)
    assert collisions(plan.draw(big)) == []


@pytest.mark.parametrize(("crews", "hours"), [(1, (7, 11)), (2, (6, 14)), (5, (0, 24)), (13, (4, 23))])
def test_weeks_of_crews(answers: Answers, crews: int, hours: tuple[int, int]) -> None:
    shaded = tuple(0.7 if hours[0] <= hour % 24 < hours[1] else None for hour in range(168))
    size = "12 people, 5 days a week in turn (every day), Mon, Tue, Thu and Fri 06:00 to 13:30, Wed 08:00 to 12:00 and more"
    load = [replace(answers.crews[0], name=f"{LONG} {number}", hours=shaded) for number in range(crews)]
    assert collisions(crew_week.sheets(LONG * 3, True, 20, 52, load, [size] * crews)) == []
