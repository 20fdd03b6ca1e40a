"""Packing to order, rounds and vans in a farm's file: read, read back, judged, and counted in the averages."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.errors import ScenarioFault
from farmsim.record.columns import WHY_SHORT
from farmsim.scenario import assumed
from farmsim.scenario.averages import duty_hours, van_needs
from farmsim.scenario.check_page import page
from farmsim.scenario.farm import Farm
from farmsim.scenario.outlook import second_looks
from farmsim.scenario.pack_form import FORMS
from farmsim.scenario.readback import read_back
from farmsim.scenario.round_plan import can_go, days_of, leaves, packed_to_order, usual_load

from .farms import SMALL, change, faults_of, written

KG_PER_LB = 0.45359237  # exact by definition
PACKED = SMALL.replace(
    'days     = ["tue", "fri"]\n', 'days     = ["tue", "fri"]\nform     = "caps"\npack_ahead = "20 h"\n'
).replace('picking      = { pace = "18 lb/h", window = "2 d" }', 'picking      = { pace = "18 lb/h", window = "2 d" }\n'
          'pack_forms   = { caps = "10 lb/h", "small clusters" = "20 lb/h" }').replace(
    'like = "blue oyster"\n', 'like = "blue oyster"\npack_forms = { caps = "16 lb/h" }\n'
).replace('duties   = ["pick", "pack",', 'duties   = ["deliver", "pick", "pack", "pack orders",')  # fmt: skip
VAN = """
[van.small]
holds   = "10 crates"
carries = "200 lb"
"""
TOWN = """
[[round]]
name      = "town"
customers = ["shop", "outlet"]
takes     = "4 h"
van       = "small"
"""
WHOLE = PACKED + VAN + TOWN


def driven(folder: Path, find: str = "", put: str = "") -> Farm:
    """The small farm with packing to order and a round, one stretch of its text replaced."""
    assert not find or WHOLE.count(find) == 1, f"stands {WHOLE.count(find)} times: {find}"
    return written(folder, WHOLE.replace(find, put) if find else WHOLE)


def told(folder: Path, *pairs: tuple[str, str]) -> list[str]:
    """What is said about it with stretches of its text replaced."""
    text = WHOLE
    for find, put in pairs:
        assert text.count(find) == 1, f"stands {text.count(find)} times: {find}"
        text = text.replace(find, put)
    (folder / "farm.toml").write_text(text, encoding="utf-8")
    return [said.removeprefix(f"{folder}/") for said in faults_of(folder / "farm.toml")]


# --- read and read back ---------------------------------------------------------------------------------------------


def test_they_are_read_back(tmp_path: Path) -> None:
    sections = dict(read_back(driven(tmp_path)))
    assert sections["ROUNDS"][:2] == [
        "small: one van for 10 crates and 200 lb.",
        "town serves shop and outlet: leaves on Tue, Fri and Sat at 08:30 and 12:00, back after 4 h; one person, called "
        "30 min before, with van small; it leaves at most 2 h late, or it does not go.",
    ]
    assert sections["ROUNDS"][2].startswith("Whoever drives after a night shift")
    assert "packed to order as caps, begun 20 h before at the earliest" in sections["PROMISED"][0]
    assert (
        "Out of packed crates one person packs to order 10 lb/h of caps and 20 lb/h of small clusters."
        in (sections["SHIITAKE"])
    )


def test_a_round_of_several_people_without_a_van_that_must_be_on_time(tmp_path: Path) -> None:
    farm = driven(tmp_path, 'van       = "small"', 'people = 2\nlate_at_most = "0 h"\nleave_by = "08:00"')
    assert dict(read_back(farm))["ROUNDS"][1] == (
        "town serves shop and outlet: leaves on Tue, Fri and Sat at 08:00, back after 4 h; 2 people, called 30 min before, "
        "with no van of the farm's; it leaves on time, or it does not go."
    )


def test_a_farm_without_them_says_nothing_of_them(tmp_path: Path) -> None:
    plain = written(tmp_path, SMALL)
    said = page(plain)
    assert all(word not in said for word in ("ROUNDS", "to order", "van"))
    assert not any("pack_ahead" in each.path or "pack_forms" in each.path for each in assumed.assumed(plain))


def test_how_long_ahead_is_a_guess_only_where_something_is_packed_to_order(tmp_path: Path) -> None:
    farm = driven(tmp_path, 'pack_ahead = "20 h"\n', "")
    guessed = [each.path for each in assumed.guesses(farm)]
    assert ("customer", "shop", "pack_ahead") in guessed and ("customer", "outlet", "pack_ahead") not in guessed
    assert ("round", "town", "called") in guessed and ("round", "town", "late_at_most") in guessed


def test_a_change_touches_only_the_paces_it_writes(tmp_path: Path) -> None:
    (tmp_path / "whole.toml").write_text(WHOLE, encoding="utf-8")
    text = 'based_on = "whole.toml"\n[change.strain.shiitake]\npack_forms = { caps = "12 lb/h" }\n'
    paces = written(tmp_path, text, "change.toml").strain["shiitake"].pack_forms
    assert paces == pytest.approx({"caps": 12 * KG_PER_LB, "small clusters": 20 * KG_PER_LB})


def test_a_van_and_a_round_may_be_added_on_a_date(tmp_path: Path) -> None:
    text = """
