"""An interval wider than anything that can be is told nowhere: not on the screen, and not in CSV or JSON either."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

import farmsim
from farmsim.scenario.farm import Farm
from farmsim.study import frames
from farmsim.study.ceiling_answers import _row as of_ceiling
from farmsim.study.compare import TOO_FEW, compare, difference
from farmsim.study.effects import Effect
from farmsim.study.headlines import DELIVERED, PICKED
from farmsim.study.plan_tables import _target
from farmsim.study.pool import Where
from farmsim.study.sensitivity_answers import Mover, _plain
from farmsim.study.sweep import Best
from farmsim.study.targets import judge, read
from farmsim.study.trials import Brief

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
WIDE = difference(DELIVERED, [0.9, 0.8], [0.5, 0.99])


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


def test_a_difference_of_shares_that_may_be_anything_has_no_ends() -> None:
    assert WIDE.says_nothing and WIDE.low < -1.0
    assert WIDE.lies == {"low": None, "high": None, "verdict": "no difference found", "note": "too few runs"}
    picked = difference(PICKED, [90.0, 80.0], [50.0, 99.0])  # of a weight nobody can say what cannot be
    assert picked.lies == {"low": picked.low, "high": picked.high, "verdict": "no difference found", "note": ""}


def test_csv_and_json_of_a_comparison_leave_it_empty_and_say_why(tiny: Farm, tmp_path: Path) -> None:
    other = tiny.but(start=tuple(each.but(blocks=0.8 * each.blocks) for each in tiny.start))
    compared = compare(tiny, {"less": other}, 2, Brief(weeks=3, where=Where(1)))
    (one,) = compared.comparisons
    withheld = [line.name for line in one.differences if line.says_nothing]
    assert withheld  # of two short runs nothing is known of a share
    frames.write({"compare": compared.table}, tmp_path)
    written = pd.read_csv(tmp_path / "compare.csv").set_index("figure")
    assert written.loc[withheld, ["low", "high", "give_without_common_luck"]].isna().all(axis=None)
    assert set(written.loc[withheld, "note"]) == {TOO_FEW}
    told = written.drop(index=withheld)
    assert told[["low", "high"]].notna().all(axis=None) and told["note"].isna().all()
    plain = json.loads(json.dumps(compared.as_plain, allow_nan=False))
    figures = {row["figure"]: row for row in plain["changes"]["less"]["figures"]}
    assert [(figures[name]["low"], figures[name]["note"]) for name in withheld] == [(None, TOO_FEW)] * len(withheld)


def test_a_sweep_that_cannot_say_how_much_more_there_may_be() -> None:
    best = Best("delivered of promised", "share", (0, 1), (0.9, 0.8), None, 1.3)
    assert best.says_nothing and not replace(best, open=0.9).says_nothing
    assert not replace(best, unit="kg/week").says_nothing


def test_what_moves_an_answer_by_anything_or_nothing() -> None:
    effect = Effect(0.1, 1.2, 0.4, 1.3, "no effect found")
    mover = Mover("room.holds", "", 1, "1", "2", "1", "", False, (effect, effect), ((WIDE, "not possible"),))
    share, weight = _plain(mover, 0, "share"), _plain(replace(mover, ends=()), 1, "kg/week")
    assert (share["give"], share["size_give"], share["note"]) == (None, None, TOO_FEW)
    assert (weight["give"], weight["size_give"], weight["note"]) == (1.2, 1.3, "")
    assert (share["at_low_from"], share["at_low_to"]) == (None, None)
    assert share["at_low_verdict"] == "no difference found: too few runs"
    assert not Effect(0.9, 0.3, 0.9, 0.3, "more").says_nothing("share")


def test_a_target_of_which_few_runs_are_alike() -> None:
    alike, enough = (judge(read("delivered 95 %"), [1.0] * runs) for runs in (5, 14))

    class Level:
        blocks, runs = 80, 5

    row = of_ceiling(Level(), alike)  # type: ignore[arg-type]
    assert (row["low"], row["high"], row["verdict"]) == (None, None, "not sure")
    assert _target(alike)["give"] is None
    assert (of_ceiling(Level(), enough)["low"], _target(enough)["give"]) == (1.0, 0.0)  # type: ignore[arg-type]
