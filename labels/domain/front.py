"""The name of a product as it stands on the front of its label."""

import re

# Units that a maker puts behind a name; "1 l" alone is left to the eye.
_AMOUNT = re.compile(
    r"\d[\d.,/ ]*\s*(fl\.?\s*oz|fluid ounces?|oz|ounces?|ml|cl|millilit(er|re)s?"
    r"|lit(er|re)s?|l|g|kg|grams?|gal(lons?)?|qt|quarts?|pt|pints?|lbs?|pounds?)"
    r"\b\.?",
    re.IGNORECASE,
)


def amount_in(text: str) -> str:
    """An amount that a text tells, as it stands there; "" for none."""
    found = _AMOUNT.search(text)
    return " ".join(found.group().split()) if found else ""


def printed_name(typed: str, item: str) -> str:
    """What was typed; else the name of the item without the amount behind it."""
    if typed.strip():
        return " ".join(typed.split())
    bare = _AMOUNT.sub("", item).strip(" ,-")
    return " ".join((bare or item).split())
