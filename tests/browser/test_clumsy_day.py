"""A clumsy day leaves the book of the same day without mistakes.

What a maker expects of a mistake that was mended where it was seen: goods, places,
prices, papers, costs, losses, who has what are as if it had been typed right at once.
Both days are walked on the pages, on a telephone; the clumsy one makes and mends more
than thirty mistakes. What was taken back stays readable, and counts nowhere.
"""

import pytest
from django.core.management import call_command

from production.models import Deed, Movement, Purchase
from tests.browser import small_day as day
from tests.browser.conftest import PHONE, Walk
from tests.picture import papers, picture

WHY = "mistyped"


@pytest.fixture
def telephone(chromium, live_server, transactional_db):
    context = chromium.new_context(viewport={"width": PHONE, "height": 900})
    context.set_default_timeout(20_000)
    walker = Walk(context.new_page(), live_server.url, False, "clumsy-day")
    yield walker
    context.close()
    assert not walker.said, walker.said


class Clumsy:
    """One who mistypes, sees it, and mends it where it is seen."""

    def __init__(self, walk):
        self.walk, self.page, self.mended = walk, walk.page, []

    def box(self, name):
        return self.page.locator(f'main form[method="post"] [name="{name}"]').first

    def act(self, row, link):
        """The link of one row of a list on the page."""
        rows = self.page.locator("main tr, main li, main p").filter(has_text=row)
        with self.page.expect_navigation():
            rows.get_by_role("link", name=link, exact=True).first.click()
        self.walk.look()

    def put_right(self, *mistakes, **figures):
        """From the link that leads to the figures: look first, then write."""
        self.walk.fill(**figures, reason=WHY)
        self.walk.send("See what it changes")
        self.walk.press("Put it right")
        self.mended += mistakes

    def correct(self, *mistakes, **right):
        self.walk.fill(**right, reason=WHY)
        self.walk.press("Correct it")
        self.mended += mistakes

    def take_back(self, *mistakes):
        """From the link beside the words that said it was done, or of an entry."""
        self.walk.fill(reason=WHY)
        self.walk.press("Take it back")
        self.mended += mistakes

    def take_back_what_was_said(self, *mistakes):
        self.walk.follow("Take it back")
        self.take_back(*mistakes)

    def take_back_in_history(self, verb, *mistakes):
        self.walk.open("/history/")
        self.act(verb, "take back")
        self.take_back(*mistakes)

    def back_and_send(self, **other):
        """The page before, and its button pressed once more."""
        self.page.go_back()
        self.walk.fill(**other)
        self.walk.send()


def test_a_clumsy_day_leaves_the_book_of_the_day_without_mistakes(telephone):
    day.cards()
    day.sign_in(telephone)
    day.the_day(telephone)
    without = told()

    telephone.page.context.clear_cookies()
    call_command("flush", interactive=False, verbosity=0)
    day.cards()
    day.sign_in(telephone)
    hand = Clumsy(telephone)
    for hours in (opening, buying, cooking, thinning, filling, selling, counting):
        hours(hand, telephone)
    with_them = told()

    for name, figures in without.items():
        assert with_them[name] == figures, name
    assert len(set(hand.mended)) >= 30, hand.mended


def told():
    """The book; a lot from the tap is called by its water and its batch."""
    taps = {
        use.lot.code: f"{use.lot.item} of {use.batch}"
        for use in Movement.objects.standing().filter(
            kind="used", lot__item__on_tap=True
        )
    }
    return _renamed({**picture(), **papers()}, taps)


def _renamed(told, names):
    if isinstance(told, dict):
        return {_renamed(k, names): _renamed(v, names) for k, v in told.items()}
    if isinstance(told, list | tuple):
        return type(told)(_renamed(one, names) for one in told)
    return names.get(told, told) if isinstance(told, str) else told


def opening(hand, walk):
    day.type_in(walk, "/lots/open/", day.GLYCERIN, {"value": "41", "amount": "200 g"})
    with walk.page.expect_navigation():
        walk.page.locator("main .act button").dblclick()
    walk.open("/lots/GLY-1/")
    assert Deed.objects.filter(verb="open stock").count() == 1
    hand.mended.append("opening stock sent by a double click")
    hand.act("opening", "put its value right")
    hand.put_right("worth 41 for 14", value="14")
    walk.open("/lots/GLY-1/")
    hand.act("opening", "correct")
    hand.correct("200 g for 2000 g", amount="2000")


