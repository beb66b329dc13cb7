"""The ingredient list: which names, in which order, under which label rules."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Literal

from labels.domain.allergens import Duty, Tested
from labels.domain.judged import entries, entry_of, judge_allergens
from labels.domain.name_book import NOT_COMPARED, NameBook, folded
from labels.domain.parts import WHOLE, Group, IngredientLine, IngredientList, Part
from labels.domain.rules import RuleSet
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

__all__ = ["IngredientLine", "IngredientList", "Part", "ingredient_list"]

# Shares rounded to two places may miss 100 % by this much.
ROUNDING = Decimal("0.01")
CLOSING_NAMES = {"parfum", "fragrance", "aroma"}


@dataclass(slots=True)
class _Listing:
    """What is gathered of one list; shares by printed name."""

    rules: RuleSet
    names: NameBook
    notes: list[str]
    shares: dict[str, Decimal] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)
    sources: dict[str, dict[str, Decimal]] = field(default_factory=dict)
    among: dict[str, tuple[str, ...]] = field(default_factory=dict)
    others: set[str] = field(default_factory=set)

    def printed(self, part: Part, named: Mapping[str, Decimal]) -> str:
        """The name that a part is printed under."""
        label = self.names.label_name(part.inci)
        if label is not None and label in named:
            if folded(label) != folded(part.inci):
                self.notes.append(f"{part.inci} is named {label}, as Annex III asks.")
            return label
        name, note = self.names.translated(part.inci, self.rules.names)
        self.notes += [note] if note else []
        return name

    def add(self, name: str, part: Part) -> None:
        self.shares[name] = self.shares.get(name, Decimal(0)) + part.percent
        self.come_from(name, part)
        if part.role != "colourant":
            self.others.add(name)

    def come_from(self, name: str, part: Part) -> None:
        self.typed.setdefault(name, part.inci)
        if part.among:
            self.among[name] = tuple(
                dict.fromkeys((*self.among.get(name, ()), *part.among))
            )
        if part.source:
            came = self.sources.setdefault(name, {})
            came[part.source] = came.get(part.source, Decimal(0)) + part.percent


def ingredient_list(
    parts: Sequence[Part],
    rules: RuleSet,
    names: NameBook,
    rinse_off: bool = True,
    whole: Decimal = WHOLE,
    *,
    finished: Sequence[Part] | None = None,
    duty: Duty | Literal["all"] | None = "all",
) -> IngredientList:
    """Name and order the parts as ``rules`` ask; shares in percent by weight.

    Above 1 % by falling weight, allergens among them; then the free group, which
    might stand in any order, by falling weight too; then the allergens to be named;
    then the colourants; where the rules let parfum close the list, it does. Ties
    go by name. A name is printed once, at the sum of its shares as an ingredient.
    ``whole`` is what the shares should add up to, where something was left out on
    purpose. ``finished`` are the parts of the finished product, where ``parts`` are
    of another basis: allergens are tested on them. ``duty`` is what is due of them
    where and when the product is sold; "all": every name that is ever due.
    Raises Refused for no parts, and for parts that are more than 100 %.
    The clauses are those of ``rules``.
    """
    parts = _spelled_alike(parts)
    notes: list[str] = []
    present = _present(parts, whole, notes)
    if duty == "all":
        duty = rules.allergen_duty(None, rinse_off=rinse_off)
    known = parts if finished is None else _spelled_alike(finished)
    tested = judge_allergens(known, rules, names, duty, notes)
    due = {one.label for one in tested if one.named}
    allergens = {
        label: share
        for label, share in entries(parts, names, rules).items()
        if label in due
    }
    listing = _Listing(rules, names, notes)
    for part in present:
        listing.add(listing.printed(part, allergens), part)
    for part in parts:
        label = entry_of(part, names, rules)
        if part.role == "allergen" and label in due and label not in listing.shares:
            listing.come_from(label or part.inci, part)
    ordered = _grouped(listing, allergens)
    notes += _order_notes(ordered, rules)
    product = listing.shares | allergens if finished is None else None
    shares = product or _printed_shares(known, allergens, rules, names)
    by_label = {one.label: one for one in tested}
    lines = tuple(
        _line(name, group, listing, allergens, shares, by_label)
        for group, held in ordered
        for name in held
    )
    return IngredientList(
        tuple(line.name for line in lines),
        tuple(dict.fromkeys(notes + [NOT_COMPARED] * (rules.names == "eu"))),
        lines,
        tested,
    )


def _spelled_alike(parts: Sequence[Part]) -> list[Part]:
    """Give names that differ only in capitals and blanks the first one's spelling."""
    first: dict[str, str] = {}
    return [
        replace(part, inci=first.setdefault(folded(part.inci), part.inci.strip()))
        for part in parts
    ]


