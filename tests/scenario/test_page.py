"""`farmsim check` reads a farm back, `farmsim schema` describes it; the reference page follows the declarations."""

from __future__ import annotations

import datetime
import json
import subprocess
import sys
import tomllib
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from farmsim.cli.check import command as check
from farmsim.cli.schema import command as schema_command
from farmsim.scenario import assumed, fields_page, outlook
from farmsim.scenario.alter import TIMELESS
from farmsim.scenario.averages import duty_hours
from farmsim.scenario.check_page import WIDTH, page
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import NEEDED, walk
from farmsim.scenario.people import Chore
from farmsim.scenario.read import load
from farmsim.scenario.readback import read_back
from farmsim.scenario.say import days_said
from farmsim.scenario.schema import schema

from .farms import HERE, SHIPPED, SMALL, bare, change, small, written

CLEAN_UP = Chore(name="clean-up", days=("sat",), begin=10.0, takes=2.0, people=3)
FARMS = [*sorted(SHIPPED.glob("*.toml")), HERE / "small.toml", HERE / "bare.toml"]


# --- the farm read back -------------------------------------------------------------------------------


def test_every_sentence_spells_out_its_basis(tmp_path: Path) -> None:
    said = {heading: " ".join(sentences) for heading, sentences in read_back(small(tmp_path))}
    assert said["STARTED"] == (
        "shiitake: 100 blocks a week of shiitake, spread over Mon, made here. "
        "oyster: 50 blocks a week of oyster, spread over Wed, bought, delivered at 08:00, ripe 4 d after delivery."
    )
    assert said["MAKING"] == (
        "One person mixes and bags 60 blocks/h. One sterilizer takes 100 blocks a load; a cycle lasts 9 h, "
        "then the load "
        "cools for 12 h. 200 blocks can stand and cool. The clean bench has room for 2 people, who inoculate "
        "30 blocks/h "
        "each."
    )
    assert said["RACKS"] == (
        "3,000 blocks have a place on the racks. The racks are looked through on Tue, 400 blocks/h a person."
    )
    assert said["COLD"] == (
        "Walk-in main: 120 crates have a place in it, at 34 degF, for cold shock (0.6 crate places a block) and fresh "
        "mushrooms (1 crate place a crate). It chills 132.3 lb/h; crates are half cooled after 2 h, by seven eighths "
        "after 6 h."
    )
    assert (
        said["SOAK, OPEN"] == "2 soak tanks of 50 blocks; a tank takes one lot whole. 1 opening bench, one person each."
    )
    assert said["ROOMS"] == (
        "North: 800 shelf places, one block each, at 62 to 67 degF; cleaned shelf by shelf. "
        "South: 600 shelf places, one block each, at 60 to 66 degF; emptied every 70 d and cleaned in 9 h of one "
        "person's work."
    )
    assert said["PEOPLE"] == (
        "makers: 2 people, Mon to Fri, 06:00 to 14:00, 30 min of it break. First inoculate, then mix, then inspect. "
        "$18/h each. "
        "growers: 2 people, 5 days a week each, days off in turn, 06:00 to 14:00. First pick, then pack, "
        "then open, then "
        "soak, then clear, then clean. 4 % of their days are missed. Overtime of at most 2 h a day to finish "
        "what is in "
        "hand."
    )
    assert said["PROMISED"] == (
        "shop is promised 40 lb of shiitake and 20 lb of oyster a delivery, on Tue and Fri, leaving by "
        "08:30; orders vary "
        "by 15 %; what is short is lost. outlet takes any seconds, and firsts with at most 2 d of shelf life "
        "left, on Sat, "
        "leaving by 12:00. growers is promised 20 blocks of shiitake a week, ready to fruit, on Mon, leaving by 12:00, "
        "known 14 d before; orders vary by 25 %; what is short is lost."
    )


