"""A farm written from answers is sound, has room for what is started, and marks whatever nobody said as a guess."""

from __future__ import annotations

import datetime
import re
import tomllib
from pathlib import Path

import pytest

from farmsim.errors import QuantityFault, ScenarioFault
from farmsim.model.plan import week_of
from farmsim.scenario import averages
from farmsim.scenario.answer_forms import Said
from farmsim.scenario.answer_more import Wage
from farmsim.scenario.answers import Answers, Asked, empty_file, from_file
from farmsim.scenario.assumed import OWN, assumed
from farmsim.scenario.crews import CREWS
from farmsim.scenario.farm import Farm
from farmsim.scenario.fields import FARM, walk
from farmsim.scenario.flow import flow, flows
from farmsim.scenario.guess_lines import guess_lines
from farmsim.scenario.new_farm import NewFarm, new_farm
from farmsim.scenario.people import DUTIES
from farmsim.scenario.questions import BY_KEY, QUESTIONS
from farmsim.scenario.seasons import Shut
from farmsim.scenario.sheet import SHEET
from farmsim.scenario.sizing import LEAST_RANGE, shared_out, warmths
from farmsim.scenario.strain_page import of_sheet, slug
from farmsim.study.job import one_run
from farmsim.study.pool import Where
from farmsim.study.replicate import replicate
from farmsim.study.trials import Brief

from .farms import written

TODAY = datetime.date(2026, 7, 1)
CHRISTMAS = datetime.date(2027, 12, 25)
ALL = ", ".join(SHEET)
SOAKED, PLAIN = list(SHEET)[:2]


def answers(**said: str) -> Answers:
    asked = Asked(TODAY)
    for question in asked.questions():
        asked.answer(question, said.get(question.key, ""))
    return asked.whole()


def made(**said: str) -> NewFarm:
    return new_farm(answers(**said))


def told(**said: str) -> list[str]:
    with pytest.raises(ScenarioFault) as caught:
        made(**said)
    return [str(fault) for fault in caught.value.faults]


CASES: list[dict[str, str]] = [
    {},
    *({"strains": like} for like in SHEET),
    *({"strains": ALL, "blocks": blocks} for blocks in ("9", "60", "700", "12,000")),
    *({"strains": ALL, "blocks": blocks, "made": "bought", "units": "metric"} for blocks in ("30", "3000")),
    *(
        {
            "blocks": blocks,
            "sold": "40 %",
            "block_customers": "a mon thu; b wed",
            "soak": "in the bag",
            "block": "10 lb",
        }
        for blocks in ("20", "5000")
    ),
    *(
        {"work_days": work, "pick_days": pick, "blocks": blocks}
        for work in ("tue wed", "every day")
        for pick in ("mon wed fri", "sat")
        for blocks in ("40", "1000")
    ),
    {"hours": "22:00-06:00 next day", "customers": "nobody"},
]


@pytest.mark.parametrize("said", CASES, ids=lambda said: " ".join(said.values())[:60] or "all defaults")
def test_what_is_worked_out_leaves_room_everywhere(said: dict[str, str]) -> None:
    """Reading the farm has found no fault already."""
    new = made(**said)
    assert new.full() == []
    assert max(need.share for need in averages.needs(new.farm)) <= 0.9


@pytest.mark.parametrize("system", ["us", "metric"])
def test_every_figure_that_was_not_answered_is_marked_with_where_it_comes_from(system: str) -> None:
    new = made(units=system, strains=f"{SOAKED}, {PLAIN}", blocks="300", customers="shop fri 50 lb")
    own = {".".join(each.path) for each in assumed(new.farm) if each.source == OWN}
    answered = {"name", "units", "start", "weeks", "blocks", "strain", "like", "duties", "uses.fresh", "kind", "takes", "days",
                "people", "how"}  # fmt: skip
    assert {path for path in own if path.split(".")[-1] not in answered and not path.endswith("uses.fresh")} == set()
    lines = [line for line in new.text.splitlines() if re.match(r"[\w.\"-]+ += ", line) and "#" not in line]
    assert {line.split(" =")[0].strip() for line in lines} <= {"name", "weeks", "strain", "blocks", "uses.fresh", "kind",
                                                              "takes", "days"}  # fmt: skip
    left = [each for each in assumed(new.farm) if each.source not in (OWN, FARM) and "=" not in each.source]
    assert new.guesses() >= len(left) > 80


