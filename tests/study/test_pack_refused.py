"""What cannot be told to a lender, with its texts; an expansion that stands in several files."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

import farmsim
from farmsim.scenario.farm import Farm
from farmsim.study.books import NoBooks
from farmsim.study.bounds import NotAllowed
from farmsim.study.pack import pack
from farmsim.study.pack_refused import NoPack, base_file, can_be_told
from farmsim.study.pool import Where
from farmsim.study.trials import Brief, Tally

HERE = Path(__file__).parent
CHANGE = HERE / "lean-to.toml"
SCENARIOS = HERE.parents[1] / "scenarios"
SHED = (HERE / "shed-with-books.toml").read_text(encoding="utf-8").replace("../../scenarios", str(SCENARIOS))


@pytest.fixture(scope="module")
def base() -> Farm:
    return farmsim.load(HERE / "shed-with-books.toml")


@pytest.fixture(scope="module")
def expanded() -> Farm:
    return farmsim.load(CHANGE)


def refused(base: Farm, expanded: Farm, change: Path = CHANGE, years: int = 1) -> str:
    with pytest.raises(NoPack) as caught:
        pack(base, expanded, change, 2, 2, years, Brief(where=Where(1)))
    assert caught.value.exit_code == 2
    return str(caught.value)


def test_an_expansion_of_another_farm_is_refused(base: Farm, expanded: Farm) -> None:
    other = base.but(fixed_cost=())
    assert refused(other, expanded) == (
        "lean-to.toml is based on shed-with-books.toml, that on tiny.toml, and One shed: with books is another farm, so what "
        "differs would not be the expansion. Name shed-with-books.toml or tiny.toml as the farm."
    )
    assert refused(base, expanded, SCENARIOS / "tiny.toml").startswith(
        "tiny.toml is no change set: it is based on no farm. Name the farm's file first, the change set second."
    )


def test_all_that_is_missing_is_told_at_once(base: Farm, tmp_path: Path) -> None:
    (tmp_path / "shed-with-books.toml").write_text(SHED, encoding="utf-8")
    change = tmp_path / "undated.toml"
    change.write_text('based_on = "shed-with-books.toml"\n[change.crew.owner]\npeople = 2\n', encoding="utf-8")
    undated, silent = refused(base, farmsim.load(change), change).splitlines()
    assert undated == (
        "undated.toml changes the farm on no day, as if all of it stood from the start on. Write a [[phase]] with name and "
        "from for each step: building, opening, filling up."
    )
    assert silent == (
        'undated.toml asks for nothing. Add [add.request] with purpose = "a fifth fruiting room", loan = the name of its new '
        "[[loan]], and opens = the Monday on which the new part takes its first blocks."
    )


def test_what_opens_after_the_books_is_refused(base: Farm, expanded: Farm) -> None:
    assert expanded.request is not None
    late = expanded.but(request=expanded.request.but(opens=date(2028, 3, 6)))
    assert (
        refused(base, late) == "a lean-to opens on 2028-03-06, but 1 year of books end on 2028-01-03. Ask for 2 years."
    )
    never = expanded.but(request=expanded.request.but(opens=date(2040, 3, 5)))
    assert refused(base, never, years=2).endswith("At most 9 can be told: let it open earlier.")


def test_what_is_late_altogether_is_one_fault_with_as_many_years_as_all_of_it_takes(base: Farm, expanded: Farm) -> None:
    assert expanded.request is not None
    loan, late = expanded.loan[-1], expanded.but(request=expanded.request.but(opens=date(2028, 3, 6)))

    def paid_from(day: date) -> str:
        return refused(base, late.but(loan=(*expanded.loan[:-1], loan.but(from_=day, first_payment=None))))

    assert paid_from(date(2028, 2, 7)) == (
        "a lean-to opens on 2028-03-06, but 1 year of books end on 2028-01-03. Ask for 3 years."
    )
    opens, never = paid_from(date(2037, 2, 7)).splitlines()
    assert opens.endswith("Ask for 2 years.") and never.endswith("At most 9 can be told: let it begin earlier.")


def test_books_that_cannot_be_kept_are_refused_before_anything_is_run(base: Farm, expanded: Farm) -> None:
    shop, outlet = expanded.customer
    tally = Tally()
    with pytest.raises(NoBooks, match="no price is given for farm shop"):
        pack(base, expanded.but(customer=(shop.but(price=None), outlet)), CHANGE, 2, 2, 1, Brief(tally=tally))
    assert tally.done == 0
    with pytest.raises(NotAllowed, match="stress runs is 1; needs a whole number from 2"):
        pack(base, expanded, CHANGE, 2, 1, 1, Brief())


def test_files_in_the_wrong_order_are_told_so(base: Farm, expanded: Farm) -> None:
    shed = HERE / "shed-with-books.toml"
    with pytest.raises(NoPack) as caught:
        can_be_told(expanded, base, shed, 1, CHANGE)
    assert str(caught.value) == (
        "lean-to.toml is based on shed-with-books.toml, so it is the expansion and not the farm: change the order of the two, "
        "shed-with-books.toml first."
    )


def test_books_hold_a_whole_year_of_payments(base: Farm, expanded: Farm) -> None:
    """Those of interest only are payments too; a loan that is repaid sooner has no more of them."""
    loan = expanded.loan[-1]
    late = expanded.but(loan=(*expanded.loan[:-1], loan.but(first_payment=date(2027, 2, 18))))
    assert refused(base, late) == (
        "No year of the books holds a whole year of payments of lean-to loan, the first of which is due on 2027-02-18, and 1 "
        "year of books end on 2028-01-03. Ask for 2 years."
    )
    short = late.loan[-1].but(years=0.5, interest_only=0)
    assert can_be_told(base, late.but(loan=(*late.loan[:-1], short)), CHANGE, 1).loan == "lean-to loan"


# --- an expansion in several files ------------------------------------------------------------------------------------


def test_what_a_bank_wants_to_see_is_a_change_set_on_the_expansion(base: Farm, tmp_path: Path) -> None:
    """As README tells it: all the dates below it are those of the expansion, and come later with it."""
    (tmp_path / "shed-with-books.toml").write_text(SHED, encoding="utf-8")
    (tmp_path / "lean-to.toml").write_text(CHANGE.read_text(encoding="utf-8"), encoding="utf-8")
    change = tmp_path / "our-bank.toml"
    shares = ("prices", "yield", "contaminated", "wages", "energy")
    none = "".join(f'{name} = "0 %"\n' for name in shares) + 'interest = "0 % a year"\n'
    only = f"{none}late = 8\nlargest_customer = false\ntogether = []\n"
    text = f'based_on = "lean-to.toml"\n[add.stress]\n{only}'
    change.write_text(text, encoding="utf-8")
    found = pack(base, farmsim.load(change), change, 2, 2, 1, Brief(where=Where(1)), matters=False)
    (late,) = found.stress
    assert (late.told, late.simulated) == ("Opening 8 weeks late", True)
    assert late.coverage is not None and late.coverage != late.planned_coverage
    with pytest.raises(NoPack, match=r"our-bank\.toml changes the farm on no day"):
        can_be_told(farmsim.load(CHANGE), farmsim.load(change), change, 1)


def test_a_change_set_that_only_asks_is_part_of_the_expansion(base: Farm, tmp_path: Path) -> None:
    """No run tells its farm from the one below it, so that both are the farm of this name; the farthest is meant."""
    (tmp_path / "shed-with-books.toml").write_text(SHED, encoding="utf-8")
    year = 'based_on = "shed-with-books.toml"\n[add.past_year.2023]\nends = 2023-12-31\nsales = "$55,000"\n'
    (tmp_path / "older.toml").write_text(year, encoding="utf-8")
    change = tmp_path / "lean-to.toml"
    change.write_text(CHANGE.read_text(encoding="utf-8").replace("shed-with-books", "older"), encoding="utf-8")
    assert [each.ends.year for each in farmsim.load(change).past_year] == [2025, 2026, 2023]
    assert base_file(base, change) == tmp_path / "shed-with-books.toml"
    assert base_file(base.but(fixed_cost=()), change) is None


def test_an_expansion_may_come_on_the_mondays_on_which_the_farm_itself_changes(base: Farm, tmp_path: Path) -> None:
    """Both change the same farm on one day, each something of its own."""
    grows = SHED + '\n[[phase]]\nname = "more owners"\nfrom = 2027-03-15\n[phase.change.crew.owner]\npeople = 2\n'
    (tmp_path / "shed-with-books.toml").write_text(grows, encoding="utf-8")
    text = CHANGE.read_text(encoding="utf-8")
    parts = text.split("[[phase]]")
    change = tmp_path / "lean-to.toml"
    change.write_text("[[phase]]".join((parts[0], parts[2])), encoding="utf-8")
    farm, expanded = farmsim.load(tmp_path / "shed-with-books.toml"), farmsim.load(change)
    assert {since for since, _ in expanded.changes} == {since for since, _ in farm.changes}
    assert can_be_told(farm, expanded, change, 1).purpose == "a lean-to"
