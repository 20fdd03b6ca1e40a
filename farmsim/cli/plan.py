"""`farmsim plan FILE`: what to start on which weekdays, so that promises are kept and least is thrown out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from farmsim.cli import Whole
from farmsim.cli.question import How, answered, asks
from farmsim.cli.simulating import loaded
from farmsim.study.bounds import FEWEST_TO_JUDGE, MOST_AHEAD, MOST_RUNS, MOST_TRIES

if TYPE_CHECKING:
    from farmsim.report.answer import Answer
    from farmsim.study.trials import Brief


@click.command(name="plan")
@click.argument("file")
@click.option("--target", "wanted", multiple=True, metavar="TARGET",
              help='What has to be kept, such as "delivered 97 %"; may be given more than once.  [default: 95 of 100 lb and '
              "blocks promised]")  # fmt: skip
@click.option("--weeks-ahead", "ahead", type=Whole(1, MOST_AHEAD), metavar="N", default=8, show_default=True,
              help="Weeks of the start sheet, from the farm's start.")  # fmt: skip
@click.option("--tries", type=Whole(1, MOST_TRIES), metavar="N", default=5, show_default=True,
              help="Plans that are tried at most.")  # fmt: skip
@click.option("--runs", type=Whole(FEWEST_TO_JUDGE, MOST_RUNS), metavar="N", default=20, show_default=True,
              help="Runs by which the plan is judged.")  # fmt: skip
@asks
def command(file: str, wanted: tuple[str, ...], ahead: int, tries: int, runs: int, **how: Any) -> None:
    """Plan what to start each week of the farm in FILE: how many blocks of each strain, on which weekdays, and how many of
    them to sell ready to fruit.

    The plan keeps what was promised, to a target, with the least thrown out: first by arithmetic, then put right by runs
    beside the farm as it is. A result folder with the start sheet (table and calendar), the plan as a change set (plan.toml),
    tables and a picture is written.
    """
    farm = loaded(file)

    def work(brief: Brief) -> Answer:
        from farmsim.report.plan import answer
        from farmsim.study import targets
        from farmsim.study.plan import plan
        from farmsim.study.sources import found_beside

        found = plan(farm, [targets.read(text) for text in wanted], runs, tries, ahead, brief)
        return answer(found, Path(file).name, found_beside(file, "scenario"))

    from farmsim.study.plan import expected_runs

    answered(f"plans for {farm.farm.name}", [file], "plan", How(**how), expected_runs(runs, tries), work)