based_on = "small.toml"
from     = 2027-02-01
[change.crew.growers]
duties   = ["pick", "pack", "open", "soak", "clear", "clean", "deliver"]
[add.van.small]
holds    = "20 crates"
[add.round.town]
customers = ["shop"]
takes     = "4 h"
van       = "small"
"""
    farm = change(tmp_path, text)
    ((when, later),) = farm.changes
    assert (when, farm.round, [each.name for each in later.round]) == (4 * 168.0, (), ["town"])
    said = dict(read_back(farm))["LATER"]
    assert any("van small" in line for line in said) and any("round town" in line for line in said)


# --- what goes together -------------------------------------------------------------------------------------------


def test_a_pace_is_wanted_for_each_form(tmp_path: Path) -> None:
    assert told(tmp_path, ('pack_forms = { caps = "16 lb/h" }\n', "")) == [
        "farm.toml:82, strain oyster, pack_forms: shop wants caps of it, and there is no pace for them; "
        'needs a pace for each form that is wanted. Add pack_forms = { "caps" = "18 lb/h" }.'
    ]


def test_paces_are_for_forms_and_forms_have_paces(tmp_path: Path) -> None:
    paces = 'pack_forms = { caps = "16 lb/h" }\n'
    assert told(tmp_path, (paces, 'pack_forms = { caps = "16 lb" }\n')) == [
        'farm.toml:84, strain oyster, pack_forms, caps: "16 lb" does not say per what; needs a weight per hour, such as '
        '"18 lb/h" or "8 kg/h". Write it like "18 lb/h".'
    ]
    assert told(tmp_path, (paces, 'pack_forms = { cap = "16 lb/h" }\n')) == [
        'farm.toml:84, strain oyster, pack_forms: "cap" is no form to pack to order; needs one of large clusters, small '
        'clusters, caps. Did you mean "caps"?'
    ]
    assert told(tmp_path, (paces, 'pack_forms = "16 lb/h"\n')) == [
        'farm.toml:84, strain oyster, pack_forms: is "16 lb/h"; needs forms with a pace for each. Write it like '
        '{ caps = "18 lb/h" }.'
    ]


def test_a_form_is_one_of_a_few(tmp_path: Path) -> None:
    assert told(tmp_path, ('form     = "caps"', 'form     = "cubes"')) == [
        'farm.toml:104, customer shop, form: is "cubes"; needs "any", "large clusters", "small clusters" or "caps". '
        "Write one of these."
    ]
    assert FORMS[0] == "any" and WHY_SHORT[0] == "not packed in time"


def test_an_order_that_takes_any_form_is_not_packed_ahead(tmp_path: Path) -> None:
    assert told(tmp_path, ('form     = "caps"\n', "")) == [
        "farm.toml:104, customer shop, pack_ahead: is given, but any form will do; needs a form of its own. "
        "Leave it out, or say in which form it wants them."
    ]


def test_what_is_left_over_is_not_packed_to_order(tmp_path: Path) -> None:
    assert told(tmp_path, ('takes_firsts_left = "2 d"', 'form = "caps"')) == [
        'farm.toml:112, customer outlet, form: is given, but it takes "anything"; needs strains that are promised. '
        "Leave the form out, or name strains with amounts."
    ]


def test_somebody_must_pack_to_order_and_drive(tmp_path: Path) -> None:
    assert told(tmp_path, ('"deliver", "pick", "pack", "pack orders",', '"pick", "pack",')) == [
        'farm.toml:47, crew: nobody does "pack orders"; needs a crew for it: the orders of "shop" are packed in a form of '
        'their own. Add "pack orders" to the duties of a crew.',
        'farm.toml:47, crew: nobody does "deliver"; needs a crew for it: "town" is driven. Add "deliver" to the duties of '
        "a crew.",
    ]


@pytest.mark.parametrize(
    ("find", "put", "says"),
    [
        (
            '"shop", "outlet"',
            '"shap"',
            'farm.toml:131, round town, customers 1: "shap" is no customer of this farm; needs one of "shop" or "outlet". '
            'Did you mean "shop"?',
        ),
        (
            '"shop", "outlet"',
            "",
            "farm.toml:131, round town, customers: is an empty list; needs at least one customer. "
            "Name whom it serves, or take the round out.",
        ),
        (
            'van       = "small"',
            'van       = "smal"',
            'farm.toml:133, round town, van: "smal" is no van of this farm; needs one of "small". Did you mean "small"?',
        ),
        (
            'takes     = "4 h"',
            'takes     = "4 h"\nleave_by  = "09:00"',
            "farm.toml:133, round town, leave_by: is 09:00, but shop is to leave by 08:30; needs the earliest of their "
            "hours. Make it earlier, or leave it out.",
        ),
        (
            'takes     = "4 h"',
            'takes     = "6 h"',
            "farm.toml:132, round town, takes: on Sat nobody who delivers can leave by 12:00, or as much later as it "
            "may, and be back in their shift; needs 1, each with 6 h of the shift left. "
            'Give more people "deliver", a longer shift or overtime, or make the round shorter.',
        ),
        (
            'takes     = "4 h"',
            'takes     = "4 h"\npeople    = 3',
            "farm.toml:132, round town, takes: on Tue only 2 people who deliver can leave by 08:30, or as much later as it "
            "may, and be back in their shift; needs 3, each with 4 h of the shift left. "
            'Give more people "deliver", a longer shift or overtime, or make the round shorter.',
        ),
        (
            'holds   = "10 crates"',
            'holds   = "5 crates"',
            "farm.toml:126, van small, holds: on average the plan needs 9 crates (town, van), there are 5; needs at most 1.5 "
            "times what there is. Take a larger van, or put customers on another round.",
        ),
        (
            'carries = "200 lb"',
            'carries = "30 lb"',
            "farm.toml:127, van small, carries: on average the plan needs 60 lb (town, van load), there are 30; needs at "
            "most 1.5 times what there is. Take a larger van, or put customers on another round.",
        ),
        (
            'name      = "town"',
            'name      = "town/hills"',
            'farm.toml:130, round town/hills, name: "town/hills" holds "/"; needs a name without it. Write it with "-" or '
            '"and" instead.',
        ),
    ],
)  # fmt: skip
def test_a_broken_round_says_what_is_wrong(find: str, put: str, says: str, tmp_path: Path) -> None:
    assert told(tmp_path, (find, put)) == [says]


def test_nobody_is_on_two_rounds(tmp_path: Path) -> None:
    again = TOWN.replace('"town"', '"hills"').replace(', "outlet"', "")
    assert told(tmp_path, (TOWN, TOWN + again)) == [
        'farm.toml:137, round hills, customers 1: "shop" is on the round "town" already; needs each customer on one round '
        "only. Take it out of one of the two."
    ]


def test_a_customer_that_a_change_takes_away_is_told_at_its_round(tmp_path: Path) -> None:
    (tmp_path / "whole.toml").write_text(WHOLE, encoding="utf-8")
    (tmp_path / "change.toml").write_text(
        'based_on = "whole.toml"\n[remove]\ncustomer = ["outlet"]\n', encoding="utf-8"
    )
    (said,) = faults_of(tmp_path / "change.toml")
    assert "round town, customers 2" in said and "(removed in" in said


# --- by the calendar and on averages ------------------------------------------------------------------------------


def test_days_hours_and_loads_of_a_round(tmp_path: Path) -> None:
    # 40 lb of shiitake in crates of 8 lb, 20 lb of oyster in crates of 6 lb: 5 and 4, the last begun.
    farm = driven(tmp_path)
    (town,) = farm.round
    assert days_of(farm, town) == ("tue", "fri", "sat")
    assert [leaves(farm, town, day) for day in days_of(farm, town)] == [8.5, 8.5, 12.0]
    crate = farm.strain["oyster"].crate / KG_PER_LB
    assert usual_load(farm, town, "tue") == (5 + -(-20 // crate), pytest.approx(60 * KG_PER_LB))
    assert usual_load(farm, town, "sat") == (0, 0)


def test_the_hours_of_driving_and_packing_to_order_are_counted(tmp_path: Path) -> None:
    # Three days of 4 h and half an hour to load; twice a week 40 lb at 10 lb/h and 20 lb at 16 lb/h.
    hours = duty_hours(driven(tmp_path))
    assert hours["deliver"] == pytest.approx(3 * 4.5)
    assert hours["pack orders"] == pytest.approx(2 * (40 / 10 + 20 / 16))
    assert [form for _, form, _ in packed_to_order(driven(tmp_path))] == ["caps", "caps"]


def test_the_room_in_the_van_is_held_against_the_fullest_day(tmp_path: Path) -> None:
    crates, weight = van_needs(driven(tmp_path))
    assert (crates.name, crates.need, crates.have, crates.note) == ("town, van", 9, 10, "usual orders on Tue")
    assert weight.need == pytest.approx(60 * KG_PER_LB) and weight.have == pytest.approx(200 * KG_PER_LB)
    said = second_looks(driven(tmp_path, 'holds   = "10 crates"', 'holds   = "8 crates"'))
    assert "town, van: the plan needs more than there is, so some of it stays at the farm." in said
    said = second_looks(driven(tmp_path, 'holds   = "10 crates"', 'holds   = "9 crates"'))
    assert "town, van: nearly full on average, so anything uneven makes some of it stay at the farm." in said
    assert "Van small goes on no round." in second_looks(driven(tmp_path, 'van       = "small"', ""))


def test_two_rounds_that_want_one_van_at_once_deserve_a_second_look(tmp_path: Path) -> None:
    # The round to town is out on Saturday from 07:30 to 11:30; the market wants its van half an hour before it leaves.
    def looks(hour: str, count: int = 1) -> list[str]:
        market = f"""
