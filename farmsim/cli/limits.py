"""`farmsim limits FILE`: what one step more of every place and crew brings, so what limits the farm now, and what next."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from farmsim.cli import Whole
from farmsim.cli.question import How, answered, asks
from farmsim.cli.simulating import loaded
from farmsim.study.bounds import MOST_RUNS

if TYPE_CHECKING:
    from farmsim.report.answer import Answer
    from farmsim.study.trials import Brief


@click.command(name="limits")
@click.argument("file")
@click.option(
    "--runs", type=Whole(4, MOST_RUNS), metavar="N", default=14, show_default=True,
    help="Runs of the steps that may bring most; the others get half as many.",
)  # fmt: skip
@click.option("--fuller", is_flag=True, help="Ask it of the farm with 5 % more blocks started and 5 % more asked for.")
@asks
def command(file: str, runs: int, fuller: bool, **how: Any) -> None:
    """Tell what limits the farm in FILE now, what limits it next, and what one step more of everything brings.

    Each place and crew gets one natural step more (a soak tank, a bay of shelf places, one more person) and the farm is run
    with it on the same luck. Steps that surely bring less than another get fewer runs. A result folder with the table, a
    picture and the scenario as run is written.
    """
    farm = loaded(file)

    def work(brief: Brief) -> Answer:
        from farmsim.report.limits import answer
        from farmsim.study.limits import limits

        return answer(limits(farm, runs, brief, fuller), Path(file).name)

    from farmsim.scenario.one_more import one_more
    from farmsim.study.limits import about, told_from

    asked = How(**how)
    steps = one_more(farm, told_from(farm, asked.weeks))
    answered(f"{farm.farm.name}, step by step", [file], "limits", asked, about(steps, runs), work)
