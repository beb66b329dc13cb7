"""Two tabs on one idea: what the other wrote is told, and nothing is lost silently."""

from html import unescape

import pytest

from costing.actions.ideas import delete_idea
from tests import make
from tests.costing.idea_pages import REST, again, prices_of, said, start, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    client.force_login(make.owner())
    return client


def opened(answer):
    mark = answer.content.decode().split('name="opened" value="', 1)[1]
    return {"opened": unescape(mark.split('"', 1)[0])}


def typed(form):
    """Every box as the browser sends it."""
    rows = [box for rows in form.rows.values() for row in rows for box in row]
    boxes = {box.html_name: box.value() for box in (*form, *rows)}
    sent = {name: "" if value is None else value for name, value in boxes.items()}
    for name, rows in form.rows.items():
        sent |= {f"{name}-TOTAL_FORMS": len(rows.forms), f"{name}-INITIAL_FORMS": 0}
    return sent


def test_the_second_save_is_told_what_the_first_wrote(page):
    row = start(page)
    where = f"/ideas/{row.pk}/change/"
    first = page.get(where)
    page.post(where, said(pieces="80", fill="240 g"))
    mine = {**typed(first.context["form"]), **opened(first), "pieces": "60"}
    answer = page.post(where, mine)
    text = words(answer)
    assert "Somebody changed this card since you opened it" in text
    assert "was 40, is now 80 . You typed 60" in text.replace("80.", "80 .")
    assert "was 245 g, is now 240 g" in text.replace(" .", ".")
    assert again(row).pieces == 80
    once_more = {**typed(answer.context["form"]), **opened(answer)}
    assert page.post(where, once_more).status_code == 302
    assert (again(row).pieces, again(row).fill_typed) == (60, "240 g")


def test_rows_that_nobody_touched_take_the_new_ones_over(page):
    row = start(page)
    where = f"/ideas/{row.pk}/change/"
    first = page.get(where)
    page.post(where, said(**{"packaging-0-quote": "100 for 90", "energy": "2.40"}))
    mine = {**typed(first.context["form"]), **opened(first), "pieces": "60"}
    answer = page.post(where, mine)
    assert "You had not touched it: it is taken over below" in words(answer)
    once_more = {**typed(answer.context["form"]), **opened(answer)}
    assert page.post(where, once_more).status_code == 302
    quotes = again(row).materials.values_list("quote_typed", flat=True)
    assert (again(row).pieces, "100 for 90" in quotes) == (60, True)


def test_rows_that_both_changed_are_told_and_written_the_second_time(page):
    row = start(page)
    where = f"/ideas/{row.pk}/change/"
    first = page.get(where)
    page.post(where, said(**{"packaging-0-quote": "100 for 90"}))
    mine = {**typed(first.context["form"]), **opened(first)}
    mine["packaging-0-quote"] = "100 for 70"
    answer = page.post(where, mine)
    assert "What goes on each piece" in words(answer)
    assert "that is written if you save once more" in words(answer)
    once_more = {**typed(answer.context["form"]), **opened(answer)}
    assert page.post(where, once_more).status_code == 302
    quotes = again(row).materials.values_list("quote_typed", flat=True)
    assert "100 for 70" in quotes


def test_the_form_alone_saves_as_before(page):
    row = start(page)
    where = f"/ideas/{row.pk}/change/"
    first = page.get(where)
    mine = {**typed(first.context["form"]), **opened(first), "pieces": "60"}
    assert page.post(where, mine).status_code == 302


def prices(page, row):
    answer = page.get(f"/ideas/{row.pk}/")
    form = answer.context["form"]
    return form, {box.name: box.value() or "" for box in form} | opened(answer)


def test_prices_that_somebody_else_chose_are_told(page):
    row = start(page)
    form, mine = prices(page, row)
    prices_of(page, row, **REST)
    place = [line.name for line in form.lines].index("Water")
    mine[f"quote{place}"] = "1 kg for 7"
    answer = page.post(f"/ideas/{row.pk}/prices/", mine)
    text = words(answer)
    assert "Quote for Water : was empty, is now 1 kg for 0.002" in text.replace(
        "Water:", "Water :"
    )
    assert again(row).materials.get(name="Water").quote_price < 1
    once_more = {box.name: box.value() or "" for box in answer.context["form"]}
    once_more |= opened(answer)
    assert page.post(f"/ideas/{row.pk}/prices/", once_more).status_code == 302
    assert again(row).materials.get(name="Water").quote_price == 7
    assert again(row).materials.get(name="Potassium hydroxide").quote_price > 27


def test_prices_of_lines_that_are_others_by_now_are_not_written(page):
    row = start(page)
    _, mine = prices(page, row)
    page.post(f"/ideas/{row.pk}/change/", said(**{"finishing-0-what": "Sugar"}))
    answer = page.post(f"/ideas/{row.pk}/prices/", mine)
    assert "What goes in was changed since" in words(answer)


def test_a_change_of_what_is_thrown_away_is_told_so(page, monkeypatch):
    row = start(page)
    form = page.get(f"/ideas/{row.pk}/change/").context["form"]
    stands = type(form).stands

    def gone(self):
        delete_idea(idea=again(row))
        return stands(self)

    monkeypatch.setattr(type(form), "stands", gone)
    answer = page.post(f"/ideas/{row.pk}/change/", said())
    assert "was thrown away in between" in words(answer)
