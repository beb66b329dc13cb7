"""What is found by whom: a lot by whatever stands on the drum, the paper or the bottle.

What a maker expects: she types what she reads, and reads what is printed largest: the
code without its last sign, the supplier's lot, the number of the invoice. Where that is
one lot, it is the one; where it is several, she is shown them and says which. Where she
looks about (a search, a list) a name will do. Nothing is guessed, and a slip in one of
our own codes is still called one.
"""

from decimal import Decimal
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.batches.actions.batches import make_lot, start_batch, use_lots
from production.batches.actions.new_batch import Output, Use
from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.correcting.actions.undoing import undo_deed
from production.models import Lot
from production.quantities.domain.codes import check_character
from production.quantities.domain.refusal import Refused
from production.selling.actions.customers import ensure_customer
from production.selling.actions.sales import NewSaleLine, sell
from production.stock.actions.opening_lots import NewLot
from production.stock.forms.fields import LotField
from production.stock.reads.lookup import Several, find_lot, lots_named
from tests import make
from tests.production.tracing.test_trace_page import text

pytestmark = pytest.mark.django_db


def bought(number, *lots, supplier="Northmere Oils", item="olive oil", on=2):
    """A purchase of one item that came as these lots: (code, supplier's lot)."""
    new = [
        NewLot(amount=Decimal(1000), code=code, supplier_lot=theirs)
        for code, theirs in lots
    ]
    line = NewLine(item=make.item(item, category="oil"), lots=new, price=Decimal(10))
    return record_purchase(
        number=number,
        supplier=ensure_supplier(supplier),
        lines=[line],
        **make.act(on),
    )


def found(typed):
    return find_lot(typed).code


def asked(typed):
    """The codes of the lots that one is asked to choose from."""
    with pytest.raises(Several) as several:
        find_lot(typed)
    for lot in several.value.lots:
        assert lot.code in str(several.value)
    return [lot.code for lot in several.value.lots]


def read(desk, name, **facts):
    return text(desk.get(reverse(name), facts).content.decode())


class TestByItsCode:
    @pytest.mark.parametrize("typed", ["Drum-7", "DRUM-7", " drum-7 ", "dRUM-7"])
    def test_in_any_case(self, typed):
        make.lot("Drum-7")
        assert found(typed) == "Drum-7"

    def test_with_or_without_the_check_character(self):
        code = make.lot(" ").code
        body, sign = code.split("-")
        for typed in (code, body, body.lower(), f"{body}{sign}", f" {body} {sign} "):
            assert found(typed) == code

    def test_a_slip_in_one_of_ours_is_told(self):
        code = make.lot(" ").code
        wrong = "2" if code[-1] != "2" else "3"
        for typed in (code[:-1] + wrong, code[:-1].lower() + wrong):
            with pytest.raises(Refused, match="mistyped"):
                find_lot(typed)

    def test_five_signs_may_be_four_and_a_check_or_five_without(self):
        """Both are in the book: nobody can tell which is meant."""
        four = f"3K7Q-{check_character('3K7Q')}"
        five = four.replace("-", "")
        make.lot(four)
        make.lot(f"{five}-{check_character(five)}")
        assert found(four) == four
        assert asked(five) == [four, f"{five}-{check_character(five)}"]

    def test_as_it_stands_it_comes_first(self):
        """Of an older book: today the second is refused."""
        make.lot("mix")
        twin = make.lot("other")
        Lot.objects.filter(pk=twin.pk).update(code="MIX")
        assert found("mix") == "mix"
        assert found("MIX") == "MIX"
        assert asked("Mix") == ["mix", "MIX"]

    def test_by_the_mark_of_its_batch(self):
        oil = make.lot("OIL-1")
        batch = start_batch(stage="preparation", code="May-1", **make.act())
        use_lots(batch=batch, uses=[Use(Decimal(10), oil)], **make.act())
        with pytest.raises(Refused, match="May-1 is open: it has made no lot yet"):
            find_lot("may-1")
        kind = make.item("blend", kind="made")
        output = Output(Decimal(10), kind, code="BL-1")
        make_lot(batch=batch, output=output, **make.act())
        assert found("may-1") == "BL-1"


