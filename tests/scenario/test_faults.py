"""Every fault is told with its line, what was found, what is allowed and how to mend it: the exact text of each."""

from __future__ import annotations

import pickle
import tomllib
from pathlib import Path

import pytest

from farmsim.errors import Fault, ScenarioFault
from farmsim.scenario.farm import Farm
from farmsim.scenario.part import known_names
from farmsim.scenario.people import Crew
from farmsim.scenario.read import load
from farmsim.scenario.strain import Strain

from .farms import BARE, HERE, SMALL, faults_of

Case = dict[str, str | list[str]]


def cases(name: str) -> list[Case]:
    found: list[Case] = tomllib.loads((HERE / name).read_text(encoding="utf-8"))["case"]
    return found


def named(case: Case) -> str:
    return str(case["name"])


@pytest.mark.parametrize("case", cases("broken_farms.toml"), ids=named)
def test_a_broken_farm_is_told_what_is_wrong_and_how_to_mend_it(
    case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    find, put = str(case["find"]), str(case["put"])
    assert SMALL.count(find) == 1
    Path("farm.toml").write_text(SMALL.replace(find, put), encoding="utf-8")
    assert faults_of("farm.toml") == case["says"]


@pytest.mark.parametrize("case", cases("broken_changes.toml"), ids=named)
def test_a_broken_change_set_is_told_what_is_wrong_and_how_to_mend_it(
    case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("small.toml").write_text(SMALL, encoding="utf-8")
    Path("bare.toml").write_text(BARE, encoding="utf-8")
    Path("faulty.toml").write_text(SMALL.replace("benches = 1", "benches = 0"), encoding="utf-8")
    Path("change.toml").write_text(str(case["file"]), encoding="utf-8")
    assert faults_of("change.toml") == case["says"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            b"[farm\nname = 1\n",
            "farm.toml:1: is no TOML (expected ']' at the end of a table declaration); needs lines such as key = value"
            ". "
            'Look at this line and the one above: a text needs quotes, a table ends with "]" or "}".',
        ),
        (
            b'[farm]\nname = "A"\nname = "B"\n',
            "farm.toml:3: is no TOML (cannot overwrite a value); needs lines such as key = value. "
            'Look at this line and the one above: a text needs quotes, a table ends with "]" or "}".',
        ),
        (
            b"[strain.a]\n[strain.a]\n",
            "farm.toml:2: is no TOML (cannot declare ('strain', 'a') twice); needs lines such as key = value. "
            'Look at this line and the one above: a text needs quotes, a table ends with "]" or "}".',
        ),
        (
            b"[farm]\nname =",
            "farm.toml:2: is no TOML (invalid value); needs lines such as key = value. "
            'Look at this line and the one above: a text needs quotes, a table ends with "]" or "}".',
        ),
        (b'name = "\xff\xfe"\n', "farm.toml: is no plain text; needs text in UTF-8. Save it as UTF-8 text."),
    ],
    ids=["an open table", "a key twice", "a table twice", "no value", "no text"],
)
def test_a_file_that_is_no_toml_says_so(
    text: bytes, says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("farm.toml").write_bytes(text)
    assert faults_of("farm.toml") == [says]


def test_a_file_that_cannot_be_read_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("folder").mkdir()
    assert faults_of("nothing.toml") == [
        "nothing.toml: there is no such file; needs a farm's file. Check the name and the folder."
    ]
    assert faults_of("folder") == ["folder: is a folder; needs a farm's file. Name the file in it that ends in .toml."]


@pytest.mark.parametrize(
    ("error", "says"),
    [
        (PermissionError(13, "no"), "may not be read; needs a file that can be read. Allow yourself to read it."),
        (
            OSError(5, "input/output error"),
            "cannot be read (input/output error); needs a file that can be read. Check the disk.",
        ),
    ],
    ids=["not allowed", "a bad disk"],
)
def test_a_file_that_the_system_refuses_says_so(error: OSError, says: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: Path) -> bytes:
        raise error

    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert faults_of("farm.toml") == [f"farm.toml: {says}"]


def test_an_empty_file_says_what_a_farm_must_have(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("farm.toml").write_text("", encoding="utf-8")
    assert faults_of("farm.toml") == [
        "farm.toml, farm: is not given; needs the farm as a whole. Add a table [farm].",
        "farm.toml, incubation: is not given; needs racks to colonise and ripen on. Add a table [incubation].",
        "farm.toml, opening: is not given; needs opening benches. Add a table [opening].",
    ]


def test_ten_faults_are_told_at_once_in_the_order_of_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    text = SMALL
    for find, put in [
        ("2027-01-04", "2027-01-05"),
        ('cycle = "9 h"', 'cycle = "9 lb"'),
        ("benches = 1", "benchs = 1"),
        ('tank  = "50 blocks"', 'tank  = "40 blocks"'),
        ('range = "62 to 67 degF"', 'range = "62 degF"'),
        ('mon-fri = "06:00-14:00"', 'mon-fri = "14:00-06:00"'),
        ('absence  = "4 %"', 'absence  = "-4 %"'),
        ('"pack", "open", "soak"', '"pack", "open"'),
        ('oyster = "20 lb a delivery"', 'osyter = "20 lb a delivery"'),
        ('name    = "oyster"', 'name    = "shiitake"'),
    ]:
        assert text.count(find) == 1, find
        text = text.replace(find, put)
    Path("farm.toml").write_text(text, encoding="utf-8")
    lines = [int(said.split(":")[1].split(",")[0]) for said in faults_of("farm.toml")]
    assert lines == sorted(lines)
    assert lines == [4, 13, 31, 34, 39, 47, 51, 61, 91, 100]


JUNK: list[str] = [
    "7",
    "-1",
    '"x"',
    "true",
    "[]",
    "{}",
    '["x"]',
    "{ x = 1 }",
    "nan",
    "inf",
    "2027-01-04",
    '"9 lb"',
    '"1 h/block"',
]


@pytest.mark.parametrize("junk", JUNK)
def test_whatever_stands_where_a_figure_should_is_read_or_told_about(junk: str, tmp_path: Path) -> None:
    """Every line `key = value` of the small farm in turn gets the junk; nothing but a ScenarioFault may come of it."""
    lines = SMALL.split("\n")
    path = tmp_path / "farm.toml"
    for at, line in enumerate(lines):
        key, equals, _ = line.partition("=")
        if not equals or key.startswith("#"):
            continue
        path.write_text("\n".join([*lines[:at], f"{key}= {junk}", *lines[at + 1 :]]), encoding="utf-8")
        try:
            load(path)
        except ScenarioFault as fault:
            assert all(each.found and each.allowed and each.mend and each.place for each in fault.faults)


@pytest.mark.parametrize("at", range(117))
def test_whatever_line_is_missing_is_told_about(at: int, tmp_path: Path) -> None:
    lines = SMALL.split("\n")
    path = tmp_path / "farm.toml"
    path.write_text("\n".join([*lines[:at], *lines[at + 1 :]]), encoding="utf-8")
    try:
        load(path)
    except ScenarioFault as fault:
        assert fault.faults


def test_faults_travel_to_another_process_whole() -> None:
    fault = ScenarioFault([Fault(("farm", "lot"), "is 0", "needs 1", "Write 1.", "farm.toml:6")])
    again = pickle.loads(pickle.dumps(fault))
    assert again.faults == fault.faults
    assert str(again) == "farm.toml:6, farm, lot: is 0; needs 1. Write 1."
    assert again.exit_code == 2


@pytest.mark.parametrize("junk", JUNK)
def test_whatever_stands_where_a_section_should_is_told_about(junk: str, tmp_path: Path) -> None:
    for section in Farm.figures:
        (tmp_path / "farm.toml").write_text(f"{section} = {junk}\n", encoding="utf-8")
        assert faults_of(tmp_path / "farm.toml")


@pytest.mark.parametrize("junk", JUNK)
@pytest.mark.parametrize("kind", ["change", "add", "remove", "phase", "from", "name"])
def test_whatever_stands_in_a_change_set_is_read_or_told_about(kind: str, junk: str, tmp_path: Path) -> None:
    (tmp_path / "small.toml").write_text(SMALL, encoding="utf-8")
    texts = [f"{kind} = {junk}", f"[[phase]]\n{kind} = {junk}"]
    texts += [f"[{kind}]\n{section} = {junk}" for section in Farm.figures]
    texts += [f"[{kind}.{section}]\nnorth = {junk}" for section in Farm.figures]
    texts += [f"[{kind}.crew.makers]\n{name} = {junk}" for name in known_names(Crew)]
    texts += [f"[{kind}.strain.shiitake]\n{name} = {junk}" for name in known_names(Strain)]
    for text in texts:
        (tmp_path / "change.toml").write_text(f'based_on = "small.toml"\n{text}\n', encoding="utf-8")
        for said in faults_of(tmp_path / "change.toml"):
            assert "change.toml" in said or "small.toml" in said
