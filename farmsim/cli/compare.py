"""`farmsim compare BASE CHANGE...`: what changes bring, on the same luck, and how surely."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from farmsim.cli import Whole
from farmsim.cli.question import PRECISION, How, amount, answered, asks
from farmsim.cli.simulating import loaded
from farmsim.study.bounds import MOST_RUNS

if TYPE_CHECKING:
    from farmsim.report.answer import Answer
    from farmsim.scenario.farm import Farm
    from farmsim.study.trials import Brief


@click.command(name="compare")
@click.argument("base")
@click.argument("changes", metavar="CHANGE...", nargs=-1, required=True)
@click.option(
    "--runs",
    type=Whole(2, MOST_RUNS),
    metavar="N",
    help="Runs of each farm; with --precision, how many at most.  [default: 20, with --precision 200]",
)
@PRECISION
@asks
def command(base: str, changes: tuple[str, ...], runs: int | None, precision: str | None, **how: Any) -> None:
    """Put the farm in BASE beside one or more CHANGEs of it, and tell what each brings and how surely.

    Run for run all farms have the same luck, so even small differences show; where none does, that is said too. A result
    folder with tables, a picture and the scenarios as run is written.
    """
    farm = loaded(base)
    changed: dict[str, Farm] = {}
    for file in changes:
        changed[_name_of(file, changed)] = loaded(file)
    how_many = amount(runs, precision)

    def work(brief: Brief) -> Answer:
        from farmsim.report.compare import answer
        from farmsim.study.compare import compare

        return answer(compare(farm, changed, how_many.runs, brief), [Path(file).name for file in (base, *changes)])

    what = f"{farm.farm.name} and {len(changed)} of its changes"
    answered(what, [base, *changes], "compared", How(**how), how_many.first * (1 + len(changed)), work)


def _name_of(file: str, taken: dict[str, Farm]) -> str:
    """The name of a change: that of its file, with a number when two files are called alike."""
    stem = Path(file).stem.replace("-", " ")
    return next(name for name in (stem, *(f"{stem} {at}" for at in range(2, 1000))) if name not in taken)
