"""The strain sheet beside what is told of each strain: days, flushes, rooms, shelf life, hands.

P is published (sources P1-P10 are those of `farmsim.scenario.sheet.SOURCES`), S suppliers' instruction sheets, M from
memory, no source. A figure keeps within what is told; M is a bound and no more. Yields, first picks and paces of
picking are held against the trade beside the reader of farms.
"""

from __future__ import annotations

import pytest

from farmsim import units
from farmsim.scenario.lines import Place, Table
from farmsim.scenario.sheet import SHEET, with_sheets
from farmsim.scenario.strain import Strain

DAY = 24.0
Band = tuple[float, float]


@pytest.fixture(scope="module")
def strains() -> dict[str, Strain]:
    """Every strain of the sheet, nothing given beside its name."""
    return {like: strain(like) for like in SHEET}


def strain(like: str) -> Strain:
    place = Place("farm.toml", 1)
    given = Table({"like": like}, {"like": place})
    filled = with_sheets(Table({"strain": Table({"a": given}, {"a": place})}, {"strain": place}), faults := [])
    read = Strain.read(filled["strain"]["a"], ("strain", "a"), faults)  # type: ignore[index]
    assert not faults and read is not None
    return read


def within(figures: dict[str, float], told: dict[str, Band]) -> None:
    out = {like: (figures[like], band) for like, band in told.items() if not band[0] <= figures[like] <= band[1]}
    assert not out and set(told) == set(SHEET)


def test_days_to_colonise(strains: dict[str, Strain]) -> None:
    told = {
        "shiitake": (13, 15),  # S
        "blue oyster": (12, 22),  # S
        "king oyster": (10, 15),  # S
        "lion's mane": (10, 21),  # P2 10-14, kits 14-21 (S)
        "chestnut": (25, 70),  # P3: 10 weeks in bottles; M: 4-6 weeks in bags
        "nameko": (14, 15),  # P2: 14
        "maitake": (0, 84),  # P4 tells the whole crop, below
        "golden oyster": (12, 13),  # S
        "pink oyster": (13, 16),  # S
    }
    within({like: grown.colonise.mean / DAY for like, grown in strains.items()}, told)


def test_days_to_ripen(strains: dict[str, Strain]) -> None:
    """Shiitake 70-110 d (S), king oyster 30-35 d (S), nameko 30-45 d (M); the others are opened when colonised."""
    told = dict.fromkeys(SHEET, (0.0, 0.0)) | {"shiitake": (70, 110), "king oyster": (30, 35), "nameko": (30, 45)}
    within({like: grown.ripen.mean / DAY for like, grown in strains.items()}, told)


def test_a_crop_of_maitake_takes_10_to_12_weeks(strains: dict[str, Strain]) -> None:
    """P4."""
    assert 70 <= (strains["maitake"].colonise.mean + strains["maitake"].first_pick.mean) / DAY <= 84


def test_flushes(strains: dict[str, Strain]) -> None:
    """Shares (P7, weak S, M), of as many as are kept: of the king oyster's one or two (S) the first."""
    told = {
        "shiitake": (61, 25, 14),
        "blue oyster": (57, 29, 14),
        "king oyster": (100,),
        "lion's mane": (70, 30),
        "chestnut": (65, 35),
        "nameko": (60, 40),
        "maitake": (100,),
        "golden oyster": (55, 30, 15),
        "pink oyster": (55, 30, 15),
    }
    for like, shares in told.items():
        assert strains[like].flushes.share == pytest.approx([share / 100 for share in shares])


@pytest.mark.parametrize(
    ("like", "told"),
    [
        ("shiitake", (10, 16)),  # S, with a soak
        ("blue oyster", (7, 14)),  # P2, S
        ("lion's mane", (14, 14)),  # P2
        ("nameko", (10, 14)),  # P2
        ("golden oyster", (8, 12)),  # S
        ("pink oyster", (8, 12)),  # S
    ],
)
def test_days_between_flushes(strains: dict[str, Strain], like: str, told: Band) -> None:
    """The rest, a soak if there is one, and the days to the next pick."""
    grown = strains[like]
    soaks = (grown.soak.least, grown.soak.most) if grown.soak and grown.flushes.soak_again else (0.0, 0.0)
    for soak in soaks:
        assert told[0] <= (grown.flushes.rest + soak + grown.next_pick.mean) / DAY <= told[1]


def test_rooms(strains: dict[str, Strain]) -> None:
    """S but chestnut (P3), nameko (P2) and maitake (M); temperatures in degC."""
    told = {
        "shiitake": (16, 20),
        "blue oyster": (10, 20),
        "king oyster": (12, 17),
        "lion's mane": (16, 24),
        "chestnut": (13, 16),
        "nameko": (10, 18),
        "maitake": (14, 18),
        "golden oyster": (17, 28),
        "pink oyster": (18, 30),
    }
    assert {like: (grown.range.low, grown.range.high) for like, grown in strains.items()} == told


def test_days_of_shelf_life_in_the_cold(strains: dict[str, Strain]) -> None:
    told = {
        "shiitake": (7, 15),  # S
        "blue oyster": (5, 7),  # P10, open
        "king oyster": (28, 28),  # P10, wrapped
        "lion's mane": (10, 14),  # S
        "chestnut": (10, 14),  # common practice, no source
        "nameko": (7, 10),  # M
        "maitake": (0, 14),  # P2
        "golden oyster": (2, 5),  # M
        "pink oyster": (2, 5),  # M
    }
    within({like: grown.shelf_life / DAY for like, grown in strains.items()}, told)


def test_days_until_grade_is_lost(strains: dict[str, Strain]) -> None:
    """All M."""
    told = dict.fromkeys(SHEET, (1.0, 2.0)) | {
        "blue oyster": (1, 1),
        "lion's mane": (2, 3),
        "maitake": (2, 3),
        "golden oyster": (0, 1),
        "pink oyster": (0, 1),
    }
    within({like: grown.picking.window / DAY for like, grown in strains.items()}, told)


def test_hands(strains: dict[str, Strain]) -> None:
    """All M: a look 3-8 s, opening, and loading or unloading a tank, 0.5-1 min, all on the shelf 1-1.5 min a block."""
    for grown in strains.values():
        assert 3 <= grown.picking.look * 3_600 <= 8
        assert 0.5 <= 60 / grown.open.pace <= 1
        assert 1 <= 60 * (1 / grown.open.pace + grown.open.strip_takes + grown.open.flip_takes) <= 1.5
        assert 6 <= grown.pack <= 25  # kg/h: small packs 6-12, bulk 15-25
    soak = strains["shiitake"].soak
    assert soak is not None
    assert all(0.5 <= 60 / pace <= 1 for pace in (soak.load, soak.unload))


def test_nothing_gains_as_much_a_day_as_button_mushrooms(strains: dict[str, Strain]) -> None:
    """Trade magazine: 100 % in 24 h near the pick, which is 2.93 % an hour."""
    assert pytest.approx(0.0293, abs=5e-5) == 2 ** (1 / 24) - 1
    assert all(0 < grown.picking.gain < 1 for grown in strains.values())


def test_blocks_of_5_and_10_lb() -> None:
    """P11: 2.3 and 4.5 kg."""
    assert [units.parse(text, "kg") for text in ("5 lb", "10 lb")] == pytest.approx([2.3, 4.5], abs=0.05)
