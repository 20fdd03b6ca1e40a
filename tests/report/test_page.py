"""`report.html`: well formed, self-contained, readable without its pictures, and true to the tables beside it."""

import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from test_growth import grown, phase
from test_own_year import picked, year

import farmsim
from farmsim.report import page, pictures
from farmsim.report.page_tables import label
from farmsim.report.screen import screen
from farmsim.report.words import POUND
from farmsim.study.answers import Answers, Settled, Week
from farmsim.study.money_answers import Money
from farmsim.study.replicate import Result
from farmsim.study.year import Factors, Open, Still, Year

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
VOID = {"meta", "img", "br", "col"}
YEAR = Year(
    (Factors("ice", "how much ice is bought", (1.0,) * 11 + (1.5,), 12.5 / 12),),
    (Open("oyster", "started", (True,) * 6 + (False,) * 6),),
    (Open("East", "rests", (False,) * 11 + (True,)),),
    (Still("Christmas", "2027-12-24", "2027-12-26", ("work",)),),
)


class Read(HTMLParser):
    """A page as it is read: every element closed, its pictures, ids, links, headings and tables."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.tables: dict[str, list[list[str]]] = {}
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len({name for name, _ in attrs}) == len(attrs)
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)
        if tag == "caption":
            self.caption = ""
        if tag == "tr":
            self.row: list[str] = []
        if tag in ("td", "th"):
            self.row.append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag
        if tag == "caption":
            self.tables[self.caption] = []
        if tag == "tr":
            self.tables[self.caption].append(self.row)

    def handle_data(self, data: str) -> None:
        if "caption" in self.open:
            self.caption += data
        elif "td" in self.open or "th" in self.open:
            self.row[-1] += data
        elif "style" not in self.open:
            self.words.append(data)

    def of(self, tag: str) -> Iterator[dict[str, str | None]]:
        return (attributes for name, attributes in self.elements if name == tag)


def made(answers: Answers, folder: Path) -> str:
    (folder / "figures").mkdir(parents=True, exist_ok=True)
    (folder / "weekly.csv").touch()
    return page.page(answers, screen(answers), pictures.draw(answers, folder / "figures"), folder)


@pytest.fixture(scope="session")
def whole(answers: Answers, tmp_path_factory: pytest.TempPathFactory) -> str:
    return made(replace(answers, year=YEAR), tmp_path_factory.mktemp("figures"))


def test_every_picture_is_within_the_page_and_says_in_words_what_is_to_be_seen(whole: str) -> None:
    images = list(Read(whole).of("img"))
    assert len(images) == 7
    assert all(str(image["src"]).startswith("data:image/svg+xml;base64,") for image in images)
    assert len({image["alt"] for image in images}) == 7
    assert all(len(str(image["alt"])) > 40 for image in images)


def test_the_page_needs_nothing_from_outside_and_no_script(whole: str) -> None:
    readable = re.sub(r"base64,[A-Za-z0-9+/=]*", "", whole)
    assert not re.search(r"https?:|//|<script|<link|<iframe|@import|url\(|\bon[a-z]+=", readable)
    links = [str(link["href"]) for link in Read(whole).of("a")]
    assert all(re.fullmatch(r"#[a-z]+|[a-z_]+\.(csv|json)|figures/[a-z]+\.svg|scenario/", link) for link in links)


def test_the_contents_point_at_every_section_and_no_id_is_used_twice(whole: str) -> None:
    read = Read(whole)
    ids = [attributes["id"] for _, attributes in read.elements if "id" in attributes]
    assert len(set(ids)) == len(ids)
    assert [link["href"] for link in read.of("a") if str(link["href"]).startswith("#")] == [f"#{name}" for name in ids]


def test_the_text_of_the_screen_is_in_the_page_word_for_word(answers: Answers, whole: str) -> None:
    assert screen(answers).rstrip() in "".join(Read(whole).words)


def test_the_same_answers_give_the_same_page(answers: Answers, tmp_path: Path) -> None:
    assert made(answers, tmp_path / "one") == made(answers, tmp_path / "two")


def test_a_page_for_paper_a_phone_and_a_desk_is_one_page(whole: str) -> None:
    assert '<meta name="viewport" content="width=device-width, initial-scale=1">' in whole
    assert "@media print" in whole and "@media (max-width" in whole
    assert whole.startswith('<!DOCTYPE html>\n<html lang="en">')


def test_what_goes_by_the_calendar_is_told_whatever_it_is_called(whole: str) -> None:
    table = Read(whole).tables["What differs by month"]
    assert table[1] == ["ice, %", *["100"] * 11, "150", "104.2"]
    assert table[2] == ["oyster started", *["yes"] * 6, *["-"] * 6, ""]
    assert "how much ice is bought" in whole
    assert Read(whole).tables["Days of standstill"][1] == [
        "Christmas",
        "Fri 24 Dec 2027 to Sun 26 Dec 2027",
        "people's work",
    ]


def test_a_farm_whose_months_are_alike_says_so(answers: Answers, tmp_path: Path) -> None:
    text = made(answers, tmp_path)
    assert "No figure of this farm differs from month to month, and it stands still on no day." in text
    assert "What differs by month" not in text
    assert len(list(Read(text).of("img"))) == 6


def test_a_new_weekly_measure_appears_in_the_table_by_itself(answers: Answers, tmp_path: Path) -> None:
    new: Week = answers.weeks["picked_kg"]
    text = made(replace(answers, weeks={**answers.weeks, "owner_h": new, "never_h": _nothing(new)}), tmp_path)
    rows = {row[0] for row in Read(text).tables["Every figure of a week"]}
    assert "owner" in rows and "never" not in rows
    assert {label(name) for name, week in answers.weeks.items() if week.mean.value} <= rows


def _nothing(week: Week) -> Week:
    zero = replace(week.mean, value=0.0)
    return Week(zero, zero, zero, zero)


def test_money_has_a_section_of_a_farm_with_prices_only(answers: Answers) -> None:
    def told(money: Money | None) -> page.Told:
        return page.Told(replace(answers, money=money), "", {}, frozenset())

    taken = answers.weeks["picked_kg"]
    money = Money("USD", {"taken": taken, "energy": _nothing(taken)}, {}, (), (), (), False)
    found = page.the_money(told(money))
    assert page.the_money(told(None)) is None and found is not None
    (head, row) = Read(found.body).tables["Money of a week"]
    assert head[1:5] == ["thin USD", "usual USD", "fat USD", "average USD"]
    assert row[:2] == ["taken", f"{taken.thin.value:,.0f}"] and row[-1]


def test_a_farm_that_grows_and_one_with_own_books_have_a_section_for_it(answers: Answers, tmp_path: Path) -> None:
    growth = grown(phase(1, "one shed", 1, 5), phase(2, "second room & annex", 6, 3))
    read = Read(made(replace(answers, growth=growth, own_year=year(picked(80_600))), tmp_path))
    phases, own = read.tables["Phases of the farm"], read.tables["Own months beside the model's"]
    assert [row[0] for row in phases[1:]] == ["1 one shed", "2 second room & annex"]
    assert own[1] == ["Picked", "lb", "Jan 2026", "6,700", "6,825", "6,500", "7,100", "inside"]
    assert any("second room & annex (from week 6)" in str(image["alt"]) for image in read.of("img"))
    assert "More pictures" not in "".join(read.words)


def test_a_picture_that_no_section_shows_stands_at_the_end(answers: Answers, tmp_path: Path) -> None:
    (tmp_path / "figures").mkdir()
    drawn = pictures.draw(answers, tmp_path / "figures")
    (tmp_path / "figures" / "new.svg").write_text("<svg/>", encoding="utf-8")
    extra = pictures.Picture("new", "Bars", "Something new", "A new thing is seen.")
    text = page.page(answers, "", (*drawn, extra), tmp_path)
    assert "More pictures" in text and "A new thing is seen." in text


# --- against the tables beside it -----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def result() -> Result:
    return farmsim.run(farmsim.load(SCENARIOS / "four-rooms.toml"), runs=2, weeks=6, workers=1)


@pytest.fixture(scope="module")
def tables(result: Result, tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[list[str]]]:
    return Read(made(result.answers, tmp_path_factory.mktemp("figures"))).tables


def number(text: str) -> float:
    return float(text.replace(",", "").replace("-", "0") or 0)


def test_hours_by_strain_add_up_as_printed_and_are_those_of_the_csv(
    result: Result, tables: dict[str, list[list[str]]]
) -> None:
    head, *rows, total = tables["Hours of work by strain"]
    cells = [[number(cell) for cell in row[1:]] for row in (*rows, total)]
    for row in cells:
        assert sum(row[:-1]) == pytest.approx(row[-1], abs=1e-9)
    for column in zip(*cells, strict=True):
        assert sum(column[:-1]) == pytest.approx(column[-1], abs=1e-9)
    csv = result.tables["strain_hours"]
    for row, shown in zip(rows, cells, strict=False):
        for duty, hours in zip(head[1:-1], shown, strict=False):
            of = csv[(csv["strain"] == row[0]) & (csv["duty"] == duty.split(" ")[0])]
            assert hours == pytest.approx(of["strain_hours"].sum() / (2 * 6), abs=0.0501)


def test_what_a_strain_takes_follows_from_the_csv(result: Result, tables: dict[str, list[list[str]]]) -> None:
    csv = result.tables["strains"]
    rows = tables["What a strain takes for what it brings"][1:]
    assert [row[0] for row in rows] == list(dict.fromkeys(csv["strain"]))
    for row in rows:
        mine = csv[csv["strain"] == row[0]]
        saleable = (mine["firsts_kg"] + mine["seconds_kg"]).sum() / POUND
        assert number(row[1]) == pytest.approx(saleable / 12, abs=0.51)
        assert number(row[5]) == pytest.approx(saleable / mine["shelf_weeks"].sum(), abs=0.00051)


def test_months_are_those_of_the_csv(result: Result, tables: dict[str, list[list[str]]]) -> None:
    csv = result.tables["months"].groupby("month", sort=False)["picked_kg"]
    shown = [number(row[3]) for row in tables["Mushrooms picked by month"][1:]]
    assert shown == pytest.approx(list(csv.median() / POUND), abs=0.51)


# --- farms one would rather not meet --------------------------------------------------------------------------

NASTY = '<b onload="x()">M\u00fcller\'s & S\u00f6hne</b>\x07 \u8611' + " the longest name in the valley" * 6


def test_names_are_text_and_never_markup(answers: Answers, tmp_path: Path) -> None:
    named = replace(
        answers,
        study=replace(answers.study, farm=NASTY),
        places=tuple(replace(place, name=NASTY, bad=(5,), worst=5, worst_share=0.5) for place in answers.places),
        takes=tuple(replace(one, strain=NASTY) for one in answers.takes),
        lives=tuple(replace(one, strain=NASTY) for one in answers.lives),
        year=replace(YEAR, still=(replace(YEAR.still[0], name=NASTY),)),
    )
    text = made(named, tmp_path)
    assert "<b" not in re.sub(r"<body", "", text)
    assert "\x07" not in text
    assert "&lt;b onload=" in text
    assert not any("onload" in attributes for _, attributes in Read(text).elements)


def test_a_farm_that_did_not_settle_has_no_usual_week_and_no_spread(answers: Answers, tmp_path: Path) -> None:
    growing = Settled("did not settle", 4, series="picked_kg", growth=answers.weeks["picked_kg"].mean)
    read = Read(made(replace(answers, settled=growing), tmp_path))
    assert "Every figure of a week" not in read.tables
    assert "What a strain takes for what it brings" not in read.tables
    assert page.UNSETTLED in "".join(read.words)
    assert sorted(path.stem for path in tmp_path.glob("figures/*.svg")) == ["blocks", "harvest", "lots", "week"]


@pytest.mark.parametrize(("runs", "weeks"), [(1, 3), (1, 1), (2, 30)])
def test_a_study_of_a_few_weeks_has_a_page(runs: int, weeks: int, tmp_path: Path) -> None:
    found = farmsim.run(farmsim.load(SCENARIOS / "tiny.toml"), runs=runs, weeks=weeks, workers=1).answers
    read = Read(made(found, tmp_path))
    assert "One screen" not in read.tables and "Places" in read.tables


def test_a_farm_that_grows_no_mushrooms_has_a_page_without_their_pictures(answers: Answers, tmp_path: Path) -> None:
    none = {name: _nothing(week) if name.endswith("_kg") else week for name, week in answers.weeks.items()}
    bare = replace(
        answers,
        weeks=none,
        months=tuple(replace(month, thin=0.0, usual=0.0, fat=0.0, a_week=0.0) for month in answers.months),
        places=tuple(place for place in answers.places if place.kind != "shelf"),
        promises=(),
        lives=(),
        takes=tuple(
            replace(one, kg_a_shelf_week=None, shelf_weeks_a_block=None, hours_a_kg=None) for one in answers.takes
        ),
    )
    read = Read(made(bare, tmp_path))
    assert {path.stem for path in tmp_path.glob("figures/*.svg")} == {"week", "blocks", "spread"}
    assert "Promises, customer by customer" not in read.tables
    assert read.tables["What a strain takes for what it brings"][1][5] == "-"