def buying(hand, walk):
    wrong = {
        "supplier": "Southmere Oils",
        "lines__0__supplier_lot": "A-717",
        "lines__0__expires": "2026-06-30",
        "lines__2__item": "bottle 500",
    }
    day.buy(walk, lines__2__amount="400", **wrong)
    hand.take_back_what_was_said("a purchase taken back and entered again")
    wrong |= {
        "number": "PO-1",
        "rate": "11",
        "on": "2026-03-01",
        "lines__0__amount": "plenty",
        "lines__1__price": "3.10",
        "lines__2__price": "31.02",
        "extra_costs__0__amount": "180",
    }
    day.type_purchase(walk, **wrong)
    sign_in_that_ended(hand, walk)
    sent_again(hand, walk)
    papers_put_right(hand, walk)


def sign_in_that_ended(hand, walk):
    walk.page.context.clear_cookies(name="sessionid")
    walk.send()
    walk.sees("nothing is written yet")
    walk.fill(username="ines", password="kettle and spoon 7")
    walk.send()
    walk.sees("nothing is written yet")
    assert hand.box("lines-2-price").input_value() == "31.02"
    hand.mended.append("a sign-in that ended")
    walk.send()
    walk.sees("plenty")
    assert hand.box("extra_costs-0-amount").input_value() == "180"
    walk.fill(lines__0__amount="51 kg")
    walk.press()
    hand.mended.append("a form that was refused")


def sent_again(hand, walk):
    hand.back_and_send()
    walk.sees("PO-1")
    assert Purchase.objects.standing().count() == 1
    hand.mended.append("a purchase sent twice")
    hand.back_and_send(lines__2__price="31.20")
    walk.sees("written already")
    walk.follow("Mend the first")
    walk.follow("PO-1")
    hand.act("bottle 500", "put right")
    hand.put_right("31.02 for 31.20, sent once more", price="31.20")


def papers_put_right(hand, walk):
    page = Purchase.objects.standing().get().get_absolute_url()
    walk.open(page)
    walk.follow("Put its paper right")
    hand.put_right("the number of the invoice", "its rate", number="PO-7", rate="1.1")
    walk.open(page)
    walk.follow("Put its paper right")
    right = {"arrived": day.ARRIVED, "supplier": "Northmere Oils"}
    hand.put_right("the day of arrival", "the supplier", **right)
    walk.open("/lots/KOH-1/")
    hand.act("purity", "Put it right")
    hand.put_right("the day of what the tub says", day=day.ARRIVED)
    walk.open(page)
    hand.act("freight", "put right")
    hand.put_right("freight 180 for 18", amount="18", invoiced=day.ARRIVED)
    walk.open(page)
    hand.act("hydroxide", "put right")
    hand.put_right("a price of 3.10 for 31", price="31")
    walk.open("/lots/OIL-1/")
    walk.follow("Put its card right")
    right = {"supplier_lot": "A-771", "expires": "2027-06-30"}
    hand.put_right("the supplier's lot", "its expiry", **right)
    walk.open("/lots/BOT-1/")
    walk.follow("Put its card right")
    hand.put_right("the wrong item", item="bottle 250")
    walk.open("/lots/OIL-1/")
    hand.act("received", "correct")
    hand.correct(amount="14000")
    hand.take_back_what_was_said("a correction")
    walk.open("/lots/OIL-1/")
    hand.act("received", "correct")
    hand.correct("51 kg for 15 kg", amount="15000")


def cooking(hand, walk):
    day.cook(walk, uses__2__amount="2942.3", work__0__hours="15")
    walk.open("/batches/COOK-1/")
    hand.act("tap water", "correct")
    hand.correct("water 2942.3 for 2924.3", amount="2924.3")
    walk.open("/batches/COOK-1/")
    hand.act("labour", "put right")
    hand.put_right("15 hours for 1.5", hours="1.5")
    day.check_paste(walk, passed="not passed")
    walk.follow("Take it back")
    walk.fill(reason=WHY)
    walk.press("Take the check back")
    hand.mended.append("a check that was passed and noted as failed")
    day.check_paste(walk)
    day.read_ph(walk, value="9.3")
    hand.act("pH", "Put it right")
    hand.put_right("pH 9.3 for 9.8", value="9.8")
    day.release(walk, "PASTE-1", day.SOLD)
    hand.take_back_in_history("release a lot", "a release on the wrong day")
    day.release(walk, "PASTE-1", day.COOKED)


