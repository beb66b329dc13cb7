"""The rows that the fitness question stands on, loaded for some lots at once.

Seven queries, whatever the ledger's length: the closure behind the lots, their headers,
what their batches took, what was read on them and put right since, their holds, and
their statuses; one more where something was held, one where there are trials, three
where the book was restored from a backup. Rows that were taken back are loaded too, so
that the book can be asked as it stood at an earlier deed.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import cached_property

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from production.contents.reads.contents import origin_role
from production.fitness.domain.family import (
    ALKALI,
    Check,
    Family,
    Node,
    Pour,
    Shift,
    Stop,
)
from production.fitness.reads.closure import ever_behind
from production.fitness.reads.superfats import NOW, VALUES, Superfats, Used, stands
from production.record.models.ink import Deed, Restated
from production.record.reads.clock import minute_of
from production.record.reads.restated import OF, known_figures
from production.stock.domain.balance import BAND
from production.stock.domain.checks import PH_FAILS_ABOVE, VERDICTS, counts_as_check
from production.stock.models.batches import Batch, Promotion, Stage
from production.stock.models.counts import Count
from production.stock.models.holds import Hold, HoldLifted
from production.stock.models.ledger import Lot, Movement, Status
from production.stock.models.readings import Measurement
from production.stock.models.restored import Restored, SinceBackup
from production.workshop.models.items import Item

KIND, WHAT = Movement.Kind, Measurement.What
ROLE_FIELDS = ("category", "alkali", "acid", "kind", "own_inci")
OF_SOAP = set(Stage) - {Stage.COOK, Stage.PREPARATION}


def load(lots: Iterable[Lot], batch: Batch | None = None) -> "Rows":
    """Everything behind some lots; ``batch`` is one that has made no lot yet."""
    asked = {lot.pk for lot in lots}
    poured = set(asked)
    restored = Exists(Restored.objects.order_by())
    if batch is not None:
        used = batch.movements.filter(kind=KIND.USED)
        poured |= set(used.order_by().values_list("lot_id", flat=True))
    found = Lot.objects.filter(pk__in=ever_behind(poured)).annotate(restored=restored)
    found = found.select_related(
        "deed",
        "item__oil",
        "item__name_on_label",
        "batch__version",
    )
    if batch is not None:
        # Their words as they stand: what was rejected since it went in.
        words = Status.objects.filter(lot=OuterRef("pk")).order_by("-on", "-id")
        found = found.with_status().annotate(worded=Subquery(words.values("deed")[:1]))
    rows = Rows({lot.pk: lot for lot in found}, asked, batch)
    rows.fill()
    return rows


@dataclass
class Rows(Superfats):
    """The rows of a family, and what they say on a day or as known by a deed."""

    holds: list[Hold] = field(default_factory=list)
    promotions: list[Promotion] = field(default_factory=list)
    missing: list[Count] = field(default_factory=list)
    restores: list[Restored] = field(default_factory=list)
    until: date = date.max
    makes: Item | None = None
    statuses: dict[int, list[Status]] = field(default_factory=lambda: defaultdict(list))

    def fill(self) -> None:
        batches = {lot.batch_id for lot in self.lots.values() if lot.batch_id}
        if self.batch is not None:
            batches.add(self.batch.pk)
        self._fill_movements(batches)
        of_these = Q(lot__in=self.lots) | Q(batch__in=batches)
        self.readings = list(
            _with_its_end(Measurement.written.filter(of_these))
            .filter(what__in=(*VERDICTS, *VALUES, WHAT.PH))
            .select_related("taken_back")
            .order_by("on", "-basis", "id")
        )
        self._fill_figures()
        found = Count.objects.filter(batch__in=batches).select_related("lot")
        self.missing = list(found)
        held = Q(lot__in=self.lots) | Q(batch__in=batches)
        answers = Prefetch("lifts", _with_its_end(HoldLifted.written.all()))
        holds = _with_its_end(Hold.written.filter(held))
        self.holds = list(holds.prefetch_related(answers))
        words = _with_its_end(Status.written.filter(lot__in=self.asked))
        for row in words.order_by("on", "id"):
            self.statuses[row.lot_id].append(row)
        trials = {
            lot.batch_id
            for lot in self.lots.values()
            if lot.batch_id and lot.batch.trial
        }
        if any(lot.restored for lot in self.lots.values()):
            said = Prefetch("answers", _with_its_end(SinceBackup.written.all()))
            self.restores = list(Restored.objects.prefetch_related(said))
        if trials:
            accepted = Promotion.written.filter(batch__in=trials)
            self.promotions = list(_with_its_end(accepted.select_related("deed")))

    def _fill_figures(self) -> None:
        """What was put right of these lots and their values, and by which deed."""
        values = [row.pk for row in self.readings if row.what in VALUES]
        self.said = known_figures({OF.LOT: self.lots, OF.READING: values})
        items = self.said.pointed(OF.LOT, "item")
        items -= {lot.item_id for lot in self.lots.values()}
        if items:
            found = Item.objects.select_related("oil", "name_on_label")
            self.items = found.in_bulk(items)
        self.items |= {lot.item_id: lot.item for lot in self.lots.values()}

    def _fill_movements(self, batches: set[int]) -> None:
        # A look-up each: as a join SQLite would read every reversal there is.
        back = Movement.objects.filter(reverses=OuterRef("pk")).order_by()
        found = Movement.objects.filter(
            batch__in=batches, kind__in=(KIND.USED, KIND.MADE)
        ).annotate(taken=Subquery(back.values("deed")[:1]))
        rows = list(
            found.values_list(
                "pk",
                "kind",
                "lot_id",
                "batch_id",
                "amount",
                "on",
                "deed_id",
                "rank",
                "taken",
            )
        )
        deeds = {row[0]: row[6] for row in rows}
        for pk, kind, lot, batch, amount, on, deed, rank, taken in rows:
            into = self.used if kind == KIND.USED else self.made
            into[batch].append(
                Used(
                    lot=lot,
                    batch=batch,
                    amount=abs(amount),
                    on=on,
                    deed=deed,
                    first=deeds.get(rank or pk, deed),
                    taken=taken or NOW,
                    corrected=rank is not None,
                )
            )

    # -- the family as it was known

    def family(
        self, on: date, known_by: int = NOW - 1, *, by_date: bool = False
    ) -> Family:
        """On that day, by what was typed up to that deed.

        ``by_date`` leaves out checks of a later day: so a past is judged, whose deeds
        were all typed at once.
        """
        self.until = on if by_date else date.max
        nodes = {lot.code: self._node(lot, on, known_by) for lot in self.lots.values()}
        if self.batch is not None:
            nodes[self.open_code] = self._open_node(known_by)
        for row in self.missing:
            nodes[_missing(row)] = Node(code=_missing(row), role=ALKALI)
        return Family(nodes, on, self._since(known_by))

    def _since(self, known_by: int) -> str:
        """The backup of the earliest restore that nobody had answered by then."""
        waits = [
            row.taken_at
            for row in self.restores
            if row.deed_id <= known_by
            and not any(stands(answer, known_by) for answer in row.answers.all())
        ]
        return minute_of(min(waits)) if waits else ""

    def _node(self, lot: Lot, on: date, known_by: int) -> Node:
        batch = lot.batch
        made = [row for row in self.made[lot.batch_id] if row.stands(known_by)]
        node = Node(
            code=lot.code,
            item=lot.item.name,
            role="" if batch else self._role(lot),
            made=batch is not None,
            made_on=made[0].on if made else None,
            stops=tuple(self._stops(lot.pk, lot.batch_id, known_by)),
            cooked=_cooked(batch),
            soapy=_soapy(batch, lot.item),
            declared=_declared(batch),
            trial=bool(batch and batch.trial)
            and not self._accepted(batch, on, known_by),
            status=self._status(lot.pk, on, known_by),
            expires=lot.expires,
        )
        return self._with_checks(node, lot.pk, lot.batch_id, known_by)

    def _role(self, lot: Lot) -> str:
        """What a lot from outside is. One that came as an alkali or as soap stays it
        here, whatever its card is changed to: goods do not change with a word."""
        for deed, was in self.said_before[lot.item_id]:
            if deed > lot.deed_id:
                return was
        return origin_role(lot.item)

    @cached_property
    def said_before(self) -> dict[int, list[tuple[int, str]]]:
        """When the card of an item ceased to call it an alkali, or soap."""
        found: dict[int, list[tuple[int, str]]] = defaultdict(list)
        items = {lot.item_id: lot.item for lot in self.lots.values()}
        rows = Restated.objects.filter(of=OF.ITEM, row__in=items, field__in=ROLE_FIELDS)
        for row in rows.order_by("pk"):
            if was := _dangerous(row, items[row.row]):
                found[row.row].append((row.deed_id, was))
        return found

    def _accepted(self, batch: Batch, on: date, known_by: int) -> bool:
        return any(
            row.batch_id == batch.pk and stands(row, known_by) and row.deed.on <= on
            for row in self.promotions
        )

    def _open_node(self, known_by: int) -> Node:
        batch = self.batch
        assert batch is not None
        node = Node(
            code=self.open_code,
            made=True,
            cooked=_cooked(batch),
            soapy=self.makes is not None and _soapy(batch, self.makes),
            declared=_declared(batch),
            stops=tuple(self._stops(0, batch.pk, known_by)),
        )
        return self._with_checks(node, 0, batch.pk, known_by)

    def _with_checks(
        self, node: Node, pk: int, batch: int | None, known_by: int
    ) -> Node:
        pours = [row for row in self.used[batch or 0] if row.stands(known_by)]
        pours = [r for r in pours if self.lots[r.lot].item.kind != Item.Kind.PACKAGING]
        went_in = [Pour(self.lots[row.lot].code, row.on, row.first) for row in pours]
        went_in += [
            Pour(_missing(row), row.on, row.deed_id)
            for row in self.missing
            if row.batch_id == batch and row.deed_id <= known_by
        ]
        node = replace(
            node,
            pours=tuple(went_in),
            neutral=self._neutral(pk, batch, pours, known_by),
        )
        checks = self._checks(node.code, pk, batch, known_by)
        return replace(node, checks=tuple(checks))

    def _checks(
        self, code: str, pk: int, batch: int | None, known_by: int
    ) -> Iterator[Check]:
        for row in self.readings:
            if not stands(row, known_by) or row.on > self.until:
                continue
            back = getattr(row, "taken_back", None)
            back = back if back is not None and back.deed_id <= known_by else None
            mine = row.lot_id == pk if row.lot_id else row.batch_id == batch
            passed = (
                row.passed if counts_as_check(row.what, row.passed, row.value) else None
            )
            if not mine or passed is None or (back is not None and passed):
                continue
            check = Check(
                passed=None if back is not None else passed,
                on=row.on,
                deed=row.deed_id,
                of_lot=row.lot_id is not None,
                before=row.sampled == Measurement.Sampled.BEFORE,
            )
            if check.passed:
                check = replace(check, shift=self._shift(code, batch, check, known_by))
            yield check

    def _neutral(
        self, pk: int, batch: int | None, pours: Iterable[Used], known_by: int
    ) -> bool:
        """Whether the latest pH, read after all had gone in, lies in its band."""
        found = None
        since = max(((row.on, row.first) for row in pours), default=(date.min, 0))
        for row in self.readings:
            mine = row.lot_id == pk if row.lot_id else row.batch_id == batch
            if row.what == WHAT.PH and mine and stands(row, known_by):
                found = row
        if found is None or found.value is None:
            return False
        late = (found.on, found.deed_id) >= since
        return late and bool(found.passed) and found.value <= PH_FAILS_ABOVE

    def _stops(self, pk: int, batch: int | None, known_by: int) -> Iterator[Stop]:
        for row in self.holds:
            mine = row.lot_id == pk if row.lot_id else row.batch_id == batch
            if not mine or not stands(row, known_by):
                continue
            if not _lifted(row, known_by):
                yield Stop(row.cause, row.on, row.deed_id)

    def _status(self, pk: int, on: date, known_by: int) -> str:
        if pk not in self.asked:
            return str(Status.Word.RELEASED)
        known = [
            row for row in self.statuses[pk] if row.on <= on and stands(row, known_by)
        ]
        return known[-1].status if known else ""

    def standing_holds(self) -> Iterator[Hold]:
        """Causes that count now and that nobody has lifted."""
        for hold in self.holds:
            if stands(hold) and not _lifted(hold):
                yield hold

    def restated_since(self, deed: int) -> bool:
        """Whether what a material is was said anew after that deed."""
        items = {lot.item_id for lot in self.lots.values()}
        rows = Restated.objects.filter(of=Restated.Of.ITEM, row__in=items)
        return rows.filter(field__in=ROLE_FIELDS, deed__gt=deed).exists()

    # -- what a correction did to a superfat

    def _shift(
        self, code: str, batch: int | None, check: Check, known_by: int
    ) -> Shift | None:
        since = [row for row in self._touches if check.deed < row[0] <= known_by]
        # Mostly there is nothing since, and what is behind it is not looked up.
        own = self._ancestors(batch) if since else set()
        deeds = [deed for deed, of in since if of in own]
        if not deeds:
            return None
        return Shift(
            then=self.superfat(code, check.deed),
            now=self.superfat(code, known_by),
            deed=max(deeds),
            band=self._band(batch),
        )

    @cached_property
    def _touches(self) -> list[tuple[int, tuple[str, int]]]:
        """Deeds that corrected what had gone in, or restated a value of it."""
        found: list[tuple[int, tuple[str, int]]] = []
        for rows in self.used.values():
            for row in rows:
                if row.corrected:
                    found.append((row.deed, ("batch", row.batch)))
                if row.taken < NOW:
                    found.append((row.taken, ("batch", row.batch)))
        for read in self.readings:
            if read.what in VALUES and read.lot_id:
                deeds = [read.deed_id, *self.said.deeds(read, ("value",))]
                deeds += [read.ends] if read.ends < NOW else []
                found += [(deed, ("lot", read.lot_id)) for deed in deeds]
        for lot in self.lots.values():
            deeds = self.said.deeds(lot, ("item", "net_mass"))
            found += [(deed, ("lot", lot.pk)) for deed in deeds]
        return found

    def _ancestors(self, batch: int | None) -> set[tuple[str, int]]:
        found: set[tuple[str, int]] = set()
        waiting = [batch] if batch else []
        while waiting:
            at = waiting.pop()
            found.add(("batch", at))
            for row in self.used[at]:
                found.add(("lot", row.lot))
                behind = self.lots[row.lot].batch_id
                if behind and ("batch", behind) not in found:
                    waiting.append(behind)
        return found

    def _band(self, batch: int | None) -> Decimal:
        for lot in self.lots.values():
            if lot.batch_id == batch and lot.batch.version is not None:
                return lot.batch.version.band
        if self.batch is not None and self.batch.pk == batch and self.batch.version:
            return self.batch.version.band
        return BAND


def _missing(row: Count) -> str:
    """An alkali that a count found short, and that a batch may have got."""
    return f"what is missing of {row.lot}"


def _dangerous(row: Restated, item: Item) -> str:
    """The alkali or the soap that a card spoke of before it was changed, else ""."""
    if row.field == "alkali":
        return "alkali" if row.before else ""
    if row.field != "category":
        return ""
    if row.before == Item.Category.ALKALI:
        return "alkali"
    unsaid = not row.before and item.kind == Item.Kind.MADE
    return "soap" if unsaid or row.before == Item.Category.SOAP else ""


def _cooked(batch: Batch | None) -> bool:
    """Soap was meant to form in it."""
    if batch is None:
        return False
    if batch.stage == Stage.COOK:
        return True
    return batch.version is not None and batch.version.superfat is not None


def _soapy(batch: Batch | None, item: Item) -> bool:
    """What these stages make is soap, unless its card says what else it is."""
    soap = item.category in {Item.Category.UNKNOWN, Item.Category.SOAP}
    made = item.kind == Item.Kind.MADE
    return batch is not None and made and soap and batch.stage in OF_SOAP


def _declared(batch: Batch | None) -> bool:
    version = batch.version if batch else None
    return version is not None and version.lye_excess


def _lifted(hold: Hold, known_by: int = NOW - 1) -> bool:
    return any(stands(row, known_by) for row in hold.lifts.all())


def _with_its_end(rows: QuerySet) -> QuerySet:
    """With the deed that took each row back."""
    back = Deed.objects.filter(undoes=OuterRef("deed")).order_by()
    return rows.annotate(ends=Coalesce(Subquery(back.values("pk")[:1]), NOW))
