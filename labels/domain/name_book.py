"""What a material is called on a label, in either language of the trade, and why."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from labels.domain.allergens import Allergen

Column = Literal["us", "eu"]

# How well a row of a table was read; "verified" needs no word.
READ = {
    "secondary": ", read in a summary",
    "recalled": ", from memory",
}

NOT_COMPARED = (
    "The names were read in the Commission's ingredient inventory and not compared "
    "with the newer glossary of Decision (EU) 2025/1175."
)


@dataclass(frozen=True, slots=True)
class Name:
    """What one material is called; a colour may have several US names.

    ``source`` says where its names were read; ``standing`` and ``us_standing`` how
    well, as in the tables: verified, secondary or recalled.
    """

    key: str
    eu: str
    us: tuple[str, ...]
    potassium_soap: str | None
    sodium_soap: str | None
    role: str = ""
    source: str = ""
    standing: str = "verified"
    us_standing: str = "verified"

    def called(self, column: Column) -> tuple[str, ...]:
        return self.us if column == "us" else (self.eu,)

    def read(self, column: Column) -> str:
        """Where the name of that column was read, and how well."""
        standing = self.us_standing if column == "us" else self.standing
        source = "US name" if column == "us" and self.us != (self.eu,) else self.source
        if source.startswith("from memory"):
            return source
        return f"{source}{READ.get(standing, '')}"


@dataclass(frozen=True, slots=True)
class NameBook:
    """Looks names up in either language of the trade, whatever their capitals."""

    by_name: Mapping[str, tuple[Name, ...]]
    labels: Mapping[str, str]
    spellings: Mapping[str, str]
    allergens: Mapping[str, Allergen]
    soaps: Mapping[str, Name]

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
            for called in {folded(text) for text in (name.eu, *name.us)}:
                by_name[called] = (*by_name.get(called, ()), name)
        entries = {row["label"]: Allergen.from_row(row) for row in allergens}
        grouped = [(label, label) for label in entries]
        grouped += [(row["member"], row["label"]) for row in members]
        soaps = {
            folded(soap): name
            for name in names
            for soap in (name.potassium_soap, name.sodium_soap)
            if soap
        }
        pairs = [(name.potassium_soap, name.sodium_soap) for name in names]
        listed = [soap for pair in pairs for soap in pair if soap]
        listed += [member for member, _ in grouped]
        return cls(
            by_name=by_name,
            labels={folded(member): label for member, label in grouped},
            spellings={folded(text): text for text in listed},
            allergens=entries,
            soaps=soaps,
        )

    def translated(self, name: str, column: Column) -> tuple[str, str | None]:
        """The name as that column prints it, and a note where it is uncertain."""
        key = folded(name)
        found = self.by_name.get(key, ())
        choices = dict.fromkeys(text for one in found for text in one.called(column))
        for choice in choices:
            if len(choices) == 1 or folded(choice) == key:
                return choice, None
        if choices:
            several = " or ".join(choices)
            return name, f"{name} may be {several}: name the one that was used."
        if key in self.spellings:
            return self.spellings[key], None
        return name, f"{name} is not in our table: check the inventory."

    def why(self, name: str, printed: str, column: Column) -> str:
        """Why it is printed under this name: the table, its source, its standing."""
        entry = self.allergens.get(printed)
        if entry is not None and self.label_name(name) == printed:
            named = "" if folded(name) == folded(printed) else f"{name} is named so: "
            return f"{named}entry {entry.entry} of {entry.read}"
        known = self.by_name.get(folded(name))
        if known:
            return known[0].read(column)
        soap = self.soaps.get(folded(name))
        if soap is not None:
            return f"a soap of {soap.eu}: {soap.read('eu')}"
        return "as it was typed; it stands in none of our tables"

    def label_name(self, name: str) -> str | None:
        """The Annex III name under which a substance or oil is declared, if any."""
        return self.labels.get(folded(name))

    def is_fragrance(self, name: str) -> bool:
        """Whether a name is that of perfume, or of an oil that is used as one."""
        if folded(name) in {"parfum", "fragrance", "aroma", "flavor"}:
            return True
        known = self.by_name.get(folded(name), ())
        return any(one.role == "fragrance" for one in known)

    def is_colourant(self, name: str) -> bool:
        """Whether a name is that of a colourant: in the table, or a CI number."""
        known = self.by_name.get(folded(name), ())
        ours = any(one.role == "colourant" for one in known)
        return ours or folded(name).startswith("ci ")


def _name(row: Mapping[str, str]) -> Name:
    return Name(
        key=row["key"],
        eu=row["inci"],
        us=tuple((row["us_name"] or row["inci"]).split(" / ")),
        potassium_soap=row["potassium_soap"] or None,
        sodium_soap=row["sodium_soap"] or None,
        role=row["role"],
        source=row["source"],
        standing=row["standing"],
        us_standing=row["us_standing"],
    )


def folded(name: str) -> str:
    """A name without its capitals and doubled blanks, for comparing."""
    return " ".join(name.split()).casefold()
