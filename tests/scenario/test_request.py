"""What is asked of a lender, and past years of the books: read, read back, heard by no run, and every fault with its line."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path

import pytest

from farmsim.scenario.assumed import assumed
from farmsim.scenario.check_page import page
from farmsim.scenario.farm import Farm
from farmsim.scenario.fingerprint import fingerprint
from farmsim.scenario.read import load
from farmsim.scenario.readback import read_back

from .farms import SHIPPED, faults_of, written
from .test_books import TEXT as BOOKS
from .test_faults import Case, cases, named

ASKED = """
[request]
purpose     = "a second soak tank"
loan        = "bank"
opens       = 2027-03-01
why         = "Ripe lots wait for the tank on four nights of five."
prepared_by = "the growers"
prepared_on = 2026-12-01
needs       = 1.25
terms_of    = 2026-11-20
terms_from  = "loan officer"
discount    = "8 % a year"

[[past_year]]
ends             = 2025-12-31
sales            = "$81,000"
net_farm_income  = "-$2,500"
books_from       = "tax return"

[[past_year]]
name             = "last year"
ends             = 2026-12-31
sales            = "$84,500"
paid_principal   = "$4,000"
books_from       = "tax return"
"""
TEXT = BOOKS + ASKED
OPENS = '\n[[phase]]\nname = "the tank is there"\nfrom = 2027-03-01\n[phase.change.soak]\ntanks = 3\n'


def asked(folder: Path, find: str = "", put: str = "") -> Farm:
    assert not find or TEXT.count(find) == 1, find
    return written(folder, TEXT.replace(find, put) if find else TEXT)


def test_a_request_and_past_years_are_read(tmp_path: Path) -> None:
    farm = asked(tmp_path)
    assert farm.request is not None
    assert (farm.request.loan, farm.request.opens, farm.request.needs) == ("bank", date(2027, 3, 1), 1.25)
    assert (farm.request.needs_of, farm.request.discount) == ("term debt coverage", 0.08)
    assert [(year.called, year.sales, year.net_farm_income) for year in farm.past_year] == [
        ("year to 2025-12-31", 81_000.0, -2_500.0),
        ("last year", 84_500.0, None),
    ]


def test_a_request_is_read_back(tmp_path: Path) -> None:
    assert dict(read_back(asked(tmp_path)))["ASKED FOR"] == [
        "A lender is asked for bank, $6,500, for a second soak tank, which takes its first blocks on 1 Mar 2027; prepared by "
        "the growers on 1 Dec 2026.",
        "Why, in the farm's own words: Ripe lots wait for the tank on four nights of five.",
        "The lender asks for a term debt coverage of at least 1.25 (loan officer, of 20 Nov 2026).",
        "The owner wants money to earn 8 % a year: present values are reckoned with it.",
        "Sales of the past years to 31 Dec 2025 $81,000 and 31 Dec 2026 $84,500 (tax return); no run reads them.",
    ]
    assert "ASKED FOR" not in dict(read_back(written(tmp_path, BOOKS)))


def test_a_request_without_sources_says_so(tmp_path: Path) -> None:
    text = re.sub(
        r"(?m)^(terms_of    = 2026-11-20|terms_from  = .loan.*|why .*|prepared.*|discount.*|books_from.*)\n", "", ASKED
    )
    assert dict(read_back(written(tmp_path, BOOKS + text)))["ASKED FOR"] == [
        "A lender is asked for bank, $6,500, for a second soak tank, which takes its first blocks on 1 Mar 2027.",
        "The lender asks for a term debt coverage of at least 1.25 (nobody and no day is given for it).",
        "Sales of the past years to 31 Dec 2025 $81,000 and 31 Dec 2026 $84,500 (no source is given); no run reads them.",
    ]
    text = text.replace("needs       = 1.25\n", "")
    told = dict(read_back(written(tmp_path, BOOKS + text)))["ASKED FOR"]
    assert told[1] == "It is not said which coverage of its payments the lender asks for."


def test_an_opening_on_which_nothing_changes_is_told(tmp_path: Path) -> None:
    said = "The request says that the new part takes its first blocks on 1 Mar 2027, but nothing of the farm changes on that"
    assert said in re.sub(r"\s+", " ", page(asked(tmp_path)))
    assert said not in re.sub(r"\s+", " ", page(written(tmp_path, TEXT + OPENS)))


def test_no_run_hears_of_a_request(tmp_path: Path) -> None:
    """Neither what tells runs apart nor the list of assumptions; another bench is heard."""
    plain, with_request = written(tmp_path, BOOKS + OPENS), written(tmp_path, TEXT + OPENS)
    assert plain != with_request
    assert fingerprint(plain, 52, 10) == fingerprint(with_request, 52, 10)
    assert assumed(plain) == assumed(with_request)
    other = written(tmp_path, (TEXT + OPENS).replace("benches = 1", "benches = 2"))
    assert fingerprint(plain, 52, 10) != fingerprint(other, 52, 10)


def test_a_request_demands_what_the_books_demand(tmp_path: Path) -> None:
    """Without [balance] too, so that all that is missing is told at once."""
    text = TEXT[: TEXT.index("[balance]")] + ASKED
    for find in ('price = "$3/lb"\n', 'paid     = "as owner"\n'):
        assert text.count(find) == 1
        text = text.replace(find, "")
    (tmp_path / "farm.toml").write_text(text, encoding="utf-8")
    told = "\n".join(faults_of(tmp_path / "farm.toml"))
    assert (
        "customer outlet, price: gives no price for shiitake, oyster; needs one for all it takes: with [request] "
        in told
    )
    assert (
        "crew growers, wage: is not given; needs one for all who are paid by the hour: with [request] books are" in told
    )
    assert "request: there is no [balance]; needs the opening balance sheet. Add [balance] with cash =" in told


@pytest.mark.parametrize("case", cases("broken_request.toml"), ids=named)
def test_a_fault_of_a_request_is_told(case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    find, put = str(case["find"]), str(case["put"])
    assert TEXT.count(find) == 1, find
    Path("farm.toml").write_text(TEXT.replace(find, put), encoding="utf-8")
    assert faults_of("farm.toml") == case["says"]


@pytest.mark.parametrize("case", cases("broken_expansions.toml"), ids=named)
def test_a_fault_of_an_expansion_is_told(case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("small.toml").write_text(BOOKS, encoding="utf-8")
    Path("change.toml").write_text(str(case["file"]), encoding="utf-8")
    assert faults_of("change.toml") == case["says"]


def test_the_shipped_case_hangs_together() -> None:
    """What is asked for pays for the room that opens on its day; sources are uses, and those who buy have a price."""
    farm = load(SHIPPED / "fifth-room-loan.toml")
    request, new = farm.request, [item for item in farm.capital if "annex" in item.name]
    assert request is not None
    loan = next(each for each in farm.loan if each.name == request.loan)
    sources = loan.amount + sum(item.payers.get("owner", 0.0) + item.payers.get("cash", 0.0) for item in new)
    assert sources == pytest.approx(sum(item.spent for item in new) + loan.working_money) == 200_000.0
    days = {farm.farm.start + timedelta(hours=since): state for since, state in farm.changes}
    rooms = {day: [room.name for room in state.room] for day, state in days.items()}
    assert min(day for day, names in rooms.items() if "Annex" in names) == request.opens
    before = {each.name for each in farm.customer}
    last = farm.changes[-1][1]
    assert [each.firm for each in last.customer if each.name not in before] == ["signed", "letter", "hoped for"]
    assert "nothing of the farm changes on that day" not in re.sub(r"\s+", " ", page(farm))


def test_the_past_years_of_the_shipped_case_add_up() -> None:
    """Net farm income is what operations leave after depreciation and interest."""
    years = load(SHIPPED / "fifth-room-loan.toml").past_year
    assert [year.called for year in years] == ["2024", "2025", "2026"]
    for year in years:
        assert None not in (year.operating_income, year.depreciation, year.interest, year.net_farm_income)
        left = (year.operating_income or 0.0) - (year.depreciation or 0.0) - (year.interest or 0.0)
        assert left == pytest.approx(year.net_farm_income)