def test_a_strain_is_read_back_from_block_to_spent_block(tmp_path: Path) -> None:
    said = dict(read_back(small(tmp_path)))
    assert said["SHIITAKE"] == [
        "It colonises in 12 to 18 d, likeliest 14 d, then ripens in 80 d.",
        "Once ripe it holds for 10 d on the rack; overripe it loses 3 % of its yield each day, takes 30 s "
        "more to open, "
        "and is thrown out after 14 d.",
        "Cold shock of at least 12 h, usually 24 h; past 4 d each day costs 5 % of the yield.",
        "Soaked for 10 h to 20 h; past that each hour costs 2 % of the yield. One person puts in 90 blocks/h "
        "and takes out "
        "80 blocks/h.",
        "One person opens and shelves 60 blocks/h without a cut, and needs 20 s more a block to strip it.",
        "Fruits at 60.8 to 68 degF: in North.",
        "From shelving until the middle block of a lot is ripe: 9 d on average, spread by 13 %; blocks ripen round it, "
        "spread by 24 h (standard deviation), so the first pick comes sooner.",
        "Yield 1.15 lb saleable a block over all 3 flushes, a biological efficiency of 61 %; lots spread by "
        "20 %, blocks "
        "of a lot by 12 %.",
        "Of that 61/25/14 % by flush; between flushes 5 d of rest, soaked again, then, until the middle "
        "block is ripe again, 7 d.",
        "Picking: 5 s to look a block over, then 18 lb/h a person; fit to pick for 2 d, each morning left on "
        "adds 15 % in "
        "weight.",
        "One person packs 30 lb/h, 8 lb a crate. Shelf life 14 d in the cooler, from picking; each warm hour "
        "costs 3 h of "
        "it. One person clears 90 blocks/h when spent.",
    ]
    assert said["OYSTER"][0] == "Like blue oyster of the strain sheet where the file does not say otherwise."
    assert said["ALL STRAINS"] == [
        "5 lb a block, 62 % of it water.",
        "4 % of blocks are lost to mould on average, by load (spread by 100 % from load to load); it shows 7 to 28 d, "
        "likeliest 14 d after inoculation.",
        "Firsts/seconds/culls in the picking window, then by mornings late: 92/6/2 %, then 70/24/6 %, then 30/50/20 %, "
        "then 5/45/50 %.",
    ]


def test_a_lot_that_ripens_all_at_once_is_read_back_so(tmp_path: Path) -> None:
    farm = small(tmp_path, 'crate        = "8 lb"', 'crate        = "8 lb"\nspread       = "0 h"')
    said = "From shelving until a lot is ripe, all its blocks together: 9 d on average, spread by 13 %."
    assert said in dict(read_back(farm))["SHIITAKE"]


def test_a_metric_farm_is_read_back_in_metric_units(tmp_path: Path) -> None:
    farm = small(tmp_path, 'name     = "Small"', 'name     = "Small"\nunits    = "metric"\ncurrency = "USD"')
    said = {heading: " ".join(sentences) for heading, sentences in read_back(farm)}
    assert "at 1.111 degC" in said["COLD"]
    assert "18.14 kg of shiitake" in said["PROMISED"]
    assert "lb" not in page(farm).replace("possible", "")
    assert "degF" not in page(farm)


def test_clearing_sooner_is_read_back_with_its_figure(tmp_path: Path) -> None:
    rules = 'clear_out = "when a fresh lot waits and the next flush is small"\nsmall_flush = "25 %"'
    farm = small(tmp_path, "[rules]", f"[rules]\n{rules}")
    said = "or sooner when another waits for its room and its next flush brings less than 25 % of its yield."
    assert any(sentence.endswith(said) for sentence in dict(read_back(farm))["RULES"])


def test_the_rule_of_the_clean_bench_is_read_back(tmp_path: Path) -> None:
    farm = small(tmp_path, "[rules]", '[rules]\nclean_bench = "nobody from a fruiting room"')
    said = "Whoever has been in a fruiting room does not inoculate on the same day."
    assert said in dict(read_back(farm))["RULES"]
    assert said not in dict(read_back(small(tmp_path)))["RULES"]


