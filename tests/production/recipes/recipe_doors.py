"""Every door by which the product works one recipe out, asked from the outside.

Each gives figures by their names: an item's grams under its name, ``paste`` what is
expected to come out, ``content`` the soap in it, ``superfat`` what it is set to, and
``range`` whether it says how sure that is. A refusal is an answer, too.
"""

import io
import json
import re
from collections import defaultdict
from decimal import Decimal as D
from html import unescape
from unittest import mock

from django.core.management import CommandError, call_command
from django.urls import reverse

from production.models import Batch
from production.quantities.domain.numbers import plain
from production.yields.reads import outturn
from tests.answers.pages import form_of, lines_of

BOXES = {"KOH": "alkali_lot", "NaOH": "soda_lot"}
NAMES = {"KOH": "potassium hydroxide", "NaOH": "sodium hydroxide"}
WATER = "tap water"
NOT_KNOWN = "is not known: the shares"
READ = re.compile(r'name="(uses-\d+-read)" value="([^"]*)"')


class Refuses(Exception):
    """The door gives no figures; what it says instead."""


def boxes(written):
    return {BOXES[alkali]: code for alkali, code in written.tubs.items()}


def _page(desk, name, *args, **asked):
    answer = desk.get(reverse(name, args=args), asked)
    assert answer.status_code == 200, (name, answer.status_code)
    return answer


def _says(answer):
    return " ".join(lines_of(answer.content.decode()))


# --- The recipe as it is worded ------------------------------------------------------
def recipe_page(desk, written):
    """For 1,000 g of oils."""
    answer = _page(desk, "version", written.version.pk, **boxes(written))
    return _cooked(answer)


def recipe_page_text(desk, written):
    """All that the page of the recipe says."""
    return _says(_page(desk, "version", written.version.pk, **boxes(written)))


def preview(desk, written):
    """The same as it is being written, for all the oils of the day."""
    page = _page(desk, "version-next", written.version.pk)
    data = defaultdict(list)
    for name, value in form_of(page.content.decode()):
        data[name].append(value)
    data |= {name: [code] for name, code in boxes(written).items()}
    data["oils"] = [f"{written.drawn.oils} g"]
    answer = desk.post(reverse("recipe-preview", args=["cook"]), data)
    return _cooked(answer)


def _cooked(answer):
    cooked = answer.context.get("cooked")
    if cooked is None:
        raise Refuses(_says(answer))
    found = {line.name: line.grams for line in cooked.lines}
    found |= _lye(cooked.result.koh_weighed, cooked.result.naoh_weighed)
    if cooked.result.lye_water is not None:
        # Water that is a line of the recipe is named by its line.
        found.setdefault(WATER, cooked.result.lye_water)
    found |= {"paste": cooked.paste, "content": cooked.soap_content}
    return found | {"superfat": cooked.superfat.central}


def _lye(koh, naoh):
    return {NAMES[a]: g for a, g in (("KOH", koh), ("NaOH", naoh)) if g}


def comparison(desk, written):
    """A version beside itself, for 1,000 g of oils."""
    two = {"a": written.version.pk, "b": written.version.pk}
    answer = _page(desk, "compare", **two, **boxes(written))
    found = answer.context.get("found")
    if not found or found.missing:
        raise Refuses(_says(answer))
    figures = {row.name: row.a for row in found.figures}
    assert all(row.a == row.b for row in found.figures)
    given = _lye(figures["Potassium hydroxide"], figures["Sodium hydroxide"])
    given |= {WATER: figures["Lye water"], "paste": figures["Paste"]}
    return given | {"content": figures["Soap content of the paste"]}


def planned_cost(desk, written):
    """The materials for 1,000 g of paste, beside those of another recipe."""
    two = {"a": written.version.pk, "b": written.dilution.pk}
    answer = _page(desk, "compare-cost", **two)
    cost = answer.context["found"].a.cost
    if cost is None:
        raise Refuses(_says(answer))
    return {line.item.name: line.amount for line in cost.lines}


def saponify(recipe):
    """The command, of a recipe as its file says it."""
    out, said = io.StringIO(), json.dumps(recipe)
    try:
        with mock.patch("sys.stdin", io.StringIO(said)):
            call_command("saponify", "-", "--json", stdout=out)
    except CommandError as fault:
        raise Refuses(str(fault)) from fault
    told = {
        name: D(value)
        for name, value in json.loads(out.getvalue()).items()
        if isinstance(value, str)
    }
    found = _lye(told["koh_weighed"], told["naoh_weighed"])
    found |= {WATER: told["lye_water"], "glycerol": told["glycerol"]}
    return found | {"paste": told["paste"], "content": told["soap_fraction"]}


# --- One batch of it -----------------------------------------------------------------
def asked_of_a_batch(written):
    oils = {"version": written.version.pk, "oils": f"{written.drawn.oils} g"}
    return oils | boxes(written)


def batch_form(desk, written):
    """The page where a batch is written up, by its own questions."""
    return _proposed(_page(desk, "batch-run", "cook", **asked_of_a_batch(written)))


def _proposed(answer):
    plan = answer.context["plan"]
    if not plan.rows or plan.cooked is None:
        raise Refuses(_says(answer))
    found = defaultdict(D)
    for row in plan.rows:
        found[row["item"].name] += row["exact"]
    found |= {"paste": plan.expected, "superfat": plan.cooked.superfat.central}
    # Where nobody knows the loss the page says no content either.
    content = None if plan.expected is None else plan.cooked.soap_content
    return {**found, "content": content}


