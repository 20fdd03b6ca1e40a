"""Every picture is drawn, with the same bytes each time."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from farmsim.report import pictures, seen
from farmsim.report.figures import flow, harvest, lot_life, spread, strains, week_sheet
from farmsim.report.figures.paper import STAND_IN, drawable
from farmsim.report.words import about, adding_up
from farmsim.study.answers import Answers, Change, Month


def test_the_same_answers_give_the_same_bytes(answers: Answers, tmp_path: Path) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    for folder in (first, second):
        folder.mkdir()
        pictures.draw(answers, folder)
    names = sorted(path.name for path in first.iterdir())
    assert len(names) == 2 * 6
    assert all((first / name).read_bytes() == (second / name).read_bytes() for name in names)


def test_a_farm_without_lots_in_a_single_run_can_be_drawn(answers: Answers, tmp_path: Path) -> None:
    zero = replace(
        answers.flow, made=0.0, bought=0.0, contaminated=0.0, too_old=0.0, sold=0.0, fruited=0.0, more_standing=0.0
    )
    pictures.draw(
        replace(answers, flow=zero, months=answers.months[:1], study=replace(answers.study, runs=1)), tmp_path
    )
    assert len(list(tmp_path.iterdir())) == 2 * 6


ODD = "\u8611\u83c7 farm \U0001f344\x07\nby the river"


def test_letters_the_font_does_not_have_are_replaced_without_a_warning(answers: Answers, tmp_path: Path) -> None:
    assert drawable("Pilzhof Müller") == "Pilzhof Müller"
    assert drawable("\u8611 farm") == f"{STAND_IN} farm"
    places = tuple(replace(place, name=ODD, bad=(5,), worst=5, worst_share=0.5) for place in answers.places)
    pictures.draw(
        replace(answers, study=replace(answers.study, farm=ODD), places=places), tmp_path
    )  # warnings are errors
    assert len(list(tmp_path.iterdir())) == 2 * 6


def labels(figure: Figure) -> dict[str, str]:
    """The figure beside every name of the picture of blocks."""
    texts = [text.get_text().rsplit("\n", 1) for text in figure.axes[0].texts]
    return {name.replace("\n", " "): figure.split(" ")[0] for name, figure in texts}


def test_the_blocks_shown_add_up_and_are_those_of_the_screen(answers: Answers) -> None:
    parts = {"fruited": 1356.31, "sold": 469.96, "contaminated": 71.27, "too_old": 0.0, "more_standing": 2.46}
    whole = sum(parts.values())
    figure = flow.draw(answers.study, replace(answers.flow, made=whole, bought=0.0, **parts))
    shown = labels(figure)
    names = ("fruited here", "sold ready to fruit", "contaminated", "more on racks")
    wanted = adding_up(list(parts.values()))
    assert [shown[name] for name in names] == [figure for figure in wanted[:-1] if figure != "0"]
    assert shown["made here"] == shown["on the racks"] == wanted[-1] == "1,900"
    assert shown["ripe"] == "1,826"


@pytest.mark.parametrize("fewer", [-2.46, -60.0])
def test_blocks_shown_add_up_when_fewer_stand_than_before(answers: Answers, fewer: float) -> None:
    parts = {"fruited": 90.31, "sold": 9.96, "contaminated": 1.27, "too_old": 0.7, "more_standing": fewer}
    figure = flow.draw(answers.study, replace(answers.flow, made=sum(parts.values()), bought=0.0, **parts))
    shown = labels(figure)
    came = float(shown["made here"]) + float(shown["stood on racks before"])
    assert came == pytest.approx(float(shown["on the racks"]))
    assert came == pytest.approx(float(shown["ripe"]) + float(shown["contaminated"]))


MORE = "1 contaminated and 4 stand there more than before"
FEWER = "Of 96 blocks a week (6 of them stood there before)"
SAID = [
    (4.0, f"Of 100 blocks that come in a week: 90 fruited here, 5 sold ready to fruit, {MORE}."),
    (-6.0, f"{FEWER}: 90 fruited here, 5 sold ready to fruit and 1 contaminated."),
]


@pytest.mark.parametrize(("standing", "said"), SAID)
def test_what_is_said_of_the_blocks_adds_up(answers: Answers, standing: float, said: str) -> None:
    parts = {"fruited": 90.0, "sold": 5.0, "contaminated": 1.0, "too_old": 0.0, "more_standing": standing}
    blocks = replace(answers.flow, made=sum(parts.values()), bought=0.0, **parts)
    assert seen.blocks(blocks) == f"{said} Hatched is lost."


def test_the_spread_tells_the_same_year_as_the_screen(answers: Answers) -> None:
    strip = next(strip for strip in pictures.strips(answers) if strip.name == "Mushrooms picked")
    assert strip.mean == pytest.approx(sum(strip.runs) / len(strip.runs))
    figure = spread.draw(answers.study, [strip])
    assert any(text.get_text() == f"{about(strip.mean)} lb in 8 weeks" for text in figure.axes[0].texts)


def test_a_picture_of_a_farm_that_changes_says_of_which_weeks_it_is(answers: Answers) -> None:
    study = replace(answers.study, changes=(Change("2027-01-18", 3, ("room Annex comes",)),), before=2)
    below = [text.get_text() for text in flow.draw(study, answers.flow).texts]
    assert "blocks a week, average of 2 runs of 6 weeks from Mon 18 Jan 2027" in below
    foot = harvest.draw(study, answers.months).texts[-1].get_text()
    assert "The farm changes on Mon 18 Jan 2027." in foot.replace("\n", " ")


def said(figure: Figure) -> str:
    """All that is written on a sheet, lines joined."""
    return " ".join(" ".join(text.get_text() for text in figure.texts).split())


FEW = (4, "the poorest and the best run", "Grey bar: from end to end")
MANY = (20, "1 run in 10 lies below and above", "Grey bar: where 8 runs in 10 lie")


@pytest.mark.parametrize(("runs", "marks", "bar"), [FEW, MANY])
def test_pictures_of_a_few_runs_claim_no_tenths(answers: Answers, runs: int, marks: str, bar: str) -> None:
    few = replace(answers, study=replace(answers.study, runs=runs))
    month = Month("2027-01-01", 31, True, 40_000.0, 45_000.0, 52_000.0, 10_000.0)
    assert marks in said(harvest.draw(few.study, [month]))
    assert bar in said(spread.draw(few.study, list(pictures.strips(few))))


def grey(colour: str) -> float:
    """How light a colour is when it is printed in grey: luma of ITU-R BT.601, 0 is black."""
    red, green, blue = to_rgb(colour)
    return 0.299 * red + 0.587 * green + 0.114 * blue


@pytest.mark.parametrize("looks", [lot_life.LOOKS, strains.LOOKS])
def test_neighbours_can_be_told_apart_in_grey(looks: tuple[lot_life.Look, ...]) -> None:
    for one, other in pairwise((*looks, lot_life.LAST)):
        assert abs(grey(one.colour) - grey(other.colour)) > 0.12 or one.hatch != other.hatch


def test_the_fuller_an_hour_the_darker_it_is_in_grey() -> None:
    shades = [grey(colour) for _, colour in week_sheet.SHADES]
    assert all(lighter - darker > 0.08 for lighter, darker in pairwise(shades))