def test_chores_are_read_back_and_counted(tmp_path: Path) -> None:
    with_chores = 'duties   = ["chores", "inoculate", "mix", "inspect"]'
    farm = small(tmp_path, 'duties   = ["inoculate", "mix", "inspect"]', with_chores)
    plain = duty_hours(farm)["chores"]
    busy = farm.but(chore=(Chore(name="books", days=("mon", "fri"), takes=1.5), CLEAN_UP))
    said = dict(read_back(busy))["PEOPLE"]
    assert said[-2:] == [
        "books: 1.5 h of one person on Mon and Fri.",
        "clean-up: 2 h of 3 people, each on Sat, from 10:00 on.",
    ]
    assert (plain, duty_hours(busy)["chores"]) == (0.0, 2 * 1.5 + 3 * 2.0)


def test_days_are_spoken_as_growers_speak_them() -> None:
    assert days_said(("mon",)) == "Mon"
    assert days_said(("tue", "fri")) == "Tue and Fri"
    assert days_said(("mon", "tue", "wed")) == "Mon to Wed"
    assert days_said(("mon", "tue", "thu")) == "Mon, Tue and Thu"
    assert days_said(("mon", "tue", "wed", "thu", "fri", "sat", "sun")) == "every day"


def test_a_dated_change_is_read_back_from_what_to_what(tmp_path: Path) -> None:
    text = (
        'based_on = "small.toml"\nfrom = 2027-02-01\n[change.opening]\nbenches = 2\n[change.crew.makers]\npeople = 3\n'
    )
    text += 'hours = { break = "45 min", mon = "05:00-14:00" }\n'
    text += '[change.room.North]\nrange = "61 to 67 degF"\n[change.customer.shop]\ntakes = { varies = 0.2 }\n'
    text += '[change.strain.oyster]\nflushes = { share = [60, 40], soak_again = true }\nsoak = { least = "8 h" }\n'
    assert dict(read_back(change(tmp_path, text)))["LATER"] == [
        "From Mon 1 Feb 2027: opening, benches 1 -> 2.",
        "From Mon 1 Feb 2027: room North, range 62 to 67 degF -> 61 to 67 degF.",
        "From Mon 1 Feb 2027: crew makers, people 2 -> 3.",
        "From Mon 1 Feb 2027: crew makers, hours Mon to Fri 06:00 to 14:00 -> Mon 05:00 to 14:00 and Tue to Fri 06:00 "
        "to 14:00.",
        "From Mon 1 Feb 2027: crew makers, break 30 min -> 45 min.",
        "From Mon 1 Feb 2027: strain oyster, soak not given -> least 8 h, most 18 h, load 90 blocks/h, "
        "unload 80 blocks/h, loses 2 %/h.",
        "From Mon 1 Feb 2027: strain oyster, flushes, share 57/29/14 % -> 60/40 %.",
        "From Mon 1 Feb 2027: strain oyster, flushes, soak again no -> yes.",
        "From Mon 1 Feb 2027: customer shop, varies 0.15 -> 0.2.",
    ]


PHASES = """
[[phase]]
name = "an annex"
from = 2027-02-01
[phase.add.room.Annex]
holds = "90 shelf places"
range = "16 to 19 degC"
[phase.remove]
mix = true

[[phase]]
name = "no outlet"
from = 2027-03-01
[phase.remove]
customer = ["outlet"]
[phase.change.strain.shiitake]
open = { strip = false }
[phase.change.start.shiitake]
blocks = "90 blocks a week"
"""


def test_phases_are_read_back_one_after_another_each_with_its_averages(tmp_path: Path) -> None:
    said = dict(read_back(change(tmp_path, f'based_on = "small.toml"\n{PHASES}')))
    assert "LATER" not in said
    # By hand: oyster 68.6 lb throughout; shiitake (100 x 0.96 - 20) x 1.15 = 87.4 lb, then (90 x 0.96 - 20) x 1.15 = 76.4 lb.
    brings = "Filled up, it brings on averages {} lb of firsts and seconds a week and 20 blocks are sold; fullest: {}."
    assert said["PHASES"] == [
        "1. at first, from Mon 4 Jan 2027, 4 weeks: the farm as it is told above.",
        brings.format(156, "Room North 60 % and All rooms 55 %"),
        "2. an annex, from Mon 1 Feb 2027, 4 weeks: mix goes; room Annex comes.",
        brings.format(156, "Rooms North, Annex 54 % and All rooms 51 %"),
        "3. no outlet, from Mon 1 Mar 2027, 12 weeks: strain shiitake, open, strip yes -> no; "
        "start shiitake, blocks 100 blocks a week -> 90 blocks a week; customer outlet goes.",
        brings.format(
            145, "Rooms North, Annex 47 % and All rooms 47 %; more is promised than it brings: shiitake, firsts"
        ),
    ]


