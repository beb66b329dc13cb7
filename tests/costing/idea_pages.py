"""What somebody types about the hand wash that does not exist, page by page."""

from django.utils.html import strip_tags

from costing.models import ProductIdea
from tests.costing.ideas import oils


def management(**rows):
    return {
        f"{name}-{what}": value
        for name, total in rows.items()
        for what, value in (("TOTAL_FORMS", total), ("INITIAL_FORMS", 0))
    }


def said(**facts):
    one, two = oils()
    return {
        **management(oils=2, finishing=2, packaging=2),
        "name": "Lavender hand wash",
        "pieces": "40",
        "fill": "245 g",
        "superfat": "3",
        "water_per_alkali": "2",
        "koh_purity": "90",
        "soap_content": "25",
        "minutes_batch": "90",
        "minutes_piece": "1.5",
        "rate": "18",
        "energy": "2.40",
        "loss_cook": "4",
        "loss_dilution": "1",
        "loss_finishing": "0.5 %",
        "loss_filling": "2",
        "oils-0-what": one.name,
        "oils-0-share": "70",
        "oils-0-quote": "15 kg for 96.00",
        "oils-1-what": two.name,
        "oils-1-quote": "4 kg for 31",
        "finishing-0-what": "Glycerin",
        "finishing-0-share": "3 %",
        "finishing-0-quote": "6.40 per kg",
        "finishing-1-what": "Lavender",
        "finishing-1-share": "0.4 %",
        "finishing-1-quote": "100 g for 19.00",
        "packaging-0-what": "Bottle 8 oz",
        "packaging-0-quote": "130 for 101.40",
        "packaging-1-what": "Label 8 oz",
        "packaging-1-quote": "300 for 55.20",
        **facts,
    }


def start(page, **facts):
    answer = page.post("/ideas/start/", said(**facts))
    assert answer.status_code == 302, answer.content.decode()
    return ProductIdea.objects.get(name=facts.get("name", "Lavender hand wash"))


def prices_of(page, row, **quotes):
    """Send the page of prices with a quote for each of these names."""
    form = page.get(f"/ideas/{row.pk}/").context["form"]
    sent = {}
    for place, line in enumerate(form.lines):
        sent[f"from{place}"] = form[f"from{place}"].value()
        quote = quotes.get(line.name, form[f"quote{place}"].value() or "")
        sent[f"quote{place}"] = quote
    return page.post(f"/ideas/{row.pk}/prices/", sent)


def words(answer):
    return " ".join(strip_tags(answer.content.decode()).split())


def again(row):
    return ProductIdea.objects.get(pk=row.pk)


REST = {"Potassium hydroxide": "5 kg for 27.50", "Water": "1 kg for 0.002"}
