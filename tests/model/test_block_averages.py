"""What the plan says of block customers who finish the ripening, beside what a run of the tiny farm comes to."""

from __future__ import annotations

from farmsim.model.run import run
from farmsim.scenario import averages, outlook
from farmsim.scenario.check import faults
from farmsim.scenario.seasons import AS_USUAL
from farmsim.scenario.values import DAYS, MONTHS, Range

from .tiny import GROWER, LINE, OYSTER, D, Fixed, W
from .tiny import farm as tiny


def test_who_takes_unripe_blocks_only_takes_strains_that_ripen() -> None:
    grower = GROWER.but(age=Range(-10 * D, -1 * D))
    told = [str(fault) for fault in faults(tiny(block_customer=(grower,)))]
    assert [each for each in told if "age" in each] == [
        "block_customer 1, age: takes blocks only before they are ripe; needs ripe ones: oyster is ripe as soon as it is "
        'colonised. Write it like "0 d to 14 d".'
    ]
    ripens = (LINE.but(ripe_in=Fixed(10 * D)),)
    assert not [fault for fault in faults(tiny(block_customer=(grower,), start=ripens)) if "age" in str(fault)]


def test_somebody_who_would_finish_a_ripening_that_is_none_is_a_second_look() -> None:
    said = "grower would finish the ripening of oyster, but it is ripe as soon as it is colonised."
    early = GROWER.but(age=Range(-10 * D, 10 * D))
    assert said in outlook.second_looks(tiny(block_customer=(early,)))
    assert said not in outlook.second_looks(tiny(block_customer=(early,), start=(LINE.but(ripe_in=Fixed(10 * D)),)))


def test_the_simulation_spares_what_averages_say() -> None:
    """8 blocks a day, ripe after 20 d, all taken from 10 d before on: delivered at 08:00, they leave at 20:00 half a day
    after they are old enough, the wait that averages count for a carrier who comes daily."""
    grower = GROWER.but(takes={"oyster": 56.0}, days=DAYS, leave_by=20.0, age=Range(-10 * D, 14 * D))
    line = LINE.but(blocks=56.0, days=DAYS, ripe_in=Fixed(20 * D))
    one = tiny(OYSTER, start=(line,), block_customer=(grower,))
    stood = [row[7] - row[5] for row in run(one, 1, 0, 6).rows("stays") if row[1] == "racks" and row[7] is not None]
    assert set(stood) == {252.0}
    assert abs(averages.rack_need(one) - 56 * 252 / W) < 1e-9


def test_the_share_of_the_year() -> None:
    assert GROWER.share_of_year(AS_USUAL) == 1.0
    assert GROWER.but(months=MONTHS[:3]).share_of_year(AS_USUAL) == 0.25
