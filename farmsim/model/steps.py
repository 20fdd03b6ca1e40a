"""How a lot goes from step to step.

A stage is a list of steps. A step either does something at once and returns None, or returns what to wait for; it
never does both, so that a run can begin with a lot that already waits: the step is simply taken again, with the hour at
which the lot had come to it (`since`).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

from farmsim.model.desk import Wait, nothing
from farmsim.model.lot import FLUSH_STRIDE, Walker

if TYPE_CHECKING:
    from farmsim.model.site import Site


class Step(NamedTuple):
    """One step of a stage."""

    stage: int  # position of the stage in the farm's one list
    name: str  # such as "soak: lie overnight"
    take: Callable[[Site, Any], Wait | None]


class Way(NamedTuple):
    """The steps of a strain's lots that are started from a Monday on."""

    since: float  # ordinal of the Monday
    here: tuple[Step, ...]  # of blocks made here
    bought: tuple[Step, ...]


def stage(number: int, name: str, *steps: Callable[[Site, Any], Wait | None]) -> tuple[Step, ...]:
    """The steps of one stage, in order."""
    return tuple(Step(number, f"{name}: {step.__name__.replace('_', ' ')}", step) for step in steps)


def walk(site: Site, walker: Walker, since: float | None = None) -> None:
    """Take step after step until one has to be waited for; go on when that has happened.

    since: when the walker came to its first step, if it already waits there [h]
    """
    if walker.go_on is nothing:
        walker.go_on = partial(_walk_on, site, walker)
    walker.at -= 1
    _walk_on(site, walker, since)


def _walk_on(site: Site, walker: Walker, since: float | None = None) -> None:
    """What it waited for in the step it is in has happened: take the steps that follow."""
    steps, now = walker.steps, site.desk.now
    last = len(steps) - 1
    walker.since = now if since is None else since
    while walker.at < last and not walker.gone:
        walker.at += 1
        number, _, take = steps[walker.at]
        walker.rank = walker.flush * FLUSH_STRIDE + number
        wait = take(site, walker)
        if wait is not None:
            wait.then = walker.go_on
            return
        walker.since = now


def go_to(walker: Walker, name: str) -> None:
    """Go on with the step of this name instead of the next one."""
    names = [step.name for step in walker.steps]
    walker.at = names.index(name, walker.at) - 1