def batch_sheet(desk, written):
    """The sheet of that batch."""
    asked = asked_of_a_batch(written)
    answer = desk.get(reverse("run-sheet", args=["cook"]), asked)
    if answer.status_code == 302:
        raise Refuses("nothing is planned")
    return _on_paper(answer)


def _on_paper(answer):
    [sheet] = answer.context["sheets"]
    found = defaultdict(D)
    for line in sheet.lines:
        found[line.item] += line.target
    return {**found, "paste": sheet.expected}


# --- A making ------------------------------------------------------------------------
def asked_of_a_making(written, paste):
    asked = {"version1": written.version.pk, "amount1": f"{paste} g"}
    if written.drawn.typed is not None:
        asked[f"loss{written.version.pk}"] = f"{plain(written.drawn.typed * 100)} %"
    return asked | boxes(written)


def making(desk, written, paste):
    """From the paste that is wanted back to the oils."""
    answer = _page(desk, "plan", **asked_of_a_making(written, paste))
    if answer.context["planned"] is None:
        raise Refuses(_says(answer))
    [stage] = answer.context["planned"].stages
    found = defaultdict(D)
    for taken in stage.taken:
        found[taken.need.item.name] += taken.need.amount
    return {**found, "paste": stage.comes_out, "content": stage.cooked.soap_content}


def making_text(desk, written, paste):
    """All that the plan says."""
    return _says(_page(desk, "plan", **asked_of_a_making(written, paste)))


def making_sheets(desk, written, paste):
    """The sheets of that plan."""
    asked = asked_of_a_making(written, paste)
    answer = desk.get(reverse("plan-sheets"), asked)
    if answer.status_code == 302:
        raise Refuses("nothing is planned")
    return _on_paper(answer)


def written_up(desk, written, paste):
    """The page where the batch of that plan is written up, by the plan's own link."""
    answer = _page(desk, "plan", **asked_of_a_making(written, paste))
    return _proposed(desk.get(link_of(answer)))


def link_of(answer):
    page = unescape(answer.content.decode())
    links = re.findall(r'href="([^"]*/batches/run/cook/[^"]*)"', page)
    if not links:
        raise Refuses(_says(answer))
    return links[0]


def followed(desk, written, paste):
    """Write the plan up by its own link, weighed and come out exactly as it says; the
    grams that are lost abnormally."""
    answer = _page(desk, "plan", **asked_of_a_making(written, paste))
    link = link_of(answer)
    [stage] = answer.context["planned"].stages
    page = desk.get(link).content.decode()
    # The tick that the tub was read sends the sentence beside it.
    sent = dict(form_of(page)) | dict(READ.findall(unescape(page)))
    for name, planned in list(sent.items()):
        if name.endswith("-planned_amount") and planned:
            row = name.removesuffix("planned_amount")
            sent[f"{row}amount"] = f"{planned} g"
    sent["amount"] = f"{stage.comes_out} g"
    done = desk.post(link, sent)
    if done.status_code != 302:
        raise Refuses(_says(done))
    return outturn(Batch.objects.latest("pk")).abnormal


def thinning(desk, written, amount):
    """Diluted soap from the kettle on: the paste that its content asks for."""
    asked = {"version1": written.dilution.pk, "amount1": f"{amount} g"}
    if written.drawn.typed is not None:
        asked[f"loss{written.version.pk}"] = f"{plain(written.drawn.typed * 100)} %"
    answer = _page(desk, "plan", **asked, **boxes(written))
    if answer.context["planned"] is None:
        raise Refuses(_says(answer))
    stage = answer.context["planned"].stages[-1]
    return {taken.need.item.name: taken.need.amount for taken in stage.taken}


# --- The paste that stands there -----------------------------------------------------
def craft_day(desk, written, lot, amount):
    """A craft day with so much of the paste."""
    asked = {"paste": lot.code, "amount": f"{amount} g", "finishing": ""}
    answer = _page(desk, "day", **asked, dilution=written.dilution.pk)
    plan = answer.context["plan"]
    figures = {name: value for name, value, _ in plan.figures}
    if "water to add" not in figures or NOT_KNOWN in " ".join(plan.remarks):
        raise Refuses(_says(answer))
    return {WATER: figures["water to add"]}


def dilution_form(desk, written, lot, amount):
    """The page where a dilution is written up."""
    asked = {"version": written.dilution.pk, "paste": lot.code}
    answer = _page(desk, "batch-run", "dilution", **asked, amount=f"{amount} g")
    rows = answer.context["plan"].rows
    if not rows or NOT_KNOWN in _says(answer):
        raise Refuses(_says(answer))
    return {row["item"].name: row["exact"] for row in rows}


def making_from(desk, written, lot, amount):
    """A plan of so much diluted soap from the paste that stands ready."""
    asked = {"version1": written.dilution.pk, "amount1": f"{amount} g"}
    asked |= {"paste": lot.code, "ready": "on", **boxes(written)}
    if written.drawn.expects is None:
        asked[f"loss{written.version.pk}"] = "2 %"
    answer = _page(desk, "plan", **asked)
    if answer.context["planned"] is None or NOT_KNOWN in _says(answer):
        raise Refuses(_says(answer))
    stage = answer.context["planned"].stages[-1]
    return {taken.need.item.name: taken.need.amount for taken in stage.taken}
