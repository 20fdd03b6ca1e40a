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
from farmsim.study.staff_effort import BLOCK, FIRST, MOST_ROUNDS, Effort

if TYPE_CHECKING:
    from farmsim.report.answer import Answer
    from farmsim.study.targets import Target
    from farmsim.study.trials import Brief

USUAL = Effort()


@click.command(name="staff")
@click.argument("file")
@TARGET
@click.option(
    "--rounds",
    type=Whole(1, MOST_ROUNDS),
    metavar="N",
    default=USUAL.rounds,
    show_default=True,
    help="Rounds of the search.",
)
@click.option("--most", type=Whole(FIRST, BLOCK), metavar="N", default=USUAL.most, show_default=True,
              help=f"Runs of a farm in a round, at most; {FIRST} are made of each.")  # fmt: skip
@click.option("--runs", type=Whole(2, MOST_RUNS), metavar="N", default=USUAL.runs, show_default=True,
              help="Runs of the crews found and of the farm's own, for what is told in the end.")  # fmt: skip
@asks
def command(file: str, targets: tuple[Target, ...], rounds: int, most: int, runs: int, **how: Any) -> None:
    """Search for the cheapest crews of the farm in FILE that surely keep all targets.

    Left out, the targets are delivered 95 % and blocks delivered 95 %. Cost is wages, or paid hours where a wage is missing. A
    result folder with tables, a picture and a change set that makes the crews so is written.
    """
    farm, effort = loaded(file), Effort(rounds, most, runs)

    def work(brief: Brief) -> Answer:
        from farmsim.report.staff import answer
        from farmsim.study.staff import staff

        based_on = f"scenario/{Path(file).name}"
        return answer(staff(farm, targets, effort, brief, based_on), Path(file).name, not targets)

    answered(f"crews of {farm.farm.name}", [file], "staff", How(**how), effort.runs_in_all, work)
