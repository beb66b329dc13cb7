"""A small workshop on the morning of a craft day: recipes written, packs open."""

from decimal import Decimal

from production.batches.actions.new_batch import NewBatch, Output, Use
from production.lots.actions.packs import open_pack
from production.models import Item, Version
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from production.workshop.actions.cards import set_up_workshop
from production.yields.domain.hours_and_losses import NewLoss
from tests import make
from tests.make import act
from tests.once import remembered

FINE = make.day(3)
PACKS = ("GLY-1", "FRA-1", "BRINE-1", "BOT-1", "LAB-1")


@remembered
def set_out(*, packs=PACKS, check="check"):
    """Paste of 64 % soap, what finishes it, and two sizes of bottles."""
    set_up_workshop(name="Wrackline", currency="USD")
    paste = make.batch(
        "cook",
        uses=[(make.lot(grams="9000"), "8000")],
        makes="Tideline paste",
        amount="8000",
        code="PASTE-1",
    )
    reading = Reading("soap content", Decimal("0.64"))
    note_measurement(lot=paste, readings=[reading], **act(2))
    make.item("tap water", category="water", on_tap=True)
    salt = make.lot("SALT-1", item=make.item("salt", category="salt"))
    make.lot("GLY-1", grams="3000", item=make.item("glycerin", category="additive"))
    fragrance = make.item("Salt Marsh", category="fragrance")
    make.lot("FRA-1", grams="500", item=fragrance)
    make.batch("preparation", uses=[(salt, "900")], makes="brine", code="BRINE-1")
    for code, name, part in (
        ("BOT-1", "bottle", "container"),
        ("LAB-1", "label", "label"),
    ):
        made = make.item(name, kind="packaging", unit="piece", serves_as=part)
        make.lot(code, grams="100", item=made)
    write_recipes(check)
    for code in packs:
        open_pack(lot=lot(code), **act(2))
    return paste


def lot(code):
    from production.models import Lot

    return Lot.objects.select_related("item", "batch").get(code=code)


def write_recipes(release):
    grams = {"kind": "made", "unit": "g"}
    diluted, finished = make.item("diluted", **grams), make.item("finished", **grams)
    make.item("hand wash", kind="made", unit="piece")
    _recipe("dilution", {"Tideline paste": "0.336"}, diluted, target_soap="0.216")
    shares = {"diluted": "0.93", "glycerin": "0.03", "Salt Marsh": "0.01"}
    shares["brine"] = "0.03"
    _recipe("finishing", shares, finished, release=release)
    each = {"finished": "245", "bottle": "1", "label": "1"}
    _recipe("filling", {}, Item.objects.get(name="hand wash"), each=each)


def _recipe(stage, shares, makes, each=(), **terms):
    def of(name):
        return Item.objects.get(name=name)

    lines = [NewVersionLine(of(n), share=Decimal(s)) for n, s in shares.items()]
    for name, number in dict(each).items():
        lines.append(NewVersionLine(of(name), each=Decimal(number)))
    if "target_soap" in terms:
        terms["target_soap"] = Decimal(terms["target_soap"])
    write_version(
        name=f"the {stage}", stage=stage, makes=makes, lines=lines, **act(1), **terms
    )


def recipe(stage):
    return Version.objects.get(formula__stage=stage)


def new(stage, uses=(), amount="0", **facts):
    """One batch of the day by its recipe; ``uses`` are pairs of a code and grams."""
    facts.setdefault("version", recipe(stage))
    output = {name: facts.pop(name) for name in ("code", "net_mass") if name in facts}
    return NewBatch(
        stage=stage,
        uses=[
            Use(item=Item.objects.get(name=code), amount=Decimal(grams))
            if code == "tap water"
            else Use(lot=lot(code), amount=Decimal(grams))
            for code, grams in uses
        ],
        output=Output(amount=Decimal(amount), **output),
        **facts,
    )


PASSED = (Reading("neutrality", passed=True),)


def a_day(**changes):
    """The three stages, 3,000 g of paste to 40 bottles; what is given replaces one."""
    finish = [("GLY-1", "280"), ("FRA-1", "100"), ("BRINE-1", "290")]
    stages = {
        "dilution": new(
            "dilution",
            [("PASTE-1", "3000"), ("tap water", "5900")],
            "8880",
            losses=[NewLoss("steam", Decimal(20))],
            code="THIN",
        ),
        "finishing": new("finishing", finish, "9540", readings=PASSED, code="FINE"),
        "fillings": [
            new(
                "filling",
                [("BOT-1", "38"), ("LAB-1", "38")],
                "38",
                taken=Decimal("9310"),
                net_mass=Decimal(245),
                code="FILL",
            )
        ],
    }
    return stages | changes
