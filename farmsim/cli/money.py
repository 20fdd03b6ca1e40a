"""`farmsim money FILE`: the books of a farm, over many runs: income, cash, what is owned and owed, and what lenders look at."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from farmsim.cli import Whole
from farmsim.cli.question import JSON, How, answered
from farmsim.cli.simulating import CLUSTER, SEED, WORKERS, loaded
from farmsim.study.bounds import MOST_RUNS

if TYPE_CHECKING:
    from farmsim.report.answer import Answer
    from farmsim.study.trials import Brief

MOST_YEARS = 9


@click.command(name="money")
@click.argument("file")
@click.option(
    "--years",
    type=Whole(1, MOST_YEARS),
    metavar="N",
    help="Whole years from the start.  [default: those nearest to the farm's weeks]",
)
@click.option("--runs", type=Whole(2, MOST_RUNS), metavar="N", default=20, show_default=True, help="Runs of the farm.")
@SEED
@WORKERS
@CLUSTER
@click.option("--out", type=click.Path(), metavar="FOLDER", help="Result folder.  [default: in outputs/]")
@JSON
def command(file: str, years: int | None, runs: int, **how: Any) -> None:
    """Keep the books of the farm in FILE: a usual and a poor year, when cash is lowest, and whether debts can be paid.

    The farm's file needs prices for all that is sold, and gives what else it pays, owns and owes. A result folder with
    tables, a workbook, a picture and the scenario as run is written.
    """
    from farmsim.study.books import weeks_of, years_of

    farm = loaded(file)
    weeks = weeks_of(farm, years or years_of(farm))

    def work(brief: Brief) -> Answer:
        from farmsim.report.books import answer
        from farmsim.study.books import keep

        return answer(keep(farm, runs, brief), Path(file).name)

    answered(f"the books of {farm.farm.name}", [file], "money", How(weeks=weeks, **how), runs, work)
