"""`farmsim ceiling` as a user meets it: the answer first, then what fails, then every level; and what it says of nonsense."""

import json
from dataclasses import replace
from pathlib import Path
from subprocess import CompletedProcess

import pytest
from as_user import farmsim_in

import farmsim
from farmsim.report.ceiling import screen
from farmsim.study import tight
from farmsim.study.answers import Waits
from farmsim.study.ceiling_answers import Ceiling, Level, MoreLots, Range, Why
from farmsim.study.headlines import OVERTIME, WHOLE_ORDERS
from farmsim.study.targets import Kept, Target, Verdict

ROOT = Path(farmsim.__file__).parents[1]
TINY = ROOT / "scenarios" / "tiny.toml"
QUICK = ("--target", "delivered 85 %", "--from", "70", "--to", "120", "--runs", "6", "--weeks", "4", "--workers", "1")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("user")


@pytest.fixture(scope="module")
def ran(here: Path) -> CompletedProcess[str]:
    return farmsim_in(here, "ceiling", str(TINY), *QUICK)


def test_the_answer_comes_first(ran: CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert max(map(len, lines)) <= 100
    assert lines[0].startswith("One shed: ") and lines[0].endswith("; 80 are started now")
    assert ran.stdout.index("CEILING") < ran.stdout.index("blocks a week  runs") < ran.stdout.index("HOW SURE")
    assert "Targets: delivered at least 85 %." in ran.stdout
    assert "orders, block orders and what stalls sell grow along in proportion" in " ".join(ran.stdout.split())
    assert "WRITTEN       outputs/tiny-ceiling/" in ran.stdout


def test_the_folder_holds_what_was_found(here: Path, ran: CompletedProcess[str]) -> None:
    folder = here / "outputs" / "tiny-ceiling"
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {
        "run.json", "about.json", "screen.txt", "ceiling.csv", "answer.json", "figures/ceiling.png",
        "figures/ceiling.svg", "scenario/tiny.toml",
    }  # fmt: skip
    asked = json.loads((folder / "run.json").read_text())
    assert (asked["from"], asked["to"], asked["targets"]) == (70, 120, ["delivered at least 85 %"])
    assert (folder / "screen.txt").read_text() in ran.stdout


def test_json_says_the_same_and_is_taken_from_the_store(here: Path, ran: CompletedProcess[str]) -> None:
    done = farmsim_in(here, "ceiling", str(TINY), *QUICK, "--json", "--out", "outputs/again")
    told = json.loads(done.stdout)
    assert told == json.loads((here / "outputs" / "tiny-ceiling" / "answer.json").read_text())
    assert told["blocks_now"] == 80 and {level["target"] for level in told["levels"]} == {"delivered"}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--target", "deliverd 95 %"), 'Error: "deliverd 95 %" is no target; write one of delivered, whole orders, '),
        (("--target", "delivered 95 %", "--target", "delivered 90 %"), "is a second target for delivered"),
        (("--target", "overtime 10 lb"), 'the bound "10 lb" is a weight'),
        (
            ("--from", "90", "--to", "60"),
            "Error: from is 90 blocks a week and to is 60; needs from below to. Swap the two",
        ),
        (("--from", "2"), "Error: from is 2 blocks a week; needs at least 4, below that a line would have no block"),
        (("--from", "5000", "--to", "6000"), "Error: at 5,000 blocks a week the farm cannot be simulated: "),
        (("--runs", "4"), "4 is not in the range 5 to 10,000"),
        (("--orders", "shrink"), "'shrink' is not one of 'grow', 'stay'"),
        (
            ("--target", "blocks delivered 90 %", "--weeks", "1"),
            "Error: this farm has no figure for blocks delivered: ",
        ),
    ],
)
def test_what_cannot_be_is_told_in_a_line(here: Path, words: tuple[str, ...], told: str) -> None:
    done = farmsim_in(here, "ceiling", str(TINY), *words, "--out", "nothing", "--workers", "1")
    assert done.returncode == 2 and told in done.stderr and "Traceback" not in done.stderr
    assert not (here / "nothing").exists()


# --- every case in words ----------------------------------------------------------------------------------------------

