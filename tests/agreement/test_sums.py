"""What came is where it should be, in every run: blocks, kg, hours, places, dates."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from farmsim.errors import RunStuck
from farmsim.model.run import run
from farmsim.record import balance
from farmsim.record.measures.summary import summarise
from farmsim.scenario.farm import Farm

from .farms import EVERY_KIND, SCENARIOS, SMALL, everything, farms, shipped

LOTS_A_RUN = 1_000
WEEK = 168.0


def weeks_of(farm: Farm) -> int:
    """Weeks in which about so many lots are started, 16 at most."""
    a_week = sum(line.blocks for line in farm.start) / farm.farm.lot
    return int(min(16, max(4, LOTS_A_RUN // max(1, a_week))))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_shipped_farm_adds_up(path: Path) -> None:
    weeks = weeks_of(shipped(path))
    assert balance.faults(run(shipped(path, lead_in=weeks - 2), 1, 0, 2)) == []


def test_the_small_farm_does_everything_a_farm_can_do() -> None:
    crew = tuple(crew.but(duties=(*crew.duties, "dry")) for crew in SMALL.crew)
    customers = (EVERY_KIND[0].but(price_varies=0.1), *EVERY_KIND[1:])
    record = run(SMALL.but(customer=customers, crew=crew), 1, 0, 4)
    assert balance.faults(record) == []
    empty = [table for table, rows in everything(record).items() if not rows]
    assert empty == []


few = settings(max_examples=30, derandomize=True, deadline=None, database=None, suppress_health_check=list(HealthCheck))


@few
@given(farm=farms())
def test_every_small_farm_adds_up_however_tight(farm: Farm) -> None:
    with suppress(RunStuck):
        assert balance.faults(run(farm, 1, 0, 3)) == []


@few
@given(farm=farms(), then=farms())
def test_every_small_farm_adds_up_however_it_changes(farm: Farm, then: Farm) -> None:
    with suppress(RunStuck):
        changes = ((WEEK, then), (2 * WEEK, farm))
        assert balance.faults(run(farm.but(changes=changes), 1, 0, 3)) == []


@pytest.mark.parametrize("number", range(3))
def test_same_seed_same_rows(number: int) -> None:
    assert everything(run(SMALL, 5, number, 2)) == everything(run(SMALL, 5, number, 2))


def test_two_runs_of_a_study_differ_in_everything_luck_decides() -> None:
    one, other = (everything(run(SMALL, 5, number, 2)) for number in range(2))
    differ = {table for table in one if one[table] != other[table]}
    assert differ >= {"stays", "tasks", "picks", "orders", "rostered", "blocks", "stock_out", "block_orders"}


GIVEN_UP = {
    "a room": SMALL.but(room=SMALL.room[:1]),
    "all tanks": SMALL.but(soak=SMALL.soak.but(how="in the bag")),
}


@pytest.mark.parametrize("what", GIVEN_UP)
def test_what_is_given_up_on_a_date_leaves_no_endless_figure(what: str) -> None:
    record = run(SMALL.but(changes=((0.0, GIVEN_UP[what]),)), 1, 0, 5)
    for table, columns in summarise(record).items():
        for column, figures in columns.items():
            if not isinstance(figures, list):
                assert not np.isinf(figures).any(), f"{table}: {column}"