[[round]]
name      = "market"
customers = ["outlet"]
leave_by  = "{hour}"
takes     = "1 h"
van       = "small"
"""
        shop = TOWN.replace('"shop", "outlet"', '"shop"')
        text = WHOLE.replace(TOWN, shop.replace('"town"', '"town"\nleave_by = "07:30"') + market)
        text = text.replace('days     = ["tue", "fri"]\nform', 'days     = ["tue", "sat"]\nform')
        text = text.replace("[van.small]", f"[van.small]\ncount = {count}")
        return [said for said in second_looks(written(tmp_path, text)) if "wants the van" in said]

    assert looks("12:00") == []
    assert looks("11:45") == [
        "On Sat market wants the van small while it is out with town: it leaves late, or not at all."
    ]
    assert looks("11:45", count=2) == []


def test_who_can_go_along_looks_at_breaks_overtime_and_nights(tmp_path: Path) -> None:
    farm = driven(tmp_path)
    (town,), (makers, growers) = farm.round, farm.crew
    drives = ("deliver",)
    assert can_go(farm, town, "tue") == 2
    paused = farm.but(
        crew=(makers.but(duties=drives), growers.but(duties=("pick",)))
    )  # 06:00 to 14:00, half an hour off
    assert can_go(paused, town.but(takes=5.0), "tue") == 2 and can_go(paused, town.but(takes=5.25), "tue") == 0
    longer = makers.but(duties=drives, overtime=growers.overtime.but(at_most=0.25))
    assert can_go(paused.but(crew=(longer,)), town.but(takes=5.25), "tue") == 2
    assert can_go(paused, town, "sat") == 0  # makers come from Monday to Friday
    night = makers.hours["mon"].__class__(22.0, 32.0)  # until 08:00 the next day
    nights = makers.but(duties=drives, hours=dict.fromkeys(("mon", "tue"), night), days=("mon", "tue"), break_=0.0)
    early = town.but(leave_by=5.0, takes=3.0)
    assert [can_go(farm.but(crew=(nights,)), early, day) for day in ("mon", "tue", "wed", "thu")] == [0, 2, 2, 0]


def test_junk_in_a_round_or_a_van_is_told_about(tmp_path: Path) -> None:
    for junk in ("7", "-1", '"x"', "true", "[]", "{}", '["x"]', "[1]", "nan", '"9 lb"'):
        for line in [
            *VAN.strip().splitlines()[1:],
            *TOWN.strip().splitlines()[1:],
            'pack_forms = { caps = "16 lb/h" }',
        ]:
            key = line.partition("=")[0]
            (tmp_path / "farm.toml").write_text(WHOLE.replace(line, f"{key}= {junk}"), encoding="utf-8")
            try:
                written(tmp_path, WHOLE.replace(line, f"{key}= {junk}"))
            except ScenarioFault as fault:
                assert all(each.found and each.allowed and each.mend and each.place for each in fault.faults)


def test_who_drives_only_in_the_afternoon_cannot_leave_in_the_morning(tmp_path: Path) -> None:
    find = 'duties   = ["deliver", "pick",'
    (said,) = told(tmp_path, (find, 'by_hour  = [{ from = "12:00", duties = ["deliver"] }]\nduties   = ["pick",'))
    assert "round town, takes: " in said and "needs 1, each with 4 h of the shift left" in said


STALL = """kind     = "market stall"
takes    = { oyster = "20 lb a market day" }
sells    = { oyster = "15 lb a market day" }
back_at  = "23:30"
"""


def test_a_stall_whose_round_may_come_back_after_midnight_is_told(tmp_path: Path) -> None:
    shop = 'takes    = { shiitake = "40 lb a delivery", oyster = "20 lb a delivery", varies = 0.15 }\n'
    text = (SMALL + VAN + TOWN).replace(shop, STALL).replace('leave_by = "08:30"', 'leave_by = "20:30"')
    (tmp_path / "farm.toml").write_text(text, encoding="utf-8")
    said = [line for line in faults_of(tmp_path / "farm.toml") if "midnight" in line]
    assert [line.partition(", round ")[2] for line in said] == [
        "town, takes: shop may be back only 2.5 h after midnight; needs to be back on its day. Let it leave sooner, "
        "be shorter, or be less late."
    ]
