"""`farmsim compare BASE CHANGE...`: what changes bring, on the same luck, and how surely."""

from __future__ import annotations

import time
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from farmsim.cli import Whole
from farmsim.cli.simulating import SEED, WORKERS, loaded, machine, simulating
from farmsim.study.bounds import MOST_RUNS, MOST_WEEKS

if TYPE_CHECKING:
    from farmsim.scenario.farm import Farm
    from farmsim.study.compare import Compared


@click.command(name="compare")
@click.argument("base")
@click.argument("changes", metavar="CHANGE...", nargs=-1, required=True)
@click.option("--runs", type=Whole(2, MOST_RUNS), metavar="N", default=20, show_default=True, help="Runs of each farm.")
@SEED
@click.option(
    "--weeks", type=Whole(1, MOST_WEEKS), metavar="N", help="Measured weeks of each run.  [default: the base's]"
)
@WORKERS
@click.option("--out", type=click.Path(), metavar="FOLDER", help="Result folder.  [default: outputs/BASE-compared]")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON instead of text.")
def command(
    base: str,
    changes: tuple[str, ...],
    runs: int,
    seed: int,
    weeks: int | None,
    workers: int | None,
    out: str | None,
    as_json: bool,
) -> None:
    """Put the farm in BASE beside one or more CHANGEs of it, and tell what each brings and how surely.

    Run for run all farms have the same luck, so even small differences show; where none does, that is said too. A result
    folder with tables, a picture and the scenarios as run is written.
    """
    began, clock = datetime.now().astimezone(), time.monotonic()
    farm = loaded(base)
    changed: dict[str, Farm] = {}
    for file in changes:
        changed[_name_of(file, changed)] = loaded(file)
    folder = Path(out) if out else Path("outputs") / f"{Path(base).stem}-compared"
    from farmsim.report import folder as place
    from farmsim.report.words import tidy

    place.ready_for(folder)
    count = runs * (1 + len(changed))
    with simulating(f"{tidy(farm.farm.name)} and {len(changed)} of its changes", count) as (done, say):
        from farmsim.study.compare import compare

        compared = compare(farm, changed, runs=runs, seed=seed, weeks=weeks, workers=workers, progress=done)
        say("drawing and writing")
        from farmsim.report.compare import screen

        text = f"{screen(compared)}{_took(count, time.monotonic() - clock)}"
        about: dict[str, object] = {
            "began": began.isoformat(timespec="seconds"),
            "workers": workers or "one for each processor",
        }
        place.write(
            folder, lambda part: _fill(part, compared, [base, *changes], screen(compared), {**about, **machine()})
        )
    click.echo(_json(compared) if as_json else f"{text}\nWRITTEN       {folder}/", nl=not as_json)


def _name_of(file: str, taken: dict[str, Farm]) -> str:
    """The name of a change: that of its file, with a number when two files are called alike."""
    stem = Path(file).stem.replace("-", " ")
    return next(name for name in (stem, *(f"{stem} {at}" for at in range(2, 1000))) if name not in taken)


def _took(runs: int, seconds: float) -> str:
    from farmsim.report.words import plural

    return f"\nTOOK          {plural(runs, 'run')} in {seconds:.0f} s"


def _fill(part: Path, compared: Compared, files: list[str], text: str, about: dict[str, object]) -> None:
    """Everything that belongs in the result folder."""
    from farmsim.report import folder as place
    from farmsim.report.figures import differences
    from farmsim.report.figures.paper import keep
    from farmsim.study.sources import sources

    ran = {
        "program": place.PROGRAM,
        "compared": [Path(file).name for file in files],
        "start": compared.start,
        "seed": compared.seed,
        "runs": compared.runs,
    }
    scenario = {f"scenario/{name}": source for file in files for name, source in sources(file).items()}
    place.put_texts(
        part, {place.MARK: place.as_json(ran), "screen.txt": text, "compare.json": _json(compared), **scenario}
    )
    compared.table.to_csv(part / "compare.csv", index=False, lineterminator="\n")
    compared.weekly.to_csv(part / "weekly.csv", index=False, lineterminator="\n")
    figures = part / "figures"
    figures.mkdir()
    keep(differences.draw(compared), figures, "differences")
    place.put_texts(part, {"about.json": place.as_json(about)})


def _json(compared: Compared) -> str:
    from farmsim.report.folder import as_json

    return as_json(compared.as_plain)
