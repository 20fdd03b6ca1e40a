"""`farmsim staff FILE`: the cheapest crews that surely keep a target."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from farmsim.cli import Whole
from farmsim.cli.question import How, answered, asks
from farmsim.cli.simulating import loaded
from farmsim.cli.targets import TARGET
from farmsim.study.bounds import MOST_RUNS

if TYPE_CHECKING:
    from farmsim.report.answer import Answer
    from farmsim.study.targets import Target
    from farmsim.study.trials import Brief

ROUNDS, RUNS, MOST = 4, 20, 40


@click.command(name="staff")
@click.argument("file")
@TARGET
@click.option(
    "--rounds", type=Whole(1, 20), metavar="N", default=ROUNDS, show_default=True, help="Rounds of the search."
)
@click.option("--most", type=Whole(10, 1000), metavar="N", default=MOST, show_default=True,
              help="Runs of each crews in a round, at most; 10 are made of all.")  # fmt: skip
@click.option("--runs", type=Whole(2, MOST_RUNS), metavar="N", default=RUNS, show_default=True,
              help="Runs of the crews found and of the farm's own, for what is told in the end.")  # fmt: skip
@asks
def command(file: str, targets: tuple[Target, ...], rounds: int, most: int, runs: int, **how: Any) -> None:
    """Search for the cheapest crews of the farm in FILE that surely keep all targets.

    Left out, the targets are delivered 95 % and blocks delivered 95 %. Cost is wages, or paid hours where a wage is missing. A
    result folder with tables, a picture and a change set that makes the crews so is written.
    """
    farm = loaded(file)

    def work(brief: Brief) -> Answer:
        from farmsim.report.staff import answer
        from farmsim.study.staff import staff

        based_on = f"scenario/{Path(file).name}"
        return answer(staff(farm, targets, rounds, runs, brief, based_on, most), Path(file).name, not targets)

    answered(f"crews of {farm.farm.name}", [file], "staff", How(**how), 10 * (1 + 10 * rounds) + 2 * runs, work)