def _present(parts: Sequence[Part], whole: Decimal, notes: list[str]) -> list[Part]:
    """The parts that have mass of their own; refuses more than the whole."""
    massive = [part for part in parts if part.role != "allergen"]
    total = sum((part.percent for part in massive), Decimal(0))
    if not total:
        raise Refused("Give at least one part with a share above 0 %: there is none.")
    if total > WHOLE + ROUNDING:
        raise Refused(f"Check the shares: they add up to {plain(total)} %.")
    if total < whole - ROUNDING:
        notes.append(
            f"The shares add up to {_shown(total)} %, not to 100 %: "
            "check that nothing is missing."
        )
    notes += [f"{part.inci} is 0 %: left out." for part in parts if not part.percent]
    return [part for part in massive if part.percent]


def _printed_shares(
    parts: Sequence[Part],
    allergens: Mapping[str, Decimal],
    rules: RuleSet,
    names: NameBook,
) -> dict[str, Decimal]:
    """Percent of the finished product by printed name, named allergens among them."""
    other = _Listing(rules, names, [])
    for part in parts:
        if part.role != "allergen" and part.percent:
            other.add(other.printed(part, allergens), part)
    held = entries(parts, names, rules)
    return {label: held[label] for label in allergens if label in held} | other.shares


def _grouped(
    listing: _Listing, allergens: Mapping[str, Decimal]
) -> list[tuple[Group, list[str]]]:
    """The printed names, group by group in the order of the list."""
    rules, shares = listing.rules, listing.shares
    colourants = shares.keys() - listing.others
    extra = {name: share for name, share in allergens.items() if name not in shares}
    weights = shares | extra
    closing = {name for name in shares if _may_close(name, rules)}
    free = {name for name, share in weights.items() if _is_free(share, rules)}
    last = colourants | closing
    groups: list[tuple[Group, set[str]]] = [
        ("by weight", weights.keys() - free - last),
        ("free", (shares.keys() & free) - last),
        ("allergen", extra.keys() & free),
        ("colourant", colourants - closing),
        ("closing", closing),
    ]
    return [
        (group, sorted(held, key=lambda name: (-weights[name], name)))
        for group, held in groups
    ]


def _may_close(name: str, rules: RuleSet) -> bool:
    return rules.parfum_may_close and folded(name) in CLOSING_NAMES


def _is_free(share: Decimal, rules: RuleSet) -> bool:
    """Whether a share is small enough for the group that may stand in any order."""
    if rules.free_group_includes_one_percent:
        return share <= rules.one_percent
    return share < rules.one_percent


def _line(
    name: str,
    group: Group,
    listing: _Listing,
    allergens: Mapping[str, Decimal],
    product: Mapping[str, Decimal],
    tested: Mapping[str, Tested],
) -> IngredientLine:
    rules = listing.rules
    percent = listing.shares.get(name, allergens.get(name, Decimal(0)))
    place = _place(group, rules)
    if name in allergens and name in tested:
        place = f"{place}. Named as an allergen: {tested[name].margin}"
    return IngredientLine(
        name,
        percent,
        product.get(name),
        group,
        place,
        listing.names.why(listing.typed.get(name, name), name, rules.names),
        listing.sources.get(name, {}),
        listing.among.get(name, ()),
    )


def _place(group: Group, rules: RuleSet) -> str:
    clause = {
        "by weight": "one_percent",
        "free": "free_group_includes_one_percent",
        "allergen": "declares_allergens",
        "colourant": "free_group_includes_one_percent",
        "closing": "parfum_may_close",
    }[group]
    bound = "At or below" if rules.free_group_includes_one_percent else "Below"
    one = plain(rules.one_percent)
    words = {
        "by weight": f"Above {one} %, in order of weight",
        "free": f"{bound} {one} %, where any order is lawful; ours is by weight",
        "allergen": f"{bound} {one} %, after the other ingredients",
        "colourant": "A colourant: after all others",
        "closing": "May close the list",
    }
    if group == "by weight" and not rules.free_group_includes_one_percent:
        words["by weight"] = f"{one} % or more, in order of weight"
    return f"{words[group]} ({rules.clause(clause).cited})"


def _order_notes(
    ordered: Sequence[tuple[Group, Sequence[str]]], rules: RuleSet
) -> Iterator[str]:
    groups = dict(ordered)
    free = [*groups["free"], *groups["allergen"]]
    if free:
        clause = rules.clause("free_group_includes_one_percent")
        bound = "At or below" if rules.free_group_includes_one_percent else "Below"
        yield (
            f"{bound} {plain(rules.one_percent)} %, in any order among themselves: "
            f"{', '.join(free)} ({clause.cited})."
        )
    for name in sorted(groups["closing"]):
        clause = rules.clause("parfum_may_close")
        yield (
            f"{name} closes the list ({clause.cited}); "
            "at its place by weight it is lawful too."
        )


def _shown(share: Decimal) -> str:
    return plain(round(share, 6))
