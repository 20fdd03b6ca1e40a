"""Terms of block customers: read from a file, checked against one another, read back, and counted in the averages."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.scenario import averages, flow
from farmsim.scenario.assumed import assumed
from farmsim.scenario.block_sales import BlockCustomer
from farmsim.scenario.farm import Farm
from farmsim.scenario.readback import read_back
from farmsim.scenario.rules import Rules
from farmsim.scenario.seasons import AS_USUAL, Months
from farmsim.scenario.values import DAYS, Range

from .farms import SMALL, change, small, written

D, W = 24.0, 168.0

TERMS = """
takes  = { shiitake = "20 blocks a week", varies = 0.25 }
age    = "-10 d to 8 d"
months = ["sep-feb"]
season = [1, 1, 1, 1, 1, 1, 1, 1, 1, 1.5, 1, 0.5]
part_deliveries = false
patience  = "2 weeks"
boxing    = "80 blocks/h each"
fails     = "2 %"
made_good = "replacement"
notice = "2 weeks\""""
TAKES = 'takes  = { shiitake = "20 blocks a week", varies = 0.25 }\nnotice = "2 weeks"'
BOXER = ('"clear", "clean"]', '"clear", "clean", "box"]')


def small_terms(folder: Path) -> Farm:
    """The small farm with one block customer who has all terms; the file names a crew that boxes."""
    text = SMALL.replace(TAKES, TERMS.strip()).replace(*BOXER)
    assert text.count('"box"') == 1
    return written(folder, text)


def test_every_term_is_read_from_a_file(tmp_path: Path) -> None:
    grower = small_terms(tmp_path).block_customer[0]
    assert grower.age == Range(-10 * D, 8 * D)
    assert grower.months == ("jan", "feb", "sep", "oct", "nov", "dec")
    assert (grower.season[9], grower.part_deliveries, grower.patience) == (1.5, False, 2 * W)
    assert (grower.boxing, grower.boxed_from, grower.fails, grower.made_good) == (80.0, D, 0.02, "replacement")
    assert (grower.kind, grower.unfilled, grower.follows, grower.takes_unripe) == (
        "standing",
        None,
        "next carrier day",
        True,
    )


def test_every_term_is_read_back(tmp_path: Path) -> None:
    assert dict(read_back(small_terms(tmp_path)))["PROMISED"][-1] == (
        "growers is promised 20 blocks of shiitake a week, colonised, on Mon, leaving by 12:00, known 14 d before; orders "
        "vary by 25 %; what is short follows the next carrier day, for 14 d at most. It buys in Jan, Feb, Sep, Oct, Nov "
        "and Dec. Its season, % of usual: Jan 100, Feb 100, Mar 100, Apr 100, May 100, Jun 100, Jul 100, Aug 100, Sep "
        "100, Oct 150, Nov 100, Dec 50. Blocks 10 d before they are ripe to 8 d after they are ripe, never before they "
        "are colonised. Nothing leaves until the whole order is there. Boxed, 80 blocks/h a person, from 24 h before they "
        "leave; what is not boxed stays. 2 % of them fail later and are replaced with the next order."
    )


def test_how_firm_it_is_that_blocks_are_bought_is_read_back_where_it_is_said(tmp_path: Path) -> None:
    farm = written(tmp_path, SMALL.replace(TAKES, f'{TAKES}\nfirm = "letter"'))
    assert farm.block_customer[0].firm == "letter" and small(tmp_path).block_customer[0].firm == "by habit"
    assert dict(read_back(farm))["PROMISED"][-1].endswith("what is short is lost. It has given a letter of intent.")


def test_a_customer_without_terms_is_read_back_in_short(tmp_path: Path) -> None:
    assert dict(read_back(small(tmp_path)))["PROMISED"][-1] == (
        "growers is promised 20 blocks of shiitake a week, ready to fruit, on Mon, leaving by 12:00, known 14 d before; "
        "orders vary by 25 %; what is short is lost."
    )