def test_a_change_between_two_phases_is_read_back_in_its_place(tmp_path: Path) -> None:
    (tmp_path / "small.toml").write_text(SMALL + PHASES, encoding="utf-8")
    text = 'based_on = "small.toml"\nfrom = 2027-02-08\n[change.opening]\nbenches = 2\n'
    said = dict(read_back(written(tmp_path, text, "more.toml")))["PHASES"]
    assert [sentence[:12] for sentence in said[::2]] == ["1. at first,", "2. an annex,", "From Mon 8 F", "Filled up, i"]
    assert said[4] == "From Mon 8 Feb 2027: opening, benches 1 -> 2."
    assert "benches" not in said[5]


def test_a_second_look_at_a_later_phase_says_which(tmp_path: Path) -> None:
    lines = page(change(tmp_path, f'based_on = "small.toml"\n{PHASES}')).split("\n")
    looks = " ".join(" ".join(lines[lines.index("") :]).split())
    assert "From phase no outlet on: shiitake, firsts: more is promised than the plan brings on average." in looks
    assert looks.count("From phase") == 1


def test_no_more_than_a_dozen_changes_of_a_date_are_read_back(tmp_path: Path) -> None:
    text = 'based_on = "small.toml"\nfrom = 2027-02-01\n[change.strain.oyster]\nlike = "shiitake"\n'
    said = dict(read_back(change(tmp_path, text)))["LATER"]
    assert said[0] == "From Mon 1 Feb 2027: strain oyster, like blue oyster -> shiitake."
    assert len(said) == 13
    assert said[-1] == "From Mon 1 Feb 2027: and 6 more."


@pytest.mark.parametrize("path", FARMS, ids=lambda path: path.stem)
def test_the_page_fits_the_screen(path: Path) -> None:
    assert all(len(line) <= WIDTH for line in page(load(path)).split("\n"))


def test_the_page_says_what_averages_say(tmp_path: Path) -> None:
    lines = page(small(tmp_path)).split("\n")
    assert any(line.split()[:6] == ["Soak", "tanks", "4.6", "14", "33", "%"] for line in lines)
    assert any(line.split()[:6] == ["shiitake,", "firsts", "80", "82", "98", "%"] for line in lines)


def test_what_is_chilled_is_told_in_the_units_of_the_farm(tmp_path: Path) -> None:
    us = page(small(tmp_path)).split("\n")
    metric = page(small(tmp_path, 'name     = "Small"', 'name     = "Small"\nunits    = "metric"')).split("\n")
    told = [" ".join(line.split()) for line in (*us, *metric) if "chilling" in line]
    assert told == [
        "Walk-in, chilling 156 22,223 1 % lb a week",
        "Walk-in, chilling 71 10,080 1 % kg a week",
    ]


# --- second looks and guesses -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("find", "put", "says"),
    [
        ('tanks = 2', 'tanks = 2', []),
        (
            'holds = "800 shelf places"',
            'holds = "450 shelf places"', [
            "Room North: the plan needs more than there is, so lots or work pile up."]),
        ('holds = "800 shelf places"', 'holds = "490 shelf places"', [
            "Room North: nearly full on average, so anything uneven makes lots or work wait."]),
        ('shiitake = "40 lb a delivery"', 'shiitake = "60 lb a delivery"', [
            "shiitake, firsts: more is promised than the plan brings on average."]),
        ('days     = "5 a week, rotating"', 'days     = "mon-fri"', [
            "Nobody picks on Sat and Sun: what ripens then waits and loses grade."]),
        ('days     = ["tue", "fri"]', 'days     = ["tue"]', [
            "oyster keeps 6 d, but up to 7 d lie between two deliveries of it."]),
        ('oyster = "20 lb a delivery", ', '', [
            "oyster is promised to nobody: all of it goes to the outlet or past its date."]),
        ('holds_ripe   = { on_the_rack = "10 d" }', 'holds_ripe   = { on_the_rack = "10 d", cold = "5 d" }', [
            "shiitake would hold 5 d more in the cold, but no walk-in takes ripe blocks."]),
        ('[strain.oyster]', '[strain.spare]\nlike = "maitake"\n[strain.oyster]', [
            "spare is described but not started."]),
        ('chills = "60 kg/h"', 'chills = "60 kg/h"\nair = "45 degF"', [
            "Walk-in main is kept at 45 degF; published shelf lives hold up to 39.2 degF only."]),
    ],
    ids=["nothing", "over", "tight", "promised", "weekend", "dates", "nobody", "no effect", "not started", "warm"],
)  # fmt: skip
def test_what_may_not_be_meant_is_said(find: str, put: str, says: list[str], tmp_path: Path) -> None:
    assert outlook.second_looks(small(tmp_path, find, put)) == says


