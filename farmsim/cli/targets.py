"""The option `--target`: figures that have to be kept, read as they are typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from farmsim.study.targets import Target


def _read(_context: click.Context, _option: click.Parameter, typed: tuple[str, ...]) -> tuple[Target, ...]:
    """What was typed as targets, in its order; nothing is loaded when there are none."""
    if not typed:
        return ()
    from farmsim.study.targets import read_all

    return read_all(typed)


TARGET = click.option(
    "--target",
    "targets",
    multiple=True,
    callback=_read,
    metavar='"NAME BOUND"',
    help='What has to be kept, such as "delivered 95 %" or "overtime 10 h" a week; may be given several times.',
)
"""Repeatable; arrives as `targets`, a tuple of `Target`, empty when none is given."""