ORDERS = Target("whole orders", WHOLE_ORDERS, "at least", 0.95)
HOURS = Target("overtime", OVERTIME, "at most", 10.0)


def level(blocks: int, orders: float, verdict: Verdict, hours: float = 5.0, left: float = 0.0) -> Level:
    kept = Kept(ORDERS, orders, 0.01, verdict), Kept(HOURS, hours, 0.5, "kept" if hours < 10 else "broken")
    leans = verdict == "kept" or (verdict == "not sure" and orders >= 0.95)
    return Level(blocks, 40, kept, verdict, leans, left)


LEVELS = (level(1_900, 0.98, "kept"), level(2_200, 0.96, "kept"), level(2_250, 0.88, "broken", 12.0))
WHY = Why(
    2_250, 2_200, LEVELS[2].kept[0], (LEVELS[2].kept[1],), tight.Seen((), (), (), Waits()),
    (MoreLots("shiitake", (16, 20), (4, 8), 1),),
)  # fmt: skip
CARRIES = Ceiling("Farm", "us", "2027-01-04", 52, 0, 25, 1, 40, 0.95, 1_900, 1, (ORDERS, HOURS), False, (), True,
                  Range(190, 5_700, 10), LEVELS, 2_200, 2_250, 2_207, WHY)  # fmt: skip


def said(found: Ceiling) -> str:
    assert max(map(len, screen(found, "farm.toml").splitlines())) <= 100
    return " ".join(screen(found, "farm.toml").split())


def test_how_much_it_carries_and_what_fails_first() -> None:
    text = said(CARRIES)
    assert text.startswith("Farm: carries about 2,207 blocks a week; 1,900 are started now CEILING About 2,207 blocks a "
                           "week, 16 % more than now: all targets are surely kept at 2,200 blocks a week, surely not at 2,250. "
                           "Targets: whole orders at least 95 % and overtime at most 10 h a week.")  # fmt: skip
    assert "At 2,250 blocks a week the first thing to fail is whole orders: 88 % instead of 95 %." in text
    assert "There too: overtime 12 h a week instead of 10 h a week at most." in text
    assert ("From 2,200 to 2,250 blocks a week more lots are cut each week: shiitake 20 instead of 16 in 8 sterilizer loads "
            "instead of 4 (the smallest of 1 block).") in text  # fmt: skip
    assert "SEEN THERE No place or crew looks tight." in text
    assert "1,900 (now) 40 98.0 5.0" in text and "2,250 40 88.0 * 12.0 *" in text
    assert "Each farm was given 25 weeks to fill up." in text and "95 times in 100" in text


def test_a_farm_that_breaks_a_target_now_is_told_so_at_once() -> None:
    levels = level(1_450, 0.96, "kept"), level(1_460, 0.94, "broken"), level(1_900, 0.90, "broken")
    text = said(replace(CARRIES, levels=levels, low=1_450, high=1_460, guess=1_455, why=None))
    assert text.startswith("Farm: keeps all targets only up to about 1,455 blocks a week; 1,900 are started now CEILING As it "
                           "is, at 1,900 blocks a week, the farm already breaks a target: whole orders 90 % instead of 95 %. "
                           "About 1,455 blocks a week, 23 % less than now")  # fmt: skip


def test_what_is_not_surely_broken_is_not_said_to_fail() -> None:
    levels = level(1_900, 0.94, "not sure"), level(2_250, 0.93, "not sure")
    assert CARRIES.why is not None
    why = replace(CARRIES.why, first=replace(CARRIES.why.first, verdict="not sure"), also=())
    text = said(replace(CARRIES, levels=levels, low=None, high=None, guess=None, why=why))
    assert "At 2,250 blocks a week what looks likeliest to fail first, not surely, is whole orders: 88 %" in text
    assert "the first thing to fail" not in text
    assert "whole orders 94 % (bound 95 %), which so many runs cannot tell." in text
    levels = level(1_900, 0.96, "not sure"), level(2_250, 0.93, "not sure")
    text = said(replace(CARRIES, levels=levels, low=None, high=None, guess=None, why=why))
    assert "whole orders 96 % (bound 95 %), kept as it looks but not surely." in text