def test_guesses_are_what_the_file_does_not_give_and_nobody_published(tmp_path: Path) -> None:
    guessed = {".".join(each.path): each for each in assumed.guesses(small(tmp_path))}
    assert guessed["strain.shiitake.overripe.loses"].value == "3 % a day"
    assert guessed["strain.oyster.picking.pace"].source == "from memory: clustered oyster 15-30 kg/h"
    assert "strain.oyster.yield.mean" not in guessed  # suppliers' sheets
    assert "strain.shiitake.picking.pace" not in guessed  # given
    assert "strain.oyster.open.strip_takes" not in guessed  # nothing is stripped
    assert "strain.oyster.colonise" not in guessed


def test_every_figure_with_a_say_is_listed_with_its_source(tmp_path: Path) -> None:
    found = {".".join(each.path): each for each in assumed.assumed(small(tmp_path))}
    assert found["room.North.holds"].source == found["crew.makers.break"].source == assumed.OWN
    assert found["strain.shiitake.water"].source == "P: 60-63 % (P11)"
    assert found["strain.oyster.shelf_life"].source == "P: 5-7 d open, 15 d wrapped, at 4 degC (P10)"
    assert all(each.source and each.meaning for each in found.values())


def test_every_figure_is_shown_as_a_grower_says_it(tmp_path: Path) -> None:
    found = {".".join(each.path): each.value for each in assumed.assumed(small(tmp_path))}
    for path, says in {
        "farm.start": "2027-01-04",
        "room.North.range": "62 to 67 degF",
        "room.South.clean": "room emptied, every 70 d, takes 9 h",
        "crew.makers.days": "Mon to Fri",
        "crew.makers.hours": "Mon to Fri 06:00 to 14:00",
        "crew.makers.fits": "none",
        "crew.growers.days": "5 days a week, days off in turn",
        "strain.shiitake.open.strip": "yes",
        "strain.shiitake.open.flip": "no",
        "strain.oyster.first_pick": "12 d on average, spread by 13 %",
        "strain.oyster.contaminated.shows": "7 to 28 d, likeliest 14 d",
        "strain.oyster.flushes.share": "57/29/14 %",
        "strain.oyster.picking.late": "92/6/2 %, 70/24/6 %, 30/50/20 %, 5/45/50 %",
        "start.oyster.arrives": "08:00",
        "customer.shop.takes": "40 lb a delivery of shiitake and 20 lb a delivery of oyster",
        "customer.outlet.takes": "anything",
    }.items():
        assert found[path] == says
    assert not [value for value in found.values() if "(" in value or "{" in value or value in ("", "true", "false")]


def test_figures_without_a_say_are_left_out(tmp_path: Path) -> None:
    one_flush = bare(tmp_path, 'like  = "blue oyster"', 'like  = "blue oyster"\nflushes = { share = [100] }')
    found = {".".join(each.path) for each in assumed.assumed(one_flush)}
    assert "strain.oyster.flushes.share" in found
    assert "strain.oyster.flushes.rest" not in found
    assert "strain.oyster.next_pick" not in found


# --- the commands -------------------------------------------------------------------------------------


