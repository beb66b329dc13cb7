"""Recipes, papers, rules and looks move house; what older files said still holds."""

import pytest

from config.audit import audit
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.fragrance.actions import note_document
from production.models import (
    Constituent,
    Lot,
    ReferenceRuleOfThumb,
    RuleOfThumb,
    Step,
    Version,
    Vessel,
)
from production.quantities.domain.refusal import Refused
from production.record.domain.text import write
from tests import make
from tests.production.history_cases import file_of
from tests.production.testing import still_open

pytestmark = pytest.mark.django_db

OIL = {"type": "item", "name": "olive oil", "unit": "g", "kind": "material"}
OIL |= {"category": "oil"}
PASTE = {"type": "item", "name": "paste", "unit": "g", "kind": "made"}
RECIPE = {"type": "formula", "date": "2026-01-02", "name": "Winter", "stage": "cook"}
RECIPE |= {"makes": "paste", "lines": [{"item": "olive oil", "share": "1"}]}
RULE = {"type": "hint", "instead_of": None, "topic": "responds to brine"}
RULE |= {"figure": "oleic", "low": "0.4", "high": None}
RULE |= {"says": "Brine thickened ours.", "source": "our own book"}
POT = {"type": "vessel", "name": "pot", "volume": "9000"}


def opening(lot, item, **facts):
    head = {"type": "opening", "date": "2026-01-02", "lot": lot, "item": item}
    head |= {"kind": "material", "amount": "3000", "unit": "g", "value": "9"}
    return {**head, "supplier_lot": "", "status": "released", **facts}


def document(**facts):
    head = {"type": "fragrance_document", "date": "2026-01-03", "lot": "S1"}
    return {**head, "edition": "rev. 1", **facts}


SCENT = {"type": "item", "name": "lemon scent", "unit": "g", "kind": "material"}
SCENT |= {"category": "fragrance"}
SCENT_LOT = opening("S1", "lemon scent", constituents={"Limonene": "0.6"})


def exported():
    return write("USD", history_events())


def comes_back(*events):
    """Take some events in, and find each as it was."""
    text = file_of(events)
    import_history(text=text)
    assert exported() == text


def terms(**facts):
    return RECIPE | {"terms": facts}


class TestRecipes:
    def test_a_declared_excess_is_written_as_true(self):
        comes_back(OIL, PASTE, terms(superfat="-0.02", lye_excess=True))
        assert Version.objects.get().lye_excess

    def test_no_excess_is_left_out(self):
        import_history(text=file_of([OIL, PASTE, terms(lye_excess=False)]))
        assert exported() == file_of([OIL, PASTE, RECIPE])

    def test_a_superfat_below_zero_of_an_older_file_is_a_declared_excess(self):
        import_history(text=file_of([OIL, PASTE, terms(superfat="-0.02")]))
        assert Version.objects.get().lye_excess
        again = terms(superfat="-0.02", lye_excess=True)
        assert exported() == file_of([OIL, PASTE, again])

    def test_a_cook_of_an_older_file_may_name_its_alkali(self):
        lye = {"type": "item", "name": "potash", "unit": "g", "kind": "material"}
        lye |= {"category": "alkali", "alkali": "KOH"}
        lines = [*RECIPE["lines"], {"item": "potash", "share": "0.2"}]
        comes_back(OIL, lye, PASTE, RECIPE | {"lines": lines})

    def test_a_version_gets_the_same_fingerprint_in_its_new_house(self):
        checks = [{"what": "pH", "low": "9", "high": "10.2"}]
        comes_back(OIL, PASTE, RECIPE | {"checks": checks})
        assert not [fault for finding in audit() for fault in finding.faults]

    def test_a_look_says_when(self):
        start = {"type": "batch", "date": "2026-01-03", "code": "B-1", "stage": "cook"}
        start |= {"uses": [], "makes": None, "expected": None, "work": []}
        start |= {"trial": True}
        look = {"type": "step", "date": "2026-01-04", "batch": "B-1", "text": "Clear."}
        comes_back(start, look | {"look": "week"})
        assert Step.objects.get().look == "week"


class TestPapers:
    def test_the_first_papers_of_a_lot_and_its_documents_stay_apart(self):
        comes_back(
            SCENT,
            SCENT_LOT,
            document(constituents={"Citral": "0.1", "Limonene": "0.5"}),
            document(edition="rev. 2", constituents={"Linalool": "0.2"}),
        )
        in_force = Constituent.objects.in_force()
        assert list(in_force.values_list("inci", flat=True)) == ["Linalool"]
        assert Constituent.objects.count() == 4

    def test_the_one_written_last_counts_also_where_it_is_dated_before(self):
        scent = make.item("lemon scent", category="fragrance")
        lot = make.lot("S1", item=scent)
        for edition, number in (("rev. 2", 9), ("rev. 1", 5)):
            note_document(lot=lot, edition=edition, **make.act(number))
        told = [event for event in history_events() if "edition" in event]
        assert [event["edition"] for event in told] == ["rev. 2", "rev. 1"]


