"""What every command that simulates shares: reading the farm, the bar that shows how long is left, a clean end."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from farmsim.cli import ENDED

if TYPE_CHECKING:
    from farmsim.scenario.farm import Farm

Progress = Callable[[int, int], None]
Say = Callable[[str], None]


def loaded(file: str) -> Farm:
    """The farm in the file; its faults go to the screen, one a line."""
    from farmsim.errors import ScenarioFault
    from farmsim.scenario.read import load

    try:
        return load(file)
    except ScenarioFault as fault:
        click.echo("\n".join(str(each) for each in fault.faults), err=True)
        raise SystemExit(fault.exit_code) from None


def machine() -> dict[str, object]:
    """The machine and the versions of everything that may change a figure."""
    import platform
    from importlib.metadata import PackageNotFoundError, version

    from farmsim import __version__

    versions = {"farmsim": __version__, "python": platform.python_version()}
    for name in ("simpy", "numpy", "scipy", "pandas", "matplotlib"):
        try:
            versions[name] = version(name)
        except PackageNotFoundError:
            versions[name] = "unknown"
    return {"machine": f"{platform.system()} {platform.machine()}", "versions": versions}


@contextmanager
def ended_cleanly() -> Iterator[None]:
    """Being asked to end stops the run as cleanly as Ctrl-C does."""

    def leave(_number: int, _frame: object) -> None:
        click.echo("Ended. Nothing was written.", err=True)
        raise SystemExit(ENDED)

    before = signal.signal(signal.SIGTERM, leave)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


@contextmanager
def progress(what: str, runs: int) -> Iterator[tuple[Progress, Say]]:
    """A bar with what is done and how long is left; one plain line where no terminal looks on."""
    if not sys.stderr.isatty():
        click.echo(f"Simulating {what}", err=True)
        yield (lambda done, of: None), (lambda text: None)
        return
    from rich.console import Console
    from rich.markup import escape
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeElapsedColumn,
        TimeRemainingColumn,
    )

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TextColumn("runs,"))
    times = (TimeElapsedColumn(), TextColumn("gone,"), TimeRemainingColumn(), TextColumn("left"))
    with Progress(*columns, *times, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(escape(what), total=runs)
        bar.refresh()
        yield (
            lambda done, of: bar.update(task, completed=done, total=of),
            lambda text: bar.update(task, description=escape(text)),
        )
