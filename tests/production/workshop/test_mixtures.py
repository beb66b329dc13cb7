"""An item that is several things on a label: its names and their shares."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.models import MixturePart
from production.workshop.actions.mixtures import write_mixture
from tests import make

pytestmark = pytest.mark.django_db

GUARD = {"Phenoxyethanol": Decimal("0.9"), "Ethylhexylglycerin": Decimal("0.1")}


@pytest.fixture
def item():
    return make.item("soap guard", category="preservative")


def held(item):
    return {one.inci: one.share for one in item.mixture.all()}


def test_the_names_are_written_as_a_whole_and_written_anew(item):
    write_mixture(item=item, parts=GUARD)
    assert held(item) == GUARD
    other = {" Benzyl  Alcohol ": Decimal("0.7"), "Aqua": Decimal("0.3")}
    write_mixture(item=item, parts=other)
    assert held(item) == {"Benzyl Alcohol": Decimal("0.7"), "Aqua": Decimal("0.3")}
    write_mixture(item=item, parts={})
    assert held(item) == {}


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ({"A": Decimal("0.9"), "B": Decimal("0.05")}, "add up to 95 %, not to 100 %"),
        ({"A": Decimal("0.9"), "B": Decimal("0.2")}, "add up to 110 %"),
        ({"A": Decimal(1)}, "is no part"),
        ({"A": Decimal(0), "B": Decimal("0.5")}, "A at 0 % is no part"),
        ({" ": Decimal("0.5"), "B": Decimal("0.5")}, "Write the name"),
        ({"a": Decimal("0.5"), "A ": Decimal("0.5")}, "A is written twice"),
    ],
)
def test_what_is_no_whole_is_refused_and_the_old_names_stay(item, parts, says):
    write_mixture(item=item, parts=GUARD)
    with make.refused(says):
        write_mixture(item=item, parts=parts)
    assert held(item) == GUARD


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"category": "alkali", "alkali": "KOH"}, "by the purity of each lot"),
        ({"category": "water"}, "needs no shares"),
        ({"kind": "packaging"}, "is packaging"),
    ],
)
def test_what_counts_in_another_way_is_refused(facts, says):
    thing = make.item("thing", **facts)
    with make.refused(says):
        write_mixture(item=thing, parts=GUARD)


def test_an_alkali_does_not_hide_among_other_names(item):
    """It would go into a pot, and stand on a shelf, as something mild."""
    lye = {"Potassium Hydroxide": Decimal("0.45"), "Aqua": Decimal("0.55")}
    with make.refused("give soap guard the category alkali"):
        write_mixture(item=item, parts=lye)
    base = make.item("soap base", category="soap")
    rest = {"Potassium Cocoate": Decimal("0.999"), "Sodium Hydroxide": Decimal("0.001")}
    write_mixture(item=base, parts=rest)
    assert held(base) == rest


def test_the_page_reads_a_few_rows_in_percent(desk, item):
    path = reverse("item-names", args=[item.pk])
    rows = desk.get(path).context["form"].rows["parts"]
    sent = {"parts-TOTAL_FORMS": len(rows.forms), "parts-INITIAL_FORMS": "0"}
    sent |= {"parts-0-name": "Phenoxyethanol", "parts-0-share": "90"}
    faulty = desk.post(path, {**sent, "parts-1-name": "Ethylhexylglycerin"})
    assert "Write how many percent" in faulty.content.decode()
    short = desk.post(path, sent | {"parts-1-name": "Aqua", "parts-1-share": "9"})
    assert "add up to 99 %" in short.content.decode()
    assert 'value="Phenoxyethanol"' in short.content.decode(), "what was typed stays"
    assert not MixturePart.objects.exists()
    sent |= {"parts-1-name": "Ethylhexylglycerin", "parts-1-share": "10"}
    done = desk.post(path, sent, follow=True)
    assert "Ethylhexylglycerin" in done.content.decode()
    assert held(item) == GUARD
    shown = desk.get(path).content.decode()
    assert 'value="90"' in shown