class TestByWhatStandsOnThePapers:
    def test_by_the_suppliers_lot(self):
        bought("NO-1", ("OIL-1", "N 77/a"), ("OIL-2", "N 78"))
        assert found("n 77/A") == "OIL-1"
        assert found(" N  78 ") == "OIL-2"

    def test_two_suppliers_may_call_theirs_alike(self):
        bought("NO-1", ("OIL-1", "77"))
        bought("SO-1", ("OIL-2", "77"), supplier="Southmere Oils")
        assert asked("77") == ["OIL-1", "OIL-2"]

    def test_the_list_says_what_they_are_and_from_whom(self):
        bought("NO-1", ("OIL-1", "77"))
        bought("SO-1", ("OIL-2", "77"), supplier="Southmere Oils")
        with pytest.raises(Refused) as said:
            find_lot("77")
        assert "OIL-1 (olive oil, Northmere Oils, their lot 77" in str(said.value)
        assert "OIL-2 (olive oil, Southmere Oils, their lot 77" in str(said.value)
        assert "Write the code of the one you mean" in str(said.value)

    def test_our_code_beats_their_lot_and_another_spelling_asks(self):
        bought("NO-1", ("OIL-1", "Drum-7"))
        make.lot("DRUM-7")
        assert found("DRUM-7") == "DRUM-7"
        assert asked("drum-7") == ["OIL-1", "DRUM-7"]

    def test_by_the_invoice(self):
        bought("NO-2041", ("OIL-1", ""))
        bought("NO-2042", ("OIL-2", ""), ("OIL-3", ""))
        assert found("no-2041") == "OIL-1"
        assert asked("no-2042") == ["OIL-2", "OIL-3"]

    def test_what_was_taken_back_is_not_offered(self):
        first = bought("NO-1", ("OIL-1", "77"))
        undo_deed(undone=first.deed, **make.act(3, reason="typed twice"))
        bought("NO-2", ("OIL-2", "77"), on=4)
        assert found("77") == "OIL-2"
        assert found("oil-1") == "OIL-1"

    def test_a_long_list_says_how_many_more(self):
        bought("NO-1", *((f"OIL-{n}", "77") for n in range(30)))
        with pytest.raises(Several) as several:
            find_lot("77")
        assert "30 lots" in str(several.value)
        assert "18 more" in str(several.value)

    def test_it_asks_the_same_number_of_questions_whatever_the_book_holds(self):
        def asked_for():
            with CaptureQueriesContext(connection) as queries, pytest.raises(Refused):
                find_lot("77")
            return len(queries)

        bought("NO-1", ("OIL-1", "77"), ("OIL-2", "77"))
        few = asked_for()
        bought("NO-2", *((f"L-{n}", "77") for n in range(8)))
        assert asked_for() == few <= 6


class TestByAName:
    @pytest.fixture
    def shelf(self):
        bought("NO-1", ("OIL-1", "77"))
        bought("SO-1", ("CO-1", "5"), supplier="Southmere Oils", item="coconut oil")
        make.sale(Lot.objects.get(code="CO-1"), "5", customer="Harbour Inn")

    @pytest.mark.parametrize(
        ("typed", "codes"),
        [
            ("olive", ["OIL-1"]),
            ("OIL", ["CO-1", "OIL-1"]),
            ("southmere", ["CO-1"]),
            ("harbour", ["CO-1"]),
            ("nobody", []),
        ],
    )
    def test_a_search_takes_names_of_items_suppliers_and_customers(
        self, shelf, typed, codes
    ):
        assert [lot.code for lot in lots_named(typed)] == codes

    def test_a_field_does_not(self, shelf):
        with pytest.raises(Refused, match="There is no lot olive"):
            find_lot("olive")


