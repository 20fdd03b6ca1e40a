"""How many blocks to start: steps in which lines are told, the arithmetic of uneven supply, what averages refuse."""

from __future__ import annotations

from pathlib import Path

import pytest

import farmsim
from farmsim.scenario.averages import crew_hours, duty_hours
from farmsim.scenario.flow import flow
from farmsim.scenario.stall import usually_sold
from farmsim.scenario.vary import MeanCv
from farmsim.study.start_numbers import (
    Asked,
    Seen,
    asked,
    fitted,
    grain,
    put_right,
    refused,
    spread_of,
    started,
    supply_for,
    with_starts,
    work_needs,
)

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
FOUR = farmsim.load(SCENARIOS / "four-rooms.toml")
TINY = farmsim.load(SCENARIOS / "tiny.toml")


@pytest.mark.parametrize(
    ("blocks", "lot", "step"), [(4000, 50, 50), (1000, 50, 25), (700, 50, 10), (250, 50, 5), (19, 8, 1), (60, 20, 1)]
)
def test_lines_are_told_in_whole_lots_or_parts_of_them(blocks: float, lot: float, step: int) -> None:
    assert grain(blocks, lot) == step


def test_lines_of_a_strain_keep_their_proportions_and_others_stay() -> None:
    line = FOUR.start[0]
    two = FOUR.but(start=(line.but(name="a", blocks=400.0), line.but(name="b", blocks=300.0), *FOUR.start[1:]))
    found = with_starts(two, {"shiitake": 350.0, "chestnut": 150.0})
    assert [each.blocks for each in found.start[:2]] == [200.0, 150.0] and found.start[2:] == two.start[2:]
    assert started(found)["shiitake"] == 350.0


def test_a_line_that_is_not_started_all_year_counts_for_its_months() -> None:
    half = FOUR.but(start=(FOUR.start[0].but(months=("jan", "feb", "mar", "apr", "may", "jun")), *FOUR.start[1:]))
    assert started(half)["shiitake"] == 350.0
    assert with_starts(half, {"shiitake": 175.0}).start[0].blocks == 350.0


@pytest.mark.parametrize("spread", [0.0, 0.1, 0.3, 0.8])
@pytest.mark.parametrize("aim", [0.9, 0.95])
def test_what_must_ripen_and_how_uneven_it_comes_are_two_sides_of_one_sum(aim: float, spread: float) -> None:
    supply = supply_for(aim, spread)
    assert usually_sold(supply, MeanCv(1.0, spread)) == pytest.approx(aim)
    assert spread_of(supply, aim) == pytest.approx(spread, abs=1e-4)


def test_more_uneven_asks_for_more() -> None:
    assert supply_for(0.95, 0.0) == pytest.approx(0.95)
    assert 0.95 < supply_for(0.95, 0.2) < supply_for(0.95, 0.4)


def one(fresh: float | None, blocks: float | None = None, firsts: float = 100.0) -> Seen:
    return Seen(200.0, 150.0, 40.0, firsts, 5.0, Asked(80.0, 20.0, 40.0), fresh, blocks, 0.95)


def test_what_was_short_gets_more_and_what_was_too_much_gets_less() -> None:
    more = put_right({"a": one(0.85)}, 0.95, 0.95)["a"]
    less = put_right({"a": one(0.99, firsts=140.0)}, 0.95, 0.95)["a"]
    blocks = put_right({"a": one(0.95, 0.75, firsts=95.0)}, 0.95, 0.95)["a"]
    assert less < 200.0 < more
    assert blocks == pytest.approx(200 + 0.2 * 40 / 0.95, abs=0.1)
    assert put_right({"a": one(None, None)}, 0.95, 0.95)["a"] == 200.0
    assert one(0.90, 0.80).short(0.95, 0.95) == pytest.approx(0.20)


def test_what_is_asked_is_what_check_tells() -> None:
    found = asked(FOUR)["shiitake"]
    assert found.orders == pytest.approx(468 * 0.45359237, rel=1e-3) and found.blocks == flow(FOUR, "shiitake").promised


# --- what averages refuse -------------------------------------------------------------------------------------------


def test_a_sound_farm_is_not_refused() -> None:
    assert refused(FOUR) == [] and refused(TINY) == []


def test_people_who_help_one_another_are_counted_together() -> None:
    """Pickers and packers both pick; only packers pack. No crew alone is short of what only it can do."""
    needs = {need.name: need for need in work_needs(FOUR)}
    hours, crews = duty_hours(FOUR), {crew.name: crew_hours(crew) for crew in FOUR.crew}
    both = needs["pickers and packers"]
    assert (
        both.need == pytest.approx(hours["pick"] + hours["pack"]) and both.have == crews["pickers"] + crews["packers"]
    )
    assert needs["packers"].need == hours["pack"] and "pickers" not in needs


def test_a_plan_that_is_refused_is_cut_until_it_fits_and_only_where_it_helps() -> None:
    blocks = {**started(FOUR), "king-oyster": 500.0}
    over = refused(with_starts(FOUR, blocks))
    assert over[0].name == "Room North"
    cut = fitted(FOUR, blocks)
    assert refused(with_starts(FOUR, cut, down=True)) == []
    assert cut["shiitake"] == 700.0 and 250.0 < cut["king-oyster"] < 500.0
