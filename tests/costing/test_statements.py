"""The statement of a closed month: what a maker's accountant gets, and gets again.

1,000 g of oil come in January for 10.00. 400 g are sold and 100 g spilt: 4.00 and 1.00,
and 5.00 stand on the shelf when January is closed. In February a carrier bills 2.00 of
freight for the oil: January stays as it was printed. February starts with 5.00 and says
that 2.00 came to a closed month: 1.00 of it is still on the shelf (500 of 1,000 g),
0.80 was sold and 0.20 spilt.
"""

import io
import json
from datetime import date
from decimal import Decimal as D

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from django.urls import reverse

from config.audit import audit
from costing.domain.rollup import NANO
from costing.domain.statement import TOTALS, digest_of, period, read, write
from costing.models import Statement
from costing.reads.statements import kept, statement_of
from production.batches.actions.batches import run_batch, start_batch, use_lots
from production.batches.actions.losing import lose_batch
from production.batches.actions.new_batch import Output, Use
from production.batches.actions.trials import note_look, promote_trial
from production.buying.actions.purchases import add_extra_cost, price_line
from production.closing.actions import close_book
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.exchange import domain as file
from production.exchange.actions.replaying import import_history
from production.exchange.reads import history_events
from production.lots.actions.lot_deeds import discard
from production.models import Closing
from production.record.models.ink import lift_triggers
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.once import remembered

pytestmark = pytest.mark.django_db
JANUARY, FEBRUARY, MARCH = date(2026, 1, 31), date(2026, 2, 28), date(2026, 3, 31)


def at(month, day, **facts):
    return {"on": date(2026, month, day), "by": make.owner(), **facts}


def close(through, month, day):
    return close_book(through=through, **at(month, day))


def nano(figure):
    return int(D(figure) * NANO)


def money(statement):
    """What a statement says, in money."""
    return {
        "start": sum(statement.start.values()),
        "came": sum(statement.came.values()),
        "end": sum(statement.end.values()),
        "sold": statement.sold,
        "lost": sum(statement.lost.values()),
        "later": statement.changes.came,
        "later_held": statement.changes.held,
        "later_sold": statement.changes.sold,
        "later_lost": statement.changes.lost,
    }


def says(statement, **figures):
    found = money(statement)
    wanted = {name: nano(figures.get(name, 0)) for name in found}
    assert found == wanted
    assert statement.difference == 0


@pytest.fixture
@remembered
def oil():
    """January: 1,000 g for 10.00, of which 400 g are sold and 100 g spilt."""
    lot = make.lot("OIL", grams="1000", price="10", on=date(2026, 1, 5))
    make.sale(lot, "400", on=date(2026, 1, 20))
    discard(lot=lot, amount=D(100), **at(1, 25, reason="spilt"))
    return lot


@pytest.fixture
def closed(oil):
    close(JANUARY, 2, 3)
    return oil


def bill(lot, amount="2", month=2, day=10):
    return add_extra_cost(
        purchase=lot.line.purchase,
        kind="freight",
        amount=D(amount),
        invoiced=date(2026, 1, 7),
        **at(month, day),
    )


def test_the_first_statement_is_all_since_the_book_began(closed):
    found = kept(JANUARY).statement
    says(found, came="10", end="5", sold="4", lost="1")
    assert [(row.code, row.amount, row.value) for row in found.stock] == [
        ("OIL", "500", nano(5))
    ]


def test_a_late_bill_leaves_the_closed_month_and_stands_in_the_open_one(closed):
    before = kept(JANUARY).row.text
    bill(closed)
    assert kept(JANUARY).row.text == before
    says(
        statement_of(FEBRUARY),
        start="5",
        later="2",
        end="6",
        later_held="1",
        later_sold="0.8",
        later_lost="0.2",
    )


def test_the_months_add_up_to_the_whole_book(closed):
    """250 g more sold in February at 0.012: 3.00 sold, 3.00 left."""
    bill(closed)
    make.sale(closed, "250", on=date(2026, 2, 12))
    close(FEBRUARY, 3, 2)
    february = kept(FEBRUARY).statement
    says(
        february,
        start="5",
        later="2",
        end="3",
        sold="3",
        later_held="1",
        later_sold="0.8",
        later_lost="0.2",
    )
    make.sale(closed, "250", on=date(2026, 3, 5))
    close(MARCH, 4, 2)
    march = kept(MARCH).statement
    says(march, start="3", sold="3")
    months = [kept(day).statement for day in (JANUARY, FEBRUARY, MARCH)]
    assert sum(one.sold + one.changes.sold for one in months) == nano("10.8")
    assert sum(sum(one.lost.values()) + one.changes.lost for one in months) == nano(
        "1.2"
    )
    assert march.to_date["purchases"] == nano(12)


