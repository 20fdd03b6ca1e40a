"""Python's own sweeping: what is loaded already is not looked through before every run, and afterwards is again."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator
from pathlib import Path

import pytest

import farmsim
from farmsim.model.run import run, set_up, standing_at
from farmsim.model.site import Site
from farmsim.model.sweep import LEFT_OVER, in_a_worker, left_alone, no_sweeping
from farmsim.study.pool import Pool, Where
from farmsim.study.trials import Brief, Case, Trials


class Ring:
    """A circle, which only a sweep finds."""

    def __init__(self) -> None:
        self.me = self


def is_swept(ring: Ring) -> bool:
    return any(each is ring for each in gc.get_objects())


@pytest.fixture(autouse=True)
def all_is_swept() -> Iterator[None]:
    """As in a process of its own: the tests leave what they loaded out of every sweep."""
    gc.unfreeze()
    yield
    gc.collect()
    gc.freeze()


def test_what_was_there_before_is_left_out_only_meanwhile() -> None:
    before = Ring()
    assert is_swept(before)
    with left_alone():
        since = Ring()
        assert not is_swept(before) and is_swept(since)
    assert is_swept(before) and gc.get_freeze_count() == 0


def farms_lying_about() -> int:
    return sum(type(each) is Site for each in gc.get_objects())


@pytest.mark.parametrize("is_frozen", [False, True], ids=["of a user", "of the tests"])
def test_questions_of_one_run_each_leave_no_farm_lying_about(is_frozen: bool) -> None:
    farm = farmsim.load(Path(farmsim.__file__).parents[1] / "scenarios" / "tiny.toml")
    gc.collect()
    if is_frozen:
        gc.freeze()
    left = []
    for number in range(12):
        with Trials(farm, Brief(weeks=1, where=Where(1))) as trials:
            trials.take([Case(farm, number)])
        left.append(farms_lying_about())
    assert max(left) <= 2, left


def test_circles_made_meanwhile_are_gone_at_the_end() -> None:
    with left_alone():
        gone = weakref.ref(Ring())
        assert gone() is not None
    assert gone() is None


def test_it_is_swept_again_after_a_fault() -> None:
    with pytest.raises(ValueError, match="a run"), left_alone():
        raise ValueError("a run")
    assert gc.get_freeze_count() == 0


def test_what_somebody_else_has_left_out_stays_out() -> None:
    gc.freeze()
    there = gc.get_freeze_count()
    with left_alone():
        Ring()
    assert gc.get_freeze_count() == there > 0


def test_runs_in_this_process_are_swept_for_alone() -> None:
    left_out = list[int]()
    with Pool(Where(1)) as pool:
        pool.gather(lambda task: gc.get_freeze_count(), [1, 2], lambda at, found: left_out.append(found))
    assert len(left_out) == 2 and all(left_out) and gc.get_freeze_count() == 0


def is_sweeping(_task: int) -> bool:
    return gc.isenabled()


def test_worker_processes_do_not_sweep_of_their_own_accord() -> None:
    found = dict[int, bool]()
    with Pool(Where(2)) as pool:
        pool.gather(is_sweeping, range(4), found.__setitem__)
    assert found == dict.fromkeys(range(4), False)


def test_it_is_not_swept_meanwhile_and_afterwards_as_before() -> None:
    assert gc.isenabled()
    with no_sweeping():
        assert not gc.isenabled()
    assert gc.isenabled()
    with pytest.raises(ValueError, match="a run"), no_sweeping():
        raise ValueError("a run")
    assert gc.isenabled()


FARMS = [
    "scenarios/tiny.toml",
    "scenarios/four-rooms.toml",
    "scenarios/growth.toml",
    "tests/scenario/all_customers.toml",
]


@pytest.mark.parametrize("name", FARMS)
def test_a_run_makes_no_circle_that_would_have_to_be_swept(name: str) -> None:
    farm = farmsim.load(Path(farmsim.__file__).parents[1] / name)
    gc.collect()
    with no_sweeping():
        site = set_up(farm, 1, 0, 2)
        site.desk.run(until=site.end)
        found = gc.collect()
    assert found == 0 and site.desk.now == site.end


@pytest.mark.parametrize("name", FARMS)
def test_a_farm_that_is_done_with_is_gone_at_once_and_nothing_of_it_has_to_be_swept(name: str) -> None:
    farm = farmsim.load(Path(farmsim.__file__).parents[1] / name)
    run(farm, 1, weeks=1)
    gc.collect()
    gc.disable()
    try:
        run(farm, 1, weeks=2)
        standing_at(farm, 1, 0, 168.0)
        assert farms_lying_about() == 0
        assert gc.collect() == 0
    finally:
        gc.enable()


def circles(count: int) -> int:
    """A task that leaves so many circles behind."""
    for _ in range(count):
        Ring()
    return sum(type(each) is Ring for each in gc.get_objects())


def test_a_worker_sweeps_when_much_is_left_over_and_not_before() -> None:
    gc.collect()
    gc.disable()
    try:
        assert in_a_worker(circles, 10) == 10
        assert in_a_worker(circles, 10) == 20
        assert in_a_worker(circles, LEFT_OVER) == LEFT_OVER + 20 and gc.get_freeze_count() > 0
        assert in_a_worker(circles, 10) == 10
    finally:
        gc.unfreeze()
        gc.enable()
