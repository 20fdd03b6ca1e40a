"""What the tests of the record share."""

from collections.abc import Callable
from datetime import date

import pytest
from two_weeks import END, two_weeks

from farmsim.record.journal import Journal
from farmsim.record.tables import Record


@pytest.fixture
def journal() -> Journal:
    """The two weeks of `two_weeks.py` as they were written down."""
    return two_weeks()


@pytest.fixture
def read() -> Callable[[Journal], Record]:
    """Read a journal of the two weeks."""
    return lambda written: Record.read(written, date(2027, 1, 25), END)


@pytest.fixture
def record(journal: Journal, read: Callable[[Journal], Record]) -> Record:
    """What was seen in the two weeks."""
    return read(journal)
