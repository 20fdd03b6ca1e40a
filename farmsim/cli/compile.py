"""`farmsim compile`: the model as machine code, made once on a machine."""

from __future__ import annotations

import time

import click


@click.command(name="compile")
def command() -> None:
    """Translate the model into machine code, once on this machine: every run then takes a third of the time.

    It needs a C compiler and what `pip install "farmsim[fast]"` installs, and takes a minute or two. Figures stay the
    same to the last digit. FARMSIM_MACHINE_CODE=off in the environment runs the plain files all the same.
    """
    from farmsim.machine_code.build import build, is_built

    if is_built():
        click.echo("The model is machine code already: nothing to do.")
        return
    click.echo("Translating the model into machine code, which takes a minute or two ...", err=True)
    began = time.monotonic()
    here = build()
    click.echo(f"The model is machine code now ({time.monotonic() - began:.0f} s). It lies in {here}.")
