"""What stands on a front beside what the law asks for, and that nothing overlaps."""

from decimal import Decimal
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labels.domain.dress import ensure_e, may_bear_e
from labels.files import faces
from production.quantities.domain.refusal import Refused
from tests.labels.dressed import CODES, DESIGNS, EAN, FORMS, MARK, boxes, dressed

HAIR = Decimal("0.05")


def said(side):
    return " ".join(line.text.strip() for line in side.lines)


def apart(drawing):
    """No two things share a place; the months stand in their jar."""
    for side in drawing.sides:
        found = list(boxes(side))
        for one, other in combinations(found, 2):
            if {one[0], other[0]} == {"jar", "12M"}:
                continue
            (_, left, top, right, foot), (_, left2, top2, right2, foot2) = one, other
            beside = right <= left2 + HAIR or right2 <= left + HAIR
            above = foot <= top2 + HAIR or foot2 <= top + HAIR
            assert beside or above, (one, other)
        for code in [ink for ink in side.inks if ink.what in CODES]:
            for what, left, top, right, foot in found:
                if len(what) == 1:  # the figures of the code itself
                    continue
                outside = right <= code.x or left >= code.x + code.width
                # Bars have no blank above and below, and what hangs below a line.
                assert outside or foot <= code.y or top >= code.y + code.height, what


def inside(drawing):
    for side in drawing.sides:
        for what, left, top, right, foot in boxes(side):
            assert left >= 2 - HAIR, what
            assert right <= side.width - 2 + HAIR, what
            assert top >= 2 - HAIR, what
            assert foot <= side.height - 2 + HAIR, what


@pytest.mark.parametrize("rules", ["us", "eu", "uk", "ca"])
@pytest.mark.parametrize("design", DESIGNS)
@pytest.mark.parametrize("form", FORMS)
def test_every_design_holds_all_of_it_inside_and_apart(form, design, rules):
    more = {"mark": MARK, "leaflet": True, "batch_code": "qr"}
    size = {"one": ("100", "150"), "pair": ("80", "120")}.get(form)
    drawing = dressed(rules, form, size, design=design, **more)
    assert [one.what for one in drawing.missing] == []
    apart(drawing)
    inside(drawing)


@pytest.mark.parametrize("form", FORMS)
def test_two_products_have_two_fronts(form):
    fronts = {
        said(dressed(form=form, product=product, scent=scent).sides[0])
        for product, scent in (("Tide", "Cedar"), ("Tide", "Fir"), ("Slip", "Cedar"))
    }
    assert len(fronts) == 3


@pytest.mark.parametrize("form", FORMS)
def test_name_scent_mark_identity_and_contents_share_the_front(form):
    front = dressed(form=form, mark=MARK).sides[0]
    for told in ("Tide", "Cedar and salt", "Liquid soap", "8 fl oz (236 mL)"):
        assert told in said(front)
    (mark,) = front.marks
    assert mark.width / mark.height == MARK.shape
    assert mark.height >= 7


def test_a_mark_gives_way_to_what_the_law_asks_for_and_says_so():
    without = dressed("us", size=("60", "70"))
    assert not without.draft
    drawing = dressed("us", size=("60", "70"), mark=MARK)
    assert not drawing.draft
    assert said(drawing) == said(without)
    assert "no room for your mark" in drawing.remarks[0]


def test_the_back_of_a_pair_holds_all_else_and_the_front_none_of_it():
    front, back = dressed(form="pair").sides
    for told in ("Ingredients:", "Avoid the eyes.", "TIDE-8OZ-1", "Wrackline"):
        assert told in said(back)
        assert told not in said(front)
    assert (front.width, front.height) == (back.width, back.height)


def test_a_draft_of_a_pair_is_one_on_both_sides():
    many = tuple(f"Potassium Safflowerate {n}" for n in range(80))
    front, back = dressed(form="pair", words={"ingredients": many}).sides
    assert front.draft
    assert back.draft
    assert front.missing == back.missing
    assert "it lacks" in front.missing[0].why


def test_the_identity_is_bold_and_at_least_half_as_large_as_the_name():
    # 21 CFR 701.11(c): bold, "in a size reasonably related"; half is our reading.
    for form, design in ((form, design) for form in FORMS for design in DESIGNS):
        front = dressed(form=form, design=design).sides[0]
        (name,) = [line for line in front.lines if line.part == "product"]
        (what,) = [line for line in front.lines if line.part == "identity"]
        assert what.bold
        assert name.size / 2 <= what.size < name.size


def test_a_name_that_says_what_it_is_stands_once():
    drawing = dressed(product="liquid soap")
    assert said(drawing).lower().count("liquid soap") == 1


def test_the_band_is_behind_a_white_name_and_the_frame_round_everything():
    band = dressed(design="band")
    (name,) = [line for line in band.lines if line.white]
    (ground,) = [ink for ink in band.inks if ink.what == "band"]
    assert name.text == "Tide"
    assert ground.x < name.x
    assert ground.y < name.baseline < ground.y + ground.height
    framed = dressed(design="frame")
    thin = min(
        (ink for ink in framed.inks if ink.what == "frame"), key=lambda one: one.width
    )
    for what, left, top, right, foot in boxes(framed):
        assert thin.x < left <= right < thin.x + thin.width, what
        assert thin.y < top <= foot < thin.y + thin.height, what


