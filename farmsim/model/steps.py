"""How a lot goes from step to step.

A stage is a list of steps. A step either does something at once and returns None, or returns what to wait for; it
never does both, so that a run can begin with a lot that already waits: the step is simply taken again, with the hour at
which the lot had come to it (`since`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

from farmsim.model.desk import Wait
from farmsim.model.lot import Walker

if TYPE_CHECKING:
    from farmsim.model.site import Site


class Step:
    """One step of a stage."""

    __slots__ = ("name", "stage", "take")

    def __init__(self, stage: int, name: str, take: Callable[[Site, Any], Wait | None]) -> None:
        self.stage = stage  # position of the stage in the farm's one list
        self.name = name  # such as "soak: lie overnight"
        self.take = take


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
    walker.site = site
    walker.at -= 1
    walker.go_on(site.desk.now if since is None else since)


def go_to(walker: Walker, name: str) -> None:
    """Go on with the step of this name instead of the next one."""
    names = [step.name for step in walker.steps]
    walker.at = names.index(name, walker.at) - 1
