"""The arithmetic of averages, worked by hand for the small and the bare farm; and what the shipped farms come to."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.errors import ScenarioFault
from farmsim.scenario import averages, flow, outlook
from farmsim.scenario.read import load

from .farms import SHIPPED, SMALL, bare, small, written

LB = 0.45359237


def test_the_usual_week_of_a_strain(tmp_path: Path) -> None:
    """100 blocks, 4 % bad, 20 promised: 76 fruited at 1.15 lb, of which 92 % are firsts."""
    usual = flow.flow(small(tmp_path), "shiitake")
    assert (usual.made, usual.bought, usual.bad, usual.promised, usual.sold) == (100, 0, 4, 20, 20)
    assert usual.fruited == 76
    assert usual.saleable == pytest.approx(76 * 1.15 * LB)
    assert usual.firsts == pytest.approx(76 * 1.15 * LB * 0.92 / 0.98)  # culls come on top of what is saleable


def test_no_more_blocks_are_sold_than_there_are(tmp_path: Path) -> None:
    farm = small(tmp_path)
    growers = farm.block_customer[0].but(takes={"shiitake": 110.0})
    usual = flow.flow(farm.but(block_customer=(growers,)), "shiitake")
    assert (usual.promised, usual.sold, usual.fruited) == (110, 96, 0)


def test_racks_by_littles_law(tmp_path: Path) -> None:
    """Shiitake: 100 a week for 44/3 + 80 d, the bad 4 % until they show (49/3 d) and half a week passes to a look.

    Oyster, bought: 50 a week for 4 d.
    """
    good, bad = 44 / 3 + 80, 49 / 3 + 3.5
    wanted = 100 / 7 * (0.96 * good + 0.04 * bad) + 50 / 7 * 4
    assert averages.rack_need(small(tmp_path)) == pytest.approx(wanted)


def test_a_lot_keeps_its_shelf_from_the_call_until_it_is_cleared(tmp_path: Path) -> None:
    """Cold shock 24 h and soak 24 h; first pick 9 d; last of a lot 2.25 d later, twice more rest 5 d, soak 1 d, 7 d."""
    shiitake = small(tmp_path).strain["shiitake"]
    assert flow.before_the_shelf(shiitake) == 48.0
    assert flow.shelf_hours(shiitake) == pytest.approx(24 * (9 + 2.25 + 2 * (5 + 1 + 7 + 2.25) + 0.5))


def test_hours_by_duty(tmp_path: Path) -> None:
    farm = small(tmp_path)
    hours = averages.duty_hours(farm)
    assert hours["mix"] == pytest.approx(100 / 60)
    assert hours["inoculate"] == pytest.approx(100 / 30)
    assert hours["inspect"] == pytest.approx(averages.rack_need(farm) / 400)
    assert hours["soak"] == pytest.approx(76 * 3 * (1 / 90 + 1 / 80))
    assert hours["clean"] == pytest.approx(9 / 10)
    oyster = flow.flow(farm, "oyster").fruited
    assert hours["open"] == pytest.approx(76 * (1 / 60 + 20 / 3600) + oyster / 70)
    assert hours["clear"] == pytest.approx((76 + oyster) / 90)


def test_mornings_on_which_a_lot_is_looked_over() -> None:
    farm = load(SHIPPED / "tiny.toml")
    strain = farm.strain["blue-oyster"]
    assert flow.mornings_looked_over(strain, 1) == 1.0
    together = strain.but(spread=0.0)
    assert flow.mornings_looked_over(together, 50) == 1.0
    assert 4 < flow.mornings_looked_over(strain.but(spread=24.0), 50) < 6


def test_hours_of_a_crew(tmp_path: Path) -> None:
    """Makers: 2 people, 5 days of 7.5 h. Growers: 2 people, 5 days of 8 h each, 4 % missed."""
    makers, growers = small(tmp_path).crew
    assert averages.crew_hours(makers) == 2 * 5 * 7.5
    assert averages.crew_hours(growers) == pytest.approx(2 * 5 * 8 * 0.96)
    assert averages.days_worked(growers) == ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def test_a_duty_goes_to_the_crew_that_names_it_earliest(tmp_path: Path) -> None:
    farm = small(tmp_path, '["inoculate", "mix", "inspect"]', '["inoculate", "mix", "inspect", "pick"]')
    first = averages.first_for(farm, "pick")
    assert first is not None
    assert first.name == "growers"
    makers = averages.crew_needs(farm)[0]
    assert makers.note.endswith("; helps with pick")
    assert averages.first_for(farm, "nothing") is None


def test_hours_in_which_somebody_is_there_are_counted_once(tmp_path: Path) -> None:
    farm = small(tmp_path, '["inoculate", "mix", "inspect"]', '["inoculate", "mix", "inspect", "open"]')
    assert averages.open_hours(farm, "open") == 7 * 8
    find = 'hours    = { mon-fri = "06:00-14:00", break = "30 min" }\nduties   = ["inoculate", "mix", "inspect"]'
    later = small(
        tmp_path, find, 'hours = { mon-fri = "10:00-18:00" }\nduties = ["inoculate", "mix", "inspect", "open"]'
    )
    assert averages.open_hours(later, "open") == 5 * 12 + 2 * 8


def test_loads_are_not_shared_between_lines_or_days(tmp_path: Path) -> None:
    assert averages.loads_a_week(small(tmp_path)) == 1
    assert (
        averages.loads_a_week(small(tmp_path, 'days   = ["mon"]\n\n[[start]]', 'days = ["mon", "thu"]\n\n[[start]]'))
        == 2
    )
    assert averages.loads_a_week(bare(tmp_path)) == 0


def test_a_tank_takes_a_lot_a_night(tmp_path: Path) -> None:
    """76 blocks a week three times over, in lots of 50: 4.56 tank nights of 2 tanks and 7 nights."""
    tanks = next(need for need in averages.place_needs(small(tmp_path)) if need.name == "Soak tanks")
    assert (tanks.need, tanks.have) == (pytest.approx(4.56), 14)
    assert tanks.share == pytest.approx(4.56 / 14)


def test_nights_need_somebody_before_and_after(tmp_path: Path) -> None:
    farm = small(tmp_path, 'days     = "5 a week, rotating"', 'days     = ["mon", "tue", "wed", "sat"]')
    assert averages.soaking_nights(farm) == 2  # Mon and Tue; nobody comes on Thu or Sun


def test_a_crate_waits_for_the_next_delivery(tmp_path: Path) -> None:
    """Tue and Fri 08:30: gaps of 72 and 96 h, so on average (72^2 + 96^2) / (2 x 168) h."""
    farm = small(tmp_path)
    assert flow.fresh_hours(farm, "shiitake") == pytest.approx((72**2 + 96**2) / 336)
    assert flow.longest_gap(farm, "shiitake") == 96
    unpromised = small(tmp_path, 'oyster = "20 lb a delivery", ', "")
    assert flow.fresh_hours(unpromised, "oyster") == unpromised.strain["oyster"].shelf_life
    assert flow.longest_gap(unpromised, "oyster") == 0.0


def test_rooms_are_counted_for_the_strains_that_need_them(tmp_path: Path) -> None:
    """Shiitake (16-20 degC) fits North only; oyster fits both."""
    farm = small(tmp_path)
    rooms = [need for need in averages.place_needs(farm) if need.unit == "shelf places"]
    assert [(need.name, need.have, need.note) for need in rooms] == [
        ("Room North", 800, "for shiitake alone"),
        ("All rooms", 1400, ""),
    ]
    assert rooms[0].need == pytest.approx(averages.shelf_places(farm, "shiitake"))


def test_nothing_needed_of_nothing_is_no_share() -> None:
    assert averages.Need("A", "h", 0, 0, ()).share == 0
    assert averages.Need("A", "h", 1, 0, ()).share == float("inf")


def test_the_lead_in_covers_the_longest_life(tmp_path: Path) -> None:
    farm = small(tmp_path)
    longest = flow.life(farm.strain["shiitake"], 24 * (44 / 3 + 80)) + 2 * flow.life_sd(farm.strain["shiitake"]) + 48
    weeks = averages.lead_in_weeks(farm)
    assert weeks - 3 < longest / 168 <= weeks - 2
    assert averages.lead_in_weeks(farm.but(farm=farm.farm.but(lead_in=3))) == 3
    assert averages.lead_in_weeks(farm.but(farm=farm.farm.but(begin="empty", lead_in=3))) == 0
    assert averages.lead_in_weeks(bare(tmp_path)) < 10


def test_the_four_rooms_are_in_use_as_they_should_be() -> None:
    """About 1,900 blocks a week, a quarter sold ready to fruit, four crews near 80 %, no place above 92 %."""
    farm = load(SHIPPED / "four-rooms.toml")
    flows = flow.flows(farm)
    assert sum(usual.started for usual in flows) == 1900
    assert 0.22 < sum(usual.sold for usual in flows) / 1900 < 0.28
    assert len(farm.strain) == 6
    assert {customer.kind for customer in farm.customer} == {"standing", "call-off", "market stall", "outlet"}
    owner = next(crew.name for crew in farm.crew if crew.paid == "as owner")
    crews = [need for need in averages.crew_needs(farm) if need.name != owner]
    assert len(crews) == 4
    assert all(0.65 < crew.share < 0.92 for crew in crews)
    assert 0.75 < sum(crew.need for crew in crews) / sum(crew.have for crew in crews) < 0.85
    assert all(need.share < 0.92 for need in averages.place_needs(farm))
    assert all(promise.promised <= promise.brings for promise in outlook.promises(farm))


@pytest.mark.parametrize(("name", "blocks"), [("large", 10_000), ("bench-5000", 5_000)])
def test_the_larger_farms_are_as_large_as_they_say_and_fit(name: str, blocks: int) -> None:
    farm = load(SHIPPED / f"{name}.toml")
    assert sum(usual.started for usual in flow.flows(farm)) == blocks
    assert all(need.share < 0.95 for need in averages.needs(farm))


def test_the_tiny_farm_makes_no_blocks() -> None:
    farm = load(SHIPPED / "tiny.toml")
    assert all(line.made == "bought" for line in farm.start)
    assert (len(farm.room), len(farm.crew), farm.sterilizer) == (1, 1, None)


# --- promises nobody can keep -------------------------------------------------------------------------

TOO_MUCH = ('shiitake = "20 blocks a week"', 'shiitake = "95 blocks a week"')


def test_mushrooms_of_blocks_that_are_all_sold_cannot_be_promised(tmp_path: Path) -> None:
    with pytest.raises(
        ScenarioFault, match=r"80 lb a week of shiitake are promised, the plan brings 1\.08 lb a week of"
    ):
        small(tmp_path, *TOO_MUCH)


def test_they_can_where_our_own_rooms_come_first(tmp_path: Path) -> None:
    text = SMALL.replace(*TOO_MUCH).replace('"promised blocks first"', '"own rooms first"')
    assert written(tmp_path, text).rules.ripe_blocks == "own rooms first"
