"""Steps of a recipe with the clock beside them."""

from datetime import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.quantities.domain.refusal import Refused
from production.recipes.domain.clock_steps import parse_steps

NINE = time(9, 0)
COOK = """
Melt the oils at 70 °C
0:25 Thick trace

+1 h: Stir
2:40 Drop test
"""


def clocks(text, start=NINE):
    return [(step.clock, step.text) for step in parse_steps(text, start)]


def test_each_line_is_a_step_and_a_time_becomes_the_clock():
    assert clocks(COOK) == [
        ("", "Melt the oils at 70 °C"),
        ("09:25", "Thick trace"),
        ("10:00", "Stir"),
        ("11:40", "Drop test"),
    ]


@pytest.mark.parametrize(
    ("line", "after", "words"),
    [
        ("0:25 Thick trace", 25, "Thick trace"),
        ("2:40 Drop test", 160, "Drop test"),
        ("+25 min Thick trace", 25, "Thick trace"),
        ("+ 25 minutes - thick trace", 25, "thick trace"),
        ("+2 h 40 min Drop test", 160, "Drop test"),
        ("+2h40 Drop test", 160, "Drop test"),
        ("+2 h Stir", 120, "Stir"),
        ("+90 min. Stir", 90, "Stir"),
        ("48:00 Soft by now", 2880, "Soft by now"),
        ("0:00 -5 °C is too cold", 0, "-5 °C is too cold"),
        ("2:1 water to alkali", None, "2:1 water to alkali"),
        ("+25 g of water", None, "+25 g of water"),
        ("+2 handfuls of salt", None, "+2 handfuls of salt"),
        ("09:15:30 is a clock", None, "09:15:30 is a clock"),
        ("Stir at 0:25", None, "Stir at 0:25"),
    ],
)
def test_a_time_is_read_only_where_one_is_written(line, after, words):
    (step,) = parse_steps(line, None)
    assert (step.after, step.text, step.clock) == (after, words, "")


def test_after_midnight_the_clock_says_which_day():
    assert clocks("2:10 Stir\n48:00 Soft", time(22, 0)) == [
        ("next day 00:10", "Stir"),
        ("day 3, 22:00", "Soft"),
    ]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("0:75 Stir", "below 60, such as 1:15"),
        ("+2 h 75 min Stir", "below 60, such as 3:15"),
        ("0:25", "write what to do"),
        ("+25 min :", "write what to do"),
    ],
)
def test_a_time_that_cannot_be_meant_is_refused(line, says):
    with pytest.raises(Refused, match=says):
        parse_steps(f"Melt\n{line}", NINE)


def test_a_time_that_runs_backwards_is_remarked_upon_and_kept():
    steps = parse_steps("0:25 Trace\n0:20 Melt\n0:24 Stir\n0:25 Lid on", NINE)
    assert [bool(step.remark) for step in steps] == [False, True, True, False]
    assert [step.after for step in steps] == [25, 20, 24, 25]


@given(
    st.lists(
        st.tuples(
            st.none() | st.integers(0, 5000),
            st.text(st.sampled_from("ab 0:5+-,hm\u2013"), max_size=12)
            | st.text(max_size=12),
        ),
        max_size=5,
    )
)
def test_what_was_read_is_written_back_as_it_was(rows):
    lines = [
        f"{'' if after is None else f'{after // 60}:{after % 60:02}'} {words}"
        for after, words in rows
    ]
    try:
        steps = parse_steps("\n".join(lines), NINE)
    except Refused:
        return
    again = [f"{step.elapsed} {step.text}".strip() for step in steps]
    assert parse_steps("\n".join(again), NINE) == steps
