"""What is not known well: guesses go together by their meaning, each over a span that says where it comes from."""

from __future__ import annotations

from pathlib import Path

import pytest

import farmsim
from farmsim.scenario.doubt import GIVEN, Doubt, doubts
from farmsim.scenario.doubt_spans import SPANS, USUAL, WIDE
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import walk
from farmsim.scenario.figure_at import Figures, NoSuchFigure
from farmsim.scenario.figure_range import taken_apart

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"


@pytest.fixture(scope="module")
def rooms() -> Figures:
    return Figures(SCENARIOS / "four-rooms.toml")


def named(book: Figures, name: str, *ranges: str) -> Doubt:
    return next(doubt for doubt in doubts(book, ranges)[0] if doubt.name == name)


def test_every_span_is_of_a_figure_says_where_it_comes_from_and_is_in_one_unit() -> None:
    known = {".".join(each.path): each.figure for each in walk(Farm)}
    for name, span in SPANS.items():
        assert name in known, name
        assert span.source
        if not span.is_factor and ":" not in span.low:
            low, high = taken_apart(span.low), taken_apart(span.high)
            assert low is not None and high is not None and (low.unit, low.money) == (high.unit, high.money), name
            assert low.number < high.number
    assert USUAL.is_factor and WIDE.is_factor


def test_every_span_holds_the_default_it_is_of() -> None:
    for each in walk(Farm):
        span = SPANS.get(".".join(each.path))
        if span is not None and not span.is_factor and isinstance(each.figure.default, float):
            low, high = (each.figure.form.read(_typed(text), each.figure, True) for text in (span.low, span.high))
            assert low <= each.figure.default <= high, each.path  # type: ignore[operator]


def _typed(text: str) -> object:
    return float(text) if text.replace(".", "").isdigit() else text


def test_one_guess_of_six_strains_is_one_doubt(rooms: Figures) -> None:
    gain = named(rooms, "strain.*.picking.gain")
    assert (len(gain.moves), gain.now, gain.low, gain.high) == (6, "15 % a day", "5 % a day", "30 % a day")
    assert gain.is_guess and gain.source == "placeholder"
    farm = rooms.farm_with(gain.values(0.5))
    assert {round(strain.picking.gain, 6) for strain in farm.strain.values()} == {0.175}


def test_what_varies_is_moved_as_a_whole(rooms: Figures) -> None:
    shows = named(rooms, "strain.*.contaminated.shows")
    high = rooms.farm_with(shows.values(1.0)).strain["nameko"].contaminated.shows
    assert (high.low, high.likely, high.high) == (252.0, 504.0, 1008.0)  # type: ignore[union-attr]
    assert (shows.low, shows.high) == ("50 % of what it is", "150 % of what it is")


def test_times_of_day_and_whole_numbers_stay_what_they_are(rooms: Figures) -> None:
    leave = named(rooms, "block_customer.*.leave_by")
    assert [leave.values(share)[0][1] for share in (0.0, 0.25, 1.0)] == ["09:00", "10:30", "15:00"]
    tanks = named(rooms, "soak.tanks", "soak.tanks=5:9")
    assert [tanks.values(share)[0][1] for share in (0.0, 1 / 3, 1.0)] == [5, 6, 9]


def test_a_given_range_takes_its_figure_out_of_the_others(rooms: Figures) -> None:
    found, _ = doubts(rooms, ["strain.shiitake.picking.gain=10:20"])
    assert (found[0].name, found[0].source, found[0].is_guess) == ("strain.shiitake.picking.gain", GIVEN, True)
    others = next(doubt for doubt in found if doubt.name == "strain.*.picking.gain")
    assert len(others.moves) == 5
    whole, _ = doubts(rooms, ["strain.*.picking.gain=10:20"])
    assert [doubt.name for doubt in whole].count("strain.*.picking.gain") == 1
    assert (whole[0].low, whole[0].high, len(whole[0].moves)) == ("10 % a day", "20 % a day", 6)