def thinning(hand, walk):
    day.start_thinning(walk, on=day.SOLD, expected="148")
    hand.take_back_in_history(
        "start a batch", "a batch opened by mistake, opened again"
    )
    day.start_thinning(walk, on=day.COOKED, expected="18400")
    walk.follow("Put its card right")
    right = {"started": day.THINNED, "expected": "14800"}
    hand.put_right("the day it was started", "the expected yield", **right)
    wrong_lot = {"uses__3__lot": "OIL-1", "uses__3__amount": "100"}
    day.put_in(walk, uses__0__amount="500", **wrong_lot)
    hand.back_and_send(uses__0__amount="5000")
    walk.sees("written already")
    walk.press("Write it as a second entry")
    hand.take_back_what_was_said("uses written a second time")
    walk.open("/batches/THIN/")
    hand.act("olive oil", "take back")
    hand.take_back("a use of the wrong lot")
    walk.open("/batches/THIN/")
    hand.act("paste", "correct")
    hand.correct("paste 500 g for 5000 g", amount="5000")
    day.note_step(walk, "stirred in cold")
    hand.take_back_in_history("note a step", "a step that was not so")
    day.note_step(walk)
    day.note_work(walk)
    day.make_thin(walk, losses__0__amount="60", losses__1__kind="burnt")
    walk.open("/batches/THIN/")
    hand.act("spill", "put right")
    hand.put_right("60 g spilt for 100 g", amount="100")
    walk.open("/batches/THIN/")
    hand.act("burnt", "call it otherwise")
    walk.fill(kind="left on the walls", reason=WHY)
    walk.press("Call it so")
    hand.mended.append("burnt, for what stayed on the walls")


def filling(hand, walk):
    day.fill(walk, on=day.SOLD)
    hand.take_back_what_was_said("a filling on the wrong day, entered again")
    wrong = {"expected": "40", "net_mass": "244", "uses__1__amount": "33"}
    day.type_in(walk, "/batches/run/filling/", day.FILL, wrong)
    walk.send()
    walk.sees("3 of 33 bottle 250")
    walk.fill(uses__1__amount="30")
    walk.press()
    hand.mended.append("33 bottles for 30, refused")
    walk.open("/batches/FILL/")
    walk.follow("Put its card right")
    hand.put_right("the whole plan, where part of it was filled", expected="")
    walk.open("/lots/FILL-1/")
    walk.follow("Put its card right")
    hand.put_right("net mass 244 g for 245 g", net_mass="245")
    walk.open("/lots/FILL-1/hold/")
    walk.fill(on=day.FILLED, reason="a leak?")
    walk.press()
    walk.open("/lots/FILL-1/release/")
    walk.page.locator('main [name="lifts"]').first.check()
    walk.fill(on=day.FILLED, reason="it was water from outside")
    walk.press()
    hand.mended.append("a hold by mistake")
    walk.open("/lots/FILL-1/reject/")
    walk.fill(on=day.FILLED, reason="leaks")
    walk.press()
    hand.take_back_in_history("reject a lot", "the wrong lot rejected")


def selling(hand, walk):
    day.carry(walk, amount="21")
    hand.take_back_what_was_said("21 carried for 12")
    day.carry(walk)
    day.sell_at_the_stall(walk, place="workshop")
    hand.take_back_what_was_said("a sale from the wrong place, entered again")
    day.sell_at_the_stall(walk, on="2026-03-07", lines__0__unit_price="70")
    walk.follow("Put its paper right")
    hand.put_right("the day of a sale", day=day.SOLD)
    walk.open("/sales/")
    walk.follow("S-1")
    hand.act("FILL-1", "put right")
    hand.put_right("a price of 70 for 7", unit_price="7.00")
    day.sell_to_the_shop(walk, lines__0__amount="16")
    hand.take_back_what_was_said("16 sold for 6, entered again")
    day.sell_to_the_shop(walk, customer="The Copper Jug")
    walk.follow("Put its paper right")
    hand.put_right("a sale to the wrong customer", customer=day.SHOP)
    walk.open("/sales/")
    walk.follow("S-2")
    walk.follow("some came back")
    walk.fill(amount="2", then="destroy", on=day.SOLD)
    walk.press()
    hand.take_back_what_was_said("bottles that never came back")
    day.give(walk, amount="2", recipient="Adam")
    hand.act("given", "put right who has it")
    hand.put_right("a gift to the wrong person", recipient=day.FRIEND)
    walk.open("/lots/FILL-1/")
    hand.act("given", "correct")
    hand.correct("2 given for 1", amount="1")


def counting(hand, walk):
    walk.open("/lots/GLY-1/discard/")
    walk.fill(amount="100", on=day.SOLD, reason="cloudy")
    walk.press()
    hand.take_back_what_was_said("the wrong lot thrown away")
    day.type_in(walk, "/lots/GLY-1/count/", {"found": "1548", "on": day.SOLD}, {})
    walk.send()
    walk.sees("why?")
    walk.fill(reason="it leaked")
    walk.press()
    hand.take_back_what_was_said("1548 g read for 1848 g")
    day.count_glycerin(walk)
