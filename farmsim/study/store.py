"""Runs that are done, kept in one SQLite file: each in a transaction of its own, so that nothing that is kept gets lost.

A run is found again by what it was: the farm as run, its weeks and lead-in, the luck, and the versions of everything that has
a say in a figure. A study that was stopped, however it was, finds there what it had done, and so does any other study that
asks for the same run.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from farmsim.errors import CannotWrite, FarmsimError
from farmsim.record.measures import RunTables
from farmsim.study.done import Done, is_told_often, unpacked
from farmsim.study.packed import Unreadable, unpack
from farmsim.study.versions import versions
from farmsim.units import System

FILE = "runs.sqlite"
FORMAT = 2  # counted up when the tables below change, or how a run is packed
READS = (1, FORMAT)
MARK = 0x4641524D  # "FARM": by this a file is known as a store of farmsim
PATIENCE = 30.0  # seconds to wait for another program that is writing
AT_ONCE = 500  # numbers looked for in one question

TABLES = (
    """CREATE TABLE farms (id INTEGER PRIMARY KEY, mark TEXT NOT NULL, seed INTEGER NOT NULL, versions TEXT NOT NULL,
    name TEXT NOT NULL, start TEXT NOT NULL, system TEXT NOT NULL, weeks INTEGER NOT NULL, lead_in INTEGER NOT NULL,
    UNIQUE (mark, seed, versions))""",
    """CREATE TABLE runs (farm INTEGER NOT NULL REFERENCES farms, number INTEGER NOT NULL, stored TEXT NOT NULL,
    often BLOB NOT NULL, rest BLOB NOT NULL, PRIMARY KEY (farm, number)) WITHOUT ROWID""",
)


class StoreRefused(FarmsimError):
    """A file that is there is no store of runs, or one of another version, or damaged."""

    exit_code = 2


@dataclass(frozen=True)
class Kind:
    """Runs that differ in their luck only.

    mark: fingerprint of the farm as run
    name, start, system: how it is called, its first measured day, the units it is shown in
    weeks, lead_in: measured, and before [weeks]
    """

    mark: str
    seed: int
    name: str
    start: str
    system: System
    weeks: int
    lead_in: int


@dataclass(frozen=True)
class Kept:
    """Runs of one kind in a store: how many, their versions, when the last was stored, how many bytes they take.

    place: by which the store knows them
    """

    place: int
    kind: Kind
    versions: Mapping[str, str]
    runs: int
    last: str
    size: int

    @property
    def is_usable(self) -> bool:
        """Whether this farmsim would make the very same runs."""
        return dict(self.versions) == dict(versions())


class Store:
    """The store in one file, made when the first run is put into it; left at the end of a `with`.

    Goes wrong when the file is something else or damaged: StoreRefused; when the disk refuses: CannotWrite.
    """

    def __init__(self, file: Path) -> None:
        self._file = file
        self._versions = json.dumps(dict(versions()), sort_keys=True)
        self._open: sqlite3.Connection | None = None
        self._ids: dict[tuple[str, int], int] = {}
        self._look_for_it()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None) -> None:
        if self._open is not None:
            self._open.close()
            self._open = None

    def take(
        self, kind: Kind, numbers: Sequence[int], tables: Collection[str] | None = None
    ) -> Iterator[tuple[int, RunTables]]:
        """Number and tables of every stored run among the numbers, in no order.

        tables: names of those that are wanted, None for all
        """
        self._look_for_it()
        held = self._id(kind)
        if self._open is None or held is None:
            return
        columns = "number, often" if is_told_often(tables) else "number, often, rest"
        for first in range(0, len(numbers), AT_ONCE):
            some = numbers[first : first + AT_ONCE]
            asked = f"SELECT {columns} FROM runs WHERE farm = ? AND number IN ({','.join('?' * len(some))})"
            with self._told():
                rows = self._open.execute(asked, (held, *some)).fetchall()
                for number, *pieces in rows:
                    yield number, unpacked(pieces, tables)

    def put(self, kind: Kind, number: int, done: Done) -> bool:
        """Store a finished run; it is on the disk when this returns.

        Returns whether it is new: another program may have stored the same run meanwhile, and that one stays.
        """
        when = datetime.now(UTC).isoformat(timespec="seconds")
        with self._told():
            if self._open is None:
                self._open = self._opened()
            with self._open:
                held = self._made(self._open, kind)
                row = (held, number, when, *done.pieces)
                return self._open.execute("INSERT OR IGNORE INTO runs VALUES (?, ?, ?, ?, ?)", row).rowcount == 1

    def kept(self) -> tuple[Kept, ...]:
        """What is stored, in the order in which it was begun."""
        if self._open is None:
            return ()
        asked = """SELECT farms.id, mark, seed, name, start, system, weeks, lead_in, versions, count(*), max(stored),
            sum(length(often) + length(rest)) FROM farms JOIN runs ON farms.id = runs.farm
            GROUP BY farms.id ORDER BY farms.id"""
        with self._told():
            return tuple(
                Kept(row[0], Kind(*row[1:8]), json.loads(row[8]), *row[9:])
                for row in self._open.execute(asked).fetchall()
            )

    def all_of(self, kept: Kept) -> Iterator[tuple[int, RunTables]]:
        """Number and weeks of every run of one kind, also of other versions, in the order of their numbers.

        Some at a time, so that no other program waits for whoever works with them.
        """
        last: int | None = -1
        while self._open is not None and last is not None:
            with self._told():
                asked = "SELECT number, often FROM runs WHERE farm = ? AND number > ? ORDER BY number LIMIT ?"
                rows = self._open.execute(asked, (kept.place, last, AT_ONCE)).fetchall()
                last = rows[-1][0] if len(rows) == AT_ONCE else None
                found = [(number, unpack(often)) for number, often in rows]
            yield from found

    # --- the file -----------------------------------------------------------------------------------------------------

    def _look_for_it(self) -> None:
        """Another program may have made the file meanwhile."""
        if self._open is None and self._file.exists() and self._file.stat().st_size:
            self._open = self._opened()

    def _opened(self) -> sqlite3.Connection:
        """The file, looked at or made."""
        with self._told():
            self._file.parent.mkdir(parents=True, exist_ok=True)
            store = sqlite3.connect(self._file, timeout=PATIENCE)
            try:
                with store:
                    store.execute("BEGIN IMMEDIATE")
                    self._look(store)
            except BaseException:
                store.close()
                raise
            return store

    def _look(self, store: sqlite3.Connection) -> None:
        (mark,), (layout,) = (store.execute(f"PRAGMA {name}").fetchone() for name in ("application_id", "user_version"))
        (tables,) = store.execute("SELECT count(*) FROM sqlite_master").fetchone()
        if (mark, layout, tables) == (0, 0, 0):
            for table in TABLES:
                store.execute(table)
            store.execute(f"PRAGMA application_id = {MARK}")
            store.execute(f"PRAGMA user_version = {FORMAT}")
        elif mark != MARK:
            raise StoreRefused(
                f"{self._file} is not a store of runs of farmsim, and is left alone. Move it away, or name "
                "another folder with --out."
            )
        elif layout not in READS:
            raise StoreRefused(
                f"{self._file} is a store of version {layout}; this farmsim reads version {FORMAT}, and leaves it alone. "
                "Move it away (its runs are then worked out again), or use the farmsim that wrote it."
            )
        elif (
            layout != FORMAT
        ):  # what is stored stays as it is and is read as before; an older farmsim has to leave it alone
            store.execute(f"PRAGMA user_version = {FORMAT}")

    @contextmanager
    def _told(self) -> Iterator[None]:
        """What the disk or the file refuses is told in a sentence."""
        try:
            yield
        except (sqlite3.OperationalError, OSError) as fault:
            mend = "Make room, or name another folder with --out."
            if "locked" in str(fault):
                mend = "Another program works with it: the same command goes on when that is done."
            raise CannotWrite(
                f"{self._file} cannot be read or written: {fault}. What was stored before is still there. {mend}"
            ) from None
        except (sqlite3.DatabaseError, Unreadable) as fault:
            raise StoreRefused(
                f"{self._file} is damaged: {fault}. Move it away; its runs are worked out again."
            ) from None

    def _id(self, kind: Kind) -> int | None:
        key = kind.mark, kind.seed
        if key not in self._ids and self._open is not None:
            with self._told():
                asked = "SELECT id FROM farms WHERE mark = ? AND seed = ? AND versions = ?"
                row = self._open.execute(asked, (*key, self._versions)).fetchone()
            if row is not None:
                self._ids[key] = row[0]
        return self._ids.get(key)

    def _made(self, store: sqlite3.Connection, kind: Kind) -> int:
        held = self._id(kind)
        if held is not None:
            return held
        row = (kind.mark, kind.seed, self._versions, kind.name, kind.start, kind.system, kind.weeks, kind.lead_in)
        columns = "mark, seed, versions, name, start, system, weeks, lead_in"
        store.execute(f"INSERT OR IGNORE INTO farms ({columns}) VALUES ({', '.join('?' * len(row))})", row)
        asked = "SELECT id FROM farms WHERE mark = ? AND seed = ? AND versions = ?"
        (found,) = store.execute(asked, (kind.mark, kind.seed, self._versions)).fetchone()
        return int(found)
