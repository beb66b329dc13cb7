"""Every command that answers, of every lot, month and recipe."""

import io
import json
import tempfile
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

from django.core.management import CommandError, call_command

from labels.reads.rules import rule_sets
from production.models import Closing, Lot, Stage, Version

PURPOSES = ("use", "sale", "gift", "label")
BASES = ("added", "finished")


def ask_commands(picked) -> Iterator[tuple[str, str, object]]:
    for command in ("stock", "statement"):
        yield command, "", told(command, "--json")
    yield "audit", "", told("audit")
    yield "export_history", "", told("export_history", "-")
    lots = Lot.objects.select_related("item").order_by("pk")
    for lot in (lot for lot in lots if picked(lot.code)):
        yield "cost", lot.code, told("cost", lot.code, "--json")
        yield "trace", lot.code, told("trace", lot.code, "--json")
        for purpose in PURPOSES:
            asked = ("fit", lot.code, "--for", purpose, "--json")
            yield "fit", f"{lot.code} for {purpose}", told(*asked)
        if lot.item.kind == "made":
            yield from _declared(lot)
    yield from _statements()
    for version in Version.objects.filter(formula__stage=Stage.COOK):
        yield "saponify", str(version), _saponified(version)


def _declared(lot):
    for rules in rule_sets():
        for basis in BASES:
            asked = ("declare", lot.code, "--rules", rules, "--basis", basis, "--json")
            yield "declare", f"{lot.code} {rules} {basis}", told(*asked)


def _statements():
    for closing in Closing.objects.order_by("pk"):
        day = str(closing.through)
        yield "statement", day, told("statement", day, "--json")


def _saponified(version):
    """A kilogram of oils by the published values, from the tub that came last."""
    lines = version.lines.select_related("item__oil")
    oils = [
        {
            "name": line.item.name,
            "grams": str(1000 * line.share),
            "sv": str(line.item.oil.sv),
            "kind": line.item.oil.kind,
        }
        for line in lines
        if line.item.oil_id and line.share
    ]
    recipe = {"oils": oils, "koh_share": str(version.koh_share)}
    for term in ("superfat", "water_per_alkali", "lye_strength"):
        if getattr(version, term) is not None:
            recipe[term] = str(getattr(version, term))
    for alkali, lot in last_tubs().items():
        for value in lot.measurements.filter(what__in=("purity", "carbonate")):
            recipe[f"{alkali.lower()}_{value.what}"] = str(value.value)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "recipe.json"
        file.write_text(json.dumps(recipe), encoding="utf-8")
        return told("saponify", str(file), "--json")


def last_tubs() -> dict[str, Lot]:
    """Of each alkali the lot of a known purity that came last."""
    known = Lot.objects.filter(measurements__what="purity").order_by("pk")
    found = {kind: known.filter(item__alkali=kind).last() for kind in ("KOH", "NaOH")}
    return {kind: lot for kind, lot in found.items() if lot}


def told(command: str, *words: str) -> object:
    """What a command prints: read as JSON where it is, else line by line."""
    out = io.StringIO()
    try:
        # Its own files go to the standard output of the process.
        with mock.patch("sys.stdout", out):
            call_command(command, *words, stdout=out)
    except CommandError as fault:
        return [*out.getvalue().splitlines(), f"refused: {fault}"]
    text = out.getvalue()
    try:
        return json.loads(text) if command != "export_history" else text.splitlines()
    except ValueError:
        return text.splitlines()
