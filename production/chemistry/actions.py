"""Published tables come in with migrate; a maker's own value stands elsewhere."""

from collections.abc import Callable
from typing import Any

from django.db import models, transaction

from production.chemistry.models import (
    InciName,
    ReferenceAcid,
    ReferenceComposition,
    ReferenceEdition,
    ReferenceOil,
    ReferenceRuleOfThumb,
    ReferenceSalt,
)

Rows = list[dict[str, str]]

# In the order of their keys: an oil and an acid come before what joins them.
TABLES: dict[str, tuple[type[models.Model], tuple[str, ...]]] = {
    "oils": (ReferenceOil, ("key",)),
    "fatty_acids": (ReferenceAcid, ("key",)),
    "oil_compositions": (ReferenceComposition, ("oil", "acid")),
    "inci_names": (InciName, ("key",)),
    "salts": (ReferenceSalt, ("material",)),
    "hints": (ReferenceRuleOfThumb, ("key",)),
}


@transaction.atomic
def load_reference_tables(read: Callable[[str], tuple[str, Rows]]) -> None:
    """Bring the published tables to the edition that ships; rows are never deleted,
    since an item may point at one."""
    for name, (model, key) in TABLES.items():
        digest, rows = read(name)
        edition = ReferenceEdition.objects.filter(name=name).first()
        if edition and edition.digest == digest:
            continue
        links = _links(model)
        for row in rows:
            facts = {field: _value(model, field, text) for field, text in row.items()}
            for field, known in links.items():
                facts[field] = known[row[field]]
            model.objects.update_or_create(
                **{part: facts.pop(part) for part in key}, defaults=facts
            )
        ReferenceEdition.objects.update_or_create(
            name=name, defaults={"digest": digest}
        )


def _links(model: type[models.Model]) -> dict[str, dict[str, Any]]:
    return {
        field.name: {row.key: row for row in field.related_model.objects.all()}
        for field in model._meta.get_fields()
        if isinstance(field, models.ForeignKey)
    }


def _value(model: type[models.Model], field: str, text: str) -> Any:
    column = model._meta.get_field(field)
    if isinstance(column, models.ForeignKey):
        return None
    if text == "" and column.null:
        return None
    return column.to_python(text)
