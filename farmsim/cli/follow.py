"""`farmsim follow FILE [LOT]`: one run of the farm, and the life of one of its lots told day by day."""

from __future__ import annotations

import click

from farmsim.cli import Whole, called
from farmsim.study.bounds import MOST_RUNS, MOST_SEED, MOST_WEEKS

UNKNOWN = 2


@click.command(name="follow")
@click.argument("file")
@click.argument("lot", required=False)
@click.option(
    "--seed", type=Whole(0, MOST_SEED), metavar="N", default=1, show_default=True, help="The luck of all runs."
)
@click.option("--run", "number", type=Whole(1, MOST_RUNS), metavar="N", default=1, show_default=True, help="Which run.")
@click.option("--weeks", type=Whole(1, MOST_WEEKS), metavar="N", help="Measured weeks.  [default: the farm's]")
def command(file: str, lot: str | None, seed: int, number: int, weeks: int | None) -> None:
    """Run the farm in FILE once and tell the life of LOT, day by day.

    Seed and run are those of "farmsim run": run 1 is the one whose weeks stand first in its tables.

    A lot is named by its line, the Monday of the week it was started in and its number in that week, as in
    "shiitake/2027-03-01/02". Without LOT some lots to choose from are listed.
    """
    from farmsim.errors import RunStuck, ScenarioFault
    from farmsim.model.run import run
    from farmsim.report.follow import choice_told, life_told, unknown_told
    from farmsim.scenario.read import load
    from farmsim.study.life import choices, nearest, read_life

    try:
        farm = load(file)
        record = run(farm, seed, number - 1, weeks)
    except (ScenarioFault, RunStuck) as fault:
        click.echo(str(fault), err=True)
        raise SystemExit(fault.exit_code) from None
    if lot is None:
        click.echo(choice_told(choices(record), record.first_day, f"{called()} follow {file}"))
        return
    life = read_life(record, lot)
    if life is None:
        click.echo(f"Error: {unknown_told(lot, nearest(record, lot))}", err=True)
        raise SystemExit(UNKNOWN)
    click.echo(life_told(life, farm.farm.units))
