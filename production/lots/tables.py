"""The shape of what is listed: words left, figures right."""

import django_tables2 as tables
from django.db.models import Q, Sum
from django.urls import reverse
from django.utils.html import format_html

from production.buying.models import Purchase, Supplier
from production.correcting.reads.about import named_in
from production.pages.tables import Count, Day, Figure, House, Link, Made, Stands, State
from production.recipes.models.formulas import Formula
from production.record.models.ink import Deed
from production.record.reads.clock import today
from production.selling.models import Customer, Return, Sale
from production.stock.models.batches import Batch
from production.stock.models.kept import Stock
from production.stock.models.ledger import Item, Lot, Movement
from production.stock.reads.stock import unfit_though_released
from production.stock.reads.whence import taken_from
from production.templatetags.about import called, links
from production.templatetags.house import state

NOT_FIT = "not fit"


def by_unit(rows):
    """Grams and pieces apart: they are never added together."""
    sums = rows.order_by().values_list("lot__item__unit").annotate(total=Sum("amount"))
    return [(total, unit) for unit, total in sorted(sums) if total]


class Lots(House):
    empty_words = "No lot is here. Lots come with a purchase or a batch."
    fill, fill_words = "purchase-record", "Record a purchase"
    code = Link(verbose_name="Lot")
    item = tables.Column(accessor="item__name", verbose_name="Item")
    on_hand = Figure()
    status = State()
    expires = Day()

    class Meta(House.Meta):
        model = Lot
        fields = ("code", "item", "on_hand", "status", "expires")
        order_by = "-id"

    def foot(self, queryset):
        kept = Stock.objects.filter(lot__in=queryset.order_by().values("pk"))
        return {"on_hand": by_unit(kept)}

    def render_status(self, value, record):
        return state(NOT_FIT if record.pk in self._not_fit() else value)

    def value_status(self, value, record):
        return NOT_FIT if record.pk in self._not_fit() else value

    def _not_fit(self):
        """Of the lots that are drawn, those that are released and may not go."""
        if not hasattr(self, "unfit"):
            rows = self.page.object_list if hasattr(self, "page") else self.rows
            lots = [row.record for row in rows]
            self.unfit = unfit_though_released(lots, today())
        return self.unfit


class FilledLots(Lots):
    empty_words = "Nothing has been filled yet."
    fill, fill_words = "batches", "See the batches"
    code = Link(verbose_name="Batch no.")
    net_mass = tables.Column(verbose_name="Net mass, g", attrs=Count.attrs)
    made = Day(accessor="batch__started", verbose_name="Filled")

    class Meta(House.Meta):
        model = Lot
        fields = ("code", "item", "made", "net_mass", "on_hand", "status", "expires")


class Purchases(House):
    empty_words = "Nothing was bought yet."
    fill, fill_words = "purchase-record", "Record a purchase"
    number = Link()
    supplier = tables.Column(linkify=True)
    arrived = Day()
    invoiced = Day()
    lines = Count(accessor="line_count", verbose_name="Lines")
    unpriced = Count(verbose_name="Without a price")
    stands = Stands()

    class Meta(House.Meta):
        model = Purchase
        fields = (
            "number",
            "supplier",
            "arrived",
            "invoiced",
            "lines",
            "unpriced",
            "stands",
        )


class Items(House):
    empty_words = "No material or product is known yet."
    fill, fill_words = "item-add", "Add an item"
    name = Link()
    on_hand = Figure(item="")

    class Meta(House.Meta):
        model = Item
        fields = ("name", "kind", "category", "on_hand")


class Suppliers(House):
    empty_words = "No supplier is known yet."
    fill, fill_words = "supplier-add", "Add a supplier"
    name = Link()
    purchases = Count(accessor="purchase_count", verbose_name="Purchases")

    class Meta(House.Meta):
        model = Supplier
        fields = ("name", "contact", "purchases")


class Customers(House):
    empty_words = "No customer is known yet."
    fill, fill_words = "customer-add", "Add a customer"
    name = Link()
    sales = Count(accessor="sale_count", verbose_name="Sales")

    class Meta(House.Meta):
        model = Customer
        fields = ("name", "contact", "sales")


class Recipes(House):
    empty_words = "No recipe is written yet."
    fill, fill_words = "recipe-write", "Write a recipe"
    name = Link()
    makes = tables.Column(accessor="makes__name", verbose_name="Makes")
    versions = Count(accessor="version_count", verbose_name="Versions")
    batches = Count(accessor="batch_count", verbose_name="Batches")

    class Meta(House.Meta):
        model = Formula
        fields = ("name", "stage", "makes", "versions", "batches")


class Batches(House):
    empty_words = "No batch was made yet."
    fill, fill_words = "batch-start", "Start a batch"
    code = Link(verbose_name="Batch")
    recipe = tables.Column(
        accessor="version",
        order_by="version__formula__name",
        verbose_name="Recipe",
    )
    lot = Made()
    started = Day()
    done = tables.Column(verbose_name="State", orderable=False)

    class Meta(House.Meta):
        model = Batch
        fields = ("code", "stage", "started", "recipe", "lot", "done")

    def render_done(self, value, record):
        if value or record.lost:
            return state("done" if value else "lost")
        if record.undone:
            return state("taken back")
        return state("held" if record.held else "open")


