"""Where the words of a label stand, before anything is printed."""

from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labels.domain.sizes import size_for
from labels.files import faces
from production.quantities.domain.refusal import Refused
from tests.labels.test_label_facts import drawn, least

SIZES = [("60", "90"), ("80", "120"), ("101.6", "50.8")]


def lines(drawing, part):
    return [line for line in drawing.lines if line.part == part]


def text(drawing, part):
    return " ".join(line.text.strip() for line in lines(drawing, part))


@pytest.mark.parametrize("rules", ["us", "eu"])
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_everything_stands_inside_the_label(rules, width, height):
    drawing = drawn(rules, width, height)
    assert drawing.missing == ()
    for line in drawing.lines:
        face = faces()[line.bold]
        assert line.x >= 2
        assert line.x + face.width(line.text, line.size) <= drawing.width - 2
        assert face.capital * line.size / 1000 <= line.baseline <= drawing.height - 2


@pytest.mark.parametrize("rules", ["us", "eu"])
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_no_two_lines_touch(rules, width, height):
    drawing = drawn(rules, width, height)
    for left in (True, False):
        side = [
            line
            for line in drawing.lines
            if (line.x < 30) == left and line.part != "after opening"
        ]
        rows = sorted({(line.baseline, line.size) for line in side})
        for (above, _), (below, size) in pairwise(rows):
            assert below == above or below - above >= size * Decimal("0.9")


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("rules", ["us", "eu", "ca"])
def test_no_letter_is_lower_than_its_rule(rules, width, height):
    drawing, low = drawn(rules, width, height), least(rules, width, height)
    for line in drawing.lines:
        face = faces()[line.bold]
        high = face.x * line.size / 1000
        if line.part == "contents":
            assert face.figure * line.size / 1000 >= low.net_figures
            assert high >= low.net_letters
        elif line.part == "ingredients":
            assert high >= low.ingredients
        elif line.part == "cautions":
            assert high >= low.warnings
        elif line.part != "after opening":
            assert high >= low.text


def test_us_contents_stand_in_the_lowest_30_percent_clear_of_all_else():
    drawing = drawn("us", "60", "90")
    (net,) = lines(drawing, "contents")
    capital = faces().bold.capital * net.size / 1000
    assert net.baseline - capital >= drawing.height * Decimal("0.7")
    above = max(line.baseline for line in drawing.lines if line.part != "contents")
    assert net.baseline - capital - above >= capital


def test_beside_other_text_the_contents_keep_two_letters_n_away():
    drawing = drawn("us", "101.6", "50.8")
    nets = lines(drawing, "contents")
    bold = faces().bold
    right = max(line.x + bold.width(line.text, line.size) for line in nets)
    other = min(line.x for line in lines(drawing, "ingredients"))
    assert other - right >= 2 * bold.width("N", nets[0].size)


def test_the_ingredients_stand_in_order_after_their_heading():
    assert text(drawn("us"), "ingredients") == (
        "Ingredients: Water, Potassium Safflowerate, Glycerin, Potassium Babassuate, "
        "Sodium Chloride, Fragrance"
    )


def test_what_does_not_fit_is_named_and_not_printed_smaller():
    many = tuple(f"Potassium Safflowerate {n}" for n in range(40))
    drawing = drawn("us", "60", "90", ingredients=many)
    (one,) = drawing.missing
    assert one.what == "Room for the text"
    assert "1.59 mm in the ingredient list" in one.why
    assert drawing.draft
    smallest = min(line.size for line in lines(drawing, "ingredients"))
    assert smallest >= size_for(Decimal("1.5875"), faces().regular.x)


def test_contents_too_wide_for_their_height_ask_for_a_wider_label():
    drawing = drawn("us", "20", "300", declared="3.99 fl oz")
    assert "choose a wider label" in drawing.missing[0].why


def test_a_batch_to_write_in_leaves_a_line():
    drawing = drawn("us", batch=None)
    assert text(drawing, "batch") == "Batch"
    (word,) = lines(drawing, "batch")
    (rule,) = [one for one in drawing.rules if one.x1 > word.x + 5]
    assert rule.y1 == rule.y2 > word.baseline
    assert rule.x2 - rule.x1 > 20


def test_the_months_stand_inside_their_jar():
    drawing = drawn("eu")
    (jar,), (months,) = drawing.jars, lines(drawing, "after opening")
    assert months.text == "12M"
    right = months.x + faces().bold.width("12M", months.size)
    assert jar.x < months.x < right < jar.x + jar.height
    assert jar.y < months.baseline < jar.y + jar.height


def test_a_sign_that_the_font_lacks_is_refused_by_name():
    with pytest.raises(Refused, match="no sign '海'"):
        drawn("us", identity="海")


@pytest.mark.parametrize(("width", "height"), [("5", "90"), ("60", "1"), ("400", "90")])
def test_a_label_of_no_sensible_size_is_refused(width, height):
    with pytest.raises(Refused, match="15 to 300 mm wide"):
        drawn("eu", width, height)


words = st.lists(st.text("abcdefgh", min_size=1, max_size=14), min_size=1, max_size=60)


@settings(max_examples=25, deadline=None)
@given(words, st.sampled_from(["us", "eu", "ca"]), st.integers(30, 120))
def test_whatever_is_listed_every_word_is_there_once_and_in_order(listed, rules, width):
    drawing = drawn(rules, str(width), "90", ingredients=tuple(listed))
    if drawing.draft:
        assert any("lacks" in one.why for one in drawing.missing)
        return
    told = text(drawing, "ingredients").split(": ", 1)[1].strip(": ")
    assert told == ", ".join(listed)
    for line in drawing.lines:
        assert 0 < line.baseline < drawing.height


def test_what_does_not_fit_is_left_out_of_the_draft_and_never_overlaps():
    made = drawn("ca", "60", "90", directions="Work into wet hands, rinse. " * 12)
    assert made.draft
    bands = sorted(
        (line.baseline - line.size * Decimal("0.7"), line.baseline, line.x)
        for line in made.lines
    )
    assert all(
        top >= baseline or x != other
        for (_, baseline, other), (top, _, x) in pairwise(bands)
    )
