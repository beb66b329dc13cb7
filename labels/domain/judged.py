"""The parts of a product against the list of fragrance allergens."""

from collections.abc import Iterator, Sequence
from decimal import Decimal

from labels.domain.allergens import Duty, Tested
from labels.domain.name_book import NameBook
from labels.domain.parts import Part
from labels.domain.rules import RuleSet
from production.quantities.domain.numbers import plain


def judge_allergens(
    parts: Sequence[Part],
    rules: RuleSet,
    names: NameBook,
    duty: Duty | None,
    notes: list[str],
) -> tuple[Tested, ...]:
    """Each Annex III entry, summed over all parts, against the threshold."""
    given = any(part.role == "allergen" for part in parts)
    if duty is None:
        if given:
            clause = rules.clause("declares_allergens")
            notes.append(f"Allergens are not printed: {clause.says} ({clause.cited}).")
        return ()
    if not given and any(part.percent and _is_fragrance(part, names) for part in parts):
        notes.append(
            "No fragrance allergens are given: ask the supplier for the statement; "
            f"those over {plain(duty.over)} % must be named."
        )
    sums = entries(parts, names, rules)
    found = [
        Tested(label, share, duty.over, duty.asks_for(names.allergens.get(label)))
        for label, share in sums.items()
        if share
    ]
    notes += _allergen_notes(found, names)
    return tuple(sorted(found, key=lambda one: (-one.percent, one.label)))


def entry_of(part: Part, names: NameBook, rules: RuleSet) -> str | None:
    """The label of Annex III that a part counts towards; None for no allergen."""
    label = names.label_name(part.inci)
    if label or part.role != "allergen":
        return label
    return names.translated(part.inci, rules.names)[0]


def entries(
    parts: Sequence[Part], names: NameBook, rules: RuleSet
) -> dict[str, Decimal]:
    """Percent under each label of Annex III: the oil itself, and what it holds."""
    sums: dict[str, Decimal] = {}
    for part in parts:
        label = entry_of(part, names, rules)
        if label is not None:
            sums[label] = sums.get(label, Decimal(0)) + part.percent
    return sums


def _allergen_notes(tested: Sequence[Tested], names: NameBook) -> Iterator[str]:
    for one in tested:
        if not one.due:
            if one.percent > one.over:
                yield f"{one.label} is not asked for yet: not named as an allergen."
        elif not one.named:
            yield f"{one.label} is not named as an allergen: {one.margin}."
        elif not names.label_name(one.label):
            yield f"{one.label} is not in our table of allergens: check Annex III."


def _is_fragrance(part: Part, names: NameBook) -> bool:
    return part.role == "fragrance" or names.is_fragrance(part.inci)
