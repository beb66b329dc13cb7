"""A family as a picture: nothing overlaps, nothing runs back, nothing is left out."""

from decimal import Decimal
from graphlib import CycleError
from itertools import combinations, groupby, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.tracing.domain.drawing import THICK, THIN, layout
from production.tracing.domain.family import (
    MOST_ENDS,
    Flow,
    Member,
    columns,
    fold,
    places,
)

# An oil, a paste of it, two dilutions, bottles of one, a customer and a stall.
MEMBERS = [
    Member("oil", Decimal(1000)),
    Member("caps"),
    Member("paste", Decimal(800), kind="paste"),
    Member("dil-1", Decimal(1600), kind="diluted"),
    Member("dil-2", Decimal(400), kind="diluted"),
    Member("bottles", Decimal(1500), kind="bottled"),
    Member("inn", end=True),
    Member("stall", end=True),
]
FLOWS = [
    Flow("oil", "paste", Decimal(400)),
    Flow("paste", "dil-1", Decimal(600)),
    Flow("paste", "dil-2", Decimal(200)),
    Flow("dil-1", "bottles", Decimal(1500)),
    Flow("caps", "bottles"),
    Flow("bottles", "inn", Decimal(750)),
    Flow("bottles", "stall", Decimal(15)),
    Flow("dil-2", "inn", Decimal(400)),
]


@st.composite
def families(draw):
    """Lots that went into later ones, and customers who have some of some."""
    lots = [
        Member(
            f"L{number}",
            draw(st.sampled_from([None, Decimal(100), Decimal(2500)])),
            kind=draw(st.sampled_from(["paste", "diluted", "bottles"])),
            sundry=draw(st.booleans()),
        )
        for number in range(draw(st.integers(1, 24)))
    ]
    ends = [Member(f"C{no}", end=True) for no in range(draw(st.integers(0, 20)))]
    pairs = list(combinations([lot.key for lot in lots], 2))
    pairs += [(lot.key, end.key) for lot in lots for end in ends]
    some = draw(st.lists(st.sampled_from(pairs), unique=True)) if pairs else []
    grams = st.sampled_from([None, Decimal(1), Decimal(60), Decimal(900)])
    return [*lots, *ends], [Flow(*pair, draw(grams)) for pair in some]


def boxes(drawing):
    return {box.key: box for box in drawing.boxes}


def test_a_family_reads_from_suppliers_on_the_left_to_customers_on_the_right():
    at = places(MEMBERS, FLOWS)
    assert at == {
        "oil": 0,
        "caps": 0,
        "paste": 1,
        "dil-1": 2,
        "dil-2": 2,
        "bottles": 3,
        "inn": 4,
        "stall": 4,
    }


def test_a_reworked_paste_does_not_push_its_later_lots_out_of_line():
    members = [Member(key, kind=key[:3]) for key in ("oil", "pas-1", "pas-2", "pas-2r")]
    members += [Member(key, kind=key[:3]) for key in ("dil-1", "dil-2")]
    ways = "oil pas-1, oil pas-2, pas-2 pas-2r, pas-1 dil-1, pas-2r dil-2"
    at = places(members, [Flow(*way.split()) for way in ways.split(", ")])
    assert at["dil-1"] == at["dil-2"] == 3
    assert at["pas-1"] == at["pas-2r"] == 2


def test_a_lot_that_went_nowhere_stays_with_its_kind():
    at = places([*MEMBERS, Member("idle", kind="paste")], [*FLOWS, Flow("oil", "idle")])
    assert at["idle"] == at["paste"] == 1


def test_a_line_is_as_thick_as_its_share():
    lines = {(line.source, line.target): line for line in layout(MEMBERS, FLOWS).lines}
    assert lines["oil", "paste"].share == Decimal("0.5")
    assert lines["oil", "paste"].thick == THICK / 2
    assert lines["dil-1", "bottles"].thick == THICK
    assert lines["bottles", "inn"].share == Decimal("0.5"), (
        "of the bottles, not the inn"
    )
    assert lines["bottles", "stall"].thick == THIN
    assert lines["caps", "bottles"].share is None
    assert lines["caps", "bottles"].thick == THIN


def test_more_than_was_made_is_drawn_as_all_of_it():
    members = [Member("oil", Decimal(1000)), Member("paste", Decimal(900))]
    (line,) = layout(members, [Flow("oil", "paste", Decimal(1000))]).lines
    assert line.share == 1


def test_a_line_that_skips_columns_keeps_a_lane_of_its_own():
    lines = {(line.source, line.target): line for line in layout(MEMBERS, FLOWS).lines}
    assert lines["caps", "bottles"].d.count("H") == 2
    assert lines["oil", "paste"].d.count("H") == 0


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_families_that_share_nothing_do_not_cross(order):
    """Whoever was cooked first: each paste lies level with its oil and its bottles."""
    oils = [Member(f"oil-{one}") for one in range(3)]
    pastes = [Member(f"paste-{one}", kind="paste") for one in order]
    bottles = [Member(f"bottles-{one}", kind="bottled") for one in range(3)]
    flows = [Flow(f"oil-{one}", f"paste-{one}") for one in range(3)]
    flows += [Flow(f"paste-{one}", f"bottles-{one}") for one in range(3)]
    at = boxes(layout([*oils, *pastes, *bottles], flows))
    rows = [
        sorted(range(3), key=lambda one: at[f"{kind}-{one}"].y)
        for kind in ("oil", "paste", "bottles")
    ]
    assert rows[0] == rows[1] == rows[2]