class TestPagesAndCommands:
    @pytest.fixture
    def two(self):
        bought("NO-1", ("OIL-1", "77"))
        bought("SO-1", ("OIL-2", "77"), supplier="Southmere Oils")

    def test_the_trace_lists_them_as_links(self, two, desk):
        page = desk.get(reverse("trace"), {"lot": "77"}).content.decode()
        for code in ("OIL-1", "OIL-2"):
            assert f'href="{reverse("trace")}?lot={code}"' in page
        assert "Southmere Oils" in text(page)
        assert 'value="77"' in page

    def test_the_trace_takes_a_name_and_shows_what_it_may_mean(self, two, desk):
        page = desk.get(reverse("trace"), {"lot": "southmere"}).content.decode()
        assert f'href="{reverse("trace")}?lot=OIL-2"' in page
        assert f'href="{reverse("trace")}?lot=OIL-1"' not in page

    def test_the_trace_of_one_is_shown_at_once(self, two, desk):
        assert "OIL-2" in read(desk, "trace", lot="so-1").split("Signed in")[0]
        assert "Where OIL-2 went" in read(desk, "trace", lot="so-1")

    @pytest.mark.parametrize(
        "command", [["trace"], ["cost"], ["declare", "--rules", "us"], ["fit"]]
    )
    def test_every_command_finds_by_the_papers_and_asks_which(self, two, command):
        with pytest.raises(CommandError, match=r"OIL-1 .*OIL-2 "):
            call_command(*command, "77", stdout=StringIO())

    def test_a_command_takes_the_suppliers_lot(self):
        bought("NO-1", ("OIL-1", "N 77"))
        out = StringIO()
        call_command("trace", "n 77", stdout=out)
        assert out.getvalue().startswith("Lot OIL-1\n")

    def test_a_form_takes_it_and_asks_which(self, two):
        assert LotField().clean("oil-2").code == "OIL-2"
        with pytest.raises(ValidationError, match=r"a paper with that number.*OIL-2"):
            LotField().clean("so-1")
        with pytest.raises(ValidationError, match=r"OIL-1 .*OIL-2 "):
            LotField().clean("77")

    def test_what_was_understood_is_shown_back(self, two, desk):
        typed = {"lot": "oil-2"}
        page = desk.get(
            reverse("echo-lot"), typed, headers={"HX-Request": "true"}
        ).content.decode()
        assert "OIL-2" in page

    def test_the_page_of_a_lot_is_reached_by_what_is_typed_in_the_address(
        self, two, desk
    ):
        answer = desk.get(reverse("lot", args=["oil-2"]))
        assert answer.status_code == 302
        assert answer.url == reverse("lot", args=["OIL-2"])
        assert desk.get(reverse("lot", args=["77"])).status_code == 404


class TestLists:
    @pytest.mark.parametrize("typed", ["so-1", "SOUTH", "n 78", "co-1", "inn"])
    def test_lots_are_narrowed_by_the_same_words(self, desk, typed):
        bought("NO-1", ("OIL-1", "77"))
        bought("SO-1", ("CO-1", "N 78"), supplier="Southmere Oils", item="coconut oil")
        make.sale(Lot.objects.get(code="CO-1"), "5", customer="Harbour Inn")
        rows = desk.get(reverse("lots"), {"find": typed}).context["table"].rows
        assert [row.record.code for row in rows] == ["CO-1"]

    def test_a_code_is_found_without_its_hyphen(self, desk):
        code = make.lot(" ").code
        typed = {"find": code.replace("-", "").lower()}
        rows = desk.get(reverse("lots"), typed).context["table"].rows
        assert [row.record.code for row in rows] == [code]

    def test_a_sale_is_found_by_what_was_sold_and_counted_once(self, desk):
        bought("NO-1", ("OIL-1", "77"), ("OIL-2", "77"))
        one, two = Lot.objects.order_by("pk")
        sold = [NewSaleLine(lot, Decimal(5), Decimal(9)) for lot in (one, two)]
        sell(lines=sold, customer=ensure_customer("Inn"), **make.act(3))
        for typed in ("oil-2", "olive", "77", "inn"):
            rows = desk.get(reverse("sales"), {"find": typed}).context["table"].rows
            assert [row.record.line_count for row in rows] == [2]

    def test_a_purchase_is_found_by_the_lot_that_came(self, desk):
        bought("NO-1", ("OIL-1", "N 77"))
        for typed in ("oil-1", "n 77", "olive", "no-1", "northmere"):
            rows = desk.get(reverse("purchases"), {"find": typed}).context["table"].rows
            assert [row.record.number for row in rows] == ["NO-1"]


LISTS = [
    "lots",
    "filled",
    "purchases",
    "suppliers",
    "items",
    "customers",
    "sales",
    "returns",
    "recipes",
    "batches",
    "batch-trials",
    "places",
    "history",
]


@pytest.mark.parametrize("name", LISTS)
def test_a_list_narrowed_to_nothing_says_that_and_leads_back(desk, name):
    page = desk.get(reverse(name), {"find": "no such thing"}).content.decode()
    assert "Nothing matches what you asked for." in page
    assert f'<a href="{reverse(name)}">Show the whole list</a>' in page


@pytest.mark.parametrize("name", ["sales", "lots", "batches"])
def test_a_list_that_is_empty_says_what_fills_it(desk, name):
    page = desk.get(reverse(name), {"find": ""}).content.decode()
    assert "Nothing matches" not in page
    assert 'class="empty"' in page