@pytest.mark.parametrize(
    ("rules", "said"),
    [
        (Rules(), "A ripe lot is called in when a shelf is free."),
        (Rules(sold_first="freshest first"), "Of ripe blocks the freshest are sold first."),
        (
            Rules(call_in="on moving days", moving_days=("mon", "thu")),
            "A ripe lot is called in on moving days, Mon and Thu, when a shelf is free.",
        ),
        (Rules(surplus_blocks="wait on the rack"), "Surplus blocks wait on the rack and are not held cold."),
        (
            Rules(surplus_blocks="fruit"),
            "Ripe blocks with at most 2 d of their time left go to our own rooms, even if they are promised.",
        ),
        (
            Rules(surplus_blocks="sell cheap"),
            "Ripe blocks with at most 2 d of their time left, and promised to nobody, are sold cheap.",
        ),
    ],
)
def test_rules_on_ripe_blocks_are_read_back(tmp_path: Path, rules: Rules, said: str) -> None:
    plain = dict(read_back(small(tmp_path)))["RULES"]
    told = dict(read_back(small(tmp_path).but(rules=rules)))["RULES"]
    assert said in told
    assert rules == Rules() or said not in plain


def test_an_outlet_is_read_back(tmp_path: Path) -> None:
    farm = small(tmp_path)
    yard = BlockCustomer(name="yard", kind="outlet", takes="anything", days=("sat",))
    told = dict(read_back(farm.but(block_customer=(*farm.block_customer, yard))))["PROMISED"][-1]
    assert told == "yard takes surplus blocks, any number, on Sat, leaving by 12:00."


def test_a_change_set_can_change_a_term(tmp_path: Path) -> None:
    text = 'based_on = "small.toml"\n[change.block_customer.growers]\npatience = "1 week"\n'
    after = change(tmp_path, text)
    assert after.block_customer[0].patience == W


# --- rules that tie terms together ------------------------------------------------------------------------------------


def test_figures_without_a_say_are_no_assumed(tmp_path: Path) -> None:
    farm = small(tmp_path)
    plain = {each.path[-1] for each in assumed(farm)}
    boxed = farm.block_customer[0].but(boxing=80.0, fails=0.1)
    told = {each.path[-1] for each in assumed(farm.but(block_customer=(boxed,)))}
    moving = {each.path[-1] for each in assumed(farm.but(rules=Rules(call_in="on moving days")))}
    assert told - plain == {"boxing", "boxed_from", "made_good"}
    assert moving - plain == {"moving_days"}


# --- averages -----------------------------------------------------------------------------------------------------------


def test_own_months_and_season_are_on_top_of_those_of_all_orders(tmp_path: Path) -> None:
    """20 a week in 6 of 12 months, one of them half and one of them half as much again; all orders doubled in December."""
    months = Months(block_orders=(*AS_USUAL[:11], 2.0))
    usual = flow.flow(small_terms(tmp_path).but(months=months), "shiitake")
    replaced = 1 / (1 - 0.02)  # what fails is replaced, and of the replacements the same share again
    assert usual.promised == pytest.approx(20 * (1 + 1 + 1 + 1.5 + 1 + 2 * 0.5) / 12 * replaced)


def test_boxing_takes_hours(tmp_path: Path) -> None:
    grower = small(tmp_path).block_customer[0].but(boxing=40.0)
    assert averages.duty_hours(small(tmp_path).but(block_customer=(grower,)))["box"] == pytest.approx(20 / 40)


def test_who_finishes_the_ripening_spares_rack_hours(tmp_path: Path) -> None:
    """20 blocks a week are taken 10 d before they are ripe; they wait half a week for the carrier."""
    farm = small(tmp_path)
    early = farm.but(block_customer=(farm.block_customer[0].but(age=Range(-10 * D, 8 * D)),))
    spared = 20 * (10 - 3.5) / 7
    assert averages.rack_need(farm) - averages.rack_need(early) == pytest.approx(spared)


def test_no_more_is_spared_than_there_is_of_ripening(tmp_path: Path) -> None:
    farm = small(tmp_path)
    oyster = farm.block_customer[0].but(takes={"oyster": 20.0}, days=DAYS, age=Range(-30 * D, 8 * D))
    plain = farm.but(block_customer=(oyster.but(age=None),))
    spared = averages.rack_need(plain) - averages.rack_need(farm.but(block_customer=(oyster,)))
    assert spared == pytest.approx(20 * (4 - 0.5) / 7)  # bought, ripe 4 d after delivery