def test_a_spill_of_a_closed_month_is_taken_back_in_the_open_one(closed):
    """The 100 g were not spilt: they stand on the shelf again, worth 1.00."""
    spilt = closed.movements.get(kind="discarded")
    with make.refused("closed through 2026-01-31"):
        reverse_movement(movement=spilt, **at(1, 30, reason="found again"))
    reverse_movement(movement=spilt, **at(2, 4, reason="found again"))
    says(statement_of(FEBRUARY), start="5", end="6", later_held="1", later_lost="-1")


def test_an_arrival_of_a_closed_month_is_corrected_in_the_open_one(closed):
    """1,000 g were 1,250: of 10.00, 500 g are 4.00, 750 g are left and worth 6.00."""
    came = closed.movements.get(kind="received")
    correct_movement(movement=came, amount=D(1250), **at(2, 4, reason="misread"))
    says(
        statement_of(FEBRUARY),
        start="5",
        end="6",
        later_held="1",
        later_sold="-0.8",
        later_lost="-0.2",
    )


def test_a_price_that_comes_late_is_a_change_to_the_closed_month():
    lot = make.lot("OIL", grams="1000", price=None, on=date(2026, 1, 5))
    close(JANUARY, 2, 3)
    frozen = kept(JANUARY).statement
    says(frozen)
    assert frozen.missing == ("these lots have no price yet: OIL.",)
    assert frozen.stock[0].value is None
    price_line(line=lot.line, price=D(10), **at(2, 5))
    says(statement_of(FEBRUARY), later="10", end="10", later_held="10")


def test_it_prints_again_without_a_bytes_difference(closed, desk):
    text = kept(JANUARY).row.text
    bill(closed)
    closed.item.name = "another name"
    closed.item.save()
    out = io.StringIO()
    call_command("statement", "2026-01-31", "--json", stdout=out)
    assert out.getvalue() == text
    url = reverse("statement-file", args=["2026-01-31"])
    assert desk.get(url).content.decode() == text
    page = desk.get(reverse("statement", args=["2026-01-31"])).content.decode()
    assert "another name" not in page
    assert digest_of(text) == kept(JANUARY).row.sha256
    assert write(read(text)) == text


def test_a_text_that_knows_nothing_of_returns_to_suppliers_stays_as_it_is(closed):
    told = json.loads(kept(JANUARY).row.text)
    for figures in (told["losses"], told["to_date"]):
        del figures["sent_back"]
    early = json.dumps(told, ensure_ascii=False, indent=1) + "\n"
    assert write(read(early)) == early
    figures = period(dict.fromkeys(TOTALS, 0), None, read(early).to_date)
    assert figures["to_date"]["sent_back"] == 0


def test_its_paper_prints_again_without_a_bytes_difference(closed, desk):
    url = reverse("statement-pdf", args=["2026-01-31"])
    first = desk.get(url)
    bill(closed)
    assert first["Content-Type"] == "application/pdf"
    assert desk.get(url).content == first.content


def test_it_is_ink(closed):
    row = Statement.objects.get()
    with pytest.raises(Exception, match="ink"):
        row.save()
    with (
        pytest.raises(DatabaseError),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("UPDATE costing_statement SET text = 'x'")


def faults():
    return [fault for finding in audit() for fault in finding.faults]


def test_the_audit_reads_its_digest_and_its_sums(closed):
    assert faults() == []
    row = Statement.objects.get()
    lift_triggers(connection, ["costing_statement"])
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE costing_statement SET text = replace(text, 'OIL', 'OLI')"
        )
    assert any("statement of 2026-01-31" in fault for fault in faults())
    assert row.pk


class RolledBack(Exception):
    """Leaves the book as empty as it was."""


def told_of_a_book(do):
    """What a book tells that never was: nothing of it stays in the database."""
    found = None
    try:
        with transaction.atomic():
            found = do()
            raise RolledBack
    except RolledBack:
        return found


def two_closed_months():
    """600 g of oil are left of 1,000 when a freight bill of 2.00 comes in February."""
    lot = make.lot("OIL", grams="1000", price="10", on=date(2026, 1, 5))
    make.sale(lot, "400", on=date(2026, 1, 20))
    close(JANUARY, 2, 3)
    bill(lot)
    close(FEBRUARY, 3, 2)
    frozen = [kept(day).row.text for day in (JANUARY, FEBRUARY)]
    return frozen, file.write("USD", history_events())


def test_it_goes_out_with_its_closing_and_comes_in_again():
    """A bill of February changes what January would show; the book that only saw the
    file prints both months the same, byte by byte."""
    frozen, text = told_of_a_book(two_closed_months)
    assert not Closing.objects.exists()
    import_history(text=text)
    assert [kept(day).row.text for day in (JANUARY, FEBRUARY)] == frozen
    assert file.write("USD", history_events()) == text
    says(
        kept(FEBRUARY).statement,
        start="6",
        later="2",
        end="7.2",
        later_held="1.2",
        later_sold="0.8",
    )
    assert faults() == []


