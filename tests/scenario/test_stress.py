"""What may go wrong in a farm's file: read, told, every fault with its line, and no say in a run."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from farmsim.scenario.assumed import assumed
from farmsim.scenario.check import faults
from farmsim.scenario.farm import Farm
from farmsim.scenario.fingerprint import fingerprint
from farmsim.scenario.readback import read_back
from farmsim.scenario.request import Request
from farmsim.scenario.stress import BLOWS, Stress, looked_at, told

from .farms import SMALL, change, faults_of, small, written

AT = SMALL.count("\n") + 2  # the line on which [stress] stands
KNOWN = '"prices", "yield", "contaminated", "wages", "energy", "interest", "late" or "largest_customer"'
TWO = "needs at least two blows. Add another, or leave it out: each is looked at by itself."


def with_stress(folder: Path, lines: str) -> Farm:
    return written(folder, f"{SMALL}\n[stress]\n{lines}\n")


def test_a_farm_that_says_nothing_has_the_usual_blows(tmp_path: Path) -> None:
    usual = small(tmp_path).stress
    sizes = {"prices": 0.05, "yield": 0.1, "contaminated": 0.5, "wages": 0.1, "energy": 0.3, "interest": 0.02}
    assert {blow: usual.size(blow) for blow in BLOWS} == {**sizes, "late": 17.0, "largest_customer": 1.0}
    assert usual.together == (("prices", "yield"),)
    assert all(figure.is_guess for figure in Stress.figures.values())


def test_a_farm_gives_its_own_blows(tmp_path: Path) -> None:
    lines = 'prices = "8 %"\nyield = 0\nlate = "6 weeks"\nlargest_customer = false\n'
    farm = with_stress(
        tmp_path, f'{lines}interest = "1 %"\ntogether = [["prices", "late", "wages"], ["wages", "interest"]]'
    )
    stress = farm.stress
    assert stress == Stress(
        prices=0.08,
        yield_=0.0,
        late=6,
        largest_customer=False,
        interest=0.01,
        together=(("prices", "late", "wages"), ("wages", "interest")),
    )
    assert not looked_at(stress, ("prices", "yield")) and looked_at(stress, stress.together[0])
    assert faults(farm) == []


def test_a_change_set_gives_them_for_the_farm_it_makes(tmp_path: Path) -> None:
    farm = change(tmp_path, 'based_on = "small.toml"\n[add.stress]\nlate = 4\n[[phase]]\nname = "more"\nfrom = 2027-02-01\n'
                  '[phase.change.opening]\nbenches = 2\n')  # fmt: skip
    assert farm.stress.late == 4 and farm.changes[0][1].stress.late == 4
    assert small(tmp_path).stress.late == 17


FAULTS = {
    'prices = "95 %"': 'prices: is "95 %"; needs 0 % to 90 %. Write a value within these bounds, such as "4 %".',
    'interest = "60 % a year"': 'interest: is "60 % a year"; needs 0 % a year to 50 % a year. Write a value within these '
    'bounds, such as "30 % a year".',
    'wages = "-10 %"': 'wages: is "-10 %"; needs 0 % to 300 %. Write a value within these bounds, such as "4 %".',
    'late = "half a week"': 'late: "half a week" does not begin with a number; needs a number of weeks, such as "10 '
    'weeks". Write it like "10 weeks".',
    "late = 300": "late: is 300; needs 0 weeks to 260 weeks. Write a value within these bounds, such as \"10 weeks\".",
    'largest_customer = "no"': 'largest_customer: is "no"; needs true or false. Write true or false, without quotes.',
    'together = ["prices", "yield"]': "together: is a list of 2; needs lists of blows within a list. Write it like "
    '[["prices", "yield"]], or [] for none.',
    'together = "prices"': 'together: is "prices"; needs lists of blows within a list. Write it like [["prices", "yield"]], '
    "or [] for none.",
    'together = [["prices", "wage"]]': f'together 1: "wage" is no blow; needs {KNOWN}. Did you mean "wages"?',
    'together = [["prices", "hail"]]': f'together 1: "hail" is no blow; needs {KNOWN}. Write one of these.',
    'together = [["late", "prices", "late"]]': 'together 1: names "late" twice; needs each blow once. Leave one of the two '
    "out.",
    'together = [["late", "prices"], ["prices", "late"]]': "together 2: names the same blows as together 1; needs other ones. "
    "Leave one of the two out.",
    'together = [["late"]]': 'together 1: names "late" alone; ' + TWO,
    "together = [[]]": f"together 1: is an empty list; {TWO}",
    'priced = "5 %"': 'priced: "priced" is not known here; known are prices, yield, contaminated, wages, energy, interest, '
    'late, largest_customer, together. Did you mean "prices"?',
}  # fmt: skip


@pytest.mark.parametrize("line", FAULTS)
def test_a_broken_blow_is_told_with_its_line_and_how_to_mend_it(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("farm.toml").write_text(f"{SMALL}\n[stress]\n{line}\n", encoding="utf-8")
    assert faults_of("farm.toml") == [f"farm.toml:{AT + 1}, stress, {FAULTS[line]}"]


def test_a_blow_of_nothing_beside_another_is_a_fault_and_all_are_told_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    lines = 'wages = "0 %"\nlargest_customer = false\nyield = "0 %"\n'
    Path("farm.toml").write_text(
        f'{SMALL}\n[stress]\n{lines}together = [["wages", "largest_customer", "priced"], ["yield"]]\n', encoding="utf-8"
    )
    head, looked = f"farm.toml:{AT + 4}, stress, together", "needs blows that are looked at"
    assert faults_of("farm.toml") == [
        f'{head} 1: "priced" is no blow; needs {KNOWN}. Did you mean "prices"?',
        f'{head} 1: "wages" is not looked at: it is 0; {looked}. Change wages, or leave it out here.',
        f'{head} 1: "largest_customer" is not looked at: it is false; {looked}. Change largest_customer, or leave it out here.',
        f'{head} 2: names "yield" alone; {TWO}',
        f'{head} 2: "yield" is not looked at: it is 0; {looked}. Change yield, or leave it out here.',
    ]


def test_what_is_together_by_default_says_nothing_of_a_blow_that_the_file_leaves_out(tmp_path: Path) -> None:
    farm = with_stress(tmp_path, 'prices = "0 %"')
    assert faults(farm) == [] and not looked_at(farm.stress, farm.stress.together[0])


def test_blows_have_a_date_of_no_kind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("small.toml").write_text(SMALL, encoding="utf-8")
    Path("change.toml").write_text(
        'based_on = "small.toml"\nfrom = 2027-02-01\n[add.stress]\nlate = 4\n', encoding="utf-8"
    )
    assert faults_of("change.toml") == [
        "change.toml:3, add, stress: [stress] is changed on a date; needs things that can change on a date. "
        "Change it from the start, without a date."
    ]


# --- in words ---------------------------------------------------------------------------------------------------------

USUAL = {
    ("prices",): "Prices 5 % lower",
    ("yield",): "Yield 10 % lower",
    ("contaminated",): "Half as many blocks again contaminated",
    ("wages",): "Wages 10 % higher",
    ("energy",): "Power and fuel 30 % dearer",
    ("interest",): "Interest 2 points higher",
    ("late",): "Opening 17 weeks late",
    ("largest_customer",): "Largest customer lost (distributor)",
    ("prices", "yield"): "Prices 5 % and yield 10 % lower",
    ("prices", "wages"): "Prices 5 % lower and wages 10 % higher",
    (
        "prices",
        "yield",
        "wages",
        "interest",
    ): "Prices 5 % and yield 10 % lower, wages 10 % and interest 2 points higher",
    ("yield", "late"): "Yield 10 % lower and opening 17 weeks late",
    (
        "late",
        "largest_customer",
        "energy",
    ): "Opening 17 weeks late and largest customer lost (distributor), power and fuel 30 % dearer",
}


@pytest.mark.parametrize("blows", USUAL, ids="+".join)
def test_a_blow_is_told_as_a_row_of_a_table(blows: tuple[str, ...]) -> None:
    assert told(Stress(), blows, "distributor") == USUAL[blows]


def test_a_blow_of_another_size_is_told_as_it_is() -> None:
    other = Stress(contaminated=0.25, interest=0.01, late=1, prices=0.125)
    said = [told(other, (blow,)) for blow in ("contaminated", "interest", "late", "prices", "largest_customer")]
    assert said == [
        "25 % more blocks contaminated",
        "Interest 1 point higher",
        "Opening 1 week late",
        "Prices 12.5 % lower",
        "Largest customer lost",
    ]


def test_what_is_looked_at_is_read_back_where_the_file_says_something_of_it(tmp_path: Path) -> None:
    assert not [text for _, texts in read_back(small(tmp_path)) for text in texts if "go wrong" in text]
    lines = 'prices = "8 %"\nenergy = 0\ncontaminated = 0\nlate = 0'
    said = dict(read_back(with_stress(tmp_path, lines)))["WHAT IF"]
    assert " ".join(said) == (
        "What may go wrong is looked at in the lender's pack: prices 8 % lower; yield 10 % lower; wages 10 % higher; "
        "interest 2 points higher; largest customer lost; prices 8 % and yield 10 % lower."
    )
    none = "\n".join(f'{blow} = "0 %"' for blow in BLOWS[:-2]) + "\nlate = 0\nlargest_customer = false"
    nothing = dict(read_back(with_stress(tmp_path, none)))["WHAT IF"]
    assert nothing == ["What may go wrong is looked at in the lender's pack: nothing."]


def test_whoever_asks_for_money_is_told_of_the_usual_blows(tmp_path: Path) -> None:
    asked = Request(purpose="a room", loan="bank", opens=date(2027, 3, 1))
    said = " ".join(dict(read_back(small(tmp_path).but(request=asked)))["WHAT IF"])
    assert said == (
        "What may go wrong is looked at in the lender's pack (usual blows; write [stress] for what your lender asks): "
        "prices 5 % lower; yield 10 % lower; half as many blocks again contaminated; wages 10 % higher; power and fuel 30 % "
        "dearer; interest 2 points higher; opening 17 weeks late; largest customer lost; prices 5 % and yield 10 % lower."
    )
    given = with_stress(tmp_path, "late = 0").but(request=asked)
    assert "usual" not in " ".join(dict(read_back(given))["WHAT IF"])


# --- no say in a run --------------------------------------------------------------------------------------------------


def test_no_run_hears_of_it(tmp_path: Path) -> None:
    farm = small(tmp_path)
    state = farm.but(opening=farm.opening.but(benches=2))
    grown = farm.but(changes=((336.0, state),))
    other = farm.but(stress=Stress(late=3), changes=((336.0, state.but(stress=Stress(late=3))),))
    assert other != grown and fingerprint(other, 20, 5) == fingerprint(grown, 20, 5)
    assert fingerprint(grown, 20, 5) != fingerprint(farm, 20, 5)


def test_it_is_no_assumption_of_the_model(tmp_path: Path) -> None:
    assert not [each for each in assumed(with_stress(tmp_path, "late = 3")) if each.path[0] == "stress"]