def test_nothing_is_left_to_a_default_that_stands_on_more_than_a_choice() -> None:
    """What the file does not hold are the farm's own choices."""
    new = made(strains=ALL, sold="20 %")
    assert [owner for owner, lines in guess_lines(new.farm).items() if lines] == []
    held = tomllib.loads(new.text)
    assert held["strain"][slug(PLAIN)]["picking"]["look"] == "5 s a block"
    assert held["walk_in"]["main"]["half_cooling"] == "2 h"
    assert held["sterilizer"]["cool"] == "12 h"


def test_an_answer_stands_as_it_was_given_and_without_a_mark() -> None:
    new = made(name='A "quoted" farm', rooms="North 1500, South 1200", walk_in="400", people="2, 3", hours="7 to 15",
               block="10 lb", soak="5 tanks")  # fmt: skip
    assert [(room.name, room.holds) for room in new.farm.room] == [("North", 1500), ("South", 1200)]
    assert [crew.people for crew in new.farm.crew] == [2, 3]
    sources = {".".join(each.path): each.source for each in assumed(new.farm)}
    for figure in ("room.North.holds", "walk_in.main.holds", "crew.block makers.people", "crew.block makers.hours",
                   f"strain.{SOAKED}.block", "soak.tanks"):  # fmt: skip
        assert sources[figure] == OWN
    assert sources["room.North.range"].startswith("worked out")
    assert new.farm.farm.name == 'A "quoted" farm'


def test_a_block_of_twice_the_weight_brings_twice_as_much() -> None:
    light, heavy = (made(block=weight).farm.strain[slug(PLAIN)] for weight in ("5 lb", "10 lb"))
    assert heavy.yield_.mean == pytest.approx(2 * light.yield_.mean, rel=1e-3)


def test_customers_take_their_share_of_the_firsts_or_the_weight_they_say() -> None:
    farm = made(customers="chefs tue fri 50 %; stall sat 30 lb").farm
    firsts = {name: flow(farm, name).firsts for name in farm.strain}
    chefs, stall, outlet = farm.customer
    assert isinstance(chefs.takes, dict) and isinstance(stall.takes, dict)
    for name, kg in firsts.items():
        assert 2 * chefs.takes[name] == pytest.approx(0.5 * kg, rel=0.03)
    assert sum(stall.takes.values()) == pytest.approx(30 * 0.45359237, rel=0.04)
    assert (outlet.kind, outlet.takes) == ("outlet", "anything")


def test_blocks_are_shared_out_whole() -> None:
    assert shared_out(10, [1 / 3, 1 / 3, 1 / 3]) == [4, 3, 3]
    farm = made(strains=ALL, blocks="1001", sold="10 %", block_customers="a mon; b tue").farm
    assert sum(line.blocks for line in farm.start) == 1001
    assert sum(sum(buyer.takes.values()) for buyer in farm.block_customer) == 100


def test_carts_are_full_so_that_tanks_are() -> None:
    """160 blocks on three days in lots of 50 would make three lots of 3 or 4, each of which takes a whole tank."""
    farm = made(strains=f"{SOAKED} 160, {PLAIN} 140, {list(SHEET)[3]} 100", blocks="400").farm
    lots = [slot.blocks for line in farm.start for slot in week_of(line, int(farm.farm.lot), None)]
    assert sum(lots) == 400
    assert 0.85 * len(lots) * farm.farm.lot < 400


@pytest.mark.parametrize(
    "said",
    [{"strains": f"{SOAKED}, {PLAIN}"}, {"strains": ALL, "made": "bought", "blocks": "800", "sold": "30 %"}],
    ids=["made here", "bought and sold on"],
)
def test_lots_do_not_pile_up_where_places_were_worked_out(said: dict[str, str]) -> None:
    """Averages leave waiting out: with racks for no more than they need, the second farm picks two thirds of this."""
    farm = made(**said).farm
    picked = replicate(farm, 2, Brief(weeks=20, where=Where(1))).tables["weekly"]["picked_kg"].mean()
    assert picked > 0.9 * sum(usual.picked for usual in flows(farm))