class TestCards:
    def test_a_rule_instead_of_a_published_one(self):
        published()
        comes_back(RULE | {"instead_of": "invented-brine", "low": "0.5"})
        assert RuleOfThumb.objects.get().instead_of.key == "invented-brine"

    def test_a_second_file_changes_the_rule_and_the_vessel(self):
        published()
        instead = RULE | {"instead_of": "invented-brine"}
        import_history(text=file_of([RULE, instead, POT]))
        changed = [RULE | {"silent": True}, instead | {"low": "0.6"}]
        import_history(text=file_of([*changed, POT | {"tare": "800"}]))
        assert [
            (str(row.low), row.silent) for row in RuleOfThumb.objects.order_by("pk")
        ] == [
            ("0.40000", True),
            ("0.60000", False),
        ]
        assert Vessel.objects.get().tare == 800


def published():
    ReferenceRuleOfThumb.objects.create(
        key="invented-brine",
        topic="responds to brine",
        figure="oleic",
        says="x",
        source="an invented table",
        standing="invented",
    )


@pytest.mark.parametrize(
    ("events", "says"),
    [
        ([POT | {"colour": "red"}], "vessel: 'colour' is not known"),
        ([POT | {"volume": "0"}], "above zero"),
        ([RULE | {"why": ""}], "hint: 'why' is not known"),
        ([RULE | {"high": "0.3"}], "lower limit is above"),
        ([RULE | {"instead_of": "gossip"}], "'gossip' is in no published table"),
        ([RULE | {"figure": "foam"}], "foam"),
        ([RULE | {"silent": "no"}], "'silent' is true or false"),
        ([OIL | {"least": "1"}], "item: 'least' is not known"),
        ([SCENT, SCENT_LOT, document(smell="nice")], "'smell' is not known"),
        ([SCENT, SCENT_LOT, document(constituents=[])], "a group in braces"),
        ([OIL, opening("S1", "olive oil"), document()], "no fragrance"),
        ([OIL, PASTE, terms(lye_excess=1)], "'lye_excess' is true or false"),
        ([OIL, PASTE, terms(strength="1")], "terms: 'strength' is not known here"),
        (
            [OIL, PASTE, terms(superfat="-0.02", lye_excess=False)],
            "Declare a superfat below zero",
        ),
        ([OIL, PASTE, RECIPE | {"checks": [{"what": "foam"}]}], "foam"),
        (
            [OIL, PASTE, RECIPE | {"checks": [{"what": "pH", "mood": "1"}]}],
            "checks 1: 'mood' is not known",
        ),
        (
            [OIL, PASTE, RECIPE | {"lines": [{**RECIPE["lines"][0], "goes_in": "x"}]}],
            "goes in with the rest",
        ),
    ],
)
def test_what_is_not_known_is_refused_and_nothing_is_taken_in(events, says):
    make.owner()
    with make.refused(says):
        import_history(text=file_of([*events]))


class TestThePastOfALyeHeavyPaste:
    """What an earlier book did before its check was noted is told, not judged again."""

    def test_it_moves_in_and_is_not_sold_from_then_on(self):
        excess = terms(superfat="-0.02", lye_excess=True)
        comes_back(
            OIL,
            PASTE,
            excess,
            opening("R1", "olive oil"),
            run("B-1", "cook", "R1", "P1", "paste", formula=True),
            run("B-2", "dilution", "P1", "D1", "diluted soap"),
            run("B-3", "finishing", "D1", "F1", "finished soap"),
            sale("S-1"),
        )
        finished = Lot.objects.get(code="F1")
        assert still_open(finished)
        with pytest.raises(Refused, match="declared lye excess"):
            make.sale(finished, on=make.day(1))


def run(code, stage, takes, makes, item, formula=False):
    facts = {"type": "batch", "date": "2026-01-04", "code": code, "stage": stage}
    facts |= {"uses": [{"lot": takes, "amount": "900"}]}
    out = {"lot": makes, "item": item, "unit": "g", "amount": "900"}
    facts |= {"makes": out | {"status": "released"}, "expected": None, "work": []}
    return facts | ({"formula": {"name": "Winter", "version": 1}} if formula else {})


def sale(number):
    facts = {"type": "sale", "date": "2026-01-05", "number": number}
    line = {"lot": "F1", "amount": "100", "unit_price": "1"}
    return facts | {"channel": "by post", "customer": None, "lines": [line]}
