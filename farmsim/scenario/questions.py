"""The questions about a new farm, each declared once: in a grower's words, with default, what is allowed and what it sets.

`farmsim new` asks them one after the other; a file of answers has them by their keys. What is not answered is taken
from the default and stands in the farm's file as a guess, unless it is a plain choice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from farmsim.scenario import answer_forms as read
from farmsim.scenario.answer_forms import IN_THE_BAG, MOST_BLOCKS, MOST_SOLD, WORK_IT_OUT, Reader
from farmsim.scenario.answer_more import ALIKE, NONE, NOT_TOLD, seasons, shut, wage
from farmsim.scenario.answer_prices import block_price, price
from farmsim.scenario.assumed import LEFT
from farmsim.scenario.fields import FARM, PLACEHOLDER
from farmsim.scenario.sheet import SHEET
from farmsim.scenario.strain import Strain

Values = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Question:
    """One question: how it is asked, what "?" tells, the default as it would be typed, and what the answer sets."""

    key: str
    asks: str
    explains: str
    default: str
    read: Reader
    sets: tuple[tuple[str, ...], ...]  # tables and figures of the farm's file; "*" stands for any name
    metric: str = ""  # the default of a farm that is told in kg and degC
    source: str = FARM  # where the default comes from; a choice of the farm needs none
    asked_if: Callable[[Values], bool] = lambda values: True
    else_: str = ""  # why it is not asked

    def default_for(self, values: Values) -> str:
        """The default as it would be typed, in the farm's own units."""
        return self.metric if self.metric and values.get("units") == "metric" else self.default


def _sells_blocks(values: Values) -> bool:
    sold = values.get("sold")
    return isinstance(sold, float) and sold > 0


def wants_more(values: Values) -> bool:
    """Whether the further questions are to be asked too."""
    return values.get("more") == "yes"


def _soaks(values: Values) -> bool:
    likes = values.get("strains")
    return isinstance(likes, Mapping) and any(read.soaked(str(like)) for like in likes)


def _first_of_the_library(number: int) -> str:
    """The default strains: the first of the library, in equal shares."""
    likes = list(SHEET)[:number]
    return ", ".join(f"{like} {100 // number} %" for like in likes)


_LIBRARY: Final = ", ".join(SHEET)
_NOT_MORE: Final = "more is answered with no"
_FIGURE: Final = f"{PLACEHOLDER}: {LEFT}"  # stands behind a default that is a figure

