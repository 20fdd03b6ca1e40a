"""`farmsim sensitivity FILE`: what moves the answer, and so what to measure first."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from farmsim.cli import Whole
from farmsim.cli.question import How, answered, asks
from farmsim.cli.simulating import loaded

if TYPE_CHECKING:
    from farmsim.report.answer import Answer
    from farmsim.study.sensitivity_plan import Plan
    from farmsim.study.trials import Brief

ANSWERS = ("left", "sold", "picked", "delivered", "blocks")


@click.command(name="sensitivity")
@click.argument("file")
@click.option("--figure", "figures", multiple=True, metavar="PATH=LOW:HIGH",
              help="Move this figure too, or over this range; * for a name.  May be given again.")  # fmt: skip
@click.option("--answer", "answers", multiple=True, type=click.Choice(ANSWERS),
              help="What is to be moved: money left (net operating income where costs are given), lb sold to orders, picked, "
              "share delivered, blocks sold.  [default: the first two the farm has]")  # fmt: skip
@click.option("--most", type=Whole(1, 200), metavar="N", default=20, show_default=True, help="Figures moved at most.")
@click.option("--all", "everything", is_flag=True, help="Move every guess, however many.")
@click.option("--each", type=Whole(2, 100), metavar="N", default=2, show_default=True, help="Runs of each farm.")
@click.option("--budget", type=click.FloatRange(0.01, 10_000), metavar="MINUTES", default=3.0, show_default=True,
              help="About how long it may take.")  # fmt: skip
@click.option("--runs", type=Whole(10, 1_000_000), metavar="N",
              help="About how many runs in all, instead of a time: the same on every machine.  "
              "Needed with --cluster.")  # fmt: skip
@asks
def command(
    file: str,
    figures: tuple[str, ...],
    answers: tuple[str, ...],
    most: int,
    everything: bool,
    each: int,
    budget: float,
    runs: int | None,
    **how: Any,
) -> None:
    """Move the guesses in FILE over the values they may well have, and tell which of them move the answer.

    Those are the figures to measure first. Ranges stand in the result folder; other figures and other ranges are given:

    \b
      farmsim sensitivity farm.toml --figure strain.shiitake.picking.pace=15:22
      farmsim sensitivity farm.toml --figure "strain.*.yield.mean=1.0:1.4" --budget 10

    How many runs it may take, and about how long, is told before it starts.
    """
    from farmsim.scenario.figure_at import Figures
    from farmsim.study.pool import Where
    from farmsim.study.sensitivity_plan import plan
    from farmsim.study.trials import Brief

    farm, asked = loaded(file), How(**how)
    brief = Brief(asked.seed, asked.weeks, Where(asked.workers, asked.cluster))
    put = plan(Figures(file), figures, None if everything else most, each, budget, runs, brief)
    _told_before(put)

    def work(brief: Brief) -> Answer:
        from farmsim.report.sensitivity import answer
        from farmsim.study.sensitivity import sensitivity

        return answer(sensitivity(put, answers, brief), Path(file).name, figures)

    answered(f"{farm.farm.name} and its guesses", [file], "sensitivity", asked, put.runs, work)


def _told_before(put: Plan) -> None:
    """How many runs it may take, and about how long."""
    from farmsim.report.words import count, plural

    told = f"{plural(len(put.doubts), 'figure')} to move: at most {put.budget:,} runs"
    if put.minutes is not None:
        time = f"{count(put.minutes)} min" if put.minutes >= 1 else f"{60 * put.minutes:.0f} s"
        told += f", about {time} here"
    click.echo(told, err=True)
