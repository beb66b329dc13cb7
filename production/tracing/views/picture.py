"""The words of a drawn family: what stands in its boxes and on its lines."""

from typing import Any

from production.quantities.domain.numbers import grouped
from production.tracing.domain.drawing import layout
from production.tracing.domain.family import fold
from production.tracing.reads.family import pot_key

# How wide a letter is in the widest of the usual fonts, and the paper beside it.
CODE, WORD, BESIDE = 9, 6.65, 11


def picture(lot, members, flows, words):
    """None where a lot has no family; else boxes, lines and what was folded.

    ``words`` are those of each member; a group that is folded gets its own.
    """
    if not flows:
        return None
    family = fold(members, flows, lot)
    drawing = layout(family.members, family.flows)
    groups = {
        key: _group([words[one] for one in some]) for key, some in family.within.items()
    }
    words = words | groups
    own = next(box for box in drawing.boxes if box.key == lot)
    return {
        "drawing": drawing,
        "boxes": [{"box": box, **words[box.key]} for box in drawing.boxes],
        "lines": [{"line": line, "says": _says(line, words)} for line in drawing.lines],
        "own": own,
        "code_letters": (own.width - BESIDE) // CODE,
        "letters": int((own.width - BESIDE) / WORD),
        "folded": [group["says"] for group in groups.values()],
    }


def words_of(lots, came, having, pots, traced):
    """What stands in the box of each lot, open batch and customer, by its key."""
    boxes = {code: _lot(lot, came.get(code), traced) for code, lot in lots.items()}
    boxes |= {pot_key(batch): _pot(batch) for batch in pots}
    return boxes | {f"\n{row.name}": _customer(row, lots) for row in having}


def _lot(lot, came, traced):
    whole = _figure(came, lot.item.unit) if came else ""
    if lot.line:
        fact = str(lot.line.purchase.supplier)
    else:
        fact = f"{whole} made" if lot.batch else whole
    return {
        "link": lot.get_absolute_url(),
        "mark": "own" if lot.code == traced else "",
        "status": lot.status,
        "code": lot.code,
        "name": str(lot.item),
        "fact": fact,
        "says": ", ".join(
            filter(None, [f"{lot}", f"{lot.item}", fact, whole, lot.status])
        ),
        "who": str(lot),
    }


def _pot(batch):
    stage, since = batch.get_stage_display(), f"{batch.started:%Y-%m-%d}"
    return {
        "link": batch.get_absolute_url(),
        "mark": "pot",
        "code": f"{batch}",
        "name": stage,
        "fact": f"open since {since}",
        "says": f"{stage} {batch}, open since {since}",
        "who": f"the open batch {batch}",
    }


def _customer(holder, lots):
    totals: dict[str, Any] = {}
    for held in holder.lots:
        unit = lots[held.lot].item.unit
        totals[unit] = totals.get(unit, 0) + held.kept
    figures = ", ".join(_figure(total, unit) for unit, total in totals.items())
    return {
        "link": holder.customer.get_absolute_url() if holder.customer else "",
        "mark": "end",
        "code": f"{holder.name[0].upper()}{holder.name[1:]}",
        "name": figures,
        "says": f"{holder.name}: {figures}",
        "who": holder.name,
    }


def _group(members):
    """Several as one, said in words."""
    count = f"{len(members)} more"
    if members[0]["mark"] == "pot":
        says = f"{len(members)} open batches"
        return {"mark": "pot", "code": says, "says": says, "who": says}
    if members[0]["mark"] == "end":
        says = f"{count} customers"
        return {"mark": "end many", "code": says, "says": says, "who": says}
    items = sorted({member["name"] for member in members})
    of = items[0] if len(items) == 1 else f"{len(items)} items"
    return {
        "mark": "many",
        "code": f"{count} lots",
        "name": of,
        "says": f"{len(members)} lots of {', '.join(items)}",
        "who": f"{len(members)} lots of {of}",
    }


def _says(line, words):
    """The share that the thickness shows, in figures."""
    whose, to = words[line.source]["who"], words[line.target]
    if to["mark"].startswith("end"):
        share = f": {line.share:.1%} of it" if line.share is not None else ""
        return f"{whose} to {to['who']}{share}"
    of = "it" if to["mark"] == "pot" else "what was made"
    share = f": {line.share:.1%} of {of}" if line.share is not None else ""
    return f"{whose} into {to['who']}{share}"


def _figure(value, unit):
    words = {"piece": "pc" if value == 1 else "pcs"}.get(unit, unit)
    return f"{grouped(value)} {words}"
