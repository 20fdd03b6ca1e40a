"""What is translated into machine code in place of `record/rows.py` writes the same bytes."""

from __future__ import annotations

import pytest

from farmsim.record.columns import TABLES
from farmsim.record.layout import Layout, packer
from farmsim.record.rows import OFTEN, Rows

NAN = float("nan")
LAYOUTS = [layout for layout in TABLES if layout.name in OFTEN]


def rows_of(layout: Layout) -> list[tuple[float, ...]]:
    """Rows of which every figure is another, with the largest and smallest numbers, and figures that are none."""
    plain = [10 * at + (0.5 if column.kept == "f8" else 0) for at, column in enumerate(layout.columns)]
    odd = {"f8": (NAN, float("inf"), -1e-300), "i4": (2**31 - 1, -(2**31), -1), "i8": (2**63 - 1, -(2**63), 10**12)}
    return [tuple(plain), *(tuple(odd[column.kept][at] for column in layout.columns) for at in range(3))]


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_rows_are_packed_as_their_columns_are_declared(layout: Layout) -> None:
    written, rows = Rows(), rows_of(layout)
    for row in rows:
        getattr(written, layout.name)(row)
    assert written.taken(layout.name) == b"".join(packer(layout).pack(*row) for row in rows)
    assert written.taken(layout.name) == b""


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_what_is_translated_instead_packs_the_same_bytes(layout: Layout) -> None:
    pytest.importorskip("librt.strings", reason="only what translates the model needs it")
    from farmsim.machine_code import rows as instead

    assert instead.OFTEN == OFTEN
    written, twin = Rows(), instead.Rows()
    for row in rows_of(layout):
        getattr(written, layout.name)(row)
        getattr(twin, layout.name)(row)
    assert twin.taken(layout.name) == written.taken(layout.name) != b""
    assert twin.taken(layout.name) == b""


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_a_row_with_too_few_figures_or_a_part_of_a_number_is_refused(layout: Layout) -> None:
    row = rows_of(layout)[0]
    with pytest.raises((TypeError, ValueError)):
        getattr(Rows(), layout.name)(row[:-1])
    with pytest.raises(Exception, match=r"integer|int"):
        getattr(Rows(), layout.name)((0.5, *row[1:]))
