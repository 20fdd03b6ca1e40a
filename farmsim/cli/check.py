"""`farmsim check FILE`: every fault of a farm's file at once; or the farm read back, with what averages alone say."""

from __future__ import annotations

import click


@click.command(name="check")
@click.argument("file")
def command(file: str) -> None:
    """Read the farm in FILE back as sentences and print the arithmetic of averages.

    FILE is a farm's file, or a change set based on one. When it has faults, each is told with its line, what was found,
    what is allowed and how to mend it, and nothing else is printed.
    """
    from farmsim.errors import ScenarioFault
    from farmsim.scenario.check_page import page
    from farmsim.scenario.read import load

    try:
        farm = load(file)
    except ScenarioFault as fault:
        click.echo("\n".join(str(each) for each in fault.faults), err=True)
        raise SystemExit(fault.exit_code) from None
    click.echo(page(farm))