def test_rooms_are_as_few_as_suit_all_strains() -> None:
    found = warmths(answers(strains=ALL))
    assert sorted(name for warmth in found for name in warmth.strains) == sorted(map(slug, SHEET))
    for warmth in found:
        assert warmth.range.high - warmth.range.low >= LEAST_RANGE
        assert all(warmth.range.inside(of_sheet(like).range) for like in SHEET if slug(like) in warmth.strains)


@pytest.mark.parametrize("where", CREWS)
def test_every_crew_shape_has_somebody_for_every_duty(where: str) -> None:
    for shapes in CREWS[where]:
        duties = {duty for shape in shapes for duty in shape.duties}
        unasked = {"pack orders", "deliver"}  # rounds and packing to order are written by hand
        assert duties == set(DUTIES) - unasked - ({"mix", "inoculate", "inspect"} if where == "bought" else set())


# --- answers that do not go together ------------------------------------------------------------------------


def test_what_can_never_fit_is_told_at_its_question() -> None:
    (fault,) = told(rooms="North 300")
    assert fault.startswith("rooms: on average the plan needs")
    assert told(walk_in="20")[0].startswith("walk_in: ")
    assert told(people="1", blocks="5000")[0].startswith("people: ")
    assert told(soak="1 tank", blocks="5000")[0].startswith("soak: ")
    assert told(customers="chefs tue fri 5000 lb")[0].startswith("customers: ")


def test_what_is_tight_by_the_answers_is_told_but_written() -> None:
    new = made(rooms="North 1,800")
    assert [need.name for need in new.full()] == ["Room North"]


def test_fewer_rooms_than_temperatures_are_told_in_the_farms_units() -> None:
    two = ", ".join(like for like in SHEET if SHEET[like]["range"].written in ("12 to 17 degC", "18 to 30 degC"))
    assert told(strains=two, rooms="One 900")[0].startswith(
        "rooms: 1 for strains that need 2 temperatures (53.6 to 62.6 degF: "
    )
    assert "12 to 17 degC" in told(strains=two, rooms="One 900", units="metric")[0]


def test_a_soak_that_cannot_end_in_the_morning_is_told_at_days_and_hours() -> None:
    (fault,) = told(work_days="mon wed fri", people="2, 2, 2")
    assert fault.startswith("work_days: those who soak come on Mon, Wed and Fri; needs two days in a row")
    assert told(work_days="mon wed fri", people="2, 2, 2", hours="5 to 20") == [fault]
    faults = told(hours="07:00-11:00")
    assert {fault.split(":")[0] for fault in faults} == {"work_days", "hours"}
    assert made(work_days="mon wed fri", strains=PLAIN, people="2, 2, 2").full() == []


def test_a_shift_round_the_clock_leaves_no_overtime() -> None:
    assert {crew.overtime.at_most for crew in made(hours="0:00-24:00").farm.crew} == {0.0}


@pytest.mark.parametrize(
    ("said", "begins"),
    [
        ({"blocks": "1"}, "strains: of 1 block a week none is left for "),
        ({"rooms": "racks 5000"}, "rooms: "),
        ({"customers": "a/b tue 5 %"}, "customers: "),
        ({"customers": "a tue 0.001 lb"}, "customers: what a takes comes to nothing"),
        ({"sold": "1 %", "blocks": "40", "block_customers": "a mon; b tue"}, "sold: "),
    ],
)
def test_other_answers_that_cannot_be(said: dict[str, str], begins: str) -> None:
    assert told(**said)[0].startswith(begins)


# --- the questions ------------------------------------------------------------------------------------------


