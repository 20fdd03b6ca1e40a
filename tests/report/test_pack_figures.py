"""The pack's list of figures: what is alike is told as one, nothing is lost, names are words."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
from pack_sample import pack

from farmsim.report.document import Pairs, Sheet
from farmsim.report.html import Table
from farmsim.report.pack import assumptions
from farmsim.study.pack_answers import Pack

PACK = pack()


def figures(one: Pack) -> list[Table]:
    return [part.table for part in assumptions.every(one) if isinstance(part, Sheet)]


def listing(*rows: tuple[str, ...]) -> Pack:
    """A pack with these figures: path, value, meaning, source, day, kind."""
    columns = ["figure", "value", "meaning", "source", "day", "kind"]
    return replace(PACK, assumptions=pd.DataFrame(list(rows), columns=columns))


def test_what_is_alike_is_one_row_that_names_those_it_is_of() -> None:
    late = ("14 d", "thrown out after", "P: print", "", "published")
    found = figures(
        listing(
            ("strain.shiitake.overripe.thrown_out_after", *late),
            ("strain.shiitake.soak.most", "18 h", "longest soak", "P: print", "", "published"),
            ('strain."No. 2".overripe.thrown_out_after', *late),
            ("strain.oyster.overripe.thrown_out_after", "9 d", *late[1:]),
            ("room.North.holds", "9 blocks", "shelf places", "P: print", "", "published"),
            ("room.South.holds", "9 blocks", "shelf places", "P: print", "", "published"),
            ("balance.receivables_in", "30 d", "within which time they pay", "P: print", "", "published"),
        )
    )
    (one,) = found
    assert one.rows == (
        ("strain: overripe, thrown out after", "shiitake, No. 2", "14 d", "thrown out after"),
        ("strain: overripe, thrown out after", "oyster", "9 d", "thrown out after"),
        ("strain: soak, most", "shiitake", "18 h", "longest soak"),
        ("room: holds", "North, South", "9 blocks", "shelf places"),
        ("balance: receivables in", "", "30 d", "within which time they pay"),
    )
    assert one.caption == "Figures that are published: 7. Where all of them come from: P: print."


def test_what_all_strains_share_says_so_and_who_they_are() -> None:
    one = listing(*((f"strain.{name}.crate", "8 lb", "a full crate", "own", "", "own") for name in ("a", "b", "c")))
    (table_,) = figures(one)
    assert table_.rows == (("strain: crate", "every strain", "8 lb", "a full crate"),)
    assert Pairs((("every strain", "a, b and c"),)) in tuple(assumptions.every(one))
    other = ("strain.c.crate", "8 lb", "a full crate", "another", "", "own")
    parted = replace(one, assumptions=pd.concat([one.assumptions.iloc[:2], listing(other).assumptions]))
    assert [each.rows[0][1] for each in figures(parted)] == ["a, b", "c"]


def test_no_figure_is_lost_and_all_are_counted() -> None:
    """Those from the source of most are told apart; the captions count the figures, not the rows."""
    own = [(f"strain.s{at}.crate", f"{at % 2} lb", "a crate", "the farm's file", "", "own") for at in range(5)]
    rows = [*own, ("farm.round", "1 h", "a round", "an invoice", "2026-11-02", "own")]
    guesses = [(f"crew.c{at}.pace", "2", "pace", "placeholder", "", "placeholder") for at in range(2)]
    found = figures(listing(*rows, *guesses))
    assert [each.caption for each in found] == [
        "Figures that are placeholders: 2. No source stands behind them.",
        "Figures that are the farm's own: 5 of 6. Where all of them come from: the farm's file.",
        "Figures that are the farm's own: 1 of 6",
    ]
    assert found[1].rows == (
        ("strain: crate", "s0, s2, s4", "0 lb", "a crate"), ("strain: crate", "s1, s3", "1 lb", "a crate"),
    )  # fmt: skip
    assert found[2].rows == (("farm: round", "1 h", "a round", "an invoice", "2026-11-02"),)


def test_figures_that_matter_are_named_in_words() -> None:
    paths = ("strain.*.warm_costs", "balance.receivables_in", "crew.owner and family.absence")
    matter = tuple(replace(PACK.matter[0], name=path) for path in paths)
    assert [row[0] for row in assumptions.matters(replace(PACK, matter=matter)).rows] == [
        "every strain: warm costs", "balance: receivables in", "crew owner and family: absence",
    ]  # fmt: skip


def test_money_is_listed_by_where_it_comes_from() -> None:
    sources = (("rent", "contract"), ("power", "no source is given"), ("van", "contract"))
    told = replace(PACK, expanded=replace(PACK.expanded, sources=sources))
    assert assumptions.money(told).rows == (("contract", "rent, van"), ("no source is given", "power"))
