"""`farmsim runs`: what is kept is listed and written out, and nothing is worked out for it."""

import csv
import json
import sqlite3
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.cli import main
from farmsim.report.stored import screen
from farmsim.scenario.farm import Farm
from farmsim.study import stored as of_store
from farmsim.study import trials as of_trials
from farmsim.study.pool import Where
from farmsim.study.stored import Summed, stored
from farmsim.study.trials import Brief, Case, Trials

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"


def called(*words: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(["runs", *words], "farmsim")
    return int(left.value.code or 0)


@pytest.fixture(scope="module")
def priced() -> Farm:
    tiny = farmsim.load(SCENARIOS / "tiny.toml")
    shop, outlet = tiny.customer
    return tiny.but(customer=(shop.but(price=20.0), outlet))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, priced: Farm) -> Path:
    """Three runs of a farm without prices, one of a farm with them."""
    folder, tiny = tmp_path_factory.mktemp("kept"), farmsim.load(SCENARIOS / "tiny.toml")
    for farm, runs in ((tiny, 3), (priced.but(farm=priced.farm.but(name="With prices", units="metric")), 1)):
        with Trials(farm, Brief(weeks=4, where=Where(1), store=folder / "runs.sqlite")) as trials:
            trials.take([Case(farm, number) for number in range(runs)])
    return folder


def test_what_is_kept_is_listed_with_what_it_comes_to(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert called(str(folder)) == 0
    first, empty, heading, one, two = capsys.readouterr().out.splitlines()
    assert first.startswith(f"{folder / 'runs.sqlite'} holds 4 runs of 2 farms, 0.") and first.endswith(" MB.")
    assert (empty, heading.split()[:2]) == ("", ["farm", "from"])
    assert one.startswith("One shed     2027-01-04      4        8     1     3") and " lb " in one and "+-" in one
    assert two.startswith("With prices  2027-01-04      4        8     1     1") and " kg " in two and "+-" not in two


def test_figures_are_those_of_the_runs(folder: Path, priced: Farm) -> None:
    tiny = farmsim.load(SCENARIOS / "tiny.toml")
    weekly = farmsim.run(tiny, runs=3, weeks=4, workers=1).tables["weekly"]
    found = stored(folder / "runs.sqlite").kinds[0]
    assert found.picked.value == pytest.approx(weekly.groupby("run")["picked_kg"].mean().mean(), rel=1e-12)
    share = weekly.groupby("run")["delivered_kg"].sum() / weekly.groupby("run")["promised_kg"].sum()
    assert found.delivered is not None and found.delivered.value == pytest.approx(share.mean(), rel=1e-12)


def test_json_says_the_same_and_nothing_else(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert called(str(folder), "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert [(kind["farm"], kind["runs"], kind["usable"]) for kind in told["kinds"]] == [
        ("One shed", 3, True), ("With prices", 1, True)
    ]  # fmt: skip
    assert told["kinds"][1]["picked_give"] is None


def test_every_week_is_written_as_csv_and_parquet(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    import duckdb

    monkeypatch.setattr(of_store, "AT_ONCE", 2)  # so that it is written in pieces
    for ending in ("csv", "parquet"):
        assert called(str(folder), "--export", str(tmp_path / f"weeks.{ending}")) == 0
        assert f"weeks.{ending}, 16 weeks" in capsys.readouterr().out
    with (tmp_path / "weeks.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["farm"], row["run"], row["week"]) for row in rows[3:5]] == [
        ("One shed", "1", "4.0"),
        ("One shed", "2", "1.0"),
    ]
    assert rows[0]["taken"] == "" and float(rows[15]["taken"]) > 0
    told = duckdb.sql(f"SELECT picked_kg, taken FROM '{tmp_path / 'weeks.parquet'}'").fetchall()
    assert [row[0] for row in told] == [float(row["picked_kg"]) for row in rows]
    assert np.isnan(told[0][1] if told[0][1] is not None else np.nan) and told[15][1] == float(rows[15]["taken"])


def test_nothing_is_worked_out(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(of_trials, "one_run", None)
    assert called(str(folder), "--export", str(tmp_path / "weeks.csv")) == 0


def test_runs_of_another_version_are_marked(folder: Path, tmp_path: Path) -> None:
    file = tmp_path / "runs.sqlite"
    file.write_bytes((folder / "runs.sqlite").read_bytes())
    db = sqlite3.connect(file)
    db.execute("""UPDATE farms SET versions = '{"farmsim": "0.0.9"}' WHERE name = 'One shed'""")
    db.commit()
    db.close()
    lines = screen(stored(file)).splitlines()
    assert lines[1] == "3 runs of another version, marked with *: shown, but never used again."
    assert lines[4].endswith(" *") and not lines[5].endswith(" *")


def test_farms_of_one_name_are_told_apart_by_the_first_letters_of_their_marks(folder: Path, tmp_path: Path) -> None:
    """Two farms called alike; letters enough to tell them apart; a farm with a name of its own is shown without."""
    found = stored(folder / "runs.sqlite")
    one, other = found.kinds

    def marked(kind: Summed, name: str, mark: str) -> Summed:
        return replace(kind, kept=replace(kind.kept, kind=replace(kind.kept.kind, name=name, mark=mark)))

    def names(*kinds: Summed) -> list[str]:
        return [line.split("  ")[0] for line in screen(replace(found, kinds=kinds)).splitlines()[3:]]

    alike = marked(one, "One shed", "abcdef0123"), marked(one, "One shed", "98765432ff")
    assert names(*alike, other) == ["One shed (abcdef)", "One shed (987654)", "With prices"]
    nearly = marked(one, "One shed", "abcdef0123"), marked(one, "One shed", "abcdef0144")
    assert names(*nearly) == ["One shed (abcdef012)", "One shed (abcdef014)"]
    assert names(alike[0], alike[0]) == ["One shed", "One shed"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("nowhere",), "nowhere/runs.sqlite is not there: no runs are stored in nowhere. Name the folder that results"),
        (
            ("{folder}", "--export", "w.xlsx"),
            "w.xlsx should end in .csv or .parquet: the ending decides how the runs are",
        ),
        (
            ("{folder}", "--export", "{folder}/taken.csv"),
            "taken.csv is there already and is left alone: name a new file",
        ),
        (
            ("{folder}", "--export", "gone/weeks.csv"),
            "weeks.csv cannot be written: No such file or directory. Name",
        ),
        (
            ("{folder}", "--export", "gone/weeks.parquet"),
            "weeks.parquet cannot be written: No such file or directory.",
        ),
    ],
)
def test_what_cannot_be_is_told_in_a_line(
    folder: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / "taken.csv").write_text("mine", encoding="utf-8")
    monkeypatch.chdir(folder)
    assert called(*(word.format(folder=folder) for word in words)) == 2
    assert told in capsys.readouterr().err
    assert (folder / "taken.csv").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_a_store_without_runs_has_nothing_to_write(
    tmp_path: Path, ending: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "runs.sqlite").touch()
    assert called(str(tmp_path), "--export", str(tmp_path / f"weeks.{ending}")) == 2
    assert "runs.sqlite holds no runs yet: there is nothing to write" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["runs.sqlite"]


def test_without_what_writes_parquet_it_is_told_what_to_do(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(__import__("sys").modules, "duckdb", None)
    assert called(str(folder), "--export", str(tmp_path / "weeks.parquet")) == 2
    assert 'Parquet files need DuckDB: pip install "farmsim[parquet]"' in capsys.readouterr().err
