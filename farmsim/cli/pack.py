"""`farmsim pack FILE CHANGE`: the pack for a lender: what is asked for, whether it is repaid in a poor year, why believe it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from farmsim.cli import Whole
from farmsim.cli.money import MOST_YEARS
from farmsim.cli.question import JSON, How, answered
from farmsim.cli.simulating import CLUSTER, SEED, WORKERS, loaded
from farmsim.study.bounds import MOST_RUNS

if TYPE_CHECKING:
    from farmsim.report.answer import Answer
    from farmsim.study.trials import Brief

BLOWS = 11  # about so many that may go wrong are simulated again


@click.command(name="pack")
@click.argument("file")
@click.argument("change")
@click.option(
    "--years", type=Whole(1, MOST_YEARS), metavar="N", default=5, show_default=True, help="Years of the plan."
)
@click.option(
    "--runs", type=Whole(2, MOST_RUNS), metavar="N", default=100, show_default=True, help="Runs with it and without."
)
@click.option(
    "--stress-runs",
    type=Whole(2, MOST_RUNS),
    metavar="N",
    default=20,
    show_default=True,
    help="Runs of each thing that may go wrong.",
)
@click.option("--no-pdf", is_flag=True, help="Write the HTML page only, which has the same content.")
@SEED
@WORKERS
@CLUSTER
@click.option("--out", type=click.Path(), metavar="FOLDER", help="Result folder.  [default: in outputs/]")
@JSON
def command(file: str, change: str, years: int, runs: int, stress_runs: int, no_pdf: bool, **how: Any) -> None:
    """Write the pack that a lender reads: the farm in FILE, expanded as CHANGE says, with the loan that it asks for.

    CHANGE is based on FILE, has dates, and holds [request] with what is asked for. One PDF and one HTML page with the same
    content are written into a result folder, with tables and both scenarios as run; what it is worth to the owner is a page of
    its own, owner.html.
    """
    from farmsim.report.as_pdf import ready
    from farmsim.study.books import weeks_of
    from farmsim.study.pack_refused import can_be_told

    if not no_pdf:
        ready()
    farm, expanded = loaded(file), loaded(change)
    can_be_told(farm, expanded, Path(change), years, Path(file))

    def work(brief: Brief) -> Answer:
        from farmsim.report.lender_pack import answer
        from farmsim.study.pack import pack

        found = pack(farm, expanded, Path(change), runs, stress_runs, years, brief)
        return answer(found, [Path(file).name, Path(change).name], not no_pdf)

    about = 2 * runs + BLOWS * stress_runs
    what = f"the lender's pack of {expanded.farm.name}"
    answered(what, [change, file], "pack", How(weeks=weeks_of(farm, years), **how), about, work)
