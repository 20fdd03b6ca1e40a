"""`farmsim sweep FILE FIELD=VALUES`: one or two figures of a farm over values, and from where on no more is gained."""

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


@click.command(name="sweep")
@click.argument("file")
@click.argument("fields", metavar="FIELD=VALUES...", nargs=-1, required=True)
@click.option("--runs", type=Whole(2, MOST_RUNS), metavar="N", default=20, show_default=True, help="Runs of each farm.")
@asks
def command(file: str, fields: tuple[str, ...], runs: int, **how: Any) -> None:
    """Try values of one or two figures of the farm in FILE, and tell from where on no more is gained.

    A figure is named as in the file, "crew.pickers.people", values are from:to:step or a list a,b,c:

    \b
      farmsim sweep farm.toml crew.pickers.people=2:5:1
      farmsim sweep farm.toml "soak.tanks=5:9:1" "start.shiitake.blocks=600,700,800"
      farmsim sweep farm.toml "strain.blue-oyster.shelf_life=5 d:9 d:1 d"

    Values have the unit of the farm's own unless they say another. Names with spaces may be written with dashes. Run for run
    all farms have the same luck. A result folder with tables, a picture and the scenario is written.
    """
    from farmsim.scenario.figure_at import Figures
    from farmsim.study.sweep import grid, sweep

    farm = loaded(file)
    tries = grid(Figures(file), fields)

    def work(brief: Brief) -> Answer:
        from farmsim.report.sweep import answer

        return answer(sweep(tries, runs, brief), Path(file).name, fields)

    what = f"{farm.farm.name} at {tries.possible} values"
    answered(what, [file], "swept", How(**how), runs * tries.possible, work)