@pytest.mark.parametrize(
    ("nominal", "mark", "ok"),
    [
        ("4", "3", False),
        ("250", "2.5", False),
        ("250", "3.0", True),
        ("12000", "3", False),
    ],
)
def test_eu_emark_46_bears_its_mark_only_in_its_range_and_size(nominal, mark, ok):
    # EU-EMARK-46: Directive 76/211/EEC Art 1, Annex I 3.3; SI 2006/659 reg 5(3).
    assert may_bear_e(Decimal(nominal), Decimal(mark)) is ok
    if not ok:
        with pytest.raises(Refused, match="5 g or mL to 10 kg or L"):
            ensure_e(Decimal(nominal), Decimal(mark))


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("declared", ["50 mL", "250 mL", "2 L"])
def test_eu_emark_46_is_at_least_3_mm_high_beside_the_contents(form, declared):
    # The same field of vision (Annex I 3.3): the same side, the same line or the next.
    drawing = dressed(
        "eu", form, ("200", "120"), {"declared": declared}, estimated=True
    )
    side = drawing.sides[0]
    (sign,) = [ink for ink in side.inks if ink.what == "e-mark"]
    contents = [line for line in side.lines if line.part == "contents"]
    assert sign.height >= 3
    assert sign.y + sign.height == contents[-1].baseline
    assert may_bear_e(Decimal(250), sign.height)


def test_an_e_mark_on_too_little_is_missing_its_right():
    drawing = dressed("eu", words={"declared": "4 mL"}, estimated=True)
    assert "5 g or mL to 10 kg or L" in next(
        one.why for one in drawing.missing if one.what == "e-mark"
    )


def test_a_code_too_wide_says_how_many_mm_are_missing():
    drawing = dressed(size=("26", "120"), batch_code="code128", shelf=EAN)
    told = {one.what: one.why for one in drawing.missing}
    assert "lacks" in told["Code 128"]
    assert "mm" in told["EAN-13"]
    assert not [ink for ink in drawing.inks if ink.what in CODES]


@pytest.mark.parametrize(
    "hostile",
    [
        "<script>alert(1)</script>",
        '"><svg onload=alert(1)>',
        "{{ content }}{% now %}",
        "Καθαρό σαπούνι με ελαιόλαδο",
        "Crème à l'huile d'œillette, Noël",
        "Mydło w płynie, żółć",
        "A" * 60,
        "«quotes» & ampersands; 100 %",
    ],
)
@pytest.mark.parametrize("form", FORMS)
def test_hostile_and_foreign_text_is_set_as_it_is_or_named_as_too_long(form, hostile):
    drawing = dressed(form=form, size=("220", "90"), product=hostile, scent=hostile)
    told = " ".join(
        line.text.strip()
        for side in drawing.sides
        for line in side.lines
        if line.part == "product"
    )
    if not drawing.draft:
        assert told == hostile
        apart(drawing)
        inside(drawing)
    else:
        assert "mm" in " ".join(one.why for one in drawing.missing)
        assert hostile.startswith(told), "what does not fit is left out, not changed"


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("side", ["25", "30"])
def test_a_small_label_is_right_or_a_draft_that_says_by_how_much(form, side):
    drawing = dressed("eu", form, (side, side), batch_code="qr", mark=MARK)
    assert drawing.draft
    assert any("it lacks" in one.why or "lacks" in one.why for one in drawing.missing)


def test_forty_ingredients_fit_a_large_back_and_a_small_one_says_what_it_lacks():
    many = tuple(f"Helianthus Annuus Seed Oil {n}" for n in range(40))
    large = dressed("eu", "pair", ("80", "120"), {"ingredients": many})
    assert not large.draft
    apart(large)
    small = dressed("eu", "pair", ("40", "50"), {"ingredients": many})
    assert "it lacks" in small.missing[-1].why


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(list(FORMS)),
    st.sampled_from(DESIGNS),
    st.sampled_from(["us", "eu", "uk", "ca"]),
    st.integers(25, 200),
    st.integers(25, 130),
    st.text("abcdefg hij", min_size=1, max_size=40).filter(str.strip),
    st.sampled_from(["", "qr", "code128"]),
)
def test_whatever_is_asked_either_fits_apart_or_is_a_draft(
    form, design, rules, width, height, name, code
):
    drawing = dressed(
        rules,
        form,
        (str(width), str(height)),
        product=" ".join(name.split()),
        design=design,
        batch_code=code,
        mark=MARK,
    )
    if not drawing.draft:
        apart(drawing)
        inside(drawing)
        for side in drawing.sides:
            for line in side.lines:
                assert faces()[line.bold].x * line.size / 1000 >= Decimal("0.79")
