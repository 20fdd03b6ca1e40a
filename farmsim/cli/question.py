"""What every command that asks a question of many runs shares: its options, the bar, the answer, the result folder."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from farmsim.cli import Whole
from farmsim.cli.simulating import CLUSTER, SEED, WORKERS, machine, simulating
from farmsim.study.bounds import MOST_WEEKS

if TYPE_CHECKING:
    from farmsim.report.answer import Answer
    from farmsim.study.trials import Brief
    from farmsim.study.until import Until

WEEKS = click.option(
    "--weeks", type=Whole(1, MOST_WEEKS), metavar="N", help="Measured weeks of each run.  [default: the farm's]"
)
PRECISION = click.option(
    "--precision",
    metavar="SHARE",
    help='How well the averages are to be known, such as "2 %"; makes as many runs as that takes.',
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON instead of text.")


@dataclass(frozen=True)
class How:
    """How a question is asked, as the options say.

    ending: the result folder is called like the farm's file, with this behind it, unless `out` names another
    """

    seed: int
    weeks: int | None
    workers: int | None
    cluster: str | None
    out: str | None
    as_json: bool

    def folder(self, file: str, ending: str) -> Path:
        """Where the result goes."""
        return Path(self.out) if self.out else Path("outputs") / f"{Path(file).stem}-{ending}"


class Amount(NamedTuple):
    """How many runs of each farm: so many, or until what is known.

    first: about how many, as far as one can tell at the beginning; spoken: for the bar
    """

    runs: int | Until
    first: int
    spoken: str


def amount(runs: int | None, precision: str | None) -> Amount:
    """How many runs, as the options say; with a precision so many at most."""
    from farmsim.study.until import AHEAD, LEAST, Until, how_many, read

    found = how_many(runs, None if precision is None else read(precision))
    if isinstance(found, Until):
        return Amount(found, min(LEAST + AHEAD, found.most), f"up to {found.most}")
    return Amount(found, found, f"{found}")


def asks(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options that all such commands have; they arrive as what `How` is made of."""
    out = click.option("--out", type=click.Path(), metavar="FOLDER", help="Result folder.  [default: in outputs/]")
    for option in (JSON, out, CLUSTER, WORKERS, WEEKS, SEED):
        command = option(command)
    return command


def answered(
    what: str, files: Sequence[str], ending: str, how: How, runs: int, work: Callable[[Brief], Answer]
) -> None:
    """Work the question out, print its answer and write its result folder.

    what: what is simulated, for the bar; runs: about how many runs it takes, as far as one can tell
    files: the farm's file, then its changes
    work: the study and its report; everything it is told about luck and workers stands in what it is given
    """
    from farmsim.report import folder as place
    from farmsim.report.words import tidy

    began, clock = datetime.now().astimezone(), time.monotonic()
    folder = how.folder(files[0], ending)
    place.ready_for(folder)
    with simulating(tidy(what), runs, folder, how.seed, how.weeks, how.workers, how.cluster) as (brief, say):
        answer = work(brief)
        say("drawing and writing")
        folder = folder if how.out else place.beside_others(folder, answer.asked)
        took = took_line(brief, time.monotonic() - clock)
        about = {
            "began": began.isoformat(timespec="seconds"),
            "workers": how.cluster or how.workers or "one for each processor",
        }
        place.write(folder, lambda part: _fill(part, answer, files, {**about, **machine()}))
    told = place.as_json(answer.plain) if how.as_json else f"{answer.text}{took}\nWRITTEN       {folder}/"
    click.echo(told, nl=not how.as_json)


def took_line(brief: Brief, seconds: float) -> str:
    """How many runs it took, and how long."""
    from farmsim.report.words import plural

    stored = f" ({brief.tally.stored:,} of them stored before)" if brief.tally.stored else ""
    return f"TOOK          {plural(brief.tally.done, 'run')}{stored} in {seconds:.0f} s"


def _fill(part: Path, answer: Answer, files: Sequence[str], about: dict[str, object]) -> None:
    """Everything that belongs in the result folder."""
    from farmsim.report import folder as place
    from farmsim.report.figures.paper import keep
    from farmsim.study.sources import sources

    scenario = {f"scenario/{name}": source for file in files for name, source in sources(file).items()}
    ran = {"program": place.PROGRAM, **answer.asked}
    told = {place.MARK: place.as_json(ran), "screen.txt": answer.text, "answer.json": place.as_json(answer.plain)}
    place.put_texts(part, {**told, **answer.texts, **scenario})
    for name, table in answer.tables.items():
        table.to_csv(part / f"{name}.csv", index=False, lineterminator="\n")
    for name, write in answer.files.items():
        write(part / name)
    if answer.pictures:
        figures = part / "figures"
        figures.mkdir()
        for name, draw in answer.pictures.items():
            keep(draw(), figures, name)
    place.put_texts(part, {"about.json": place.as_json(about)})