def test_a_statement_that_was_changed_in_the_file_is_refused(closed):
    told = {"type": "closing", "date": "2026-04-02", "through": "2026-03-31"}
    changed = kept(JANUARY).row.text.replace("4.000000000", "3.000000000")
    for text, why in ((changed, "not as it was"), (kept(JANUARY).row.text, "another")):
        with make.refused(why):
            import_history(
                text=file.write("USD", [told | {"statement": text}]), by=make.owner()
            )


def test_a_file_of_before_closes_by_the_day_and_freezes_nothing():
    import_history(
        text=file.write(
            "USD",
            [{"type": "closing", "date": "2026-02-01", "through": "2026-01-20"}],
        )
    )
    assert Closing.objects.get().through == date(2026, 1, 20)
    assert not Statement.objects.exists()
    lot = make.lot("OIL", price="10", on=date(2026, 1, 25))
    assert lot.line
    says(statement_of(JANUARY), came="10", end="10")


def test_the_page_of_the_open_month_names_the_changes(closed, desk):
    bill(closed)
    page = desk.get(reverse("statement-open")).content.decode()
    assert "Changes to closed months" in page
    for figure in ("2.00", "1.00", "0.80", "0.20"):
        assert figure in page
    closing = desk.get(reverse("statements")).content.decode()
    assert reverse("statement", args=["2026-01-31"]) in closing


def a_trial():
    """500 g of oil, worth 5.00, in a trial of the 10th of January."""
    lot = make.lot("OIL", grams="1000", price="10", on=date(2026, 1, 5))
    water = make.item("diluted soap", kind="made")
    return run_batch(
        stage="dilution",
        trial=True,
        uses=[Use(D(500), lot=lot)],
        output=Output(D(500), item=water),
        **at(1, 10),
    )


def accept(made, seen, accepted):
    """Looked at and measured on one day, accepted on another; (month, day) each."""
    note_look(batch=made.batch, look="day", text="clear", **at(*seen))
    readings = [Reading("pH", D("9.6")), make.check()]
    note_measurement(batch=made.batch, readings=readings, **at(*seen))
    facts = at(*accepted, reason="it stayed clear")
    promote_trial(batch=made.batch, **facts)


def test_a_trial_that_is_accepted_later_is_a_change_to_the_closed_month():
    """A trial of 500 g of oil, worth 5.00, is an expense in January; in February it is
    accepted and is stock: 5.00 less lost, 5.00 more in stock."""
    made = a_trial()
    close(JANUARY, 2, 3)
    says(kept(JANUARY).statement, came="10", end="5", lost="5")
    accept(made, (2, 4), (2, 5))
    found = statement_of(FEBRUARY)
    says(found, start="5", end="10", lost="-5")


def test_a_trial_that_is_accepted_on_the_last_evening_is_stock_of_that_month():
    accept(a_trial(), (1, 12), (1, 31))
    close(JANUARY, 2, 3)
    says(kept(JANUARY).statement, came="10", end="10", lost="0")


def test_a_book_that_adds_up_at_any_day(closed):
    """What is frozen is one whole: no figure of it is the rest of the others."""
    bill(closed)
    make.sale(closed, "100", on=date(2026, 2, 14))
    for day in (date(2026, 2, 10), date(2026, 2, 14), FEBRUARY, MARCH):
        assert statement_of(day).difference == 0


def test_what_open_batches_hold_is_listed_and_adds_up(oil):
    """300 g of oil in a batch that is open at the end of January: 3.00 of the 5.00."""
    batch = start_batch(stage="dilution", code="B-1", **at(1, 28))
    use = Use(D(300), lot=oil)
    use_lots(batch=batch, uses=[use], **at(1, 28))
    close(JANUARY, 2, 3)
    found = kept(JANUARY).statement
    says(found, came="10", end="5", sold="4", lost="1")
    assert found.end == {"stock": nano(2), "work_in_progress": nano(3)}
    assert [(row.code, row.value) for row in found.in_progress] == [("B-1", nano(3))]


def test_a_batch_that_burnt_on_the_last_evening_is_lost_in_that_month(oil):
    """The same 3.00, and nothing is in work any more."""
    batch = start_batch(stage="dilution", code="B-1", **at(1, 28))
    use = Use(D(300), lot=oil)
    use_lots(batch=batch, uses=[use], **at(1, 28))
    lose_batch(batch=batch, kind="burnt", **at(1, 31))
    close(JANUARY, 2, 3)
    found = kept(JANUARY).statement
    says(found, came="10", end="2", sold="4", lost="4")
    assert found.in_progress == ()
