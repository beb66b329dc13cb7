"""Published tables of the labels room, read from the repository."""

from functools import cache

from labels.domain.ingredients import NameBook
from labels.files.tables import rows


@cache
def name_book() -> NameBook:
    """The names and fragrance allergens of ``fixtures/reference``, read once."""
    return NameBook.from_rows(
        rows("inci_names"), rows("allergens"), rows("allergen_members")
    )
