"""The answers of a short study of the tiny farm, made once: what the report sees."""

from pathlib import Path

import pytest

import farmsim
from farmsim.study.answers import Answers

TINY = Path(farmsim.__file__).parents[1] / "scenarios" / "tiny.toml"


@pytest.fixture(scope="session")
def answers() -> Answers:
    return farmsim.run(farmsim.load(TINY), runs=2, weeks=8, workers=1).answers
