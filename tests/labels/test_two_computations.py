"""Every part of every list, worked out twice: they agree to the fifth place."""

from decimal import Decimal

import pytest

from labels.reads.listing import declare_lot
from labels.reads.rules import rule_set
from labels.reads.tables import name_book
from production.models import Lot
from tests.labels.list_oracle import Oracle
from tests.labels.random_lists import Workshop

pytestmark = pytest.mark.django_db

MADE = ("PASTE-1", "PASTE-2", "THIN", "BLEND", "FINE", "FILL")
CLOSE = Decimal("0.000005")
# How these names are printed in the US; the short colour name is from memory.
US_NAMES = {
    "Aqua": "Water",
    "Parfum": "Fragrance",
    "Olea Europaea Fruit Oil": "Olea Europaea (Olive) Fruit Oil",
    "Cocos Nucifera Oil": "Cocos Nucifera (Coconut) Oil",
    "Ricinus Communis Seed Oil": "Ricinus Communis (Castor) Seed Oil",
    "Lavandula Angustifolia Oil": "Lavandula Angustifolia (Lavender) Oil",
    "CI 42090": "Blue 1",
}
# Entry 360 of Annex III, under which lavender is declared above the threshold.
LAVENDER, ENTRY = "Lavandula Angustifolia Oil", "Lavandula Oil/Extract"


def expected(oracle, code, rules, basis):
    """Percent by printed name, named allergens among them."""
    shares = dict(getattr(oracle, basis)(code))
    if rules.code == "us":
        return {US_NAMES.get(name, name): share for name, share in shares.items()}
    product, weighed = oracle.allergens(code)
    told = weighed if basis == "added" else product
    in_product = oracle.finished(code).get(LAVENDER, 0)
    if in_product > Decimal("0.01"):
        shares[ENTRY] = shares.pop(LAVENDER)
    due = {name for name, share in product.items() if share * 100 > 1}
    return shares | {name: told[name] for name in due}


def agree(found, wanted):
    assert found.keys() == wanted.keys()
    for name, share in found.items():
        want = wanted[name]
        exact = Decimal(want.numerator) / Decimal(want.denominator)
        assert abs(share - exact) < CLOSE, name


@pytest.mark.parametrize("seed", range(5))
def test_both_computations_give_the_same_parts(seed, owner):
    workshop, names = Workshop(seed), name_book()
    oracle = Oracle(workshop.bought)
    for code in MADE:
        lot = Lot.objects.get(code=code)
        for rules in (rule_set("us"), rule_set("eu"), rule_set("ca")):
            for basis in ("added", "finished"):
                made = declare_lot(lot, rules, basis, names)
                found = {line.name: line.percent for line in made.lines}
                agree(found, expected(oracle, code, rules, basis))
                of_lots = [line for line in made.lines if not line.among]
                for line in of_lots:
                    assert abs(sum(line.sources.values()) - line.percent) < CLOSE
                assert made.lacking == ()
