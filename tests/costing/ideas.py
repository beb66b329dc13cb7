"""An invented hand wash that does not exist, for tests: said as a plain value."""

from decimal import Decimal as D

from costing.domain.ideas import Idea, IdeaLine, Quote
from costing.domain.planned_bottle import Effort
from production.models import ReferenceOil


def oils():
    """Two published fats, and the values that were published of them."""
    return ReferenceOil.objects.filter(kind="fat").order_by("pk")[:2]


def quoted(place, name, amount, price, **facts):
    quote = Quote(D(amount), D(price))
    return IdeaLine(place, name, price_from="quote", quote=quote, **facts)


def lines():
    one, two = oils()
    return (
        quoted("oil", one.name, "15000", "96.00", share=D("0.7")),
        quoted("oil", two.name, "4000", "31.00", share=D("0.3")),
        quoted("finishing", "Glycerin", "1000", "6.40", share=D("0.03")),
        quoted("finishing", "Lavender", "100", "19.00", share=D("0.004")),
        quoted("packaging", "Bottle 8 oz", "130", "101.40", each=D(1)),
        quoted("packaging", "Label 8 oz", "300", "55.20", each=D(1)),
        quoted("price", "Potassium hydroxide", "5000", "27.50"),
        quoted("price", "Water", "1000", "0.002"),
    )


def idea(**facts):
    return Idea(
        **{
            "name": "Lavender hand wash",
            "pieces": D(40),
            "lines": lines(),
            "superfat": D("0.03"),
            "koh_purity": D("0.9"),
            "water_per_alkali": D(2),
            "soap_content": D("0.25"),
            "fill": D(245),
            "losses": {
                "cook": D("0.04"),
                "dilution": D("0.01"),
                "finishing": D("0.005"),
                "filling": D("0.02"),
            },
            "effort": Effort(D(90), D("1.5"), D("18.00"), D("2.40")),
            **facts,
        }
    )
