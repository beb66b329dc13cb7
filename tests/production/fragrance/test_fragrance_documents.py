"""A supplier's document of a fragrance: written, superseded, judged as it is used."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from labels.reads.listing import declare_lot
from labels.reads.rules import rule_set
from labels.reads.tables import name_book
from production.buying.actions.purchases import open_stock
from production.fragrance.actions import note_document
from production.fragrance.domain import (
    Document,
    Poured,
    at_finished_strength,
    judge_all,
    poured_parts,
)
from production.fragrance.reads import documents_of, remarks_for
from production.models import Constituent, FragranceDocument
from production.stock.actions.opening_lots import NewLot
from tests import make

WORKED = Document(
    edition="4",
    flash_point=Decimal(62),
    vanillin=Decimal("0.02"),
    most=Decimal("0.015"),
    constituents={"Linalool": Decimal("0.08"), "Citral": Decimal("0.005")},
)


def tones(remarks):
    return [remark.tone for remark in remarks]


def told(remarks):
    return " ".join(map(str, remarks))


def judge(document, share, *, name="The fragrance", warmth=None):
    return judge_all([Poured(name, share, document)], warmth=warmth)


class TestSums:
    def test_constituents_at_finished_strength(self):
        """By hand: 8 % of 1.2 % is 0.096 %, 0.5 % of 1.2 % is 0.006 %."""
        assert at_finished_strength(WORKED.constituents, Decimal("0.012")) == {
            "Linalool": Decimal("0.00096"),
            "Citral": Decimal("0.00006"),
        }

    def test_below_every_limit_there_is_only_what_to_know(self):
        remarks = judge(WORKED, Decimal("0.012"), name="FRA-1")
        assert set(tones(remarks)) == {"know"}
        # Regulation (EC) No 1223/2009, Annex III: named above 0.01 % when rinsed off.
        assert "Linalool (0.096 %)" in told(remarks)
        assert "Citral" not in told(remarks)
        assert "1223/2009" in told(remarks)

    def test_exactly_at_the_threshold_nothing_is_named(self):
        """Annex III: when the concentration exceeds 0.01 % in rinse-off products."""
        at = Document(constituents={"Linalool": Decimal("0.01")})
        assert "Linalool" not in told(judge(at, Decimal("0.01")))
        assert "Linalool" in told(judge(at, Decimal("0.0101")))

    def test_more_than_the_maximum_comes_first(self):
        remarks = judge(WORKED, Decimal("0.016"), name="FRA-1")
        assert remarks[0].tone == "stop"
        assert "FRA-1 is 1.6 % of the finished soap" in remarks[0].text
        assert "at most 1.5 %" in remarks[0].text
        assert "stop" not in tones(judge(WORKED, Decimal("0.015")))

    @pytest.mark.parametrize(
        ("vanillin", "says"),
        [("0.008", None), ("0.02", "turn tan"), ("0.2", "turn brown"), ("0", None)],
    )
    def test_vanillin_browns(self, vanillin, says):
        """Thresholds 0.01 % and 0.1 % of the soap: common practice, no source."""
        papers = Document(vanillin=Decimal(vanillin))
        heard = told(judge(papers, Decimal("0.01")))
        assert (says in heard) if says else "Vanillin" not in heard

    def test_what_is_not_said_is_asked_and_never_zero(self):
        remarks = judge(Document(), Decimal("0.01"), name="FRA-9")
        assert tones(remarks) == ["ask"] * 3
        for what in ("no maximum", "nothing about vanillin", "no flash point"):
            assert f"The document of FRA-9 says {what}" in told(remarks)
        bare = judge(None, Decimal("0.01"), name="FRA-9")
        assert "No document of the supplier is written for FRA-9" in told(bare)
        assert tones(bare) == ["ask"]

    @pytest.mark.parametrize(
        ("warmth", "tone", "says"),
        [
            (None, "know", "let the soap cool well below"),
            ("45", "know", "let the soap cool well below"),
            ("55", "stop", "The soap at 55 °C is too near"),
            ("62", "stop", "Do not pour FRA-1 at 62 °C"),
        ],
    )
    def test_soap_is_well_below_the_flash_point(self, warmth, tone, says):
        """10 °C of distance: common practice, no source."""
        remarks = judge(
            WORKED,
            Decimal("0.005"),
            name="FRA-1",
            warmth=None if warmth is None else Decimal(warmth),
        )
        [heard] = [row for row in remarks if "Flash point" in row.text]
        assert heard.tone == tone
        assert says in heard.text
        assert "62 °C" in heard.text
        assert "safety data sheet" in heard.text

    def test_parts_of_a_blend_add_up_by_share(self):
        """By hand: 60 g and 30 g in 120 g at 2 % are 1 % and 0.5 %.

        Linalool 8 % x 1 % + 2 % x 0.5 % = 0.09 %; the limits are taken up by
        1 / 1.5 + 0.5 / 1 = 117 %.
        """
        other = Document(
            flash_point=Decimal(80),
            vanillin=Decimal(0),
            most=Decimal("0.01"),
            constituents={"linalool": Decimal("0.02")},
        )
        poured = poured_parts(
            Decimal("0.02"),
            [("A", Decimal(60), WORKED), ("B", Decimal(30), other)],
            Decimal(120),
        )
        assert [one.share for one in poured] == [Decimal("0.01"), Decimal("0.005")]
        remarks = judge_all(poured)
        assert "Linalool (0.09 %)" in told(remarks)
        assert remarks[0].tone == "stop"
        assert "A and B together take up 116.67 %" in remarks[0].text
        assert "Flash point 62" in told(remarks)

    def test_an_unknown_part_of_a_blend_is_named(self):
        remarks = judge_all(
            [Poured("A", Decimal("0.01"), WORKED), Poured("B", Decimal("0.01"))]
        )
        assert "is written for B" in told(remarks)


def scent(code="FRA-1", **facts):
    kind = make.item("Kelp and cedar", category="fragrance", own_inci="Parfum")
    new = NewLot(amount=Decimal(1000), code=code, **facts)
    return open_stock(item=kind, lot=new, **make.act(2))


def note(lot, edition="3", **facts):
    act = {name: facts.pop(name) for name in ("on", "by", "key") if name in facts}
    return note_document(lot=lot, edition=edition, **{**make.act(3), **act}, **facts)


@pytest.mark.django_db
class TestTheDeed:
    def test_a_document_is_written_once(self):
        lot = scent()
        row = make.sent_twice(
            note_document,
            lot=lot,
            edition=" Rev. 3 ",
            dated=make.day(1),
            flash_point=Decimal("62.5"),
            vanillin=Decimal("0.012"),
            most=Decimal("0.02"),
            constituents={" Linalool ": Decimal("0.08"), "Citral": Decimal("0.01")},
            **make.act(3),
        )
        assert (row.lot, row.edition, row.dated) == (lot, "Rev. 3", make.day(1))
        assert [(part.inci, part.share) for part in row.constituents.all()] == [
            ("Linalool", Decimal("0.08")),
            ("Citral", Decimal("0.01")),
        ]
        assert {part.lot for part in row.constituents.all()} == {lot}

    def test_a_newer_one_supersedes_and_deletes_nothing(self):
        lot = scent()
        note(lot, "3", constituents={"Linalool": Decimal("0.08")})
        note(lot, "4", on=make.day(9), constituents={"Coumarin": Decimal("0.03")})
        assert FragranceDocument.objects.count() == 2
        assert Constituent.objects.count() == 2
        found = documents_of([lot.pk])[lot.pk]
        assert found.edition == "4"
        assert found.constituents == {"Coumarin": Decimal("0.03")}

    @pytest.mark.parametrize(
        ("facts", "says"),
        [
            ({"edition": "  "}, "Write the version"),
            ({"dated": make.day(20)}, "after 2026-03-03"),
            ({"most": Decimal(0)}, "would allow none of it"),
            ({"most": Decimal("1.5")}, "150 % is not between 0 and 100 %"),
            ({"vanillin": Decimal("-0.1")}, "vanillin content of -10 %"),
            ({"constituents": {" ": Decimal("0.1")}}, "Write the name of each"),
            ({"constituents": {"Citral": Decimal(0)}}, "not above 0"),
            (
                {"constituents": {"Citral": Decimal("0.1"), "citral ": Decimal("0.2")}},
                "citral is written twice",
            ),
            (
                {"constituents": {"A": Decimal("0.6"), "B": Decimal("0.5")}},
                "add up to 110 %",
            ),
        ],
    )
    def test_nonsense_is_refused(self, facts, says):
        lot = scent()
        with make.refused(says):
            note(lot, **{"edition": "3", **facts})

    def test_only_a_fragrance_has_one(self):
        oil = make.lot("OIL-1", item=make.item("rapeseed oil", category="oil"))
        with make.refused("OIL-1 is rapeseed oil, no fragrance"):
            note(oil)

    def test_an_older_document_does_not_supersede(self):
        lot = scent()
        note(lot, "4", dated=make.day(2))
        with make.refused("4 of 2026-03-02 is in force", "older"):
            note(lot, "3", dated=make.day(1))


@pytest.mark.django_db
class TestWhatFollows:
    def test_the_label_lists_what_the_document_in_force_says(self):
        lot = scent(constituents={"Citral": Decimal("0.5")})
        glycerin = make.lot(
            "GLY-1",
            item=make.item("glycerin", category="additive", own_inci="Glycerin"),
        )
        soap = make.batch(
            "finishing", uses=[(glycerin, "990"), (lot, "10")], amount="1000"
        )
        rules, names = rule_set("eu"), name_book()
        assert "Citral" in declare_lot(soap, rules, "added", names).ingredients
        note(lot, constituents={"Linalool": Decimal("0.1")})
        listed = declare_lot(soap, rules, "added", names).ingredients
        assert "Linalool" in listed
        assert "Citral" not in listed

    def test_remarks_for_a_plan(self):
        lot, other = scent(), make.lot("OIL-1")
        note(lot, most=Decimal("0.01"), vanillin=Decimal(0), flash_point=Decimal(80))
        remarks = remarks_for(
            [(other, Decimal(900)), (lot, Decimal(20))], Decimal(1000)
        )
        assert "FRA-1 is 2 % of the finished soap" in remarks[0]
        assert remarks_for([(other, Decimal(900))], Decimal(1000)) == []
        assert remarks_for([(lot, Decimal(1))], Decimal(0)) == []

    def test_a_lot_with_its_first_papers_alone(self):
        lot = scent(constituents={"Citral": Decimal("0.5")})
        heard = " ".join(remarks_for([(lot, Decimal(10))], Decimal(1000)))
        assert "Citral (0.5 %)" in heard
        assert "no maximum" in heard

    def test_a_blend_made_here_is_judged_by_its_parts(self):
        a, b = scent("FRA-1"), scent("FRA-2")
        carrier = make.lot("CAR-1", item=make.item("carrier", category="additive"))
        note(a, most=Decimal("0.005"), constituents={"Linalool": Decimal("0.1")})
        blend = make.batch(
            "preparation",
            uses=[(a, "50"), (b, "30"), (carrier, "20")],
            makes="house blend",
            amount="100",
        )
        heard = " ".join(remarks_for([(blend, Decimal(20))], Decimal(1000)))
        # By hand: half of 2 % is 1 %, of that a tenth is linalool.
        assert "FRA-1 is 1 % of the finished soap" in heard
        assert "Linalool (0.1 %)" in heard
        assert "is written for FRA-2" in heard

    def test_it_asks_the_same_for_2_lots_and_for_5(self):
        lots = [scent(f"F{number}") for number in range(5)]
        for lot in lots:
            note(lot, constituents={"Linalool": Decimal("0.1")})

        def asked(some):
            with CaptureQueriesContext(connection) as questions:
                remarks_for([(lot, Decimal(1)) for lot in some], Decimal(1000))
            return len(questions)

        assert asked(lots[:2]) == asked(lots) <= 4