def test_pipes_of_one_lot_do_not_cross():
    """Two chains side by side, given in turns, are drawn without a knot."""
    members = [Member(key) for key in ("a", "z", "y2", "b2", "y1", "b1")]
    flows = [Flow("a", "b1"), Flow("a", "b2"), Flow("z", "y1"), Flow("z", "y2")]
    at = boxes(layout(members, flows))
    over, under = (at["b1"].y, at["b2"].y), (at["y1"].y, at["y2"].y)
    assert (at["a"].y < at["z"].y) == (max(over) < min(under))
    assert max(over) < min(under) or max(under) < min(over)


@given(families())
def test_every_line_runs_on_and_no_two_boxes_touch(family):
    drawing = layout(*family)
    at = boxes(drawing)
    assert set(at) == {member.key for member in family[0]}
    for line in drawing.lines:
        assert at[line.source].x + at[line.source].width < at[line.target].x
    for one, two in combinations(drawing.boxes, 2):
        if one.column == two.column:
            assert abs(one.y - two.y) >= one.height
    for box in drawing.boxes:
        assert 0 <= box.x <= box.x + box.width <= drawing.width
        assert 0 <= box.y <= box.y + box.height <= drawing.height


@given(families())
def test_a_line_starts_and_stops_at_the_sides_of_its_boxes(family):
    drawing = layout(*family)
    at = boxes(drawing)
    for line in drawing.lines:
        x, y = map(int, line.d[1 : line.d.index("C")].split())
        stop, beside = map(int, line.d.split()[-2:])
        source, target = at[line.source], at[line.target]
        assert x == source.x + source.width
        assert stop == target.x
        assert source.y <= y <= source.y + source.height
        assert target.y <= beside <= target.y + target.height


@given(families())
def test_the_same_family_gives_the_same_picture(family):
    assert layout(*family) == layout(*family)


@given(families(), st.integers(2, 12))
def test_what_is_folded_is_left_out_nowhere(family, most):
    members, flows = family
    folded = fold(members, flows, "L0", most)
    named = [
        key
        for member in folded.members
        for key in folded.within.get(member.key, (member.key,))
    ]
    assert sorted(named) == sorted(member.key for member in members)
    assert "L0" in {member.key for member in folded.members}
    assert all(len(group) > 1 for group in folded.within.values())
    assert sum(member.end for member in folded.members) <= MOST_ENDS
    layout(folded.members, folded.flows)
    if all(flow.grams is not None for flow in flows):
        grams = sum((flow.grams for flow in flows), Decimal(0))
        assert sum((flow.grams for flow in folded.flows), Decimal(0)) == grams


def season(batches):
    """So many batches of one soap, each with its own water, bottles and paste."""
    members, flows = [Member("oil", kind="oil")], []
    for number in range(batches):
        members += [
            Member(f"water-{number}", sundry=True),
            Member(f"bottle-{number}", sundry=True),
            Member(f"paste-{number}", kind="paste"),
            Member(f"filled-{number}", kind="filled"),
        ]
        flows += [
            Flow("oil", f"paste-{number}"),
            Flow(f"water-{number}", f"paste-{number}"),
            Flow(f"bottle-{number}", f"filled-{number}"),
            Flow(f"paste-{number}", f"filled-{number}"),
        ]
    return members, flows


@pytest.mark.parametrize(
    ("batches", "drawn", "groups"),
    [
        (10, 41, []),  # all of them fit
        (20, 42, [40]),  # the water and the bottles stand as one
        (40, 4, [80, 40, 40]),  # so do the pastes, and what was filled of them
    ],
)
def test_a_large_family_folds_packaging_and_water_first(batches, drawn, groups):
    folded = fold(*season(batches), "oil")
    assert len(folded.members) == drawn
    assert [len(group) for group in folded.within.values()] == groups


def test_a_family_of_too_many_kinds_folds_by_columns():
    members = [Member("oil"), *(Member(f"P{no}", kind=f"{no}") for no in range(90))]
    folded = fold(members, [Flow("oil", f"P{no}") for no in range(90)], "oil")
    assert [len(group) for group in folded.within.values()] == [90]


def test_of_many_customers_the_first_stand_alone():
    ends = [Member(f"C{number:02}", end=True) for number in range(30)]
    flows = [Flow("lot", end.key, Decimal(5)) for end in ends]
    folded = fold([Member("lot", Decimal(200)), *ends], flows, "lot")
    (rest,) = folded.within.values()
    assert len(rest) == 30 - MOST_ENDS + 1
    assert "C00" not in rest
    last = next(flow for flow in folded.flows if flow.target in folded.within)
    assert last.grams == 5 * len(rest)


def test_lots_that_went_into_each_other_are_no_picture():
    with pytest.raises(CycleError):
        columns("ab", [("a", "b"), ("b", "a")])


def test_a_lot_alone_stands_at_the_edge_of_the_paper():
    drawing = layout([Member("lot")], [])
    assert [(box.x, box.y) for box in drawing.boxes] == [(8, 8 + 6)]
    assert not drawing.lines


def test_columns_stand_in_the_order_of_their_numbers():
    drawn = sorted(layout(MEMBERS, FLOWS).boxes, key=lambda box: box.column)
    xs = [{box.x for box in some} for _, some in groupby(drawn, lambda box: box.column)]
    assert [len(some) for some in xs] == [1] * 5
    assert xs == sorted(xs, key=min)
