"""One oil for another: what was to be held is held, and the shares are the whole."""

from decimal import Decimal as D
from decimal import localcontext

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.profile import GROUPS
from production.chemistry.domain.swap import HOLDS, Part, swap
from production.quantities.domain.numbers import share_out
from production.quantities.domain.refusal import Refused
from tests.production.chemistry.chemistry_cases import decimals

UNIT = D("1e-8")
OLIVE, COCONUT, CASTOR = (
    Part("olive", D("0.6"), D("190.5")),
    Part("coconut", D("0.3"), D(255)),
    Part("castor", D("0.1"), D(181)),
)
THREE = (OLIVE, COCONUT, CASTOR)
PALM_KERNEL = Part("palm kernel", D(0), D("242.5"))


def blend(parts):
    with localcontext(EXACT):
        return sum(part.share * part.figure for part in parts)


def shares(parts):
    return {part.name: part.share for part in parts}


@st.composite
def recipes(draw):
    weights = draw(st.lists(decimals("0.01", 10), min_size=2, max_size=6))
    parts = share_out(D(1), weights, UNIT)
    figures = [draw(decimals(80, 300)) for _ in parts]
    return [
        Part(f"oil {at}", share, figure)
        for at, (share, figure) in enumerate(zip(parts, figures, strict=True))
    ]


HOLD = st.sampled_from([hold for hold in HOLDS if hold != "share"])


@given(recipes(), decimals(80, 300), HOLD, st.data())
def test_what_is_held_really_holds(parts, figure, hold, data):
    out = data.draw(st.sampled_from(parts))
    try:
        made = swap(parts, out.name, Part("new", D(0), figure), hold)
    except Refused:
        assume(False)
    assert sum(part.share for part in made) == 1
    assert all(part.share == round(part.share, 8) for part in made)
    # Each share is off by less than one unit of its last place.
    assert abs(blend(made) - blend(parts)) < len(made) * UNIT * 300
    assert [part.name for part in made] == [
        "new" if part is out else part.name for part in parts
    ]


@given(recipes(), decimals(80, 300), HOLD, st.data())
def test_the_other_oils_keep_their_proportions(parts, figure, hold, data):
    out = data.draw(st.sampled_from(parts))
    try:
        made = swap(parts, out.name, Part("new", D(0), figure), hold)
    except Refused:
        assume(False)
    new = shares(made)
    others = [part for part in parts if part is not out]
    for one in others:
        for other in others:
            cross = one.share * new[other.name] - other.share * new[one.name]
            assert abs(cross) < 2 * UNIT


@given(recipes(), decimals(80, 300), st.data())
def test_there_and_back_is_the_same_recipe(parts, figure, data):
    out = data.draw(st.sampled_from(parts))
    others = [part for part in parts if part is not out]
    weight = sum(part.share for part in others)
    mean = blend(others) / weight
    assume(abs(figure - mean) > 5)
    assume(abs(out.figure - mean) > 5)
    try:
        there = swap(parts, out.name, Part("new", D(0), figure), "alkali")
        back = swap(there, "new", out, "alkali")
    except Refused:
        assume(False)
    for name, share in shares(back).items():
        assert abs(share - shares(parts)[name]) < D("1e-5")


@given(recipes(), st.data())
def test_by_share_nothing_moves(parts, data):
    out = data.draw(st.sampled_from(parts))
    made = swap(parts, out.name, Part("new", D(0)), "share")
    assert [part.share for part in made] == [part.share for part in parts]


def test_an_oil_of_the_same_figure_takes_the_same_share():
    made = swap(THREE, "coconut", Part("like it", D(0), D(255)), "alkali")
    assert shares(made) == {
        "olive": D("0.6"),
        "like it": D("0.3"),
        "castor": D("0.1"),
    }


def test_palm_kernel_for_coconut_at_the_same_alkali_by_hand():
    """Blend 208.9, the others (114.3 + 18.1) / 0.7 = 189.142857; the new share is
    19.757143 / 53.357143 = 0.37028112."""
    made = swap(THREE, "coconut", PALM_KERNEL, "alkali")
    found = shares(made)
    assert found["palm kernel"] == D("0.37028112")
    assert abs(found["olive"] - D("0.62971888") * 6 / 7) < UNIT
    assert abs(found["castor"] - D("0.62971888") / 7) < UNIT
    assert made[1].figure == D("242.5")


