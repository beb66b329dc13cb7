"""What two labels say otherwise, in words; and facts kept as text come back the same.

The sentences are our own; no source but the labels themselves.
"""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.domain.drawing import Drawing
from labels.domain.issued import (
    canonical,
    differences,
    from_plain,
    left_of,
    name_changes,
    plain_of,
    words_of,
)
from tests.labels.test_label_facts import drawn, worded

NAMES = st.lists(st.sampled_from("ABCDEFGHIJKLMNO"), unique=True, max_size=15)


@pytest.mark.parametrize(
    ("was", "now", "says"),
    [
        ("A B C", "A B C", []),
        ("A B", "A B C", ["C came, as the 3rd."]),
        ("A B C", "A C", ["B went."]),
        (
            "A B C D",
            "A C D B",
            ["B moved among the names: it was the 2nd, it is the 4th."],
        ),
        ("A B", "C B", ["C came, as the 1st.", "A went."]),
    ],
)
def test_names_come_go_and_move(was, now, says):
    assert list(name_changes(was.split(), now.split())) == says


@given(NAMES, NAMES)
def test_of_each_name_one_thing_is_said_and_of_equal_lists_nothing(was, now):
    said = list(name_changes(was, now))
    assert (said == []) == (was == now)
    names = [sentence.split()[0] for sentence in said]
    assert len(names) == len(set(names))
    assert {n for n in now if n not in was} == {
        sentence[0] for sentence in said if " came" in sentence
    }
    assert {n for n in was if n not in now} == {
        sentence[0] for sentence in said if sentence.endswith(" went.")
    }


def test_of_other_parts_the_changed_words_are_said():
    was = {"cautions": ["Avoid the eyes."], "origin": ["Made in France"]}
    now = {"cautions": ["Avoid the ears."], "directions": ["Rinse."]}
    changes = {one.part: one for one in differences(was, now)}
    assert changes["Cautions"].says == ("“eyes.” became “ears.”.",)
    assert changes["Origin"].says == ("It went.",)
    assert changes["Directions"].says == ("It came.",)
    assert (changes["Cautions"].was, changes["Cautions"].now) == (
        "Avoid the eyes.",
        "Avoid the ears.",
    )


def test_the_contents_are_told_as_they_are_printed():
    was, now = (
        words_of(worded("us", declared=one), ()) for one in ("8 fl oz", "7 fl oz")
    )
    assert was["net_contents"] == ("8 fl oz (236 mL)",)
    (change,) = differences(was, now)
    assert change.part == "Net contents"
    assert change.says == ("“8 fl oz (236 mL)” became “7 fl oz (207 mL)”.",)


def test_a_drawing_that_was_kept_comes_back_the_same():
    drawing = replace(drawn("us"), missing=())
    assert from_plain(Drawing, plain_of(drawing)) == drawing


def test_the_same_facts_are_the_same_text_whatever_their_order():
    one = {"a": Decimal("1.50"), "b": frozenset({"y", "x"})}
    other = {"b": frozenset({"x", "y"}), "a": Decimal("1.5")}
    assert canonical(one) == canonical(other)
    assert canonical(one) != canonical(one | {"a": Decimal("1.51")})


def test_what_cannot_be_kept_exactly_is_refused():
    with pytest.raises(TypeError, match="float cannot be kept"):
        canonical({"a": 1.5})


def test_left_is_printed_less_used_less_spoiled():
    assert left_of(10, 6, 1) == 3
    assert left_of(10, 10, 1) == -1
