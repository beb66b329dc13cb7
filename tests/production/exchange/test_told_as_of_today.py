"""An event of the file that is no past is asked all that its page would ask."""

import pytest

from production.exchange.actions.replaying import carry_out
from production.models import Lot
from production.quantities.domain.refusal import Refused
from production.record.domain.text import read
from tests import make
from tests.production.history_cases import file_of

pytestmark = pytest.mark.django_db

OIL = {"lot": "R1", "item": "rapeseed oil", "amount": "5000", "unit": "g"}
FLAKES = {"lot": "K1", "item": "potassium hydroxide", "amount": "1000", "unit": "g"}
BOUGHT = {"type": "purchase", "date": "2026-01-05", "number": "PO-1"}
BOUGHT |= {"supplier": "Northmere Oils", "lines": [OIL, FLAKES]}
COOKED = {"type": "batch", "date": "2026-01-06", "code": "P1", "stage": "cook"}
COOKED |= {"uses": [{"lot": "R1", "amount": "1000"}, {"lot": "K1", "amount": "190"}]}
COOKED |= {"makes": {"lot": "P1", "item": "paste", "unit": "g", "amount": "1190"}}


def dated(kind, **facts):
    return {"type": kind, "date": "2026-01-20", **facts}


RELEASED = dated("status", lot="P1", status="released")


def tell(*events, by=None, past=False):
    """Carry them out behind each other, as the file numbers its lines."""
    events = read(file_of([BOUGHT, COOKED, *events]))[1]
    for number, event in enumerate(events):
        key = f"history:test:{number}" if past else ""
        carry_out(event, by=by or make.owner(), key=key, past=past)


@pytest.mark.parametrize(
    ("event", "says"),
    [
        (RELEASED, "No neutrality check of P1"),
        (dated("closing", through="2026-01-15"), "is not the end of a month"),
        (dated("step", batch="P1", text="no zap on the tongue"), "tongue"),
        (dated("step", batch="P1", text="pale", look="day"), "P1 is no trial"),
        (dated("open_pack", lot="K1"), "An alkali never stands open"),
    ],
)
def test_only_a_past_judged_it_by_its_own_hand(event, says):
    with pytest.raises(Refused, match=f"Line 4, {event['type']}: .*{says}"):
        tell(event)


@pytest.mark.parametrize(
    "event",
    [
        RELEASED,
        dated("closing", through="2026-01-15"),
        dated("step", batch="P1", text="no zap on the tongue"),
        dated("open_pack", lot="K1"),
    ],
)
def test_a_past_is_taken_as_it_is_told(event):
    tell(event, past=True)


def test_what_was_made_waits_for_its_check_unless_a_past_says_otherwise():
    tell()
    assert Lot.objects.with_status().get(code="P1").status == "quarantine"


def test_a_lot_that_comes_out_of_a_past_is_what_its_file_says():
    tell(past=True)
    assert Lot.objects.with_status().get(code="P1").status == "released"


def test_a_lot_is_held_with_its_reason():
    with pytest.raises(Refused, match="reason"):
        tell(dated("status", lot="P1", status="held"))


def test_a_lot_is_held_and_rejected_as_on_its_page():
    held = dated("status", lot="R1", status="held", reason="a smell of paint")
    tell(held, dated("status", lot="P1", status="rejected", reason="burnt"))
    words = Lot.objects.with_status()
    assert words.get(code="R1").status == "held"
    assert words.get(code="P1").status == "rejected"


def test_no_word_brings_a_lot_back_into_quarantine():
    with pytest.raises(Refused, match="'status' is released, held, rejected"):
        tell(dated("status", lot="P1", status="quarantine"))


def test_a_maker_takes_no_failed_check_back():
    failed = dated("measurement", lot="P1", what="neutrality", passed=False)
    failed |= {"method": "drop test", "where": "top"}
    back = dated("check_taken_back", lot="P1", what="neutrality", checked="2026-01-20")
    back |= {"passed": False, "reason": "another pot's sample"}
    with pytest.raises(Refused, match=r"Line 5, check_taken_back: .*owner"):
        tell(failed, back, by=make.maker())
