"""Alternatives that a label may name in a shortage, where the rules let it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from labels.domain.name_book import NameBook, folded
from labels.domain.parts import IngredientList
from labels.domain.rules import RuleSet
from production.quantities.domain.refusal import Refused

# The element of a set of rules that lets an alternative stand.
CLAUSE = "substitutes"


@dataclass(frozen=True, slots=True)
class Substitute:
    """``alternative`` stands in for ``usual``; "" for one that is only contained."""

    alternative: str
    usual: str = ""


def read_substitutes(text: str) -> tuple[Substitute, ...]:
    """One a line: ``Usual or Alternative``, or an alternative by itself.

    Raises Refused for a line with half of the pair, or with more than two names.
    """
    return tuple(_read(line) for line in text.splitlines() if line.strip())


def _read(line: str) -> Substitute:
    names = [" ".join(name.split()) for name in f" {line} ".split(" or ")]
    if not all(names) or len(names) > 2:
        raise Refused(
            f"{line.strip()!r}: write the usual name, the word or, and its substitute; "
            "or a substitute alone. One pair a line."
        )
    return Substitute(names[-1], names[0] if len(names) == 2 else "")


def with_substitutes(
    made: IngredientList,
    substitutes: Sequence[Substitute],
    rules: RuleSet,
    names: NameBook,
) -> IngredientList:
    """The list with its alternatives, each as the rules let it stand.

    One with a usual name stands behind it with "or"; the others close the list with
    "may also contain". Where no clause lets them, none is printed, and a note says so.
    """
    if not substitutes:
        return made
    if CLAUSE not in rules.clauses:
        told = "Substitutes are not printed: no clause was found that lets them stand."
        return replace(made, notes=(*made.notes, told))
    clause = rules.clause(CLAUSE)
    told = (
        "A substitute stands here only during or before a shortage, and never for an "
        "ingredient that is named in advertising or elsewhere on the label "
        f"({clause.cited})."
    )
    listed = list(made.ingredients)
    notes = [told, *_placed(listed, substitutes, rules, names)]
    return replace(made, ingredients=tuple(listed), notes=(*made.notes, *notes))


def _placed(
    listed: list[str],
    substitutes: Sequence[Substitute],
    rules: RuleSet,
    names: NameBook,
) -> Iterator[str]:
    """Write each into the list; a note for one whose usual name is not there."""
    places = {folded(name): place for place, name in enumerate(listed)}
    others: list[str] = []
    for one in substitutes:
        alternative = names.translated(one.alternative, rules.names)[0]
        usual = names.translated(one.usual, rules.names)[0]
        place = places.get(folded(usual))
        if not one.usual:
            others.append(alternative)
        elif place is None:
            yield f"{usual} is not in this list: {alternative} is left out."
        else:
            listed[place] = f"{listed[place]} or {alternative}"
    if others:
        listed.append(f"may also contain {', '.join(others)}")
