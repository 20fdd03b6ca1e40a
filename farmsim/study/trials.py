"""Farms tried on common luck, each run once: taken from the store when it is there, else worked out and stored.

Run for run all farms of one question have the same luck and the same lead-in, so what differs between them is what was
changed. Every question of the study floor that needs more than one farm asks its runs here. Farms that differ only in money
and are asked for at once are simulated once and put in money one by one. Two programs that ask for the same runs at
the same time share them: each looks into the store again before it gives a run out. Nothing is locked or booked, so whoever
is killed leaves nothing behind.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from socket import gethostname
from types import TracebackType
from typing import NamedTuple, Self

from farmsim.errors import FarmsimError
from farmsim.model.run import lead_in
from farmsim.record.measures import RunTables
from farmsim.scenario.farm import Farm
from farmsim.scenario.fingerprint import fingerprint
from farmsim.scenario.heard import as_simulated
from farmsim.study import bounds
from farmsim.study.done import TOLD_OFTEN, Done
from farmsim.study.job import one_run, one_run_in_monies
from farmsim.study.pool import Pool, Where
from farmsim.study.store import Kind, Store

Progress = Callable[[int, int], None]


class NotComparable(FarmsimError, ValueError):
    """Two farms cannot be put side by side."""

    exit_code = 2


class Case(NamedTuple):
    """One run: of which farm, with the luck of which number (from 0)."""

    farm: Farm
    number: int


class _Known(NamedTuple):
    """A farm that was asked for, which is kept so that no other takes its place in memory; and as all are run.

    heard: fingerprint of what a run hears of it, the same for farms that differ in money only
    """

    farm: Farm
    kind: Kind
    as_run: Farm
    heard: str


@dataclass
class Tally:
    """Runs of a question: taken so far, those of them that were stored before, and expected in all [count].

    One that is simulated for several farms, which differ in money only, counts once; of a stored one each farm's counts.
    own: what was stored for this very question, so that it was not there before: taken again, it is not told as stored
    """

    done: int = 0
    stored: int = 0
    expected: int = 0
    own: set[tuple[Kind, int]] = field(default_factory=set, repr=False)


@dataclass(frozen=True)
class Brief:
    """How a question is put to the simulation.

    seed: the luck of all runs
    weeks: measured length of each [weeks]; None takes the farm's own
    where: processes, or a cluster
    store: file in which finished runs are kept; None keeps none
    progress: told (runs done, runs in all)
    tally: counts the runs of everything that is asked with it
    Goes wrong when a number is out of its bounds: NotAllowed says which.
    """

    seed: int = 1
    weeks: int | None = None
    where: Where = field(default_factory=Where)
    store: Path | None = None
    progress: Progress | None = None
    tally: Tally = field(default_factory=Tally, compare=False)

    def __post_init__(self) -> None:
        bounds.whole("seed", self.seed, 0, bounds.MOST_SEED)
        if self.weeks is not None:
            bounds.whole("weeks", self.weeks, 1, bounds.MOST_WEEKS)
        if self.where.workers is not None:
            bounds.whole("workers", self.where.workers, 1, bounds.MOST_WORKERS)


class Trials:
    """The runs of one question; left at the end of a `with`.

    weeks: measured length of every run [weeks]
    lead_in: weeks before them, the base's for every farm [weeks]
    """

    def __init__(self, base: Farm, brief: Brief) -> None:
        self.base, self._brief = base, brief
        self.weeks = base.farm.weeks if brief.weeks is None else brief.weeks
        self.lead_in = lead_in(base)
        self._tally = brief.tally
        self._pool, self._store = Pool(brief.where), None if brief.store is None else Store(brief.store)
        self._farms: dict[int, _Known] = {}
        self._has_company = False  # another program was seen to work out the same runs

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        self._pool.__exit__(kind, fault, at)
        if self._store is not None:
            self._store.__exit__(kind, fault, at)

    def expect(self, runs: int) -> None:
        """So many runs more will be asked for, as far as one can tell; the bar shows it [count]."""
        self._tally.expected = self._tally.done + runs
        self._tell()

    def take(self, cases: Sequence[Case], tables: Collection[str] | None = TOLD_OFTEN) -> list[RunTables]:
        """The tables of every run, in the order of the cases.

        tables: names of those that are wanted, None for all; fewer take less memory
        Goes wrong when a farm begins on another day, or otherwise, than the base: NotComparable.
        """
        found: list[RunTables] = [{} for _ in cases]
        places: dict[tuple[str, int], list[int]] = {}
        for at, case in enumerate(cases):
            places.setdefault((self._kind(case.farm).mark, case.number), []).append(at)
        self._tally.expected = max(self._tally.expected, self._tally.done + len(places))

        def landed(case: Case, wanted: RunTables) -> None:
            for at in places[self._kind(case.farm).mark, case.number]:
                found[at] = wanted

        once = [cases[at] for at, *_ in places.values()]
        missing = self._from_store(once, tables, landed)
        self._work_out(missing, tables, landed)
        return found

    def by_farm(self, farms: Sequence[Farm], numbers: Iterable[int]) -> list[list[RunTables]]:
        """The weeks of every farm, one element a run number; runs of one number follow one another."""
        cases = [Case(farm, number) for number in numbers for farm in farms]
        found = self.take(cases)
        return [found[at :: len(farms)] for at in range(len(farms))]

    # ------------------------------------------------------------------------------------------------------------------

    def _from_store(
        self, cases: Sequence[Case], tables: Collection[str] | None, landed: Callable[[Case, RunTables], None]
    ) -> list[Case]:
        """Give what is stored; returns the cases that are not."""
        if self._store is None:
            return list(cases)
        numbers: dict[Kind, dict[int, Case]] = {}
        for case in cases:
            numbers.setdefault(self._kind(case.farm), {})[case.number] = case
        missing = set()
        for kind, wanted in numbers.items():
            left = set(wanted)
            for number, found in self._store.take(kind, list(wanted), tables):
                landed(wanted[number], found)
                left.discard(number)
                self._tally.stored += (kind, number) not in self._tally.own
                self._count()
            missing |= {(kind.mark, number) for number in left}
        return [case for case in cases if (self._kind(case.farm).mark, case.number) in missing]

    def _work_out(
        self, cases: Sequence[Case], tables: Collection[str] | None, landed: Callable[[Case, RunTables], None]
    ) -> None:
        """Simulate what farms share once; all their tables are stored before anything is told of them."""
        alike: dict[tuple[str, int], list[Case]] = {}
        for case in cases:
            alike.setdefault((self._known(case.farm).heard, case.number), []).append(case)
        self._tally.expected -= len(cases) - len(alike)
        given: list[Sequence[Case]] = []

        def tasks() -> Iterator[_Task]:
            for those in self._in_turn(alike.values()):
                left = self._not_meanwhile(those, tables, landed)
                if left:
                    given.append(left)
                    yield self._task(left)

        def ready(at: int, found: list[Done]) -> None:
            for case, done in zip(given[at], found, strict=True):
                self._keep(case, done)
            for case, done in zip(given[at], found, strict=True):
                landed(case, done.tables(tables))
            self._count()

        self._pool.gather(_work, tasks(), ready)

    def _in_turn(self, all_of_them: Iterable[Sequence[Case]]) -> Iterator[Sequence[Case]]:
        """In the order asked for; as soon as another program is at work at the same, in an order of our own.

        Both would otherwise go on side by side and work out everything twice. What comes out does not depend on the order.
        """
        left, is_own = deque(all_of_them), False
        while left:
            if self._has_company and not is_own:
                left, is_own = deque(sorted(left, key=self._own_rank)), True
            yield left.popleft()

    def _own_rank(self, those: Sequence[Case]) -> bytes:
        """Where a run stands in the order of this very program: mixed up, and otherwise in every other one."""
        case = those[0]
        return sha256(f"{gethostname()} {os.getpid()} {self._kind(case.farm).mark} {case.number}".encode()).digest()

    def _not_meanwhile(
        self, those: Sequence[Case], tables: Collection[str] | None, landed: Callable[[Case, RunTables], None]
    ) -> Sequence[Case]:
        """Runs that are about to be worked out, without those that somebody else has stored since they were looked for."""
        left = self._from_store(those, tables, landed)
        found = len(those) - len(left)
        if found:
            self._has_company = True
            self._tally.expected += found if left else found - 1
        return left

    def _keep(self, case: Case, done: Done) -> None:
        if self._store is not None:
            kind = self._kind(case.farm)
            self._tally.own.add((kind, case.number))
            if not self._store.put(kind, case.number, done):
                self._has_company = True

    def _task(self, those: Sequence[Case]) -> _Task:
        farms = tuple(self._known(case.farm).as_run for case in those)
        return farms, self._brief.seed, self.weeks, those[0].number

    def _count(self) -> None:
        self._tally.done += 1
        self._tell()

    def _kind(self, farm: Farm) -> Kind:
        return self._known(farm).kind

    def _known(self, farm: Farm) -> _Known:
        known = self._farms.get(id(farm))
        if known is None:
            self._see_that_it_fits(farm)
            about = farm.farm
            mark = fingerprint(farm, self.weeks, self.lead_in)
            start, seed = about.start.isoformat(), self._brief.seed
            kind = Kind(mark, seed, about.name, start, about.units, self.weeks, self.lead_in)
            heard = fingerprint(as_simulated(farm), self.weeks, self.lead_in)
            as_run = farm.but(farm=about.but(lead_in=self.lead_in))
            known = self._farms[id(farm)] = _Known(farm, kind, as_run, heard)
        return known

    def _see_that_it_fits(self, farm: Farm) -> None:
        ours, theirs = self.base.farm, farm.farm
        if theirs.start != ours.start:
            raise NotComparable(
                f"{theirs.name} begins on {theirs.start}, {ours.name} on {ours.start}: farms can only be compared "
                "over the same weeks. Give both the same start"
            )
        if theirs.begin != ours.begin:
            raise NotComparable(f'{theirs.name} begins "{theirs.begin}", {ours.name} "{ours.begin}". Begin both alike')

    def _tell(self) -> None:
        if self._brief.progress is not None:
            self._brief.progress(self._tally.done, max(self._tally.expected, self._tally.done))


_Task = tuple[tuple[Farm, ...], int, int, int]
"""Farms that are alike but for money, seed, measured weeks, number of the run."""


def _work(task: _Task) -> list[Done]:
    """One run of each farm, simulated once, wherever it is worked out."""
    farms, seed, weeks, number = task
    if len(farms) == 1:
        return [Done(one_run(farms[0], seed, weeks, number))]
    return [Done(tables) for tables in one_run_in_monies(farms, seed, weeks, number)]
