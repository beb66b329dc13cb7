"""An idea that cannot be worked out is kept, and its page says what to write."""

from decimal import Decimal as D

import pytest

from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.costing.idea_pages import REST, prices_of, said, start, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    client.force_login(make.owner())
    return client


@pytest.mark.parametrize(
    "facts",
    [
        {"fill": ""},
        {"loss_cook": ""},
        {"superfat": "100 %"},
        {"water_per_alkali": "0"},
        {"water_per_alkali": "", "lye_strength": "100"},
        {"koh_purity": "0"},
        {"soap_content": "0"},
        {"soap_content": "100"},
        {"koh_share": "80"},
        {"finishing-0-share": "99.6 %"},
    ],
)
def test_what_cannot_be_worked_out_is_kept_and_says_why(page, facts):
    answer = page.post("/ideas/start/", said(**facts))
    if answer.status_code == 200:
        assert "Nothing is written yet" in words(answer)
        return
    there = page.get(answer.url)
    assert "It cannot be worked out yet." in words(there), words(there)
    assert page.get(f"{answer.url}prices/").status_code == 302
    assert page.post(f"{answer.url}prices/").status_code == 200
    assert page.get("/ideas/").status_code == 200
    for where in ("beside", "made", "prices", "recipe", "change", "copy"):
        assert page.get(f"{answer.url}{where}/").status_code in (200, 302)


def test_a_size_that_cannot_be_weighed_leaves_the_others(page):
    """A balance of 0.1 g weighs 0.003 % of 2.3 kg of oils, and not of half of that."""
    set_up_workshop(name="Wrackline Soap Works", balance_step=D("0.1"))
    row = start(page, **{"oils-0-share": "99.997", "oils-1-share": "0.003 %"})
    prices_of(page, row, **REST)
    answer = page.get(f"/ideas/{row.pk}/")
    assert answer.status_code == 200
    sizes = [size.pieces for size in answer.context["page"].curve]
    assert sizes == [30, 40, 60, 80, 120, 160]
