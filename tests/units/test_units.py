"""Growers' quantities: what is read, what is refused, and that what is shown can be read again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.units import parse, parse_clock, parse_range, show, show_clock


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("65 degF", "degC", (65 - 32) * 5 / 9),
        ("65 °F", "degC", (65 - 32) * 5 / 9),
        ("65F", "degC", (65 - 32) * 5 / 9),
        ("18 degC", "degC", 18.0),
        ("-2 degC", "degC", -2.0),
        ("12 lb", "kg", 12 * 0.45359237),
        ("12 lbs", "kg", 12 * 0.45359237),
        ("8 oz", "kg", 0.5 * 0.45359237),
        ("250 g", "kg", 0.25),
        ("36 h", "h", 36.0),
        ("14 d", "h", 336.0),
        ("1.5 days", "h", 36.0),
        ("10 weeks", "h", 1680.0),
        ("30 min", "h", 0.5),
        ("90 s", "h", 0.025),
        ("200 blocks", "blocks", 200.0),
        ("15,000 blocks", "blocks", 15000.0),
        ("1500 shelf places", "shelf places", 1500.0),
        ("900 crates", "crates", 900.0),
        ("600 blocks a week", "blocks/week", 600.0),
        ("600 blocks/week", "blocks/week", 600.0),
        ("600 blocks per week", "blocks/week", 600.0),
        ("100 blocks a day", "blocks/week", 700.0),
        ("60 blocks/h", "blocks/h", 60.0),
        ("1 block a minute", "blocks/h", 60.0),
        ("5 s a block", "h/block", 5 / 3600),
        ("0.5 min/block", "h/block", 1 / 120),
        ("140 lb a delivery", "kg/delivery", 140 * 0.45359237),
        ("0.6 crate/block", "crates/block", 0.6),
        ("4 %", "fraction", 0.04),
        ("4%", "fraction", 0.04),
        ("4 percent", "fraction", 0.04),
        ("0.04", "fraction", 0.04),
        ("3 % a day", "fraction/day", 0.03),
        ("2 % an hour", "fraction/h", 0.02),
        ("$18/h", "currency/h", 18.0),
        ("18 EUR/h", "currency/h", 18.0),
        ("$9/lb", "currency/kg", 9 / 0.45359237),
        ("20 EUR a kg", "currency/kg", 20.0),
        ("$9 a block", "currency/block", 9.0),
        ("$450 a week", "currency/week", 450.0),
        ("$70 a day", "currency/week", 490.0),
        ("$16,000", "currency", 16_000.0),
        ("-$2,500", "currency", -2_500.0),
        ("−$2,500.50", "currency", -2_500.5),
        ("$-2,500", "currency", -2_500.0),
        ("EUR 9/kg", "currency/kg", 9.0),
        ("usd -9.5", "currency", -9.5),
        ("- EUR 15,000", "currency", -15_000.0),
        ("$1,200 a month", "currency/month", 1_200.0),
        ("$14,400 a year", "currency/month", 1_200.0),
        ("$0.80 a crate", "currency/crate", 0.8),
        ("3 months", "h", 2191.5),
        ("18 $ per hour", "currency/h", 18.0),
        ("2 h a day", "h/day", 2.0),
        ("220 lb/h", "kg/h", 220 * 0.45359237),
        ("  36   h ", "h", 36.0),
        (".5 h", "h", 0.5),
        ("+2 h", "h", 2.0),
    ],
)
def test_a_quantity_is_read_as_a_grower_writes_it(text: str, unit: str, value: float) -> None:
    assert parse(text, unit) == pytest.approx(value, rel=1e-15)


def test_words_and_short_forms_are_read_where_a_figure_allows_them() -> None:
    assert parse("1.15 lb saleable a block", "kg/block", words=("saleable",)) == pytest.approx(1.15 * 0.45359237)
    assert parse("60 blocks/h each", "blocks/h", each=True) == 60.0
    assert parse("60 blocks/h, each", "blocks/h", each=True) == 60.0
    assert parse("1 crate", "crates/crate", also=("crates",)) == 1.0
    assert parse("600 a week", "blocks/week", also=("/week",)) == 600.0


def test_days_and_weeks_are_whole_hours_exactly() -> None:
    assert [parse(f"{days} d", "h") for days in (1, 13, 365)] == [24.0, 312.0, 8760.0]
    assert parse("52 weeks", "h") == 8736.0
    assert parse("20 min", "h") * 3 == 1.0


@pytest.mark.parametrize(
    ("text", "unit", "says"),
    [
        (
            "65",
            "degC",
            '"65" has no unit; needs a temperature, such as "65 degF" or "18 degC". Write it like "65 degF".',
        ),
        (
            "65 degF",
            "kg",
            '"65 degF" is a temperature; needs a weight, such as "12 lb" or "5.4 kg". Write it like "12 lb".',
        ),
        (
            "60 blocks",
            "blocks/h",
            '"60 blocks" does not say per what; '
            'needs blocks per hour, such as "60 blocks/h". Write it like "60 blocks/h".',
        ),
        (
            "60 kg/block",
            "kg/h",
            '"60 kg/block" is per block; '
            'needs a weight per hour, such as "18 lb/h" or "8 kg/h". Write it like "18 lb/h".',
        ),
        (
            "5 h/block",
            "h",
            '"5 h/block" has a basis too many; needs a time, such as "36 h" or "14 d". Write it like "36 h".',
        ),
        (
            "$18/h",
            "kg/h",
            '"$18/h" is money; needs a weight per hour, such as "18 lb/h" or "8 kg/h". Write it like "18 lb/h".',
        ),
        (
            "3 crates",
            "h",
            '"3 crates" is a number of crates; needs a time, such as "36 h" or "14 d". Write it like "36 h".',
        ),
        (
            "1,5 kg",
            "kg",
            '"1,5 kg" has a comma in its number; needs a weight, such as "12 lb" or "5.4 kg". '
            'Write decimals with a point: "1.5".',
        ),
        (
            "twelve lb",
            "kg",
            '"twelve lb" does not begin with a number; '
            'needs a weight, such as "12 lb" or "5.4 kg". Write it like "12 lb".',
        ),
        (
            "",
            "kg",
            '"" does not begin with a number; needs a weight, such as "12 lb" or "5.4 kg". Write it like "12 lb".',
        ),
        (
            "12 lbb",
            "kg",
            '"12 lbb" holds the unknown word "lbb"; needs a weight, such as "12 lb" or "5.4 kg". Did you mean "lb"?',
        ),
        (
            "1.15 lb total a block",
            "kg/block",
            '"1.15 lb total a block" holds the unknown word "total"; needs a weight per block, such as '
            '"1.15 lb saleable a block" or "0.52 kg saleable a block". Write it like "1.15 lb saleable a block".',
        ),
        (
            "60 blocks/h each",
            "blocks/h",
            '"60 blocks/h each" says each; is not counted per person here. Leave out "each".',
        ),
        (
            "2 h 30 min",
            "h",
            '"2 h 30 min" holds the unknown word "30"; needs a time, such as "36 h" or "14 d". Write it like "36 h".',
        ),
    ],
)
def test_a_quantity_with_a_wrong_or_missing_unit_says_what_is_right(text: str, unit: str, says: str) -> None:
    with pytest.raises(QuantityFault) as caught:
        parse(text, unit)
    assert str(caught.value) == says


def test_a_range_may_name_its_unit_once() -> None:
    assert parse_range("54 to 62 degF", "degC") == pytest.approx(((54 - 32) / 1.8, (62 - 32) / 1.8))
    assert parse_range("10 d to 2 weeks", "h") == (240.0, 336.0)
    assert parse_range("10 to 14 d", "h") == (240.0, 336.0)


def test_times_of_day_are_read_and_shown() -> None:
    assert [parse_clock(text) for text in ("00:00", "8:30", "08:30", "24:00")] == [0.0, 8.5, 8.5, 24.0]
    assert [show_clock(hour) for hour in (0.0, 8.5, 24.0, 30.0)] == ["00:00", "08:30", "24:00", "06:00 next day"]
    for wrong in ("24:01", "8.30", "8:60", "noon"):
        with pytest.raises(QuantityFault) as caught:
            parse_clock(wrong)
        says = f'"{wrong}" is no time of day; needs a time from "00:00" to "24:00". Write it like "08:30".'
        assert str(caught.value) == says


@pytest.mark.parametrize(
    ("value", "unit", "us", "metric"),
    [
        (18.333333333, "degC", "65 degF", "18.33 degC"),
        (5.44310844, "kg", "12 lb", "5.443 kg"),
        (0.5216312255, "kg/block", "1.15 lb a block", "0.5216 kg a block"),
        (36.0, "h", "36 h", "36 h"),
        (336.0, "h", "14 d", "14 d"),
        (0.25, "h", "15 min", "15 min"),
        (5 / 3600, "h/block", "5 s a block", "5 s a block"),
        (15000.0, "blocks", "15,000 blocks", "15,000 blocks"),
        (1.0, "blocks", "1 block", "1 block"),
        (600.0, "blocks/week", "600 blocks a week", "600 blocks a week"),
        (0.04, "fraction", "4 %", "4 %"),
        (18.0, "currency/h", "$18/h", "$18/h"),
        (0.0, "h", "0 h", "0 h"),
        (-2.0, "degC", "28.4 degF", "-2 degC"),
    ],
)
def test_values_are_shown_in_the_farms_choice_of_units(value: float, unit: str, us: str, metric: str) -> None:
    assert show(value, unit, "us") == us
    assert show(value, unit, "metric") == metric


def test_money_is_shown_in_the_farms_currency() -> None:
    assert show(18.0, "currency/h", currency="EUR") == "18 EUR/h"
    assert show(18.5, "currency/h", currency="CAD") == "$18.50/h"
    assert show(9.0 / 0.45359237, "currency/kg") == "$9/lb"
    assert show(9.0 / 0.45359237, "currency/kg", "metric", "EUR") == "19.84 EUR/kg"
    assert show(-1.5, "currency/block") == "-$1.50 a block"
    assert show(450.0, "currency/week") == "$450 a week"


def test_every_unit_has_an_example_that_can_be_read() -> None:
    for unit, spoken in units.SPOKEN.items():
        for example in (spoken.us, spoken.metric):
            assert parse(example, unit, words=("saleable",), also=("crates",)) > 0


@given(
    value=st.floats(min_value=1e-6, max_value=1e7),
    unit=st.sampled_from(sorted(set(units.SPOKEN) - {"weeks"})),
    system=st.sampled_from(["us", "metric"]),
)
def test_what_is_shown_can_be_read_again(value: float, unit: str, system: units.System) -> None:
    text = show(value, unit, system, digits=15)
    assert parse(text, unit) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(text=st.text(max_size=40), unit=st.sampled_from(sorted(units.SPOKEN)))
def test_any_text_is_read_or_refused_with_a_mend(text: str, unit: str) -> None:
    try:
        parse(text, unit)
    except QuantityFault as fault:
        assert fault.found
        assert fault.allowed
        assert fault.mend


@given(hour=st.integers(min_value=0, max_value=1440))
def test_a_shown_time_of_day_can_be_read_again(hour: int) -> None:
    assert parse_clock(show_clock(hour / 60)) == pytest.approx(hour / 60)
