"""`farmsim ceiling FILE`: how many blocks a week the farm carries before a target breaks, and what breaks first."""

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

LEVEL = Whole(1, 1_000_000)


@click.command(name="ceiling")
@click.argument("file")
@TARGET
@click.option("--from", "low", type=LEVEL, metavar="N", help="Lowest level.  [default: a tenth of what is started now]")
@click.option(
    "--to", "high", type=LEVEL, metavar="N", help="Highest level.  [default: three times what is started now]"
)
@click.option(
    "--orders",
    type=click.Choice(("grow", "stay")),
    default="grow",
    show_default=True,
    help="Whether what customers want grows along with the blocks.",
)
@click.option(
    "--runs", type=Whole(5, MOST_RUNS), metavar="N", default=40, show_default=True, help="Most runs at one level."
)
@asks
def command(
    file: str, targets: tuple[Target, ...], low: int | None, high: int | None, orders: str, runs: int, **how: Any
) -> None:
    """Tell how many blocks a week the farm in FILE carries before deliveries, waste or overtime break their targets.

    All lines are started in the same mix, more or less of each, on the same luck; levels are blocks a week, all lines
    together. What fails first is told with what was seen there.
    """
    farm = loaded(file)

    def work(brief: Brief) -> Answer:
        from farmsim.report.ceiling import answer
        from farmsim.study.ceiling import Asked, ceiling

        asked = Asked(targets, orders == "grow", low, high, runs)
        return answer(ceiling(farm, asked, brief), Path(file).name)

    answered(f"{farm.farm.name} at other levels", [file], "ceiling", How(**how), 5 * runs, work)