def test_there_are_about_fifteen_questions_each_with_all_it_needs() -> None:
    assert len(BY_KEY) == len(QUESTIONS)
    first = [question for question in Asked(TODAY).questions() if question.key != "more"]
    assert 14 <= len(first) <= 16
    paths = {walked.path for walked in walk(Farm)}
    for question in QUESTIONS:
        assert question.asks.endswith("?") and question.explains and (question.sets or question.key == "more")
        for sets in question.sets:
            assert any(tuple(path[: len(sets)]) == sets for path in paths), sets


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.key)
def test_every_default_will_do_in_either_units(question: object) -> None:
    for system in ("us", "metric"):
        asked = Asked(TODAY)
        asked.values.update(units=system, made="here")
        assert question in QUESTIONS
        for each in QUESTIONS:
            if each is question:
                asked.answer(each, "")
                assert each.read(each.default_for(asked.values), Said(asked.values, TODAY)) == asked.values[each.key]


@pytest.mark.parametrize(
    ("key", "typed", "means"),
    [
        ("units", "Pounds", "us"),
        ("start", "next Monday", datetime.date(2026, 7, 6)),
        ("blocks", "1,900", 1900),
        ("strains", f"{SOAKED.title()} 200 blocks; {PLAIN} 100", {SOAKED: 2 / 3, PLAIN: 1 / 3}),
        ("strains", "Lions Mane", {"lion's mane": 1.0}),
        ("rooms", "North 1,500 shelf places, South 900", (("North", 1500), ("South", 900))),
        ("rooms", "700", (("Main", 700),)),
        ("soak", "In the bag", "in the bag"),
        ("people", "3 and 2", (3, 2)),
        ("work_days", "Monday to Friday", ("mon", "tue", "wed", "thu", "fri")),
        ("work_days", "mon, wed-fri", ("mon", "wed", "thu", "fri")),
        ("pick_days", "every day", ("mon", "tue", "wed", "thu", "fri", "sat", "sun")),
        ("customers", "nobody", ()),
        ("leave_by", "8", 8.0),
        ("seasons", "all alike", None),
        ("seasons", "nov-dec 130 %, jan 70 %", (0.7, *(1.0,) * 9, 1.3, 1.3)),
        ("seasons", "November to January 120 %; july and aug 90 %", (1.2, *(1.0,) * 5, 0.9, 0.9, 1.0, 1.0, 1.2, 1.2)),
        ("shut", "none", ()),
        ("shut", "2027-12-25", (Shut(name="shut on 2027-12-25", first=CHRISTMAS),)),
        (
            "shut",
            "Christmas 2027-12-25 to 2027-12-26; x 2028-01-01",
            (
                Shut(name="Christmas", first=CHRISTMAS, last=datetime.date(2027, 12, 26)),
                Shut(name="x", first=datetime.date(2028, 1, 1)),
            ),
        ),
        ("wage", "not told", None),
        ("wage", "$18 an hour", Wage(18.0, "USD")),
        ("wage", "16.50 EUR/h", Wage(16.5, "EUR")),
    ],
)
def test_answers_are_taken_as_they_are_spoken(key: str, typed: str, means: object) -> None:
    assert BY_KEY[key].read(typed, Said({}, TODAY)) == means


