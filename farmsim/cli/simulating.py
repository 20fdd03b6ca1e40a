"""What every command that simulates shares: reading the farm, the bar that shows how long is left, a clean end."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from farmsim.cli import ENDED, STOPPED, Left, Whole
from farmsim.study.bounds import MOST_SEED, MOST_WORKERS

if TYPE_CHECKING:
    from pathlib import Path

    from farmsim.scenario.farm import Farm
    from farmsim.study.trials import Brief

SEED = click.option(
    "--seed", type=Whole(0, MOST_SEED), metavar="N", default=1, show_default=True, help="The luck of all runs."
)
WORKERS = click.option(
    "--workers",
    type=Whole(1, MOST_WORKERS),
    metavar="N",
    help="Processes at work at once.  [default: one for each processor]",
)
CLUSTER = click.option(
    "--cluster", metavar="ADDRESS", help="Work on a running Dask cluster: its scheduler's address, tcp://HOST:8786."
)

Done = Callable[[int, int], None]
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

    from farmsim import __version__, machine_code

    versions = {"farmsim": __version__, "python": platform.python_version()}
    for name in ("simpy", "numpy", "numpy-financial", "scipy", "pandas", "matplotlib"):
        try:
            versions[name] = version(name)
        except PackageNotFoundError:
            versions[name] = "unknown"
    return {
        "model": "machine code" if machine_code.in_use() else "plain Python",
        "machine": f"{platform.system()} {platform.machine()}",
        "versions": versions,
    }


@contextmanager
def simulating(
    what: str, runs: int, folder: Path, seed: int, weeks: int | None, workers: int | None, cluster: str | None = None
) -> Iterator[tuple[Brief, Say]]:
    """A question to the simulation with a bar that shows how long is left, and a clean end when one is asked for.

    what: what is simulated, in a few words; runs: about how many in all
    folder: where the result goes; finished runs are kept beside it
    """
    from farmsim.report.words import plural
    from farmsim.study.agenda import WorkersLost
    from farmsim.study.pool import Where
    from farmsim.study.store import FILE
    from farmsim.study.trials import Brief

    if workers is not None and cluster is not None:
        raise click.UsageError("--workers and --cluster exclude each other: a cluster has workers of its own. Give one")
    where, store = Where(workers, cluster), folder.absolute().parent / FILE
    with _ended_cleanly() as go_on, _progress(what, runs) as (shown, say):

        def landed(number: int, of: int) -> None:
            go_on()
            shown(number, of)

        def kept() -> str:
            done = plural(brief.tally.done, "finished run")
            return f"{done} kept in {folder.parent / FILE}: the same command goes on from there."

        brief = Brief(seed, weeks, where, store, landed)
        try:
            yield brief, say
        except _Asked as stop:
            raise Left(f"{stop}. {kept() if brief.tally.done else 'Nothing was written.'}", stop.code) from None
        except WorkersLost as lost:
            if brief.tally.done:
                lost.args = (f"{lost}. {kept()}",)
            raise


@contextmanager
def _ended_cleanly() -> Iterator[Callable[[], None]]:
    """Ctrl-C, or being asked to end, stops at once; gives a function that stops if that went unheard.

    Python raises what a signal asks for wherever it happens to be, and in a few places (a module being loaded, an object
    being cleared away) it is swallowed there. Whoever asks again, while all is put away or after, is not heard any more:
    it would break that off, and have Python complain on the screen.
    """
    asked: list[BaseException] = []

    def stop(number: int, _frame: object) -> None:
        for each in heard:
            signal.signal(each, signal.SIG_IGN)
        asked.append(_Asked("Stopped", STOPPED) if number == signal.SIGINT else _Asked("Ended", ENDED))
        raise asked[-1]

    def go_on() -> None:
        if asked:
            raise asked[-1]

    heard = [each for each in (signal.SIGINT, signal.SIGTERM) if signal.getsignal(each) != signal.SIG_IGN]
    before = {each: signal.signal(each, stop) for each in heard}
    try:
        yield go_on
    finally:
        for each, handler in before.items() if not asked else ():
            signal.signal(each, handler)


class _Asked(Left):
    """To stop, or to end."""


@contextmanager
def _progress(what: str, runs: int) -> Iterator[tuple[Done, Say]]:
    """The bar; one plain line where no terminal looks on."""
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
