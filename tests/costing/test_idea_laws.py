"""What must hold of any product that somebody thinks of, likely or not."""

import itertools
from dataclasses import replace
from datetime import date
from decimal import Decimal as D
from fractions import Fraction as F

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing.domain.idea_pictures import age, curve, sizes_beside, tenths
from costing.domain.ideas import IdeaLine, Quote
from costing.domain.planned_bottle import Effort
from costing.reads.ideas import idea_book
from costing.reads.planned_bottle import facts_of_ideas, of_so_many, planned_of
from production.quantities.domain.refusal import Refused
from tests import make
from tests.costing.ideas import idea, lines

pytestmark = pytest.mark.django_db
SHARES = st.decimals(0, 1, places=3) | st.none()
SUMS = st.decimals(0, 10**6, places=2)
FACTS = st.fixed_dictionaries(
    {},
    optional={
        "pieces": st.integers(1, 10**7).map(D),
        "superfat": SHARES,
        "koh_share": st.decimals(0, 1, places=2),
        "koh_purity": SHARES,
        "naoh_purity": SHARES,
        "soap_content": SHARES,
        "water_per_alkali": st.decimals(0, 100, places=2) | st.none(),
        "fill": st.decimals(0, 10**6, places=3) | st.none(),
        "losses": st.dictionaries(
            st.sampled_from(["cook", "dilution", "finishing", "filling"]),
            st.decimals(0, D("0.999"), places=3),
        ),
        "effort": st.builds(Effort, SUMS, SUMS, SUMS | st.none(), SUMS | st.none()),
    },
)


@given(FACTS)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_any_idea_is_a_cost_or_a_sentence(facts):
    [(found, _)] = planned_of([idea(**facts)])
    if isinstance(found, Refused):
        assert str(found)
        return
    known = [one.cost for one in found.lines if one.cost is not None]
    assert sum(known) == sum(found.parts.values()) == found.at_least >= 0
    assert (found.unit_cost is None) == bool(found.missing)


def bottle(**facts):
    [(found, _)] = planned_of([idea(**facts)])
    assert not isinstance(found, Refused), found
    return found


@pytest.mark.parametrize("name", ["Glycerin", "Lavender", "Bottle 8 oz", "Water"])
def test_a_tenth_more_does_what_the_picture_says(name):
    """The plan is worked anew with that one quote 10 % dearer."""
    before = bottle()
    [tenth] = [one for one in tenths(before) if one.line.name == name]
    dearer = tuple(
        replace(one, quote=Quote(one.quote.amount, one.quote.price * D("1.1")))
        if one.name == name
        else one
        for one in lines()
    )
    more = bottle(lines=dearer).unit_cost - before.unit_cost
    assert abs(more - F(tenth.more)) < F("0.00000001")


def test_the_largest_tenth_comes_first_and_all_are_a_tenth_of_the_bottle():
    found = tenths(bottle())
    assert [one.more for one in found] == sorted((o.more for o in found), reverse=True)
    assert found[0].width == 1000
    whole = sum(one.more for one in found) * 10
    assert F(whole) * 10**9 == bottle().at_least


def test_what_is_not_known_has_no_bar():
    some = [one for one in lines() if one.name != "Glycerin"]
    unknown = IdeaLine("finishing", "Glycerin", share=D("0.03"))
    found = tenths(bottle(lines=(*some, unknown)))
    assert "Glycerin" not in {one.line.name for one in found}


@given(pieces=st.integers(1, 5000).map(D), minutes=st.integers(1, 600).map(D))
@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
    max_examples=15,
)
def test_a_larger_batch_makes_no_bottle_dearer(pieces, minutes):
    """While minutes of the batch are shared; a milligram of rounding is a ten
    thousandth of a cent at most."""
    said = idea(pieces=pieces, effort=Effort(minutes, D(1), D(18)))
    book, facts = idea_book([said]), facts_of_ideas()
    costs = [of_so_many(said, book, facts, size).known for size in sizes_beside(pieces)]
    assert all(more <= less + F("0.000001") for less, more in itertools.pairwise(costs))


def test_without_minutes_of_the_batch_its_size_is_nothing():
    said = idea(effort=Effort(piece=D(1), rate=D(18)))
    book, facts = idea_book([said]), facts_of_ideas()
    few, many = (of_so_many(said, book, facts, D(n)).known for n in (40, 4000))
    assert abs(few - many) < F("0.0001")


def test_the_sizes_beside_a_batch_have_it_among_them():
    assert sizes_beside(D(40)) == [10, 20, 30, 40, 60, 80, 120, 160]
    assert sizes_beside(D(1)) == [1, 2, 3, 4]


def test_the_curve_falls_from_left_to_right_inside_its_frame():
    costs = [(D(10), F(4)), (D(20), F(3)), (D(40), F(2))]
    points = curve(costs, D(20))
    assert [one.here for one in points] == [False, True, False]
    assert [one.x for one in points] == [40, 300, 560]
    # Nothing is at the foot, 230; the dearest at 50, half of it half way up.
    assert [one.y for one in points] == [50, 95, 140]
    assert curve([], D(20)) == []
    assert len(curve([(D(20), F(0))], D(20))) == 1


@pytest.mark.parametrize(
    ("on", "says"),
    [
        (make.day(31), "today"),
        (make.day(30), "yesterday"),
        (make.day(1), "30 days ago"),
        (date(2026, 1, 31), "2 months ago"),
        (date(2026, 2, 1), "58 days ago"),
        (date(2025, 6, 30), "9 months ago"),
        (date(2024, 4, 1), "23 months ago"),
        (date(2024, 3, 31), "2 years ago"),
        (date(2020, 4, 1), "5 years ago"),
    ],
)
def test_how_old_a_price_is(on, says):
    assert age(on, make.day(31)) == says


def test_a_price_of_a_day_to_come_is_of_today():
    assert age(make.day(31), make.day(1)) == "today"
