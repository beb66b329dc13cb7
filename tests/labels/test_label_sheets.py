"""The geometry of sheets: numbers only."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.domain.sheets import PAPERS, PRESETS, Geometry, places, plain_sheet
from production.quantities.domain.refusal import Refused


def sheet(**more):
    numbers = {
        "page_width": "210",
        "page_height": "297",
        "label_width": "99.1",
        "label_height": "38.1",
        "left": "4.65",
        "top": "15.15",
        "gap_across": "2.5",
        "gap_down": "0",
    }
    counts = {"columns": 2, "rows": 7}
    given = {name: Decimal(value) for name, value in (numbers | more).items()}
    return Geometry(**given, **counts)


def test_a_sheet_is_named_by_its_numbers():
    assert str(sheet()) == "A4, 2 x 7 of 99.1 x 38.1 mm"
    assert sheet().cells == 14


def test_cells_are_counted_along_the_rows():
    corners = [sheet().corner(cell) for cell in (0, 1, 2, 13)]
    assert corners == [
        (Decimal("4.65"), Decimal("15.15")),
        (Decimal("106.25"), Decimal("15.15")),
        (Decimal("4.65"), Decimal("53.25")),
        (Decimal("106.25"), Decimal("243.75")),
    ]


@pytest.mark.parametrize(
    ("numbers", "says"),
    [
        ({"left": "10"}, "need 210.7 mm and the page is 210 mm wide"),
        ({"top": "31"}, "need 297.7 mm and the page is 297 mm high"),
        ({"gap_down": "5"}, "the page is 297 mm high"),
        ({"label_width": "0"}, "counts above 0"),
        ({"left": "-1"}, "margins from 0 on"),
    ],
)
def test_labels_that_do_not_fit_the_page_are_refused(numbers, says):
    with pytest.raises(Refused, match=says):
        sheet(**numbers)


def test_printing_starts_at_any_cell_and_goes_on_over_pages():
    pages = list(places(sheet(), 20, 13))
    assert [len(page) for page in pages] == [2, 14, 4]
    assert pages[0] == [sheet().corner(12), sheet().corner(13)]
    assert pages[2][0] == sheet().corner(0)


@pytest.mark.parametrize(("count", "start"), [(0, 1), (10_001, 1), (1, 0), (1, 15)])
def test_no_labels_and_no_such_cell_are_refused(count, start):
    with pytest.raises(Refused):
        list(places(sheet(), count, start))


@given(st.integers(1, 300), st.integers(1, 14))
def test_every_label_has_a_cell_of_its_own(count, start):
    pages = list(places(sheet(), count, start))
    assert sum(len(page) for page in pages) == count
    for page in pages:
        assert len(set(page)) == len(page)


@pytest.mark.parametrize("paper", list(PAPERS))
def test_plain_paper_takes_as_many_as_fit_inside_its_white_edge(paper):
    made = plain_sheet(paper, Decimal(60), Decimal(90))
    assert made.left >= 10
    assert made.top >= 10
    last = made.corner(made.cells - 1)
    assert last[0] + 60 <= made.page_width - 10
    assert last[1] + 90 <= made.page_height - 10
    with pytest.raises(Refused, match="does not fit on"):
        plain_sheet(paper, Decimal(60), Decimal(280))


def test_the_presets_are_numbers_to_a_hundredth_of_a_millimetre():
    names = [str(preset) for preset in PRESETS]
    assert len(set(names)) == len(names)
    for preset in PRESETS:
        assert preset.left == round(preset.left, 2)
        assert preset.top == round(preset.top, 2)
