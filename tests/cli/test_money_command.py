"""`farmsim money` as a user meets it: the screen, the folder, JSON, and what it says when something is wrong."""

import json
from pathlib import Path
from subprocess import CompletedProcess

import pytest
from as_user import farmsim_in

import farmsim

ROOT = Path(farmsim.__file__).parents[1]
TINY = ROOT / "scenarios" / "tiny.toml"
BOOKS = f'''based_on = "{TINY}"
name = "with books"

[change.customer."farm shop"]
price = "$11/lb"
pays_after = "14 d"

[change.customer.neighbours]
price = "$2/lb"

[change.crew.owner]
paid = "as owner"

[add.materials]
bought = "$5 a block"

[add.loan.shed]
amount = "$9,000"
rate   = "7 % a year"
from   = 2026-12-15
years  = 5

[add.balance]
cash = "$1,500"
'''
QUICK = ("--runs", "2", "--workers", "1")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("user")
    (folder / "books.toml").write_text(BOOKS, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def ran(here: Path) -> CompletedProcess[str]:
    return farmsim_in(here, "money", "books.toml", *QUICK)


def test_sentences_come_before_the_statements(ran: CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.startswith("One shed: with books: books of 1 year from Mon 4 Jan 2027, 2 runs\n")
    places = [
        ran.stdout.index(text) for text in ("THE YEAR", "CASH  ", "DEBT PAYMENTS", "INCOME, on average", "HOW SURE")
    ]
    assert places == sorted(places) and "WRITTEN       outputs/books-money/" in ran.stdout


def test_the_folder_holds_the_books(here: Path, ran: CompletedProcess[str]) -> None:
    folder = here / "outputs" / "books-money"
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {
        "run.json", "about.json", "screen.txt", "answer.json", "years.csv", "months.csv", "loans.csv", "strains.csv",
        "books_years.csv", "books_months.csv", "books.xlsx", "figures/cash.png", "figures/cash.svg", "scenario/books.toml",
        "scenario/tiny.toml",
    }  # fmt: skip
    assert (folder / "screen.txt").read_text() in ran.stdout


def test_the_same_bytes_again_from_stored_runs(here: Path, ran: CompletedProcess[str]) -> None:
    done = farmsim_in(here, "money", "books.toml", *QUICK, "--json", "--out", "outputs/again")
    one, two = here / "outputs" / "books-money", here / "outputs" / "again"
    assert json.loads(done.stdout) == json.loads((one / "answer.json").read_text())
    for path in one.rglob("*"):
        if path.is_file() and path.name != "about.json":
            assert path.read_bytes() == (two / path.relative_to(one)).read_bytes(), path.name


@pytest.mark.parametrize(
    ("find", "put", "told"),
    [
        (
            'price = "$2/lb"',
            'pays_after = "2 d"',
            "customer neighbours, price: gives no price for blue-oyster, lions-mane; needs one for all it takes: with "
            '[balance] books are kept. Add it, such as "$9/lb", or "$0" for a gift.',
        ),
        ('cash = "$1,500"', 'cash = "1500 EUR"', 'balance, cash: is "1500 EUR"; needs money in USD.'),
        ('[add.balance]\ncash = "$1,500"\n', "", "loan shed: there is no [balance]; needs the opening balance sheet."),
    ],
)
def test_what_is_wrong_in_the_file_is_told_with_its_line(here: Path, find: str, put: str, told: str) -> None:
    assert BOOKS.count(find) == 1
    (here / "wrong.toml").write_text(BOOKS.replace(find, put), encoding="utf-8")
    done = farmsim_in(here, "money", "wrong.toml", "--out", "nothing")
    assert done.returncode == 2 and told in done.stderr, done.stderr
    assert done.stderr.startswith(("wrong.toml:", f"{TINY}:", "tiny.toml:")) and not (here / "nothing").exists()


def test_a_farm_without_prices_has_no_books(here: Path) -> None:
    done = farmsim_in(here, "money", str(TINY), "--out", "nothing")
    assert done.returncode == 2 and "Error: no price is given for farm shop, neighbours: the books" in done.stderr
    assert "Traceback" not in done.stderr and not (here / "nothing").exists()
