"""Every picture is drawn, with the same bytes each time."""

from dataclasses import replace
from pathlib import Path

from farmsim.report import pictures
from farmsim.study.answers import Answers


def test_the_same_answers_give_the_same_bytes(answers: Answers, tmp_path: Path) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    for folder in (first, second):
        folder.mkdir()
        pictures.draw(answers, folder)
    names = sorted(path.name for path in first.iterdir())
    assert len(names) == 8
    assert all((first / name).read_bytes() == (second / name).read_bytes() for name in names)


def test_a_farm_without_lots_in_a_single_run_can_be_drawn(answers: Answers, tmp_path: Path) -> None:
    zero = replace(
        answers.flow, made=0.0, bought=0.0, contaminated=0.0, too_old=0.0, sold=0.0, fruited=0.0, more_standing=0.0
    )
    pictures.draw(
        replace(answers, flow=zero, months=answers.months[:1], study=replace(answers.study, runs=1)), tmp_path
    )
    assert len(list(tmp_path.iterdir())) == 8
