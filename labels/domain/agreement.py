"""Whether one label serves two sets of rules, and why not where it does not."""

from collections.abc import Iterator

from labels.domain.label import LabelContent

SAME = (
    ("ingredients", "the ingredient list"),
    ("origin", "the country of origin"),
    ("responsible", "who answers for it"),
    ("after_opening", "the open jar"),
)


def differences(one: LabelContent, other: LabelContent) -> tuple[str, ...]:
    """In which words two labels of one lot cannot be one; none where they agree.

    ``one`` may say more: its languages hold those of the other, and its contents the
    other's figure.
    """
    return tuple(_differences(one, other))


def _differences(one: LabelContent, other: LabelContent) -> Iterator[str]:
    for name, called in SAME:
        first, second = getattr(one, name), getattr(other, name)
        if first != second:
            told, asked = first or "nothing", second or "nothing"
            yield f"In {called}: {told} here, {asked} there."
    if not set(other.languages) <= set(one.languages):
        yield "In the languages: one label has to speak those of both."
    figures = {part.strip("()") for part in one.net_contents}
    if not {part.strip("()") for part in other.net_contents} <= figures:
        yield (
            f"In the contents: {' '.join(one.net_contents) or 'nothing'} here, "
            f"{' '.join(other.net_contents) or 'nothing'} there."
        )


def one_label_for_both(first: LabelContent, second: LabelContent) -> tuple[str, ...]:
    """The fewest reasons against one label, whichever of the two it is."""
    return min(differences(first, second), differences(second, first), key=len)
