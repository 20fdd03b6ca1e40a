"""A farm that nobody buys from: what cannot be told is said, or the question is refused; nobody is left guessing at zeros."""

from __future__ import annotations

from pathlib import Path

import pytest

import farmsim
from farmsim.report import page, sweep
from farmsim.report.screen import screen
from farmsim.scenario.farm import Farm
from farmsim.scenario.figure_at import Figures
from farmsim.study.limits import limits
from farmsim.study.pool import Where
from farmsim.study.sweep import grid
from farmsim.study.sweep import sweep as swept_over
from farmsim.study.trials import Brief, NotComparable

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
SHORT = Brief(weeks=2, where=Where(1))
TOLD = "The farm has no customer in these weeks: of sales, of orders kept and of money nothing can be told"


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The tiny farm, and the same without its customers."""
    folder, text = tmp_path_factory.mktemp("farms"), (SCENARIOS / "tiny.toml").read_text(encoding="utf-8")
    (folder / "nobody.toml").write_text(text[: text.index("[[customer]]")], encoding="utf-8")
    return SCENARIOS / "tiny.toml", folder / "nobody.toml"


def test_a_run_says_that_nobody_buys(files: tuple[Path, Path], tmp_path: Path) -> None:
    tiny, nobody = (farmsim.run(farmsim.load(file), runs=2, weeks=2, workers=1) for file in files)
    assert TOLD in " ".join(screen(nobody.answers).split()) and "NOBODY BUYS" in screen(nobody.answers)
    assert TOLD not in " ".join(screen(tiny.answers).split())
    pages = [page.page(result.answers, "", (), tmp_path) for result in (nobody, tiny)]
    assert [TOLD in text for text in pages] == [True, False]
    assert (nobody.answers.nobody_buys, tiny.answers.nobody_buys) == (True, False)


def test_a_sweep_says_that_nobody_buys(files: tuple[Path, Path]) -> None:
    told = [
        sweep.screen(swept_over(grid(Figures(file), ["crew.owner.people=1:2:1"]), 2, SHORT)).splitlines()[2]
        for file in files
    ]
    assert told == [
        "",
        "  Nobody buys: the farm has no customer, so nothing can be told of sales, nor which value is best.",
    ]


def test_what_limits_is_not_asked_of_it(files: tuple[Path, Path]) -> None:
    nobody = farmsim.load(files[1])
    with pytest.raises(NotComparable) as caught:
        limits(nobody, 4, SHORT)
    assert str(caught.value) == (
        "One shed has no customer, so it cannot be told what limits it: a step is judged by how much more is sold, and nobody "
        "buys. Give the farm the customers it has or hopes for, and ask again"
    )
    assert caught.value.exit_code == 2


def test_who_buys_later_is_a_customer(files: tuple[Path, Path]) -> None:
    """From the third week on somebody buys: of two weeks nobody does, of three somebody does."""
    farms: list[Farm] = [farmsim.load(file) for file in files]
    later = farms[1].but(changes=((2 * 168.0, farms[0]),))
    told = [farmsim.run(later, runs=1, weeks=weeks, workers=1).answers.nobody_buys for weeks in (2, 3)]
    assert told == [True, False]
    assert limits(later, 4, Brief(weeks=3, where=Where(1))).figure == "sold to orders and at stalls"