def test_a_figure_that_is_no_guess_may_be_moved_too(rooms: Figures) -> None:
    pace = named(rooms, "strain.shiitake.picking.pace", "strain.shiitake.picking.pace=15:22")
    assert (pace.low, pace.high, pace.now, pace.is_guess) == ("15 lb/h", "22 lb/h", "18 lb/h", False)
    likely = named(rooms, "strain.shiitake.ripen.likely", "strain.shiitake.ripen.likely=75 d:90 d")
    ripen = rooms.farm_with(likely.values(1.0)).strain["shiitake"].ripen
    assert (ripen.low, ripen.likely, ripen.high) == (1680.0, 2160.0, 2400.0)  # type: ignore[union-attr]


def test_what_cannot_be_moved_is_told_with_the_reason(rooms: Figures) -> None:
    _, left = doubts(rooms)
    assert [(each.name, each.why) for each in left] == [("strain.*.picking.late", "is a list, not one number")]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("soak.tanks", '"soak.tanks" gives no range; write soak.tanks=low:high'),
        ("soak.tanks=7", "gives no range"),
        ("soak.tanks=9:5", "is no range for soak.tanks; write two numbers, low:high, the lower one first"),
        ("soak.tanks=5:7:9", "is no range for soak.tanks"),
        ("soak.tubs=5:9", 'there is no "tubs"'),
        ("strain.*.wings=1:2", '"strain.*.wings" names no figure of this farm'),
        ("rules.pick_first=a:b", "rules.pick_first is word, not one number, and has no range"),
    ],
)
def test_ranges_that_are_none(rooms: Figures, text: str, told: str) -> None:
    with pytest.raises(NoSuchFigure) as caught:
        doubts(rooms, [text])
    assert told in str(caught.value)


def test_a_range_without_a_unit_is_refused_for_figures_that_the_farm_writes_in_different_units(tmp_path: Path) -> None:
    """15:22 would be lb an hour for one strain and kg an hour for the other, and be told as one of them."""
    text = (SCENARIOS / "tiny.toml").read_text()
    (tmp_path / "farm.toml").write_text(text.replace('pack         = "30 lb/h"', 'pack = "13.6 kg/h"'))
    mixed = Figures(tmp_path / "farm.toml")
    with pytest.raises(NoSuchFigure) as caught:
        doubts(mixed, ["strain.*.pack=15:22"])
    assert str(caught.value) == (
        '"strain.*.pack=15:22" is of figures that the farm writes in "lb/h" and "kg/h"; say the unit of the range'
    )
    pack = named(mixed, "strain.*.pack", "strain.*.pack=15 kg/h:22")
    assert (pack.low, pack.high, pack.now) == ("15 kg/h", "22 kg/h", "differs")
    ends = [move.spot.read(move.value(0.0)) for move in pack.moves]
    assert ends == [pytest.approx(15.0)] * 2


@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_span_means_the_same_farm_whatever_units_it_is_told_in(tmp_path: Path, units: str) -> None:
    file = tmp_path / "farm.toml"
    file.write_text((SCENARIOS / "tiny.toml").read_text().replace('units = "us"', f'units = "{units}"'))
    book = Figures(file)
    for doubt in doubts(book)[0]:
        other = next(each for each in doubts(Figures(SCENARIOS / "tiny.toml"))[0] if each.name == doubt.name)
        for share in (0.0, 1.0):
            ours, theirs = ([move.spot.read(move.value(share)) for move in each.moves] for each in (doubt, other))
            for one, two in zip(ours, theirs, strict=True):
                assert one == pytest.approx(two, rel=1e-3) if isinstance(one, float) else one == two, doubt.name


@pytest.mark.parametrize("name", ["four-rooms", "tiny", "four-rooms-prices", "large"])
def test_every_doubt_of_the_shipped_farms_can_be_moved(name: str) -> None:
    book = Figures(SCENARIOS / f"{name}.toml")
    for doubt in doubts(book)[0]:
        for share in (0.0, 1.0):
            assert book.farm_with(doubt.values(share)) is not None
