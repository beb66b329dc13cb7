"""The published tables come in with migrate and are never a maker's to edit."""

from decimal import Decimal

import pytest

from production.chemistry.actions import TABLES, load_reference_tables
from production.chemistry.files import reference_table
from production.models import (
    InciName,
    ReferenceAcid,
    ReferenceComposition,
    ReferenceEdition,
    ReferenceOil,
)
from production.workshop.actions.cards import change_item
from tests import make

pytestmark = pytest.mark.django_db


def rows():
    return {
        name: list(model.objects.order_by("pk").values_list())
        for name, (model, _) in TABLES.items()
    }


def edition(**changed):
    """The shipped files, some with another digest and other rows."""

    def read(name):
        digest, lines = reference_table(name)
        if name in changed:
            return f"next {digest[:50]}", changed[name](lines)
        return digest, lines

    return read


@pytest.mark.parametrize("name", TABLES)
def test_migrate_brought_every_row_of_the_shipped_file(name):
    digest, lines = reference_table(name)
    assert TABLES[name][0].objects.count() == len(lines) > 0
    assert ReferenceEdition.objects.get(name=name).digest == digest


@pytest.mark.parametrize("model", [model for model, _ in TABLES.values()])
def test_every_row_names_its_source_and_how_far_to_trust_it(model):
    assert not model.objects.filter(source="").exists()
    assert not model.objects.filter(standing="").exists()


def test_an_empty_cell_is_unknown_and_not_zero():
    _, lines = reference_table("oils")
    blank = next(line["key"] for line in lines if line["iodine_low"] == "")
    assert ReferenceOil.objects.get(key=blank).iodine_low is None


def test_a_composition_points_at_its_oil_and_acid():
    _, lines = reference_table("oil_compositions")
    row = ReferenceComposition.objects.order_by("pk").first()
    assert (row.oil.key, row.acid.key) == (lines[0]["oil"], lines[0]["acid"])
    assert ReferenceAcid.objects.filter(pk=row.acid.pk).exists()


def test_the_same_edition_changes_nothing(django_assert_num_queries):
    before = rows()
    with django_assert_num_queries(len(TABLES) + 2):
        load_reference_tables(reference_table)
    assert rows() == before


def test_a_better_edition_keeps_the_row_that_an_item_points_at():
    oil = ReferenceOil.objects.first()
    item = make.item("our oil", oil=oil)

    def better(lines):
        return [
            {**line, "sv": "191.5"} if line["key"] == oil.key else line
            for line in lines
        ]

    load_reference_tables(edition(oils=better))
    item.refresh_from_db()
    assert item.oil.pk == oil.pk
    assert item.oil.sv == Decimal("191.5")


def test_a_row_that_left_the_edition_stays():
    count = InciName.objects.count()
    load_reference_tables(edition(inci_names=lambda lines: lines[1:]))
    assert InciName.objects.count() == count


def test_a_fault_in_the_last_table_leaves_the_first_as_it_was():
    before = rows()
    bad = edition(
        oils=lambda lines: [{**line, "sv": "1"} for line in lines],
        oil_compositions=lambda lines: [{**lines[0], "oil": "no such oil"}],
    )
    with pytest.raises(KeyError):
        load_reference_tables(bad)
    assert rows() == before


def test_a_makers_own_value_stands_on_her_item():
    before = rows()
    item = make.item("green clay", own_inci="Illite")
    change_item(item=item, own_inci="Illite Clay")
    assert item.own_inci == "Illite Clay"
    assert rows() == before
