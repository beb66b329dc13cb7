"""The demo's year is a file, and passes every guard by what stands in it."""

from itertools import pairwise

import pytest

from config.demo.people import INES, LOGINS, TOBIAS, WREN, let_in, who_writes
from config.demo.year import told, write
from production.models import Deed, Lot
from production.quantities.domain.refusal import Refused

EVENTS = told()[1]
DILUTED = "2026-01-14"


def year_until(day, *left_out):
    """Write what is dated until then, but for events that say certain things."""
    events = [
        one
        for one in told()[1]
        if one.facts.get("date", "") <= day
        and not any(facts.items() <= one.facts.items() for facts in left_out)
    ]
    write(events, let_in("only for this test"))


def test_one_event_stands_behind_the_other_but_a_weighing_that_was_dated_back():
    dated = [one for one in EVENTS if "date" in one.facts]
    backwards = [
        (later.where, later.facts["date"])
        for one, later in pairwise(dated)
        if later.facts["date"] < one.facts["date"]
    ]
    assert backwards == [("reweigh", "2026-07-14")]
    assert [one.where for one in EVENTS if one not in dated] == [
        "workshop",
        *["vessel"] * 2,
        *["party"] * 3,
        *["item"] * 27,
    ]


@pytest.mark.parametrize(
    ("person", "kind", "text"),
    [
        (INES, "sale", "S-INN-1"),
        (WREN, "sale", "'S-1'"),
        (TOBIAS, "given", "'why': 'retained'"),
        (WREN, "given", "school raffle"),
        (INES, "make", "'batch': 'TIDE-DIL-1'"),
        (TOBIAS, "make", "'batch': 'TIDE-FIN-1'"),
        (INES, "status", "Deviation 2"),
        (WREN, "use", "'lot': 'LAB-1'"),
    ],
)
def test_each_writes_what_is_theirs(person, kind, text):
    found = [one for one in EVENTS if one.where == kind and text in str(one.facts)]
    assert {who_writes(one) for one in found} == {person}


@pytest.mark.django_db
class TestEveryGuardIsAsked:
    def test_of_a_year_as_it_stands(self):
        year_until(DILUTED)
        assert Lot.objects.with_status().get(code="PASTE-T1").status == "released"
        assert {deed.by.username for deed in Deed.objects.all()} <= set(LOGINS)

    @pytest.mark.parametrize(
        ("left_out", "says"),
        [
            (
                {"lot": "PASTE-T1", "what": "neutrality"},
                "batch: No neutrality check of PASTE-T1 is in the book",
            ),
            ({"lot": "KOH-1", "status": "released"}, "batch: KOH-1 "),
        ],
    )
    def test_of_one_that_left_something_out(self, left_out, says):
        with pytest.raises(Refused, match=f"Line [0-9]+, {says}"):
            year_until(DILUTED, left_out)
