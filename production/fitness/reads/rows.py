"""What the rows behind some lots say of them, on a day or as known by a deed."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cached_property

from django.db.models import Exists, OuterRef, Subquery

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
from production.fitness.reads.loading import Loaded
from production.fitness.reads.said_by_rows import (
    cooked,
    dangerous,
    declared,
    lifted,
    missing,
    soapy,
)
from production.fitness.reads.superfats import NOW, VALUES, Used, stands
from production.record.models.ink import Restated
from production.record.reads.clock import minute_of
from production.record.reads.restated import OF
from production.stock.domain.balance import BAND
from production.stock.domain.checks import PH_FAILS_ABOVE, counts_as_check
from production.stock.models.batches import Batch
from production.stock.models.holds import Hold
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import Measurement
from production.stock.models.restored import Restored
from production.workshop.models.items import Item

KIND, WHAT = Movement.Kind, Measurement.What
ROLE_FIELDS = ("category", "alkali", "acid", "kind", "own_inci")


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


class Rows(Loaded):
    """The rows of a family, and what they say on a day or as known by a deed."""

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
            nodes[missing(row)] = Node(code=missing(row), role=ALKALI)
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
            cooked=cooked(batch),
            soapy=soapy(batch, lot.item),
            declared=declared(batch),
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
            if was := dangerous(row, items[row.row]):
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
            cooked=cooked(batch),
            soapy=self.makes is not None and soapy(batch, self.makes),
            declared=declared(batch),
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
            Pour(missing(row), row.on, row.deed_id)
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
            if not lifted(row, known_by):
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
            if stands(hold) and not lifted(hold):
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