def test_the_last_place_goes_by_largest_remainder():
    thirds = [
        Part("a", D("0.33333334")),
        Part("b", D("0.33333333")),
        Part("c", D("0.33333333")),
    ]
    made = swap(thirds, "b", Part("d", D(0)), "share")
    assert [part.share for part in made] == [part.share for part in thirds]


def test_two_lines_of_the_oil_that_goes_go_together():
    parts = (OLIVE, Part("coconut", D("0.1"), D(255)), CASTOR)
    parts += (Part("coconut", D("0.2"), D(255)),)
    made = swap(parts, "coconut", PALM_KERNEL, "alkali")
    assert [part.name for part in made] == ["olive", "palm kernel", "castor"]
    assert shares(made) == shares(swap(THREE, "coconut", PALM_KERNEL, "alkali"))


def test_an_oil_that_is_there_already_is_merged_where_that_is_wanted():
    with pytest.raises(Refused, match="castor is in the recipe already"):
        swap(THREE, "olive", CASTOR, "share")
    made = swap(THREE, "olive", CASTOR, "share", merge=True)
    assert shares(made) == {"castor": D("0.7"), "coconut": D("0.3")}
    parts = (*THREE[:2], Part("castor", D("0.05"), D(181)))
    parts += (Part("palm kernel", D("0.05"), D("242.5")),)
    held = swap(parts, "coconut", PALM_KERNEL, "alkali", merge=True)
    assert [part.name for part in held] == ["olive", "palm kernel", "castor"]
    assert sum(part.share for part in held) == 1
    assert abs(blend(held) - blend(parts)) < D("0.00001")


def test_the_only_oil_can_be_swapped_by_share_alone():
    only = [Part("olive", D(1), D(190))]
    assert shares(swap(only, "olive", PALM_KERNEL, "share")) == {"palm kernel": D(1)}
    with pytest.raises(Refused, match="no other oil to make up"):
        swap(only, "olive", PALM_KERNEL, "alkali")


def test_every_group_of_the_profile_can_be_held():
    assert set(HOLDS) == {"share", "alkali", "iodine_value", *GROUPS}


@pytest.mark.parametrize(
    ("parts", "out", "into", "hold", "words"),
    [
        (THREE, "tallow", PALM_KERNEL, "share", "tallow is not in the recipe"),
        (THREE, "olive", OLIVE, "share", "cannot stand in for itself"),
        (THREE, "olive", PALM_KERNEL, "colour", "Hold one of share, alkali"),
        (THREE[:2], "olive", PALM_KERNEL, "share", "add up to 90 %"),
        (
            THREE,
            "coconut",
            Part("tallow", D(0), D(196)),
            "alkali",
            "With tallow the saponification value cannot stay as it was: its share "
            r"would come to 288.13 %. Choose",
        ),
        (
            THREE,
            "coconut",
            Part("rapeseed", D(0), D(170)),
            "alkali",
            r"would come to -103.21 %",
        ),
        (
            [Part("a", D("0.5"), D(190)), Part("b", D("0.5"), D(250))],
            "b",
            Part("c", D(0), D(190)),
            "alkali",
            "The saponification value of c is that of the other oils together",
        ),
        (
            [Part("a", D("0.5"), D(190)), Part("b", D("0.5"), D(190))],
            "b",
            Part("c", D(0), D(250)),
            "alkali",
            "would come to 0 %",
        ),
        (
            THREE,
            "coconut",
            Part("argan", D(0)),
            "oleic",
            "The share of oleic acid of argan is not known",
        ),
        (
            [Part("a", D("0.5")), Part("b", D("0.5"), D("0.3"))],
            "b",
            Part("c", D(0), D("0.4")),
            "iodine_value",
            "The iodine value of a is not known",
        ),
    ],
)
def test_a_swap_that_cannot_be_is_refused(parts, out, into, hold, words):
    with pytest.raises(Refused, match=words):
        swap(parts, out, into, hold)


def test_one_oil_with_two_figures_is_not_merged():
    with pytest.raises(Refused, match="two figures"):
        swap(THREE, "olive", Part("castor", D(0), D(180)), "alkali", merge=True)


def test_a_share_or_figure_below_nothing_is_refused():
    with pytest.raises(Refused, match="0 or more"):
        Part("olive", D(-1))
    with pytest.raises(Refused, match="0 or more"):
        Part("olive", D(1), D(-190))
