"""What a store of runs holds, summed up and as one table; no run is worked out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from farmsim.errors import CannotWrite, FarmsimError
from farmsim.record.measures import RunTables
from farmsim.study import frames
from farmsim.study.answers import Known
from farmsim.study.headlines import DELIVERED, PICKED, of_run
from farmsim.study.precision import known
from farmsim.study.store import Kept, Store

ENDINGS = (".csv", ".parquet")
AT_ONCE = 500  # runs in memory when they are written out


class NoStore(FarmsimError):
    """There are no stored runs where they were looked for, or they cannot be written as was asked."""

    exit_code = 2


@dataclass(frozen=True)
class Summed:
    """Runs that differ in their luck only: what they come to, and how well that is known.

    picked [kg/week]; delivered: share of what was promised, None where nothing was
    """

    kept: Kept
    picked: Known
    delivered: Known | None


@dataclass(frozen=True)
class Stored:
    """Everything in one store; size [bytes]."""

    file: str
    size: int
    kinds: tuple[Summed, ...]

    @property
    def as_plain(self) -> dict[str, object]:
        """The same, as JSON holds it."""
        return {"file": self.file, "bytes": self.size, "kinds": [_plain(each) for each in self.kinds]}


def stored(file: Path) -> Stored:
    """Sum up a store.

    Goes wrong when there is none, or it is damaged or of another version: NoStore, StoreRefused.
    """
    if not file.is_file():
        raise NoStore(
            f"{file} is not there: no runs are stored in {file.parent}. Name the folder that results are written in."
        )
    with Store(file) as store:
        kinds = tuple(_summed(store, kept) for kept in store.kept())
    return Stored(str(file), file.stat().st_size, kinds)


def _summed(store: Store, kept: Kept) -> Summed:
    """One run after the other, so that no number of runs takes more memory."""
    picked: list[float] = []
    delivered: list[float] = []
    for _, tables in store.all_of(kept):
        for line, values in ((PICKED, picked), (DELIVERED, delivered)):
            value = of_run(line, tables)
            if value is not None:
                values.append(value)
    return Summed(kept, known(picked), known(delivered) if len(delivered) == len(picked) else None)


def _plain(one: Summed) -> dict[str, object]:
    kind, delivered = one.kept.kind, one.delivered
    return {
        "farm": kind.name,
        "start": kind.start,
        "weeks": kind.weeks,
        "lead_in": kind.lead_in,
        "seed": kind.seed,
        "mark": kind.mark,
        "runs": one.kept.runs,
        "last_stored": one.kept.last,
        "bytes": one.kept.size,
        "versions": dict(one.kept.versions),
        "usable": one.kept.is_usable,
        "picked_kg_a_week": one.picked.value,
        "picked_give": one.picked.give,
        "delivered_share": None if delivered is None else delivered.value,
        "delivered_give": None if delivered is None else delivered.give,
    }


def export(file: Path, target: Path) -> int:
    """Write every week of every stored run into one table, and say how many rows it has.

    target: its ending decides how: .csv or .parquet
    Goes wrong when it has another ending, or Parquet cannot be written here: NoStore says what to do.
    """
    if target.suffix not in ENDINGS:
        raise NoStore(f"{target} should end in .csv or .parquet: the ending decides how the runs are written")
    if target.exists():
        raise NoStore(f"{target} is there already and is left alone: name a new file")
    part = target.with_name(f".{target.name}.part")
    try:
        with Store(file) as store:
            if not store.kept():
                raise NoStore(f"{file} holds no runs yet: there is nothing to write")
            rows = (_as_csv if target.suffix == ".csv" else _as_parquet)(_parts(store), part)
        part.replace(target)
    except OSError as fault:
        raise CannotWrite(f"{target} cannot be written: {fault.strerror or fault}. Name another file.") from None
    finally:
        part.unlink(missing_ok=True)
    return rows


def _parts(store: Store) -> Iterator[pd.DataFrame]:
    """The weeks of all runs, some hundred runs at a time; every part has the same columns."""
    every = store.kept()
    columns = list(dict.fromkeys(name for kept in every for name in _columns(store, kept)))
    for kept in every:
        rows: list[pd.DataFrame] = []
        for number, tables in store.all_of(kept):
            rows.append(_weeks(kept, number, tables))
            if len(rows) == AT_ONCE:
                yield pd.concat(rows, ignore_index=True).reindex(columns=columns)
                rows = []
        if rows:
            yield pd.concat(rows, ignore_index=True).reindex(columns=columns)


def _columns(store: Store, kept: Kept) -> list[str]:
    number, tables = next(iter(store.all_of(kept)))
    return list(_weeks(kept, number, tables).columns)


def _weeks(kept: Kept, number: int, tables: RunTables) -> pd.DataFrame:
    kind = kept.kind
    weeks = frames.with_money(tables)
    told = {"farm": kind.name, "mark": kind.mark, "seed": kind.seed, "lead_in": kind.lead_in, "run": number + 1}
    return pd.DataFrame({**{name: [value] * len(weeks["week"]) for name, value in told.items()}, **weeks})


def _as_csv(parts: Iterator[pd.DataFrame], target: Path) -> int:
    rows = 0
    with target.open("w", encoding="utf-8", newline="") as out:
        for part in parts:
            part.to_csv(out, index=False, header=rows == 0, lineterminator="\n")
            rows += len(part)
    return rows


def _as_parquet(parts: Iterator[pd.DataFrame], target: Path) -> int:
    try:
        import duckdb
    except ImportError:
        raise NoStore(
            'Parquet files need DuckDB: pip install "farmsim[parquet]", or write a .csv file instead'
        ) from None
    rows = 0
    with duckdb.connect() as base:
        for part in parts:
            base.register("part", part)
            base.execute(f"{'INSERT INTO weeks' if rows else 'CREATE TABLE weeks AS'} SELECT * FROM part")
            base.unregister("part")
            rows += len(part)
        try:
            base.execute("COPY weeks TO ? (FORMAT parquet)", [str(target)])
        except duckdb.IOException as fault:
            raise OSError(f"{fault}".rpartition(": ")[2]) from None
    return rows
