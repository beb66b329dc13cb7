"""Every command, with arguments that nobody meant."""

import io
import sys
import tempfile
from pathlib import Path
from random import Random

from django.core.management import call_command
from django.core.management.base import CommandError

from tests.fuzz import nasties
from tests.fuzz.bench import left_as_it_was
from tests.fuzz.files import TEXTS, bent_history, bent_parts, bent_recipe, lies
from tests.fuzz.found import Found

# What each may be told: words, and X where something odd is put.
ORDERS = (
    ("saponify", "FILE"),
    ("saponify", "FILE", "--json"),
    ("declare", "PARTS", "--rules", "eu"),
    ("declare", "PARTS", "--rules", "us", "--json"),
    ("declare", "X", "--rules", "us", "--basis", "added"),
    ("declare", "X", "--rules", "ca", "--json"),
    ("trace", "X"),
    ("trace", "X", "--json"),
    ("cost", "X"),
    ("cost", "X", "--json"),
    ("fit", "X", "--for", "sell", "--on", "X"),
    ("fit", "X", "--on", "X", "--json"),
    ("statement", "X"),
    ("statement", "X", "--json"),
    ("stock", "--json"),
    ("import_history", "FILE"),
    ("import_history", "FILE", "--by", "X"),
    ("import_purchases", "SHEET"),
    ("import_purchases", "SHEET", "--dry-run"),
    ("import_purchases", "SHEET", "--by", "X"),
    ("import_purchases", "X"),
    ("export_history", "X"),
)


class Orders:
    def __init__(self, found: Found, dice: Random) -> None:
        from production.models import Lot

        self.found, self.dice = found, dice
        self.codes = sorted(Lot.objects.values_list("code", flat=True))
        self.folder = Path(tempfile.mkdtemp())

    def step(self) -> None:
        name, *words = self.dice.choice(ORDERS)
        told = [self._word(name, word) for word in words]
        said = f"manage.py {name} {told!r}"
        if {"FILE", "PARTS"} & set(words):
            said += (
                f" {(self.folder / 'told.json').read_text('utf-8', 'replace')[-900:]}"
            )
        out, before = io.StringIO(), sys.stdout
        with self.found.one(said), left_as_it_was():
            try:
                call_command(name, *told, stdout=out, stderr=out)
                self.found.count("answered")
            except CommandError as fault:
                str(fault).encode()
                self.found.count("refused")
            except SystemExit as ended:
                self.found.count(f"ended {ended.code}")
            finally:
                sys.stdout = before

    def _word(self, name: str, word: str) -> str:
        dice = self.dice
        if word in ("FILE", "PARTS"):
            path = self.folder / "told.json"
            if dice.random() < 0.1:
                text = dice.choice(TEXTS)
            elif word == "PARTS":
                text = bent_parts(dice)
            else:
                text = bent_history(dice) if "history" in name else bent_recipe(dice)
            path.write_text(text, "utf-8", errors="surrogatepass")
            return str(path)
        if word == "SHEET":
            path = self.folder / "told.xlsx"
            path.write_bytes(dice.choice(lies())[1])
            return str(path)
        if word != "X":
            return word
        if name == "export_history":
            # In a folder of its own, whatever it is called.
            return f"{self.folder}/{dice.choice(nasties.ALL)[:90]}"
        if dice.random() < 0.3:
            return dice.choice(self.codes)
        return dice.choice(nasties.ALL)