@pytest.mark.parametrize(
    ("key", "typed", "told_"),
    [
        ("name", "a\x07b", "holds signs"),
        ("start", "2027-01-05", "is a Tuesday"),
        ("start", "soon", 'is "soon"'),
        ("weeks", "0", 'is "0"'),
        ("blocks", "2.5", 'is "2.5"'),
        ("made", "hear", 'Did you mean "here"?'),
        ("block", "5", "has no unit"),
        ("strains", f"{SOAKED} 60 %, {PLAIN} 30 %", "the shares add up to 90 %"),
        ("strains", f"{SOAKED} 60 %, {PLAIN}", "gives some shares, not all"),
        ("strains", f"{SOAKED}, {SOAKED}", "twice"),
        ("strains", "reishi", "the library has no"),
        ("strains", f"{SOAKED} 1.2.3", "the library has no"),
        ("customers", "chefs tue 1.2.3 lb", "does not say how much"),
        ("sold", "20", 'Did you mean "20 %"?'),
        ("rooms", "North", "needs rooms with their shelf places"),
        ("rooms", "work it otu", 'needs rooms with their shelf places, or "work it out"'),
        ("soak", "in a bag", 'Did you mean "in the bag"?'),
        ("people", "1, 1, 1, 1, 1", "1 to 4 crews"),
        ("hours", "14:00-06:00", "ends before it starts"),
        ("work_days", "someday", "names no day"),
        ("customers", "chefs tue", "does not say how much"),
        ("customers", "tue fri 20 %", "does not say who"),
        ("customers", "a tue 60 %; b fri 60 %", "add up to 120 %"),
        ("customers", "a tue 10 %; a fri 10 %", "twice"),
        ("leave_by", "25:00", "no time of day"),
        ("seasons", "more in december", 'is "more in december"; needs months with a share, or "all alike"'),
        ("seasons", "dez 130 %", '"dez" names no month'),
        ("seasons", "dec 130 %, nov-dec 120 %", 'names "dec" twice'),
        ("seasons", "dec 2000 %", "is 20 for dec; needs numbers from 0 to 10"),
        ("shut", "Christmas", 'is "Christmas"; needs days with their dates, or "none"'),
        ("shut", "x 2027-02-30", '"2027-02-30" is no day of the calendar'),
        ("shut", "x 2028-01-02 to 2027-12-31", "ends on 2027-12-31, before 2028-01-02"),
        ("shut", "x 2027-01-02, x 2027-12-31", 'names "x" twice'),
        ("wage", "18", "has no unit"),
        ("wage", "$18", "does not say per what"),
    ],
)
def test_answers_that_will_not_do_are_told(key: str, typed: str, told_: str) -> None:
    with pytest.raises(QuantityFault) as caught:
        BY_KEY[key].read(typed, Said({}, TODAY))
    assert told_ in str(caught.value)


# --- a file of answers --------------------------------------------------------------------------------------


