"""The columns of a purchase sheet, in the order of the one to fill in."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Heading:
    """A column: our own words for it, others that mean the same, what to write."""

    field: str
    words: str
    also: tuple[str, ...]
    says: str


HEADINGS = (
    Heading(
        "on",
        "Date arrived",
        ("arrived", "arrived on", "arrival", "arrival date", "date", "received"),
        "A date, or text like 2026-01-31. Once for each invoice is enough.",
    ),
    Heading(
        "supplier",
        "Supplier",
        ("supplier name", "seller", "vendor", "from"),
        "One that the book does not know yet is added.",
    ),
    Heading(
        "number",
        "Invoice no.",
        ("invoice", "invoice number", "number", "order no", "order number"),
        "Of the invoice, order or delivery note. A row without one belongs to the "
        "invoice above.",
    ),
    Heading(
        "item",
        "Item",
        ("material", "product", "name", "item name", "what"),
        "What arrived, by its name in the book. A new one also needs its kind.",
    ),
    Heading(
        "kind",
        "Kind",
        ("kind of item",),
        "Of a new item: material (kept in grams) or packaging (kept in pieces).",
    ),
    Heading(
        "category",
        "Category",
        ("sort",),
        "Of a new material: oil, alkali, water, additive, salt, acid, colourant, "
        "preservative, fragrance or soap (bought soap or paste). Empty only where its "
        "name says it, as olive oil or caustic potash.",
    ),
    Heading(
        "amount",
        "Amount",
        ("quantity", "qty", "how much"),
        "As you say it: 5 kg, 2 lb 3 oz, 1 gal, 250*12. A bare number is grams, or "
        "pieces of packaging. A unit may stand in the heading: Amount (kg).",
    ),
    Heading(
        "unit",
        "Unit",
        ("units", "unit of measure", "measured in"),
        "Of a bare number under Amount: g, kg, lb, oz, mL, L, fl oz or pcs.",
    ),
    Heading(
        "density",
        "Density, g/mL",
        ("density",),
        "For an amount by volume, where the item's card has none or this lot differs.",
    ),
    Heading(
        "line",
        "Line",
        ("line no", "line number", "invoice line"),
        "Only where one line of the invoice came as several lots: a row for each lot, "
        "with the same mark here. The price stands on one of them.",
    ),
    Heading(
        "supplier_lot",
        "Supplier's lot",
        ("supplier lot", "suppliers lot no", "lot no", "lot number"),
        "As printed on the goods.",
    ),
    Heading(
        "code",
        "Lot code",
        ("own code", "own lot code", "code"),
        "Your own. Left empty, the book gives one.",
    ),
    Heading(
        "expires",
        "Expires",
        ("expiry", "expiry date", "expires on", "best before"),
        "A date, or text like 2027-12-31.",
    ),
    Heading(
        "purity",
        "Purity, %",
        ("purity",),
        "Of an alkali or acid, as the tub or certificate says: 89.9 %, or min. 85 %.",
    ),
    Heading("carbonate", "Carbonate, %", ("carbonate",), "Of an alkali, if stated."),
    Heading(
        "confirmed",
        "Paper in hand",
        ("certificate in hand",),
        "yes, where a purity or a date is asked about and the paper says so.",
    ),
    Heading(
        "price",
        "Price",
        ("price of all of it", "line total", "line price", "cost"),
        "Of the whole line, without tax; its currency may stand beside it. Empty while "
        "the bill is still to come.",
    ),
    Heading("tax", "Tax", ("tax on it",), "The part that nobody gives back."),
    Heading(
        "recoverable_tax",
        "Recoverable tax",
        ("tax that comes back", "tax recoverable"),
        "The part that the tax office gives back: no cost, but on the invoice.",
    ),
    Heading(
        "shipping_weight",
        "Shipping weight",
        ("weight as shipped", "gross weight", "gross"),
        "Of the whole line, packed: freight is shared by it.",
    ),
    Heading(
        "text",
        "Not stocked",
        ("untracked", "text", "other"),
        "Instead of an item: a deposit or the like, so that the invoice adds up.",
    ),
    Heading(
        "extra",
        "Extra cost",
        ("extra cost kind", "extra", "kind of extra cost"),
        "Instead of an item: freight, duty, surcharge or credit, on a row of its own.",
    ),
    Heading(
        "extra_amount",
        "Extra amount",
        ("extra cost amount", "amount of extra cost"),
        "A credit is written with a minus.",
    ),
    Heading(
        "shared_by",
        "Shared by",
        ("extra cost shared by", "extra shared by", "shared over the lines by"),
        "How an extra cost is spread over the lines: weight (if left empty), value or "
        "quantity.",
    ),
    Heading(
        "extra_currency",
        "Extra cost currency",
        ("currency of extra cost", "extra currency"),
        "Of an extra cost that was billed in another currency than the invoice.",
    ),
    Heading(
        "extra_rate",
        "Extra cost rate",
        ("rate of extra cost", "extra rate"),
        "Its own exchange rate. Left empty, it is that of the invoice.",
    ),
    Heading(
        "total",
        "Invoice total",
        ("total of the invoice", "printed total"),
        "As printed. Then every price, tax and extra cost must add up to it.",
    ),
    Heading("ordered", "Ordered", ("ordered on", "order date"), "A date, if you like."),
    Heading(
        "invoiced", "Invoice date", ("invoiced", "invoiced on"), "A date, if you like."
    ),
    Heading(
        "currency",
        "Currency",
        ("currency of the invoice", "invoice currency"),
        "Three letters, such as EUR. Left empty, it is your own.",
    ),
    Heading(
        "rate",
        "Exchange rate",
        ("rate", "rate of a foreign invoice"),
        "Of a foreign invoice: your own currency for one of theirs.",
    ),
    Heading("place", "Put away in", ("place",), "A place that the book knows."),
)
