"""`farmsim run FILE`: simulate a farm many times, print one screen, and write a result folder."""

from __future__ import annotations

import time
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from farmsim.cli import Whole
from farmsim.cli.question import JSON, PRECISION, amount, took_line
from farmsim.cli.simulating import CLUSTER, SEED, WORKERS, loaded, machine, simulating
from farmsim.study.bounds import MOST_RUNS, MOST_WEEKS

if TYPE_CHECKING:
    from farmsim.study.replicate import Result


@click.command(name="run")
@click.argument("file")
@click.option(
    "--runs",
    type=Whole(1, MOST_RUNS),
    metavar="N",
    help="How many runs; with --precision, how many at most.  [default: 20, with --precision 200]",
)
@PRECISION
@SEED
@click.option(
    "--weeks", type=Whole(1, MOST_WEEKS), metavar="N", help="Measured weeks of each run.  [default: the farm's]"
)
@WORKERS
@CLUSTER
@click.option("--out", type=click.Path(), metavar="FOLDER", help="Result folder.  [default: outputs/NAME-START]")
@JSON
def command(
    file: str,
    runs: int | None,
    precision: str | None,
    seed: int,
    weeks: int | None,
    workers: int | None,
    cluster: str | None,
    out: str | None,
    as_json: bool,
) -> None:
    """Simulate the farm in FILE and tell what comes out, how sure that is, and where it looks tight.

    The same file, runs, seed and weeks give the same answer on any number of workers, here or on a cluster. A result
    folder with tables, pictures and the scenario as run is written; an older result of farmsim in its place is replaced.
    """
    began, clock = datetime.now().astimezone(), time.monotonic()
    farm = loaded(file)
    how_many = amount(runs, precision)
    folder = Path(out) if out else Path("outputs") / f"{Path(file).stem}-{farm.farm.start.isoformat()}"
    from farmsim.report import folder as place

    place.ready_for(folder)
    length = farm.farm.weeks if weeks is None else weeks
    from farmsim.report.words import tidy

    what = f"{tidy(farm.farm.name)}: {how_many.spoken} x {length} weeks"
    with simulating(what, how_many.first, folder, seed, length, workers, cluster) as (brief, say):
        from farmsim.study.replicate import replicate
        from farmsim.study.sources import sources

        scenario = sources(file)
        result = replicate(farm, how_many.runs, brief)
        say("drawing and writing")
        from farmsim.report.screen import screen
        from farmsim.report.tables import HEAD

        text = screen(result.answers)
        texts = {"screen.txt": text, **{f"scenario/{name}": source for name, source in scenario.items()}}
        about = {
            "began": began.isoformat(timespec="seconds"),
            "workers": cluster or workers or "one for each processor",
        }
        took = took_line(brief, time.monotonic() - clock)
        place.write(folder, lambda part: _fill(part, result, Path(file).name, texts, clock, about))
    written = f"{'WRITTEN':<{HEAD}}{folder}{'' if str(folder).endswith('/') else '/'}  open report.html first"
    click.echo(result.as_json if as_json else f"{text}{took}\n{written}", nl=not as_json)


def _fill(
    part: Path, result: Result, file: str, texts: dict[str, str], clock: float, about: dict[str, str | int]
) -> None:
    """Everything that belongs in a result folder."""
    from farmsim.report import folder as place
    from farmsim.report import page, pictures

    study = result.answers.study
    ran: dict[str, object] = {
        "program": place.PROGRAM,
        "file": file,
        "farm": study.farm,
        "start": study.start,
        "seed": study.seed,
        "runs": study.runs,
        "weeks": study.weeks,
    }
    if result.answers.stopped is not None:
        ran["until"] = result.answers.stopped.as_plain
    place.put_texts(part, {place.MARK: place.as_json(ran), **texts})
    result.write(part)
    figures = part / "figures"
    figures.mkdir()
    drawn = pictures.draw(result.answers, figures)
    place.put_texts(part, {"report.html": page.page(result.answers, texts["screen.txt"], drawn, part)})
    took = {"took_seconds": round(time.monotonic() - clock, 1)}
    place.put_texts(part, {"about.json": place.as_json({**about, **took, **machine()})})
