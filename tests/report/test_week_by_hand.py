"""The week of a farm without luck, worked out on paper, equals the screen line by line.

By hand, each week: 25 blocks are bought on Monday in lots of 5, one lot for the neighbour's 5 blocks on Tuesday, 20 opened.
They bring 950 g of saleable mushrooms a block, 19 kg, which are 95 in 100 of what is picked: 20 kg, of it 70 % firsts (14),
25 % seconds (5), 5 % culls (1); 19 kg are packed. The restaurant takes 10 kg of firsts on Friday, the outlet 5 kg of seconds on
Saturday, and the 4 kg of firsts left from Thursday are a week old, and thrown out, before the next Friday. Paid: 6 days of 6 h.
Hours of work: opening 20/20, looking 100 s and picking 20/20, packing 19/20, clearing 20/20: 4.0 of 36 h, 11 %.
"""

from pathlib import Path

import farmsim
from farmsim.report.screen import screen

WEEK = """\
A WEEK                       thin     usual       fat   average      1 week in 10 thinner, 1 fatter
  Mushrooms picked             20 kg     20 kg     20 kg     20 kg
    firsts                     14        14        14        14
    seconds                     5         5         5         5
    culls                       1         1         1         1      too old, thrown out at picking
  Packed                       19        19        19        19
  Sold to orders               10        10        10        10      promised 10
  To the outlet                 5         5         5         5
  Past date in the cooler       4         4         4         4      thrown out
  Blocks bought                25        25        25        25
    fruited here               20        20        20        20
    sold ready to fruit         5         5         5         5      promised 5
    contaminated                0         0         0         0      thrown out
  Paid hours                   36        36        36        36      of it overtime 0
              The average week adds up: picked = firsts + seconds + culls; firsts + seconds = orders
              + outlet + past date; blocks bought = the lines below it.
4 WEEKS       80 kg picked; both runs lie between 80 and 80.
"""
PROMISES = """\
PROMISES      restaurant   100 %: 10 of 10 kg a week; all orders complete
              neighbour    100 %: 5 of 5 blocks a week; all orders complete
"""


def test_the_screen_shows_the_week_worked_out_by_hand() -> None:
    farm = farmsim.load(Path(__file__).with_name("by_hand.toml"))
    text = screen(farmsim.run(farm, runs=2, workers=1).answers)
    assert WEEK in text
    assert PROMISES in text
    assert "owner 11 %" in text
    assert "culls 5 % of picked, past date 21 % of saleable" in text  # 4 of 19 kg
