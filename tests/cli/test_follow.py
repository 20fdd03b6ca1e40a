"""`farmsim follow`: the life of one lot in dated sentences; what it says when the lot or the farm is at fault."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from farmsim.cli.follow import command
from farmsim.errors import RunStuck
from farmsim.model.run import run
from farmsim.record.tables import Record
from farmsim.report.follow import choice_told, life_told, stamp, unknown_told
from farmsim.scenario.read import load
from farmsim.study.life import Choice, Event, Life, choices, read_life

SCENARIOS = Path(__file__).parents[2] / "scenarios"
TINY, FOUR_ROOMS = str(SCENARIOS / "tiny.toml"), str(SCENARIOS / "four-rooms.toml")
MONDAY = date(2027, 1, 4)
DATED = re.compile(r"^(Mon|Tue|Wed|Thu|Fri|Sat|Sun) (\d{4}-\d\d-\d\d \d\d:\d\d)  \S", re.MULTILINE)


def follow(*words: str) -> Result:
    return CliRunner().invoke(command, [*words, "--weeks", "8"])


def moments(told: str) -> list[str]:
    return [moment for _, moment in DATED.findall(told)]


def flat(told: str) -> str:
    return re.sub(r"\s+", " ", told)


@pytest.fixture(scope="module")
def four_rooms() -> Record:
    return run(load(FOUR_ROOMS), 1, 0, 8)


@pytest.fixture(scope="module")
def lives(four_rooms: Record) -> list[Life]:
    found = [read_life(four_rooms, key) for key in four_rooms.texts("lots", "key").tolist()]
    return [life for life in found if life is not None]


# --- from end to end ------------------------------------------------------------------------------------------------


def test_a_bought_lot_of_the_tiny_farm_from_delivery_to_clearing() -> None:
    done = follow(TINY, "oyster/2027-01-04/00")
    assert done.exit_code == 0
    assert done.stderr == ""
    assert done.stdout.startswith("Lot oyster/2027-01-04/00: 20 blocks of blue-oyster, line oyster\n\n")
    told = [
        "Delivered: 20 blocks, bought.",
        "Onto the racks",
        "Ripe, after",
        "Called to the room Shed",
        "Opened by owner",
    ]
    told += ["Picked, first flush:", "The first flush is over:", "Cleared away (", "Its life is over.", "Brought "]
    places = [flat(done.stdout).index(piece) for piece in told]
    assert places == sorted(places)
    assert "Tue 2027-01-05 08:00  Delivered" in done.stdout
    assert moments(done.stdout) == sorted(moments(done.stdout))


def test_a_lot_of_four_rooms_takes_every_step(four_rooms: Record) -> None:
    key = next(choice.key for choice in choices(four_rooms) if choice.strain == "shiitake")
    done = follow(FOUR_ROOMS, key)
    assert done.exit_code == 0
    told = ["Started: 50 blocks, to be made in load", "mixed and bagged by block makers", "goes into the sterilizer"]
    told += ["Inoculated by block makers in", "Onto the racks", "Ripe, after", "Called to the room", "Cold shock: into"]
    told += ["Into the water, put in by growers", "Out of the water by", "Opened by", "on the shelves of the room"]
    told += ["Picked, first flush:", "it rests 5 days", "Soaked again: into the water", "Picked, second flush:"]
    told += ["to be cleared", "Cleared away ("]
    places = [flat(done.stdout).index(piece) for piece in told]
    assert places == sorted(places)
    assert re.search(r"Opened by \w+ in \d+ min of work", flat(done.stdout))
    assert re.search(r"Picked, first flush: \d+\.\d lb firsts, \d+\.\d lb seconds, \d+\.\d lb culls", flat(done.stdout))
    assert max(map(len, done.stdout.splitlines())) <= 100


def test_without_a_lot_one_of_each_line_is_offered() -> None:
    done = follow(TINY)
    assert done.exit_code == 0
    assert done.stdout.startswith("Say which lot to follow. One of each line, started around the middle:\n\n")
    offered = re.findall(r"^  (\S.*/\d{4}-\d\d-\d\d/\d\d)  +20 blocks of ", done.stdout, re.MULTILINE)
    assert [key.split("/")[0] for key in offered] == ["oyster", "lion's mane"]
    assert done.stdout.endswith(f'For example: farmsim follow {TINY} "{offered[0]}"\n')
    assert all(follow(TINY, key).exit_code == 0 for key in offered)


def test_the_life_of_a_lot_the_run_does_not_outlast_is_not_over() -> None:
    done = follow(TINY, "oyster/2027-02-22/00")
    assert done.exit_code == 0
    assert moments(done.stdout)[-1] == "2027-03-01 00:00"
    last = flat(done.stdout).split("Mon 2027-03-01 00:00 ")[-1].strip()
    assert re.match(r"The run ends and the life of this lot is not over: 20 blocks (on the racks|at the opening)", last)


def test_the_same_seed_and_run_tell_the_same_and_another_run_does_not() -> None:
    lot = "oyster/2027-01-04/00"
    assert follow(TINY, lot, "--seed", "1").stdout == follow(TINY, lot).stdout
    assert follow(TINY, lot, "--run", "2").stdout != follow(TINY, lot).stdout
    assert follow(TINY, lot, "--seed", "2").stdout != follow(TINY, lot).stdout


def test_an_unknown_lot_is_told_with_its_nearest() -> None:
    done = follow(TINY, "oister/2027-01-04/00")
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr.startswith('Error: there was no lot "oister/2027-01-04/00" in this run; the nearest are ')
    assert '"oyster/2027-01-04/00"' in done.stderr


def test_a_farm_at_fault_is_told_and_nothing_is_run(tmp_path: Path) -> None:
    broken = tmp_path / "broken.toml"
    broken.write_text("[farm]\nname = 3\n", encoding="utf-8")
    for file in (str(broken), str(tmp_path / "missing.toml")):
        done = follow(file, "oyster/2027-01-04/00")
        assert (done.exit_code, done.stdout) == (2, "")
        assert Path(file).name in done.stderr
        assert "Traceback" not in done.stderr


def test_a_run_that_cannot_go_on_says_who_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    def stuck(*_: object) -> Record:
        raise RunStuck("the run cannot go on", ["oyster/2027-01-04/00 waits for the racks"])

    monkeypatch.setattr("farmsim.model.run.run", stuck)
    done = follow(TINY)
    assert (done.exit_code, done.stdout) == (3, "")
    assert done.stderr == "the run cannot go on\noyster/2027-01-04/00 waits for the racks\n"


# --- the reading of all lots ----------------------------------------------------------------------------------------


def test_every_life_is_in_order_of_time_and_can_be_told(lives: list[Life]) -> None:
    for life in lives:
        when = [event.when for event in life.events]
        assert when == sorted(when)
        assert when[-1] <= life.end
        assert all(event.hands >= 0 for event in life.events)
        assert "nan" not in life_told(life, "us").replace(life.key, "")


def test_what_is_left_of_all_lots_is_what_stands_on_the_farm(four_rooms: Record, lives: list[Life]) -> None:
    at_the_end = four_rooms.figures("inside", "when") == four_rooms.end
    inside = float(four_rooms.figures("inside", "blocks")[at_the_end].sum())
    made = [life for life in lives if any(event.what == "racked" for event in life.events)]
    assert sum(life.blocks_left for life in made) == inside


def test_the_weights_of_all_lives_are_those_of_the_record(four_rooms: Record, lives: list[Life]) -> None:
    for grade in ("firsts", "seconds", "culls"):
        told = sum(getattr(event, grade) for life in lives for event in life.events if event.what == "picked")
        assert told == pytest.approx(float(four_rooms.figures("picks", grade).sum()))


def test_a_part_that_was_sold_is_told_with_the_lot_and_by_itself(lives: list[Life]) -> None:
    part = next(life for life in lives if life.part_of)
    whole = next(life for life in lives if life.key == part.part_of)
    assert f"a part of {whole.key} that was sold" in life_told(part, "us")
    assert f"{part.blocks:.0f} blocks of it sold ready to fruit to" in flat(life_told(whole, "us"))
    assert f"(as {part.key})" in flat(life_told(whole, "us"))


# --- wording --------------------------------------------------------------------------------------------------------


def told_of(*events: Event, units: str = "metric", left: float = 0.0) -> list[str]:
    life = Life(
        "a/2027-01-04/00", "a", "oyster", 20.0, MONDAY, 168.0, events, blocks_left=left, stands="Shed", kind="shelf"
    )
    return life_told(life, units).splitlines()


def test_a_moment_has_weekday_date_and_hour() -> None:
    assert stamp(MONDAY, 0.0) == "Mon 2027-01-04 00:00"
    assert stamp(MONDAY, 38.5) == "Tue 2027-01-05 14:30"
    assert stamp(MONDAY, -1.0) == "Sun 2027-01-03 23:00"


def test_a_picking_is_told_with_its_grades_and_what_was_late() -> None:
    picked = Event(32.0, "picked", flush=1, firsts=2.0, seconds=1.0, culls=1.0, late=2, late_kg=1.0)
    line = "Tue 2027-01-05 08:00  Picked, second flush: 2.0 kg firsts, 1.0 kg seconds, 1.0 kg culls; 25 % of it"
    assert told_of(picked)[2:4] == [line, " " * 22 + "late, by up to 2 mornings."]
    assert told_of(picked)[-1] == "Brought 3.0 kg to sell (2.0 kg firsts, 1.0 kg seconds); 1.0 kg culls."
    assert "4.4 lb firsts" in told_of(picked, units="us")[2]


def test_work_is_told_with_crew_time_and_waits() -> None:
    opened = Event(10.0, "opened", who=("growers",), waited=3.0, hands=0.1, took=0.5, since=9.5)
    assert told_of(opened)[2] == (
        "Mon 2027-01-04 10:00  Opened by growers in 30 min of work, after waiting 3 h for a bench and its"
    )


def test_a_wait_is_told_with_what_was_waited_for() -> None:
    told = flat("\n".join(told_of(Event(72.0, "cold", "walk-in", waited=72.0, took=12.0))))
    assert "Cold shock: into the cold (walk-in) for 12 h, after waiting 3 days for places in the walk-in." in told
    told = flat("\n".join(told_of(Event(72.0, "racked", "racks", waited=2.0))))
    assert "Onto the racks, after waiting 2 h for places on them." in told


def test_a_name_over_two_lines_is_told_on_one() -> None:
    told = told_of(Event(1.0, "sold", who=("the\nmarket\tstall",), blocks=2.0))
    assert told[2].endswith("to the market stall.")


def test_a_life_that_is_not_over_says_where_the_lot_is() -> None:
    line = "Mon 2027-01-11 00:00  The run ends and the life of this lot is not over: 20 blocks in the room Shed."
    assert told_of(left=20.0)[-1] == line


def test_an_unknown_lot_without_anything_like_it() -> None:
    assert unknown_told("x", []) == (
        'there was no lot "x" in this run; a lot is named LINE/MONDAY/NUMBER, and without a name some lots to choose'
        " from are listed"
    )
    assert unknown_told("x", ["y"]) == 'there was no lot "x" in this run; the nearest is "y"'


def test_no_lots_to_choose_from() -> None:
    assert choice_told([], MONDAY, "farmsim follow farm.toml") == "No lot was started in this run."
    one = choice_told([Choice("a/2027-01-04/00", "oyster", 1.0, 24.0)], MONDAY, "farmsim follow farm.toml")
    assert one.endswith('For example: farmsim follow farm.toml "a/2027-01-04/00"')
    assert "  a/2027-01-04/00  1 block of oyster, started Tue 2027-01-05\n" in one


def test_whoever_calls_it_through_go_is_told_a_command_that_is_there() -> None:
    env = {**os.environ, "PYTHONPATH": str(SCENARIOS.parent), "FARMSIM_CALLED": "python3 go.py"}
    words = ["follow", TINY, "--weeks", "2"]
    told = subprocess.run([sys.executable, "-m", "farmsim", *words], env=env, capture_output=True, text=True).stdout
    assert f"For example: python3 go.py follow {TINY} " in told
    broken = subprocess.run([sys.executable, "-m", "farmsim", "follow"], env=env, capture_output=True, text=True)
    assert broken.returncode == 2 and "Usage: python3 go.py follow [OPTIONS] FILE [LOT]" in broken.stderr
