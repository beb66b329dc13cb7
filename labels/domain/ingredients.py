"""The ingredient list: which names, in which order, under which label rules."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal, get_args

from labels.domain.rules import RuleSet
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

Role = Literal["ingredient", "colourant", "fragrance", "allergen"]
Column = Literal["us", "eu"]
ROLES: tuple[str, ...] = get_args(Role)

WHOLE = Decimal("100")
# Shares rounded to two places may miss 100 % by this much.
ROUNDING = Decimal("0.01")
CLOSING_NAMES = {"parfum", "aroma"}


@dataclass(frozen=True, slots=True)
class Part:
    """A named share of the product, in percent by weight.

    An ``allergen`` is inside a fragrance or oil that is listed too: it adds no mass.
    Raises Refused for a share that is no number from 0 to 100, and an unknown role.
    """

    inci: str
    percent: Decimal
    role: Role = "ingredient"

    def __post_init__(self) -> None:
        if not self.inci.strip():
            raise Refused("Give every part its INCI name: one has none.")
        if not self.percent.is_finite() or not 0 <= self.percent <= WHOLE:
            raise Refused(
                f"Give {self.inci} a share from 0 to 100 %: it is {self.percent}."
            )
        if self.role not in ROLES:
            raise Refused(
                f"Give {self.inci} one of the roles {', '.join(ROLES)}: "
                f"{self.role!r} is none."
            )


@dataclass(frozen=True, slots=True)
class IngredientList:
    """Names in the order they are printed, and what a person should know of them."""

    ingredients: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Name:
    """What one material is called; a colour may have several US names."""

    key: str
    eu: str
    us: tuple[str, ...]
    potassium_soap: str | None
    sodium_soap: str | None

    def called(self, column: Column) -> tuple[str, ...]:
        return self.us if column == "us" else (self.eu,)


@dataclass(frozen=True, slots=True)
class NameBook:
    """Looks names up in either language of the trade, whatever their capitals."""

    by_name: Mapping[str, tuple[Name, ...]]
    labels: Mapping[str, str]
    spellings: Mapping[str, str]

    @classmethod
    def from_rows(
        cls,
        materials: Iterable[Mapping[str, str]],
        allergens: Iterable[Mapping[str, str]],
        members: Iterable[Mapping[str, str]],
    ) -> "NameBook":
        """Build it from rows with the columns of ``fixtures/reference``."""
        names = [_name(row) for row in materials]
        by_name: dict[str, tuple[Name, ...]] = {}
        for name in names:
            for called in {_folded(text) for text in (name.eu, *name.us)}:
                by_name[called] = (*by_name.get(called, ()), name)
        grouped = [(row["label"], row["label"]) for row in allergens]
        grouped += [(row["member"], row["label"]) for row in members]
        soaps = [(name.potassium_soap, name.sodium_soap) for name in names]
        listed = [soap for pair in soaps for soap in pair if soap]
        listed += [member for member, _ in grouped]
        return cls(
            by_name=by_name,
            labels={_folded(member): label for member, label in grouped},
            spellings={_folded(text): text for text in listed},
        )

    def translated(self, name: str, column: Column) -> tuple[str, str | None]:
        """The name as that column prints it, and a note where it is uncertain."""
        folded = _folded(name)
        found = self.by_name.get(folded, ())
        choices = dict.fromkeys(text for one in found for text in one.called(column))
        for choice in choices:
            if len(choices) == 1 or _folded(choice) == folded:
                return choice, None
        if choices:
            several = " or ".join(choices)
            return name, f"{name} may be {several}: name the one that was used."
        if folded in self.spellings:
            return self.spellings[folded], None
        return name, f"{name} is not in our table: check the inventory."

    def label_name(self, name: str) -> str | None:
        """The Annex III name under which a substance or oil is declared, if any."""
        return self.labels.get(_folded(name))


def _name(row: Mapping[str, str]) -> Name:
    return Name(
        key=row["key"],
        eu=row["inci"],
        us=tuple((row["us_name"] or row["inci"]).split(" / ")),
        potassium_soap=row["potassium_soap"] or None,
        sodium_soap=row["sodium_soap"] or None,
    )


def _shown(share: Decimal) -> str:
    return plain(round(share, 6))


def _folded(name: str) -> str:
    return " ".join(name.split()).casefold()


def ingredient_list(
    parts: Sequence[Part],
    rules: RuleSet,
    names: NameBook,
    rinse_off: bool = True,
    whole: Decimal = WHOLE,
) -> IngredientList:
    """Name and order the parts as ``rules`` ask; shares in percent by weight.

    Above 1 % by falling weight, allergens among them; then the free group, which
    might stand in any order, by falling weight too; then the allergens to be named;
    then the colourants; where the rules let parfum close the list, it does. Ties
    go by name. A name is printed once, at the sum of its shares as an ingredient.
    ``whole`` is what the shares should add up to, where something was left out on
    purpose. Raises Refused for no parts, and for parts that are more than 100 %.
    The clauses are those of ``rules``.
    """
    parts = _spelled_alike(parts)
    notes: list[str] = []
    present = _present(parts, whole, notes)
    allergens = _named_allergens(parts, rules, names, rinse_off, notes)
    shares, colourants = _named_shares(present, allergens, rules, names, notes)
    extra = {name: share for name, share in allergens.items() if name not in shares}
    weights = shares | extra
    closing = {name for name in shares if _may_close(name, rules)}
    free = {name for name, share in weights.items() if _is_free(share, rules)}
    last = colourants | closing
    groups = (
        weights.keys() - free - last,
        (shares.keys() & free) - last,
        extra.keys() & free,
        colourants - closing,
        closing,
    )
    ordered = [sorted(group, key=lambda n: (-weights[n], n)) for group in groups]
    notes += _order_notes(ordered[1] + ordered[2], closing, rules)
    return IngredientList(
        tuple(name for group in ordered for name in group), tuple(dict.fromkeys(notes))
    )


def _spelled_alike(parts: Sequence[Part]) -> list[Part]:
    """Give names that differ only in capitals and blanks the first one's spelling."""
    first: dict[str, str] = {}
    return [
        replace(part, inci=first.setdefault(_folded(part.inci), part.inci.strip()))
        for part in parts
    ]


