"""What an item is in the pot."""

from production.workshop.models.items import Item

ROLES = {"oil", "alkali", "water", "acid"}


def role_of(item: Item) -> str:
    """What an item is in the pot; "" where nobody has said.

    A strong alkali is one whatever its card leaves open: its name is enough.
    """
    if item.is_alkali:
        return "alkali"
    if item.kind == Item.Kind.PACKAGING:
        return "packaging"
    if item.category:
        return item.category if item.category in ROLES else "material"
    if item.name_on_label is not None:
        role = item.name_on_label.role
        return role if role in ROLES else "material" if role else ""
    return "oil" if item.oil_id else ""