def test_a_file_says_the_same_as_words_on_the_terminal(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text(
        'blocks = 400\nstart = 2027-01-04\npeople = [2, 3]\nwork_days = ["mon", "tue"]\nleave_by = 08:30:00\n'
    )
    read, _ = from_file(path, TODAY)
    assert read == answers(blocks="400", start="2027-01-04", people="2, 3", work_days="mon tue", leave_by="08:30")


def test_every_fault_of_a_file_is_told_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text('nme = "x"\nblocks = true\n\nweeks = "many"\nname = ""\nstrains = {}\n', encoding="utf-8")
    with pytest.raises(ScenarioFault) as caught:
        from_file(path, TODAY)
    lines = [str(fault).removeprefix(str(path)) for fault in caught.value.faults]
    assert [line.split(": ")[0] for line in lines] == [":1, nme", ":2, blocks", ":4, weeks", ":5, name", ":6, strains"]
    assert 'Did you mean "name"?' in lines[0]


def test_a_file_that_answers_a_further_question_need_not_ask_for_more(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text('seasons = "dec 130 %"\nweeks = 26\n', encoding="utf-8")
    read, _ = from_file(path, TODAY)
    assert read == answers(more="yes", seasons="dec 130 %", weeks="26")
    path.write_text('seasons = "dec 130 %"\nmore = "no"\n', encoding="utf-8")
    with pytest.raises(ScenarioFault) as caught:
        from_file(path, TODAY)
    assert "seasons: is given, but more is answered with no" in str(caught.value)


def test_months_holidays_and_wages_stand_in_the_file_as_they_were_answered() -> None:
    further = {"seasons": "dec 130 %", "shut": "Christmas 2027-12-25", "wage": "16 EUR/h", "weeks": "104"}
    farm = made(sold="20 %", more="yes", start="2027-01-04", **further).farm
    assert farm.months.orders == farm.months.block_orders == (*(1.0,) * 11, 1.3)
    assert farm.shut == (Shut(name="Christmas", first=CHRISTMAS),)
    assert {crew.wage for crew in farm.crew} == {16.0} and farm.farm.currency == "EUR"
    assert farm.farm.weeks == 104


def test_an_answer_to_a_question_that_is_not_asked_is_told(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text('block_customers = "a mon"\n', encoding="utf-8")
    with pytest.raises(ScenarioFault) as caught:
        from_file(path, TODAY)
    assert "is given, but no blocks are sold ready to fruit; needs to be left out" in str(caught.value)


def test_the_file_to_be_filled_in_holds_every_question_with_a_default_that_will_do(tmp_path: Path) -> None:
    path = tmp_path / "answers.toml"
    path.write_text(empty_file(), encoding="utf-8")
    assert from_file(path, TODAY)[0] == answers()
    filled = re.sub(r"^# (\w+ = )", r"\1", empty_file(), flags=re.M)
    assert set(tomllib.loads(filled)) == set(BY_KEY)
    path.write_text(
        filled.replace('sold = "0 %"', 'sold = "10 %"').replace('more = "no"', 'more = "yes"'), encoding="utf-8"
    )
    read, _ = from_file(path, TODAY)
    assert read.given == set(BY_KEY)
    assert written(tmp_path, new_farm(read).text) == new_farm(read).farm


# --- prices -------------------------------------------------------------------------------------------------------


def test_with_prices_the_file_runs_with_money_at_once() -> None:
    priced = {"price": "shiitake $10/lb; Blue Oyster $8/lb", "block_price": "$6 a block", "wage": "$18 an hour"}
    grown = "shiitake 60 %, blue oyster 40 %"
    farm = made(sold="20 %", more="yes", strains=grown, **priced).farm
    *orders, outlet = farm.customer
    pound = 0.45359237
    wanted = {"shiitake": pytest.approx(10 / pound), "blue-oyster": pytest.approx(8 / pound)}
    assert orders and all(each.price == wanted for each in orders) and outlet.price is None
    assert [each.price for each in farm.block_customer] == [6.0] and farm.farm.currency == "USD"
    assert "money" in one_run(farm, 1, 1, 0)
    alike = made(sold="20 %", more="yes", price="16 EUR/kg").farm
    assert alike.customer[0].price == 16.0 and alike.farm.currency == "EUR" and alike.block_customer[0].price is None
    by_strain = made(
        sold="20 %", more="yes", strains=grown, block_price="shiitake $6 a block; blue oyster $5 a block"
    ).farm
    assert by_strain.block_customer[0].price == {"shiitake": 6.0, "blue-oyster": 5.0}


def test_without_prices_no_money_is_told_and_no_currency_chosen() -> None:
    farm = made(more="yes", price="not told", weeks="4").farm
    assert farm.customer[0].price is None and "money" not in one_run(farm, 1, 1, 0)
    assert not re.search(r"^(price|currency)", new_farm(answers(more="yes")).text, flags=re.M)


@pytest.mark.parametrize(
    ("typed", "told_"),
    [
        ({"price": "9"}, "has no unit"),
        ({"price": "$9"}, "does not say per what"),
        ({"price": "much"}, 'is "much"; needs a price, strains with prices, or "not told"'),
        ({"price": "shiitake $9/lb"}, "leaves out blue oyster; needs a price for each strain"),
        ({"price": ";"}, "has no price in it; needs a price, or"),
        ({"price": "shiitake $9/lb, shiitake $8/lb"}, 'names "shiitake" twice'),
        ({"price": "$9/lb; shiitake $8/lb"}, "has a price without a strain beside others"),
        ({"price": "shiitake $9/lb; lions mane $8/lb"}, 'names "lion'),
        ({"price": "shitake $9/lb"}, 'the library has no "shitake"'),
        ({"price": "shiitake $9/lb; blue oyster 8 EUR/lb"}, "mixes USD and EUR; needs one currency for the whole farm"),
        ({"wage": "18 EUR/h", "price": "$9/lb"}, "mixes EUR and USD"),
        ({"price": "$9/lb", "block_price": "5 EUR a block"}, "mixes USD and EUR"),
    ],
)
def test_prices_that_will_not_do_are_told(typed: dict[str, str], told_: str) -> None:
    with pytest.raises(QuantityFault) as caught:
        answers(strains="shiitake, blue oyster", sold="20 %", more="yes", **typed)
    assert told_ in str(caught.value)