def _may_close(name: str, rules: RuleSet) -> bool:
    return rules.parfum_may_close and _folded(name) in CLOSING_NAMES


def _is_free(share: Decimal, rules: RuleSet) -> bool:
    """Whether a share is small enough for the group that may stand in any order."""
    if rules.free_group_includes_one_percent:
        return share <= rules.one_percent
    return share < rules.one_percent


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


def _named_allergens(
    parts: Sequence[Part],
    rules: RuleSet,
    names: NameBook,
    rinse_off: bool,
    notes: list[str],
) -> dict[str, Decimal]:
    """Sum each Annex III entry over all parts; keep those above the threshold."""
    given = any(part.role == "allergen" for part in parts)
    threshold = rules.allergen_threshold(rinse_off=rinse_off)
    if threshold is None:
        if given:
            clause = rules.clause("declares_allergens")
            notes.append(f"Allergens are not printed: {clause.says} ({clause.cited}).")
        return {}
    if not given and any(part.percent and _is_fragrance(part) for part in parts):
        notes.append(
            "No fragrance allergens are given: ask the supplier for the statement; "
            f"those over {plain(threshold)} % must be named."
        )
    sums: dict[str, Decimal] = {}
    for part in parts:
        label = names.label_name(part.inci)
        if label or part.role == "allergen":
            label = label or names.translated(part.inci, rules.names)[0]
            sums[label] = sums.get(label, Decimal(0)) + part.percent
    notes += _allergen_notes(sums, threshold, names)
    return {label: share for label, share in sums.items() if share > threshold}


def _is_fragrance(part: Part) -> bool:
    return part.role == "fragrance" or _folded(part.inci) in {"parfum", "fragrance"}


def _allergen_notes(
    sums: Mapping[str, Decimal], threshold: Decimal, names: NameBook
) -> Iterator[str]:
    for label, share in sums.items():
        if 0 < share <= threshold:
            yield (
                f"{label} at {_shown(share)} % does not exceed {plain(threshold)} %: "
                "not named as an allergen."
            )
        elif share and not names.label_name(label):
            yield f"{label} is not in our table of allergens: check Annex III."


def _named_shares(
    present: Sequence[Part],
    allergens: Mapping[str, Decimal],
    rules: RuleSet,
    names: NameBook,
    notes: list[str],
) -> tuple[dict[str, Decimal], set[str]]:
    """The share of each printed name, and the names that are colourants only."""
    shares: dict[str, Decimal] = {}
    others: set[str] = set()
    for part in present:
        label = names.label_name(part.inci)
        if label is not None and label in allergens:
            name = label
            if _folded(label) != _folded(part.inci):
                notes.append(f"{part.inci} is named {label}, as Annex III asks.")
        else:
            name, note = names.translated(part.inci, rules.names)
            notes += [note] if note else []
        shares[name] = shares.get(name, Decimal(0)) + part.percent
        if part.role != "colourant":
            others.add(name)
    return shares, shares.keys() - others


def _order_notes(
    free: Sequence[str], closing: Iterable[str], rules: RuleSet
) -> Iterator[str]:
    if free:
        clause = rules.clause("free_group_includes_one_percent")
        bound = "At or below" if rules.free_group_includes_one_percent else "Below"
        yield (
            f"{bound} {plain(rules.one_percent)} %, in any order among themselves: "
            f"{', '.join(free)} ({clause.cited})."
        )
    for name in sorted(closing):
        clause = rules.clause("parfum_may_close")
        yield (
            f"{name} closes the list ({clause.cited}); "
            "at its place by weight it is lawful too."
        )