def test_check_prints_the_page_of_a_sound_farm(tmp_path: Path) -> None:
    path = tmp_path / "farm.toml"
    path.write_text(SMALL, encoding="utf-8")
    shown = CliRunner().invoke(check, [str(path)])
    assert shown.exit_code == 0
    assert shown.output == page(load(path)) + "\n"


def test_check_prints_faults_only_and_leaves_with_2(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("farm.toml").write_text(
        SMALL.replace("tanks = 2", "tanks = 0").replace('"9 h"', '"9 lb"', 1), encoding="utf-8"
    )
    shown = CliRunner().invoke(check, ["farm.toml"])
    assert shown.exit_code == 2
    assert shown.stdout == ""
    assert [line.split(",")[0] for line in shown.stderr.strip().split("\n")] == ["farm.toml:13", "farm.toml:30"]
    assert list(tmp_path.iterdir()) == [tmp_path / "farm.toml"]


def test_check_loads_nothing_heavy() -> None:
    script = (
        "import sys; from farmsim.cli import main\n"
        f"try: main(['check', {str(SHIPPED / 'four-rooms.toml')!r}])\n"
        "except SystemExit as end: assert not end.code\n"
        "heavy = {'numpy', 'pandas', 'scipy', 'matplotlib', 'simpy', 'rich', 'pydantic'} & set(sys.modules)\n"
        "sys.exit(str(heavy) if heavy else 0)"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr


# --- schema and reference page ------------------------------------------------------------------------


def as_json(value: object) -> object:
    if isinstance(value, dict):
        return {key: as_json(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [as_json(inner) for inner in value]
    return value.isoformat() if isinstance(value, datetime.date) else value


def faults_by_schema(text: str) -> list[str]:
    validator = jsonschema.Draft202012Validator(schema())
    return [error.message for error in validator.iter_errors(as_json(tomllib.loads(text)))]


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())
    printed = CliRunner().invoke(schema_command, [])
    assert json.loads(printed.output) == schema()


@pytest.mark.parametrize("path", FARMS, ids=lambda path: path.stem)
def test_every_farm_and_change_set_fits_the_schema(path: Path) -> None:
    assert faults_by_schema(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("find", "put"),
    [
        ("benches = 1", "benchs = 1"),
        ("benches = 1", "benches = 1.5"),
        ('lot      = "50 blocks"', "lot = 50"),
        ('kind     = "outlet"', 'kind = "outlit"'),
        ('leave_by = "08:30"', "leave_by = 8"),
        ("cv = 0.13", 'cv = "0.13"'),
        ('crate        = "8 lb"\n', ""),
    ],
)
def test_the_schema_refuses_what_cannot_be_read(find: str, put: str) -> None:
    assert SMALL.count(find) == 1
    assert faults_by_schema(SMALL.replace(find, put))


def test_every_figure_is_declared_with_meaning_and_source_once() -> None:
    for met in walk(Farm):
        assert met.figure.meaning
        assert met.figure.source
        assert met.figure.name
        if met.figure.default is not NEEDED and met.figure.default not in (None, (), {}) and met.figure.part is None:
            assert met.figure.said, met.path


def test_a_pace_says_once_whose_it_is() -> None:
    for met in walk(Farm):
        if met.figure.each:
            assert met.figure.meaning.count(f"one {met.figure.each}") == 1
    assert ", of one person" not in fields_page.page()


def test_the_reference_page_is_current() -> None:
    """Refresh it with `farmsim schema --page > docs/fields.md`."""
    committed = (SHIPPED.parent / "docs" / "fields.md").read_text(encoding="utf-8")
    assert committed == fields_page.page()
    words = committed.replace("\n", " ")
    assert (
        "On a date everything can change but `[farm]`, " in words
        and " and `[stress]`: they are the same at all" in words
    )
    assert all(f"`[{name}]`" in words for name in TIMELESS)
    assert CliRunner().invoke(schema_command, ["--page"]).output == committed


def test_the_reference_page_names_every_figure() -> None:
    text = fields_page.page()
    for met in walk(Farm):
        if len(met.path) > 1:
            assert f"`{'.'.join(met.path[1:]).removeprefix('*.')}`" in text
