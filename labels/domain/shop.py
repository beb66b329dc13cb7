"""The facts of a label for a page on the web: the same words, row by row."""

from labels.domain.label import LabelContent

# In the order in which a shopper reads; the names are those of the columns.
ROWS = (
    ("name", "Name"),
    ("identity", "What it is"),
    ("function", "What it is for"),
    ("second_language", "In the other language"),
    ("net_contents", "Net contents"),
    ("ingredients", "Ingredients"),
    ("directions", "Directions"),
    ("cautions", "Precautions"),
    ("keeps", "Keeps"),
    ("maker", "Maker"),
    ("responsible", "Responsible person"),
    ("origin", "Origin"),
    ("contact", "Contact"),
    ("batch", "Batch told of"),
)


def shop_facts(name: str, content: LabelContent) -> tuple[tuple[str, str, str], ...]:
    """Key, heading and words of each fact that the label has; none is added."""
    told = {
        "name": name,
        "net_contents": " ".join(content.net_contents),
        "keeps": _keeps(content),
        "maker": ", ".join(filter(None, [content.maker, content.place])),
    }
    rows = (
        (key, head, told[key] if key in told else getattr(content, key))
        for key, head in ROWS
    )
    return tuple(row for row in rows if row[2])


def _keeps(content: LabelContent) -> str:
    if content.best_before:
        return f"{content.best_before_words} {content.best_before}"
    return content.after_opening and f"{content.after_opening} once opened"


def as_plain_text(facts: tuple[tuple[str, str, str], ...]) -> str:
    """A line a fact, to be pasted."""
    return "\n".join(f"{head}: {words}" for _, head, words in facts)
