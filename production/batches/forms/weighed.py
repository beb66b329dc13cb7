"""What is typed in the rows of a form, as far as it can be read, for its superfat."""

from dataclasses import dataclass, replace

from production.batches.reads.weighed import Pour, WeighedIn, pours_of, weighed_in
from production.recipes.domain.craft_day import left_of
from production.recipes.models.formulas import Version
from production.record.reads.clock import today
from production.stock.models.batches import Batch, Stage


@dataclass(frozen=True)
class TypedPot:
    """What goes into one batch, and whether a row of it was not understood."""

    stage: str
    version: Version | None
    pours: list
    unread: bool = False
    name: str = ""
    swaps: tuple = ()

    @property
    def found(self) -> WeighedIn | None:
        return weighed_in(self.stage, self.version, self.pours)


def one_pot(form, stage, version, batch: Batch | None = None):
    """The rows of a whole batch, or of what joins an open one."""
    pours, unread = _of_rows(form.rows["uses"], _day(form))
    if batch is not None:
        pours = pours_of(batch) + pours
    return [TypedPot(stage, version, pours, unread, swaps=_swaps(form.rows["uses"]))]


def day_pot(form):
    """Paste, water and what the soap takes up end in one pot, less what was lost."""
    form.is_valid()
    on, facts = _day(form), getattr(form, "cleaned_data", {})
    base = [
        Pour(facts[name], facts[f"{name}_amount"].grams_or_pieces, on)
        for name in ("paste", "water")
        if facts.get(name) and facts.get(f"{name}_amount")
    ]
    more, unread = _of_rows(form.rows["additions"], on)
    short = len(base) < 2 or bool({"lost", "diluted_amount"} & set(form.errors))
    pours = _after_the_loss(base, facts) + more
    return [
        TypedPot(Stage.FINISHING, form.recipes["finishing"], pours, unread or short)
    ]


def _after_the_loss(base, facts):
    """Steam takes water only; what is spilt or sampled takes paste and water alike."""
    lost, steams = facts.get("lost"), facts.get("lost_as") in ("", "steam", None)
    if not lost or steams:
        return base
    left = left_of([one.amount for one in base], lost.grams_or_pieces)
    return [replace(one, amount=part) for one, part in zip(base, left, strict=True)]


def scent_pots(form):
    """A pot for each scent."""
    form.is_valid()
    on, facts = _day(form), getattr(form, "cleaned_data", {})
    pots = []
    for number, row in enumerate(form.rows["scents"], 1):
        typed = getattr(row, "cleaned_data", {})
        poured = (
            (facts.get("diluted"), typed.get("soap")),
            (typed.get("fragrance"), typed.get("fragrance_amount")),
            (facts.get("brine"), typed.get("brine_amount")),
        )
        pours = [
            Pour(lot, amount.grams_or_pieces, on)
            for lot, amount in poured
            if lot and amount
        ]
        if pours:
            version = typed.get("version")
            unread = bool(row.errors) or not facts.get("diluted")
            name = str(typed.get("product") or version or f"Scent {number}")
            pots.append(TypedPot(Stage.FINISHING, version, pours, unread, name))
    return pots


def _swaps(rows):
    """What each plan was for, where another tub is typed than was planned."""
    return tuple(filter(None, (row.swapped for row in rows)))


def _day(form):
    form.is_valid()
    return getattr(form, "cleaned_data", {}).get("on") or today()


def _of_rows(rows, on):
    """Pours of the rows that can be read, and whether one could not."""
    pours, unread = [], False
    for row in rows:
        facts = getattr(row, "cleaned_data", {})
        lot, amount = facts.get("lot"), facts.get("amount")
        weighed = getattr(amount, "grams_or_pieces", None)
        if lot is not None and weighed is not None:
            pours.append(Pour(lot, weighed, on))
        elif row.has_changed() and row.errors:
            unread = True
    return pours, unread
