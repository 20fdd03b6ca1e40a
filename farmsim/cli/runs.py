"""`farmsim runs FOLDER`: which finished runs are kept there, and all of them as one table."""

from __future__ import annotations

from pathlib import Path

import click

from farmsim.cli.question import JSON


@click.command(name="runs")
@click.argument("folder", default="outputs", type=click.Path())
@click.option(
    "--export",
    type=click.Path(),
    metavar="FILE",
    help="Write every week of every run to a FILE ending in .csv or .parquet.",
)
@JSON
def command(folder: str, export: str | None, as_json: bool) -> None:
    """List the finished runs that are kept in FOLDER (outputs when left out), and what they come to.

    Runs are kept as soon as they are done, and every command that needs the same run takes it from there. The file can be
    thrown away at any time: its runs are then worked out again.
    """
    from farmsim.report.folder import as_json as in_json
    from farmsim.report.stored import screen
    from farmsim.study.store import FILE
    from farmsim.study.stored import export as write
    from farmsim.study.stored import stored

    file = Path(folder) / FILE
    found = stored(file)
    click.echo(in_json(found.as_plain) if as_json else screen(found), nl=False)
    if export is not None:
        rows = write(file, Path(export))
        click.echo(f"WRITTEN       {export}, {rows:,} weeks", err=as_json)
