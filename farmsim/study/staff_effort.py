"""How long a search for crews goes on, and what does not matter."""

from __future__ import annotations

from dataclasses import dataclass

from farmsim.study import bounds

MOST_ROUNDS = 20
FIRST = 10  # runs made of every farm in a round; from fewer no spread can be told
AT_ONCE = 10  # farms in a round at most, the best so far among them
BLOCK = 1000  # run numbers kept for each round: no round has luck that another has seen


@dataclass(frozen=True)
class Effort:
    """How long to search, and what does not matter.

    rounds: of the search, at most; most: runs of a farm in a round, at most
    runs: of the crews found and of the farm's own, from which the figures told are taken
    zone: difference of cost that does not matter [share of what the farm's own crews cost]
    slack: how much more than kept a target that is a share must be to be surely found [share]
    Goes wrong when a number is out of its bounds: NotAllowed says which.
    """

    rounds: int = 4
    most: int = 40
    runs: int = 20
    zone: float = 0.01
    slack: float = 0.01

    def __post_init__(self) -> None:
        bounds.whole("rounds", self.rounds, 1, MOST_ROUNDS)
        bounds.whole("most", self.most, FIRST, BLOCK)
        bounds.whole("runs", self.runs, 2, bounds.MOST_RUNS)
        for name in ("zone", "slack"):
            value = getattr(self, name)
            if not 0 < value < 1:
                raise bounds.NotAllowed(f"{name} is {value!r}; needs a share between 0 and 1")

    @property
    def runs_in_all(self) -> int:
        """About how many runs a whole search takes [runs]."""
        return FIRST * (1 + AT_ONCE * self.rounds) + 2 * self.runs
