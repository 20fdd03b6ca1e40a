"""The screen. Each command of `COMMANDS` lives in the file of its name, which is loaded when it is called.

Exit codes: 0 done, 2 the input is at fault, 130 stopped by Ctrl-C (143 when asked to end), else that of the error
(`farmsim.errors`: 3 a run that cannot go on).
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import click

from farmsim import __version__

COMMANDS = {
    "new": "Ask about a farm in plain words and write its file.",
    "check": "Read a farm's file back, find its faults, and print what averages alone would say.",
    "run": "Simulate a farm many times and tell what comes out, how sure that is, and where it looks tight.",
    "compare": "Put a farm beside changes of it on the same luck, and tell what each brings and how surely.",
    "limits": "Tell what one step more of every place and crew brings: what limits the farm now, and what next.",
    "plan": "Plan what to start on which weekdays: what was promised is kept, and least is thrown out.",
    "staff": "Search for the cheapest crews that surely keep a service target.",
    "ceiling": "Search for the most blocks a week that a farm carries, and tell what fails first above that.",
    "sweep": "Try values of one or two figures and tell from where on no more is gained.",
    "sensitivity": "Tell which guesses move the answer, and so what to measure first.",
    "money": "Keep a farm's books over many runs: income, cash, what is owned and owed, what lenders look at.",
    "pack": "Write the pack a lender reads: a loan asked for, whether it is repaid in a poor year, why believe it.",
    "runs": "List the finished runs that are kept in a folder, and write them out as one table.",
    "follow": "Tell the life of one lot, day by day.",
    "schema": "Write the JSON schema of farm files, for editors.",
    "compile": "Translate the model into machine code, once on this machine: runs take a third of the time.",
}
STOPPED, ENDED = 130, 143


class Whole(click.IntRange):
    """A whole number within bounds, told as a grower would: 1 to 10,000."""

    name = "number"

    def _describe_range(self) -> str:
        low = "" if self.min is None else f"{self.min:,}"
        return f"{low} or more" if self.max is None else f"{low} to {self.max:,}"


class Commands(click.Group):
    """Commands that are imported only when they are called, so that help is there at once."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            ctx.fail(f'there is no command "{cmd_name}"{_nearest(cmd_name)} (commands: {", ".join(COMMANDS)})')
        command: click.Command = importlib.import_module(f"farmsim.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def main(self, args: Sequence[str] | None = None, prog_name: str | None = None, **extra: Any) -> NoReturn:  # type: ignore[override]
        """Run one command and leave with its exit code; what a user can cause never ends in a traceback."""
        extra["standalone_mode"] = False
        try:
            code = super().main(args, prog_name, **extra)
        except (click.Abort, KeyboardInterrupt, Left) as stop:
            click.echo(str(stop) or "Stopped. Nothing was written.", err=True)
            _forget_the_interrupt()
            sys.exit(stop.code if isinstance(stop, Left) else STOPPED)
        except click.ClickException as fault:
            fault.show()
            sys.exit(fault.exit_code)
        except Exception as fault:
            sys.exit(_explained(fault))
        sys.exit(code if isinstance(code, int) else 0)


class Left(BaseException):
    """A command was stopped by Ctrl-C, or asked to end; the text tells what it leaves behind."""

    def __init__(self, told: str, code: int) -> None:
        super().__init__(told)
        self.code = code


def called() -> str:
    """How the program was called: "farmsim", or "python3 go.py"."""
    program = click.get_current_context().parent
    return program.info_name or "farmsim" if program is not None else "farmsim"


def _forget_the_interrupt() -> None:
    """Leave with our own exit code, also when Ctrl-C was heard while a module was being loaded.

    Python takes an interrupt inside the run of a text (a data class being made) for one that nobody handled, and would at
    last end itself by the signal. The run of any other text takes that mark away.
    """
    exec("")


def _explained(fault: Exception) -> int:
    """Say what farmsim itself found wrong and give its exit code; anything else is a mistake in farmsim and shows as one."""
    from farmsim.errors import FarmsimError

    if not isinstance(fault, FarmsimError):
        raise fault
    click.echo(f"Error: {fault}", err=True)
    return fault.exit_code


def _nearest(name: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name, COMMANDS, n=1, cutoff=0.5)
    return f'; did you mean "{near[0]}"?' if near else ""


@click.command(cls=Commands, name="farmsim", context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="farmsim %(version)s")
def main() -> None:
    """A whole specialty mushroom farm, simulated lot by lot from one scenario file."""
