"""Why a lot cost more: the causes add up to the difference, each by its own name.

Words and signs: OpenStax Principles of Accounting vol. 2 (Managerial), 8.2 and 8.3.
"""

from fractions import Fraction as F

from hypothesis import given
from hypothesis import strategies as st

from costing.domain.variances import Put, total, why

AMOUNT = st.integers(0, 5000).map(lambda n: F(n, 100))
PUT = st.one_of(
    st.builds(lambda n, price: (n, n * price), AMOUNT, st.integers(0, 900).map(F)),
    # What cost something, in an amount that nobody knows.
    st.builds(lambda cost: (F(0), cost), AMOUNT),
)
KINDS = {
    "rapeseed": "oil",
    "coconut": "oil",
    "castor": "oil",
    "potash": "alkali",
    "bottle": "packaging",
    "labour": "labour",
    "energy": "energy",
}
LOTS = st.dictionaries(st.sampled_from(sorted(KINDS)), PUT).map(
    lambda found: {key: Put(KINDS[key], *put) for key, put in found.items()}
)


def cost(lot):
    return sum((put.cost for put in lot.values()), F(0))


@given(LOTS, LOTS)
def test_the_causes_add_up_to_the_difference(standard, actual):
    assert total(why(standard, actual)) == cost(actual) - cost(standard)


@given(LOTS, LOTS)
def test_there_and_back_is_nothing_in_all(standard, actual):
    assert total(why(standard, actual)) == -total(why(actual, standard))


@given(LOTS)
def test_two_lots_alike_have_no_cause_between_them(lot):
    assert why(lot, lot) == []


def test_only_oils_have_a_mix():
    """A dose of alkali follows from the chemistry: more or less of it is an error, and
    never a saving of the mix."""
    standard = {
        "potash": Put("alkali", F(10), F(20)),
        "soda": Put("alkali", F(5), F(5)),
        "a": Put("oil", F(60), F(60)),
        "b": Put("oil", F(40), F(120)),
    }
    actual = {
        "potash": Put("alkali", F(5), F(10)),
        "soda": Put("alkali", F(10), F(10)),
        "a": Put("oil", F(70), F(70)),
        "b": Put("oil", F(30), F(90)),
    }
    assert [
        (one.kind, one.of, one.amount, one.label) for one in why(standard, actual)
    ] == [
        ("usage", "potash", -10, "F"),
        ("usage", "soda", 5, "U"),
        ("mix", "", -20, "F"),
    ]


def test_what_is_new_in_a_lot_is_all_usage():
    """It has no price of before."""
    found = why({}, {"scent": Put("fragrance", F(2), F(8))})
    assert [(one.kind, one.amount) for one in found] == [("usage", 8)]
    gone = why({"scent": Put("fragrance", F(2), F(8))}, {})
    assert [(one.kind, one.amount) for one in gone] == [("usage", -8)]


def test_overhead_is_one_difference():
    found = why({"o": Put("overhead", F(1), F(5))}, {"o": Put("overhead", F(2), F(8))})
    assert [(one.kind, one.amount, one.label) for one in found] == [
        ("overhead", 3, "U")
    ]