def test_what_nothing_meets_has_a_closest_level() -> None:
    levels = level(190, 0.93, "broken"), level(1_900, 0.90, "broken", 12.0)
    text = said(replace(CARRIES, levels=levels, low=None, high=190, guess=None, why=None))
    assert text.startswith("Farm: no level from 190 to 1,900 blocks a week keeps all targets")
    assert (
        "the farm already breaks 2 targets: whole orders 90 % instead of 95 % and overtime 12 h a week instead of"
        in text
    )
    assert "All targets are surely kept at no level that was looked at, surely not at 190." in text
    assert "Closest comes 190 blocks a week: whole orders 93 % (bound 95 %)." in text
    assert "Lower cannot be simulated" not in text and "higher --from" not in text
    span = replace(CARRIES.range, fault_below="customer 1, takes: too much.")
    stays = said(replace(CARRIES, levels=levels, low=None, high=190, guess=None, why=None, grow=False, range=span))
    assert "Lower cannot be simulated: customer 1, takes: too much." in stays
    assert "With orders that stay as they are fewer blocks bring less; a higher --from may find a level" in stays
    assert "their mix kept; what customers want stays as it is." in stays


def test_all_kept_up_to_the_top() -> None:
    found = replace(CARRIES, levels=LEVELS[:2], low=2_200, high=None, guess=None, why=None)
    text = said(found)
    assert text.startswith("Farm: keeps all targets up to 2,200 blocks a week, the most that was looked at")
    assert (
        "All targets are surely kept at 2,200 blocks a week, nowhere surely broken." in text
        and "For more, give a higher --to." in text
    )
    fault = replace(CARRIES.range, fault_above="room 1, holds: too little.")
    assert "Higher cannot be simulated: room 1, holds: too little." in said(replace(found, range=fault))


def test_what_so_many_runs_cannot_tell() -> None:
    levels = level(1_900, 0.955, "not sure"), level(2_000, 0.945, "not sure")
    text = said(replace(CARRIES, levels=levels, low=None, high=None, guess=1_950, why=None))
    assert text.startswith("Farm: may keep all targets, not surely, up to about 1,950 blocks a week")
    assert "Nothing is sure: no level was surely kept, none surely broken. More runs tell more: --runs 160." in text
    nothing = said(replace(CARRIES, levels=levels[:1], low=None, high=None, guess=None, why=None))
    assert nothing.startswith("Farm: so many runs cannot tell what it carries")


def test_what_else_is_to_be_known() -> None:
    levels = level(100, 0.90, "broken"), *LEVELS[:2], level(2_250, 0.88, "broken", left=0.4)
    text = said(replace(CARRIES, levels=levels, states=3, before=20, usual=True, unknown=("blocks delivered",)))
    assert (
        "With few blocks it breaks too: at 100 blocks a week whole orders 90 % instead of 95 %. There more blocks help."
        in text
    )
    assert "All lines are scaled together, in all 3 states of the farm, their mix kept" in text
    assert "Figures are of weeks 21 to 52, after the last change in the 52." in text
    late = said(replace(CARRIES, states=3, before=51))
    assert (
        "Figures are of week 52 alone, after the last change in the 52. Only the week is told that follows the" in late
    )
    assert "(placeholder: give your own with --target)" in text
    assert "Not judged, because the farm has none: blocks delivered." in text
    assert ("From 2,250 blocks a week on customers leave for good (0.4 in a run there); what they no longer order counts in no "
            "promise.") in text  # fmt: skip


def test_many_targets_stand_in_several_tables() -> None:
    names = [f"a figure with a long name {number}" for number in range(6)]
    many = tuple(replace(ORDERS, name=name) for name in names)
    levels = tuple(replace(each, kept=tuple(Kept(target, 0.96, 0.01, "kept") for target in many)) for each in LEVELS)
    lines = screen(replace(CARRIES, targets=many, levels=levels, why=None), "farm.toml").splitlines()
    assert max(map(len, lines)) <= 100 and sum(line.startswith("blocks a week") for line in lines) == 3