class Sales(House):
    empty_words = "Nothing was sold yet."
    fill, fill_words = "sale-sell", "Record a sale"
    number = Link()
    on = Day(verbose_name="Day")
    customer = tables.Column(linkify=True)
    pieces = Count(verbose_name="Lines", accessor="line_count")
    taken = tables.Column(
        accessor="pk", empty_values=(), orderable=False, verbose_name="From"
    )
    stands = Stands()

    class Meta(House.Meta):
        model = Sale
        fields = ("number", "on", "customer", "channel", "pieces", "taken", "stands")

    def before_render(self, request):
        """One query for the places of the whole page."""
        self.taken = taken_from(row.record for row in self.paginated_rows)

    def render_taken(self, record):
        if not hasattr(self, "taken"):
            # A sheet of all of them is not drawn.
            self.taken = taken_from(row.record for row in self.rows)
        return ", ".join(self.taken[record.pk]) or "\u2013"


class Returns(House):
    empty_words = "Nothing came back yet. Goods come back from their sale."
    fill, fill_words = "sales", "Find the sale"
    sale = tables.Column(accessor="line__sale", linkify=True, verbose_name="Sale")
    lot = tables.Column(accessor="line__lot", linkify=True, verbose_name="Batch no.")
    pieces = Figure(
        accessor="movement__amount", item="line__lot__item", verbose_name="How many"
    )
    on = Day(accessor="movement__on", verbose_name="Day")
    stands = Stands()

    class Meta(House.Meta):
        model = Return
        fields = ("number", "on", "sale", "lot", "pieces", "then", "stands")

    def render_then(self, record):
        if record.then != Return.Then.APART or not record.stands:
            return record.became
        look = reverse("return-look", args=[record.pk])
        if "looked at" not in record.became:
            return record.became
        return format_html('{} <a href="{}">Look at it</a>', record.became, look)

    def foot(self, queryset):
        back = queryset.order_by().values("movement")
        came = Movement.objects.standing().filter(Q(pk__in=back) | Q(root__in=back))
        return {"pieces": by_unit(came)}


class Deeds(House):
    empty_words = "Nothing was done yet."
    on = Day(verbose_name="Day")
    verb = tables.Column(
        verbose_name="What", linkify=lambda record: reverse("deed", args=[record.pk])
    )
    by = tables.Column(accessor="by__username", verbose_name="By")
    about = tables.Column(empty_values=(), orderable=False, verbose_name="About")
    undo = tables.Column(
        empty_values=(),
        orderable=False,
        verbose_name="Act",
        exclude_from_export=True,
    )

    class Meta(House.Meta):
        model = Deed
        fields = ("on", "verb", "about", "by", "reason", "undo")

    def before_render(self, request):
        """One query for what the acts of the whole page are about."""
        self.named = named_in(row.record for row in self.paginated_rows)

    def render_about(self, record):
        return links(self.named.get(record.pk, []), record.pk)

    def value_about(self, record):
        return ", ".join(map(called, self.named.get(record.pk, [])))

    def render_undo(self, record):
        if not record.undoable:
            return ""
        return format_html(
            '<a href="{}">take back</a>', reverse("deed-undo", args=[record.pk])
        )


class Standing(House):
    """What stands at a place."""

    empty_words = "Nothing stands anywhere yet."
    fill, fill_words = "purchase-record", "Record a purchase"
    place = tables.Column(accessor="place__name", verbose_name="Place")
    lot = tables.Column(accessor="lot__code", verbose_name="Lot")
    item = tables.Column(accessor="lot__item__name", verbose_name="Item")
    total = Figure(item="lot__item", verbose_name="On hand")

    class Meta(House.Meta):
        fields = ("place", "lot", "item", "total")

    def foot(self, queryset):
        sums = queryset.order_by().aggregate(
            **{
                unit: Sum("total", filter=Q(lot__item__unit=unit))
                for unit in ("g", "piece")
            }
        )
        return {"total": [(total, unit) for unit, total in sums.items() if total]}

    def render_lot(self, value):
        return format_html('<a href="{}">{}</a>', reverse("lot", args=[value]), value)


class Trials(House):
    """Ticked ones go side by side: the boxes belong to the form under the table."""

    empty_words = "No trial was made yet. Mix small samples of one soap first."
    fill, fill_words = "batch-trials-mix", "Mix samples"
    code = Link(verbose_name="Trial")
    what = tables.Column(accessor="lot__item__name", verbose_name="Of")
    lot = Made()
    made = Day(accessor="made_on", verbose_name="On")
    looks = Count(verbose_name="Looks, of 3")
    standing = tables.Column(
        empty_values=(), orderable=False, verbose_name="State", accessor="promoted"
    )
    pick = tables.Column(
        empty_values=(),
        orderable=False,
        verbose_name="Side by side",
        accessor="pk",
        exclude_from_export=True,
    )

    class Meta(House.Meta):
        model = Batch
        fields = ("code", "what", "lot", "made", "looks", "standing", "pick")

    def foot(self, queryset):
        """Looks of several trials add up to nothing."""
        return {}

    def render_standing(self, record):
        if record.undone:
            return state("taken back")
        if record.lost:
            return state("lost")
        if record.made_on is None:
            return state("open")
        return "accepted" if record.promoted else "not to be sold"

    def render_pick(self, record):
        if record.made_on is None:
            return "\u2013"
        return format_html(
            '<label class="pick"><input type="checkbox" name="batch" value="{}" '
            'form="beside"><span class="unseen">{} side by side</span></label>',
            record.code,
            record.code,
        )
