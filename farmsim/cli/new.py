"""`farmsim new FILE`: a few questions in plain words, and a farm's file that can be run at once."""

from __future__ import annotations

import datetime
import os
import sys
import tempfile
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

import click

from farmsim.cli import called

if TYPE_CHECKING:
    from farmsim.errors import Fault
    from farmsim.scenario.answers import Asked
    from farmsim.scenario.new_farm import NewFarm
    from farmsim.scenario.questions import Question

WIDTH = 100
EXPLAIN = "?"


@click.command(name="new")
@click.argument("file", required=False)
@click.option("--answers", type=click.Path(), metavar="FILE", help="Take the answers from a file instead of asking.")
@click.option("--questions", is_flag=True, help="Print a file of answers to be filled in, and stop.")
@click.option("--replace", is_flag=True, help="Write over FILE if it is there already.")
def command(file: str | None, answers: str | None, questions: bool, replace: bool) -> None:
    """Ask about a farm in plain words and write its file, FILE, which can be run at once.

    Enter takes the answer in brackets, ? explains, Ctrl-C stops and writes nothing. Every figure you do not give is
    taken from the strain library, from usual practice or worked out, and is marked as a guess in the file.
    """
    from farmsim.scenario.answers import empty_file

    if questions:
        click.echo(empty_file(), nl=False)
        return
    if file is None:
        raise click.UsageError("which file is to be written? Name it: farmsim new FILE.toml")
    path = Path(file)
    _ready_for(path, replace)
    today = datetime.date.today()
    farm = _by_asking(today) if answers is None else _from_file(answers, today)
    _write(path, farm.text, replace)
    _tell(path, farm)


# --- answers ------------------------------------------------------------------------------------------------


def _from_file(answers: str, today: datetime.date) -> NewFarm:
    """The farm from a file of answers; all its faults go to the screen, one a line."""
    from farmsim.errors import ScenarioFault
    from farmsim.scenario.answers import from_file
    from farmsim.scenario.faults import in_file_order
    from farmsim.scenario.new_farm import new_farm

    try:
        given, table = from_file(answers, today)
        try:
            return new_farm(given)
        except ScenarioFault as fault:
            raise ScenarioFault(in_file_order(list(fault.faults), table)) from None
    except ScenarioFault as fault:
        click.echo("\n".join(str(each) for each in fault.faults), err=True)
        raise SystemExit(fault.exit_code) from None


def _by_asking(today: datetime.date) -> NewFarm:
    """The farm from answers on the terminal; what can never fit is asked again."""
    from farmsim.errors import ScenarioFault
    from farmsim.scenario.answers import Asked
    from farmsim.scenario.new_farm import new_farm

    _say("Enter takes the answer in brackets, ? explains, Ctrl-C stops and writes nothing.")
    asked = Asked(today)
    again: set[str] | None = None
    while True:
        _ask(asked, again)
        try:
            return new_farm(asked.whole())
        except ScenarioFault as fault:
            again = _asked_again(fault.faults)


def _asked_again(faults: tuple[Fault, ...]) -> set[str]:
    """Tells what cannot be, and gives the questions to be asked again."""
    from farmsim.errors import ScenarioFault
    from farmsim.scenario.questions import BY_KEY

    keys = {str(fault.path[0]) for fault in faults if fault.path} & BY_KEY.keys()
    if not keys:
        raise ScenarioFault(faults)
    click.echo()
    _say("These answers do not go together:")
    for words in dict.fromkeys(f"{fault.found}; {fault.allowed}. {fault.mend}" for fault in faults):
        _say(words, "  ")
    return keys


def _ask(asked: Asked, only: set[str] | None) -> None:
    """Every question in its order; of those in `only`, and those that were not asked before, when it is given."""
    known = set(asked.values) if only is not None else set()
    for number, question in enumerate(asked.questions(), 1):
        if only is None or question.key in only or question.key not in known:
            _ask_one(asked, question, number)


def _ask_one(asked: Asked, question: Question, number: int) -> None:
    """One question, until its answer will do."""
    from farmsim.errors import QuantityFault

    click.echo()
    while True:
        _say(f"{number:>2}  {question.asks}", "    ", 0)
        said = _line(f"    [{question.default_for(asked.values)}] ")
        if said.strip() == EXPLAIN:
            _say(question.explains, "    ")
            continue
        try:
            asked.answer(question, said)
            return
        except QuantityFault as fault:
            _say(f"{fault.found}; {fault.allowed}. {fault.mend}", "    ")


def _line(prompt: str) -> str:
    """One line from whoever answers. Goes wrong when no more comes: the program ends and nothing is written."""
    while True:
        try:
            return input(prompt)
        except EOFError:
            click.echo()
            click.echo("Error: the answers ended before the last question. Nothing was written.", err=True)
            raise SystemExit(2) from None
        except UnicodeDecodeError:
            _say("That could not be read; type it again.", "    ")


def _say(words: str, indent: str = "", first: int | None = None) -> None:
    """Words broken into lines that fit."""
    begin = indent if first is None else indent[:first]
    click.echo("\n".join(wrap(words, WIDTH, initial_indent=begin, subsequent_indent=indent, break_on_hyphens=False)))


# --- the file -----------------------------------------------------------------------------------------------


def _ready_for(path: Path, replace: bool) -> None:
    """Look, before anything is asked, whether the file may be written. Goes wrong when it may not: CannotWrite."""
    from farmsim.errors import CannotWrite

    if path.is_dir():
        raise CannotWrite(f"{path} is a folder. Name a file, such as {path / 'my-farm.toml'}.")
    if path.suffix != ".toml":
        raise CannotWrite(f"{path} does not end in .toml, as a farm's file does. Name it {path}.toml.")
    if (path.exists() or path.is_symlink()) and not replace:
        raise CannotWrite(f"{path} is there already and is left alone. Name another file, or say --replace.")
    if not path.parent.is_dir():
        raise CannotWrite(
            f"{path} cannot be written: there is no folder {path.parent}. Make it first, or name another."
        )
    if not os.access(path.parent, os.W_OK | os.X_OK):
        raise CannotWrite(f"{path} cannot be written: nothing may be written in {path.parent}. Name another file.")


def _write(path: Path, text: str, replace: bool) -> None:
    """The file as a whole or not at all: written beside its place, then put there."""
    from farmsim.errors import CannotWrite

    _ready_for(path, replace)
    try:
        handle, beside = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=".part", dir=path.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as part:
                part.write(text)
            os.chmod(beside, 0o666 & ~_mask())
            os.replace(beside, path)
        except BaseException:
            os.unlink(beside)
            raise
    except OSError as error:
        raise CannotWrite(f"{path} cannot be written: {error.strerror or error}. Name another file.") from None


def _mask() -> int:
    """What the user takes away from new files; asking for it sets it, so it is put back."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _tell(path: Path, farm: NewFarm) -> None:
    """What was written, what is nearly full by the answers themselves, and what to do next."""
    if sys.stdin.isatty():
        click.echo()
    _say(f"Written: {path}, in which {farm.guesses()} lines are marked as guesses.")
    full = [f"{need.name} {100 * need.share:.0f} %" for need in farm.full()]
    if full:
        _say(f"Fuller than 90 % on average, by your own answers: {', '.join(full)}.")
    click.echo(f"Next:  {called()} check {path}\n       {called()} run {path}")
