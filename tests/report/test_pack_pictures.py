"""The pictures of the lender's pack: nothing overlaps, words stay in their boxes, what differs is seen in grey too."""

from __future__ import annotations

import gc
from dataclasses import replace

import pytest
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.colors import to_rgb
from matplotlib.patches import Rectangle
from pack_sample import ASKED, BUYERS, pack
from test_nothing_overlaps import LONG, collisions

from farmsim.record.columns import KINDS
from farmsim.report.figures import farm_map, headroom, time_line
from farmsim.study.pack_answers import Headroom, Level, Pack, Step

PACK = pack()
UNITS = dict(
    zip(
        KINDS,
        ("loads", "blocks", "benches", "blocks", "crates", "tanks", "benches", "blocks", "blocks", "vans"),
        strict=True,
    )
)


def grown(rooms: int, crews: int, name: str, size: float, is_new: bool) -> Pack:
    """The pack of a farm with every kind of place and so many rooms and crews."""

    def one(named: str, kind: str, unit: str) -> Headroom:
        now, then = (Level(size * more, 0.9, 1.3 if kind == "crew" else 1.0, 0.2) for more in (1, 1 if is_new else 3))
        return Headroom(named, kind, unit, None if is_new else now, then)

    places = [one(kind, kind, UNITS[kind]) for kind in KINDS if kind not in ("shelf", "booked")]
    places[6:6] = [one(f"{name} {at}", "shelf", "blocks") for at in range(rooms)]
    hands = [one(f"{name} {at}", "crew", "h") for at in range(crews)]
    return replace(PACK, base_name=name * 3, headroom=(*places, *hands), buyers=BUYERS * 30)


SIZES = pytest.mark.parametrize(
    ("rooms", "crews", "name", "size", "is_new"),
    [
        (1, 0, "Shed", 1.0, True),
        (4, 5, "Room", 2_500.0, False),
        (12, 13, LONG, 125_000.0, False),
        (60, 11, "W" * 80, 9e7, True),
    ],
)


@SIZES
def test_the_farms_map(rooms: int, crews: int, name: str, size: float, is_new: bool) -> None:
    farm = grown(rooms, crews, name, size, is_new)
    figure = farm_map.draw(farm)
    assert collisions(figure) == []
    assert collisions(headroom.draw(farm)) == []


@SIZES
def test_every_word_of_the_map_stays_in_its_box(rooms: int, crews: int, name: str, size: float, is_new: bool) -> None:
    figure = farm_map.draw(grown(rooms, crews, name, size, is_new))
    figure.canvas.draw()
    (axes,) = figure.axes
    boxes = [patch.get_window_extent() for patch in axes.patches if isinstance(patch, Rectangle)]
    assert len(boxes) > len(KINDS) - 2
    for first, second in ((one, other) for at, one in enumerate(boxes) for other in boxes[at + 1 :]):
        assert not (
            min(first.x1, second.x1) > max(first.x0, second.x0) and min(first.y1, second.y1) > max(first.y0, second.y0)
        )
    for text in axes.texts:
        if text.get_text() and text.get_text() != "People":
            box = text.get_window_extent()
            inside = [
                each
                for each in boxes
                if each.x0 <= box.x0 and box.x1 <= each.x1 and each.y0 <= box.y0 and box.y1 <= each.y1
            ]
            assert len(inside) == 1, text.get_text()


def test_all_texts_of_a_picture_are_measured_on_one_canvas() -> None:
    """Each takes as much memory as the whole picture has points."""
    gc.collect()
    before = canvases()
    figure = farm_map.draw(grown(12, 13, LONG, 125_000.0, False))
    assert len(figure.axes[0].texts) > 40
    assert canvases() - before == 1


def canvases() -> int:
    return sum(type(each) is RendererAgg for each in gc.get_objects())


def test_what_changes_has_a_thick_frame_and_a_grey_ground() -> None:
    figure = farm_map.draw(PACK)
    frames = [patch for patch in figure.axes[0].patches if isinstance(patch, Rectangle)]
    assert [frame.get_linewidth() > 2 for frame in frames] == [False, False, True, True, True, True, True]
    assert [min(to_rgb(frame.get_facecolor()[:3])) < 0.95 for frame in frames] == [
        False,
        False,
        True,
        True,
        True,
        True,
        True,
    ]
    texts = [text.get_text() for text in figure.axes[0].texts]
    assert "7, then 8 tanks" in texts and "5 for mushrooms" in texts and "2 of them new" in texts


def test_a_farm_without_customers_has_no_box_for_them() -> None:
    assert farm_map.customers(replace(PACK, buyers=())) == []


@pytest.mark.parametrize(
    ("days", "what", "opens"),
    [
        (("2027-02-01",), "the room opens", ""),
        (("2027-02-01",) * 9, LONG * 4, "2027-02-01"),
        (tuple(f"{2027 + at // 12}-{at % 12 + 1:02d}-15" for at in range(60)), "W" * 90, "2040-12-31"),
    ],
)
def test_time_lines(days: tuple[str, ...], what: str, opens: str) -> None:
    steps = tuple(Step(day, what) for day in days)
    asked = replace(ASKED, opens=opens, purpose=what * 3)
    assert collisions(time_line.draw(replace(PACK, steps=steps, asked=asked))) == []


def test_a_time_line_has_one_mark_a_day_and_as_many_lines_as_can_be_read() -> None:
    """Above so many each day tells its first steps and how many more there are; the table has them all."""

    def told(a_day: tuple[int, ...]) -> list[list[str]]:
        steps = [Step(f"2027-02-{1 + at:02d}", f"step {n}") for at, many in enumerate(a_day) for n in range(many)]
        one = replace(PACK, steps=tuple(steps))
        marks = [line for line in time_line.draw(one).axes[0].lines if line.get_marker() == "o"]
        assert len(marks) == len(a_day)
        return list(time_line.by_day(one).values())

    assert told((2, 1)) == [["step 0", "step 1"], ["step 0"]]
    assert [*map(len, told((58, 1, 1)))] == [58, 1, 1]
    assert told((60, 1, 1))[0] == [*(f"step {n}" for n in range(57)), "and 3 more"]
    assert told((3,) * 28) == [["step 0", "and 2 more"]] * 28
    many = tuple(Step(f"20{27 + at // 12}-{1 + at % 12:02d}-01", "step") for at in range(40) for _ in range(2))
    assert set(map(tuple, time_line.by_day(replace(PACK, steps=many)).values())) == {("2 steps",)}


def test_lines_without_and_with_it_are_told_apart_in_grey() -> None:
    """By width and by what fills their marks, not by colour alone."""
    axes = headroom.draw(PACK).axes[0]
    lines = [
        line
        for line in axes.lines
        if len(line.get_xdata()) == 2 and line.get_marker() == "None" and line.get_linestyle() == "-"
    ]
    assert {line.get_linewidth() for line in lines if line.get_linewidth() != 0.5} == {1.0, 2.4}
    marks = {str(line.get_markerfacecolor()) for line in axes.lines if line.get_marker() == "o"}
    assert len(marks) == 2 and "white" in marks


def test_the_picture_of_capacity_says_which_weeks_it_tells() -> None:
    texts = [text.get_text() for text in headroom.draw(PACK).texts]
    assert "share that is taken, in the weeks of year 3" in texts