QUESTIONS: Final[tuple[Question, ...]] = (
    Question(
        "name",
        "What is the farm called?",
        "Any name. It stands at the head of every answer.",
        "My farm",
        read.name,
        (("farm", "name"),),
    ),
    Question(
        "units",
        "Pounds and degrees F (us), or kilograms and degrees C (metric)?",
        'Write "us" or "metric". Answers are shown in these units; in the file you may always write either.',
        "us",
        read.system,
        (("farm", "units"),),
    ),
    Question(
        "start",
        "On which Monday does the time begin that is to be simulated?",
        'A date such as 2027-01-04, or "next Monday". By then the farm is in full swing.',
        "next Monday",
        read.monday,
        (("farm", "start"),),
    ),
    Question(
        "blocks",
        "How many blocks are started in a usual week?",
        f"All strains together, made or bought, those that are sold ready to fruit too: 1 to {MOST_BLOCKS:,} a week.",
        "300 blocks a week",
        read.blocks,
        (("start", "*", "blocks"), ("farm", "lot")),
        source=_FIGURE,
    ),
    Question(
        "made",
        "Are they made here, or bought ready to fruit?",
        'Write "here" if you mix, steam and inoculate them yourself, "bought" if somebody delivers them colonised.',
        "here",
        read.word("here", "bought"),
        (("start", "*", "made"), ("mix",), ("sterilizer",), ("clean_bench",), ("incubation",)),
        source=LEFT,
    ),
    Question(
        "block",
        "What does one block weigh?",
        "With its water, as it goes on the rack. Yields grow with it: a block of twice the weight brings twice as much.",
        "5 lb",
        read.block,
        (("strain", "*", "block"),),
        metric="2.3 kg",
        source=Strain.figures["block"].source,
    ),
    Question(
        "strains",
        "Which strains do you grow, and what share of the blocks is each?",
        f"The library has {_LIBRARY}. Write them with shares or with blocks a week; without numbers all get as many. "
        "Another strain can be described in the file later, like the nearest of these.",
        _first_of_the_library(2),
        read.strains,
        (("strain",), ("start",)),
        source=_FIGURE,
    ),
    Question(
        "sold",
        "What share of the blocks is sold ready to fruit, instead of being fruited here?",
        f"0 % to {100 * MOST_SOLD:.0f} %, of every strain alike. You can change it strain by strain in the file.",
        "0 %",
        read.share,
        (("block_customer", "*", "takes"),),
        source=_FIGURE,
    ),
    Question(
        "block_customers",
        "Who takes those blocks, and on which days of the week?",
        'Names with days, apart by ";", such as "small growers mon thu; kit seller wed". Each gets an equal part.',
        "small growers thu",
        read.block_buyers,
        (("block_customer",),),
        source=LEFT,
        asked_if=_sells_blocks,
        else_="no blocks are sold ready to fruit",
    ),
    Question(
        "rooms",
        "Which fruiting rooms are there, and how many shelf places has each?",
        'A shelf place is room for one block. Write rooms such as "North 1500, South 1200", or "work it out" to have '
        "them sized for what is started. The temperatures they are kept at are chosen for your strains.",
        WORK_IT_OUT,
        read.rooms,
        (("room",),),
        source=LEFT,
    ),
    Question(
        "soak",
        "How many soak tanks are there, or are blocks soaked in the bag?",
        f'A tank takes one cart of blocks for a night. Write "4 tanks", "{IN_THE_BAG}", or "{WORK_IT_OUT}".',
        WORK_IT_OUT,
        read.or_worked_out(read.whole(1_000, "tank", 4), IN_THE_BAG),
        (("soak",),),
        source=LEFT,
        asked_if=_soaks,
        else_="none of these strains is soaked",
    ),
    Question(
        "walk_in",
        "How many crates does the walk-in hold?",
        f'The cold room for picked mushrooms, and for cold shock if a strain wants it. Or "{WORK_IT_OUT}".',
        WORK_IT_OUT,
        read.or_worked_out(read.whole(1_000_000, "crate", 400)),
        (("walk_in",),),
        source=LEFT,
    ),
    Question(
        "people",
        "How many people are there, and in how many crews?",
        'One number for one crew that does everything. More numbers are more crews: "3, 2" makers of blocks and the '
        'rest; "3, 2, 2" makers, growers (soak, open, clear) and pickers; a fourth for packers. Where blocks are bought '
        f'there are no makers. Or "{WORK_IT_OUT}".',
        WORK_IT_OUT,
        read.people,
        (("crew",),),
        source=LEFT,
    ),
    Question(
        "hours",
        "From when to when do they work?",
        'A shift such as "06:00-14:30", the break in it. One that ends the day after is written "22:00-06:00 next day".',
        "06:00-14:30",
        read.hours,
        (("crew", "*", "hours"), ("strain", "*", "soak")),
        source=LEFT,
    ),
    Question(
        "work_days",
        "On which days are blocks made, soaked, opened and cleared away?",
        'Days such as "mon-fri" or "mon tue thu". A soak overnight needs two days in a row.',
        "mon-fri",
        read.days,
        (("crew", "*", "days"), ("strain", "*", "soak")),
        source=LEFT,
    ),
    Question(
        "pick_days",
        "On which days are mushrooms picked and packed?",
        "What ripens on other days waits and loses grade. Nobody is made to work more than five days a week: where "
        "there are more, days off go round.",
        "every day",
        read.days,
        (("crew", "*", "days"),),
        source=LEFT,
    ),
    Question(
        "customers",
        "Who takes fresh mushrooms, on which days, and how much?",
        'A share of the firsts of the week or a weight a delivery, customers apart by ";": "restaurants tue fri 45 %; '
        'market stall sat 120 lb". It is spread over the strains as they grow. "nobody" if there is none yet.',
        "restaurants tue fri 50 %; market stall sat 40 %",
        read.buyers,
        (("customer",),),
        source=_FIGURE,
    ),
    Question(
        "leave_by",
        "At what time of day do deliveries leave?",
        "What is not packed by then stays behind. A time such as 08:30.",
        "10:00",
        read.clock,
        (("customer", "*", "leave_by"), ("block_customer", "*", "leave_by")),
        source=LEFT,
    ),
    Question(
        "more",
        "Shall months that differ, holidays, wages and prices be asked for too?",
        'Write "yes" or "no". Without them every month is like any other, the farm never stands still, and no money is told.',
        "no",
        read.word("no", "yes"),
        (),
        source=LEFT,
    ),
    Question(
        "weeks",
        "How many weeks are to be simulated?",
        "1 to 520. A year is 52; fewer weeks take less time, but say less of rare weeks.",
        "52 weeks",
        read.whole(520, "week", 52),
        (("farm", "weeks"),),
        asked_if=wants_more,
        else_=_NOT_MORE,
    ),
    Question(
        "seasons",
        "In which months are orders higher or lower than usual, and how high are they then?",
        f'Months with the share of a usual month: "nov-dec 130 %, jan 70 %", or "{ALIKE}". It goes for fresh mushrooms and '
        "for blocks; in the file they can differ.",
        ALIKE,
        seasons,
        (("months", "orders"), ("months", "block_orders")),
        source=LEFT,
        asked_if=wants_more,
        else_=_NOT_MORE,
    ),
    Question(
        "shut",
        "On which days does the whole farm stand still?",
        f'Names with dates: "Christmas 2027-12-25; New Year 2027-12-31 to 2028-01-02", or "{NONE}". Nothing is started, '
        "picked or delivered then, and what ripens waits.",
        NONE,
        shut,
        (("shut",),),
        source=LEFT,
        asked_if=wants_more,
        else_=_NOT_MORE,
    ),
    Question(
        "wage",
        "What is one person paid an hour?",
        f'Such as "$18 an hour" or "18 EUR/h"; all crews alike, the file can tell them apart. Or "{NOT_TOLD}".',
        NOT_TOLD,
        wage,
        (("crew", "*", "wage"), ("farm", "currency")),
        source=LEFT,
        asked_if=wants_more,
        else_=_NOT_MORE,
    ),
    Question(
        "price",
        "What do customers pay for fresh mushrooms, firsts?",
        'One price for all strains such as "$9/lb" or "16 EUR/kg", or one for each: "shiitake $10/lb; blue-oyster $8/lb". '
        f"All customers alike; the file can tell them apart, and give the outlet its own. With a price money is told. Or "
        f'"{NOT_TOLD}".',
        NOT_TOLD,
        price,
        (("customer", "*", "price"), ("farm", "currency")),
        source=LEFT,
        asked_if=wants_more,
        else_=_NOT_MORE,
    ),
    Question(
        "block_price",
        "What is paid for a block ready to fruit?",
        f'Such as "$6 a block", or one for each strain, as for mushrooms. Or "{NOT_TOLD}".',
        NOT_TOLD,
        block_price,
        (("block_customer", "*", "price"), ("farm", "currency")),
        source=LEFT,
        asked_if=lambda values: wants_more(values) and _sells_blocks(values),
        else_="no blocks are sold ready to fruit, or more is answered with no",
    ),
)
BY_KEY: Final[Mapping[str, Question]] = {question.key: question for question in QUESTIONS}
