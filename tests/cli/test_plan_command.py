"""`farmsim plan` as a user meets it: sentences first, the folder, a change set that every other command takes."""

import json
from pathlib import Path
from subprocess import CompletedProcess

import pytest
from as_user import farmsim_in

import farmsim
from farmsim.scenario.start_change import written

ROOT = Path(farmsim.__file__).parents[1]
TINY = ROOT / "scenarios" / "tiny.toml"
QUICK = ("--runs", "8", "--tries", "2", "--weeks", "6", "--weeks-ahead", "3", "--workers", "1")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A farm that starts far too much, in a change set on a farm."""
    folder = tmp_path_factory.mktemp("user")
    text = TINY.read_text(encoding="utf-8").replace("90 blocks", "200 blocks").replace("340 shelf", "800 shelf")
    (folder / "farm.toml").write_text(text, encoding="utf-8")
    change = 'based_on = "farm.toml"\nname = "too much"\n[change.start.oyster]\nblocks = "110 blocks a week"\n'
    (folder / "too-much.toml").write_text(change, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def ran(here: Path) -> CompletedProcess[str]:
    return farmsim_in(here, "plan", "too-much.toml", *QUICK)


def test_sentences_come_before_the_tables(ran: CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert max(map(len, lines)) <= 100
    assert lines[0] == "One shed: too much: a plan of the starts, 8 runs of 6 weeks beside the farm as it is"
    headings = [
        "PLAN",
        "START",
        "TARGETS",
        "THEN",
        "WEEKDAYS",
        "AVERAGES",
        "SELL, FRUIT",
        "TRIED",
        "START SHEET",
        "HOW SURE",
    ]
    at = [next(number for number, line in enumerate(lines) if line.startswith(f"{heading} ")) for heading in headings]
    assert at == sorted(at)
    assert lines[at[0]].startswith("PLAN          Start ") and "fewer than now." in lines[at[0]]
    assert "a week less is thrown out." in " ".join(lines[at[0] : at[1]]).replace("  ", "")


def test_the_folder_holds_what_was_found(here: Path, ran: CompletedProcess[str]) -> None:
    folder = here / "outputs" / "too-much-plan"
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {
        "run.json", "about.json", "screen.txt", "answer.json", "plan.toml", "plan.csv", "start-sheet.csv", "start-sheet.ics",
        "differences.csv", "served.csv", "sell-or-fruit.csv", "tried.csv", "figures/plan.png", "figures/plan.svg",
        "scenario/too-much.toml", "scenario/farm.toml",
    }  # fmt: skip
    assert (folder / "screen.txt").read_text() in ran.stdout
    sheet = (folder / "start-sheet.csv").read_text().splitlines()
    assert sheet[0].startswith("week,start,weekday,line,strain,made,blocks,lots,loads,first_lot,last_lot,ripe_early")
    assert len(sheet) == 1 + 3 * 2 and sheet[1].startswith("1,2027-01-05,tue,oyster,blue-oyster,bought,")
    assert b"\r\nBEGIN:VEVENT\r\n" in (folder / "start-sheet.ics").read_bytes()


def test_the_plan_is_a_change_set_that_other_commands_take(here: Path, ran: CompletedProcess[str]) -> None:
    folder = here / "outputs" / "too-much-plan"
    told = {line["line"]: line for line in json.loads((folder / "answer.json").read_text())["lines"]}
    farm, base = farmsim.load(folder / "plan.toml"), farmsim.load(here / "too-much.toml")
    assert farm.farm.name == "One shed: too much: start plan"
    for line, was in zip(farm.start, base.start, strict=True):
        assert line == was.but(blocks=told[line.name]["blocks"], days=tuple(told[line.name]["days"].split(", ")))
    assert farm.start != base.start and farm.but(start=base.start, farm=base.farm) == base
    plan = "outputs/too-much-plan/plan.toml"
    quick = ("--runs", "2", "--weeks", "2", "--workers", "1")
    assert farmsim_in(here, "check", plan).returncode == 0
    assert farmsim_in(here, "run", plan, *quick).returncode == 0
    assert farmsim_in(here, "compare", "too-much.toml", plan, *quick).returncode == 0


def test_json_says_the_same_on_two_workers_to_the_byte(here: Path, ran: CompletedProcess[str]) -> None:
    done = farmsim_in(here, "plan", "too-much.toml", *QUICK[:-1], "2", "--json", "--out", "two/again")
    one, two = here / "outputs" / "too-much-plan", here / "two" / "again"
    assert json.loads(done.stdout) == json.loads((one / "answer.json").read_text())
    for path in one.rglob("*"):
        if path.is_file() and path.name != "about.json":
            assert path.read_bytes() == (two / path.relative_to(one)).read_bytes(), path.name


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("not-there.toml",), "not-there.toml"),
        (("farm.toml", "--runs", "1"), "1 is not in the range 5 to 10,000"),
        (("farm.toml", "--weeks-ahead", "0"), "0 is not in the range 1 to 104"),
        (("farm.toml", "--target", "nothing much"), 'Error: "nothing much" is no target; write one of '),
    ],
)
def test_what_cannot_be_is_told_in_a_line(here: Path, words: tuple[str, ...], told: str) -> None:
    done = farmsim_in(here, "plan", *words, "--out", "nothing")
    assert done.returncode == 2 and told in done.stderr and "Traceback" not in done.stderr
    assert not (here / "nothing").exists()


def test_a_base_in_another_folder_is_found_from_the_plan(here: Path, tmp_path: Path) -> None:
    from farmsim.study.sources import found_beside

    apart = tmp_path / "apart.toml"
    apart.write_text(
        f'based_on = "{(here / "farm.toml").as_posix()}"\n[change.start.oyster]\nblocks = "50 blocks a week"\n'
    )
    assert found_beside(here / "too-much.toml", "scenario") == "scenario/too-much.toml"
    assert found_beside(apart, "scenario") == apart.resolve().as_posix()


def test_starts_are_written_with_what_they_were() -> None:
    farm = farmsim.load(ROOT / "scenarios" / "four-rooms.toml")
    lines = list(farm.start)
    assert written(farm, farm, "four-rooms.toml", "start plan") is None
    lines[0] = lines[0].but(blocks=640.0)
    lines[3] = lines[3].but(days=("mon", "tue", "wed"), blocks=1250.0)
    assert written(farm, farm.but(start=tuple(lines)), "four-rooms.toml", "start plan") == (
        "# What to start each week, and on which days; all else stays as it is.\n"
        'based_on = "four-rooms.toml"\nname     = "start plan"\n\n'
        '[change.start."shiitake"]\nblocks = "640 blocks a week"   # was 700\n\n'
        '[change.start."lion\'s mane"]\nblocks = "1250 blocks a week"   # was 250\n'
        'days   = "mon-wed"              # was tue, fri\n'
    )
