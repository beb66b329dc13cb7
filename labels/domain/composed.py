"""The forms of a label: in one, side by side, a front and a back, a wrap."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from labels.domain.blocks import Sizes, set_foot, set_head, set_last, set_list, set_told
from labels.domain.columns import Column, Faces, Rule
from labels.domain.drawing import fine
from labels.domain.dress import Dress
from labels.domain.heights import Heights
from labels.domain.inks import Ink
from labels.domain.label import LabelContent
from labels.domain.sizes import sizes_of
from labels.domain.trials import Trial
from production.quantities.domain.numbers import ZERO

# A label this much wider than high has its words beside each other.
SIDE_BY_SIDE = Decimal("1.5")
LEFT_SHARES = tuple(
    Decimal(share) for share in ("0.40", "0.36", "0.46", "0.52", "0.58")
)
# The front of a wrap is in its middle.
FRONT_SHARES = tuple(Decimal(share) for share in ("0.36", "0.42", "0.32", "0.28"))
FRONT, BACK = "front", "back"
# How far down a name stands in the room that is left, where it stands alone.
DOWN = {"plain": ZERO, "frame": Decimal("0.42"), "band": Decimal("0.3")}
THICK, THIN, APART = Decimal("0.45"), Decimal("0.15"), Decimal("0.8")


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be drawn, and how large; ``side`` is one of a pair."""

    content: LabelContent
    width: Decimal
    height: Decimal
    heights: Heights
    faces: Faces
    dress: Dress
    side: str = ""

    @property
    def edge(self) -> Decimal:
        """What is left white where the label is cut."""
        return fine(max(Decimal(2), min(self.width, self.height) * Decimal("0.055")))

    @property
    def inset(self) -> Decimal:
        """What a frame takes, with the white inside it."""
        if self.dress.design != "frame":
            return ZERO
        return APART + fine(min(self.width, self.height) * Decimal("0.03"))

    @property
    def margin(self) -> Decimal:
        return self.edge + (ZERO if self.dress.form == "wrap" else self.inset)

    @property
    def inner(self) -> Decimal:
        """The height between the margins."""
        return self.height - 2 * self.margin

    def sizes(self, t: Decimal, front: Decimal) -> Sizes:
        """For a front so wide."""
        return sizes_of(
            self.content,
            self.dress,
            self.heights,
            self.faces,
            front - 2 * self.margin,
            min(self.width, self.height),
            t,
        )

    def trials(self, t: Decimal) -> Iterator[Trial]:
        if self.side:
            yield _SIDES[self.side](self, self.sizes(t, self.width))
        elif self.dress.form == "wrap":
            for share in FRONT_SHARES:
                front = self.width * share
                yield _wrapped(self, self.sizes(t, front - 2 * self.inset), front)
        elif self.width < SIDE_BY_SIDE * self.height:
            yield _stacked(self, self.sizes(t, self.width))
        else:
            for share in LEFT_SHARES:
                front = self.width * share
                yield _side_by_side(self, self.sizes(t, front), front)

    def column(self, left: Decimal, right: Decimal) -> Column:
        """Between two edges, with a margin inside each."""
        width = right - left - 2 * self.margin
        white = self.margin
        if self.margin > self.edge:
            white = self.inset - APART - THIN
        return Column(left + self.margin, width, self.faces, white=white)

    def clear(self, sizes: Sizes) -> Decimal:
        """What is left blank above the contents: the height of its letters, and what
        hangs below the line before it."""
        if not self.heights.apart:
            return self.margin
        capital = self.faces.bold.capital * sizes.net / 1000
        return capital + self.faces.regular.descent * sizes.text / 1000

    def frame(self, left: Decimal, right: Decimal) -> list[Ink]:
        """A thick line and a thin one inside it, where the design has them."""
        if self.dress.design != "frame":
            return []
        inks = []
        for thick, off in ((THICK, THICK / 2), (THIN, APART)):
            x, y = left + self.edge + off, self.edge + off
            width, height = right - self.edge - off - x, self.height - 2 * y
            path = f"M0 0h{width}v{height}h-{width}z"
            inks.append(Ink("frame", path, x, y, width, height, stroke=thick))
        return inks

    def trial(
        self,
        columns: list[Column],
        rules: list[Rule],
        lacks: Decimal,
        front: "Front | None" = None,
        frame: list[Ink] | None = None,
    ) -> Trial:
        if front:
            columns = [*front.columns, *columns]
            lacks = max(lacks, front.lacks)
        return Trial(
            self.content,
            self.heights,
            self.width,
            self.height,
            columns,
            rules,
            lacks,
            self.frame(ZERO, self.width) if frame is None else frame,
            bool(front and front.too_wide),
            front.net_top if front else None,
        )


@dataclass(frozen=True, slots=True)
class Front:
    """The name on top and the contents at the foot."""

    head: Column
    foot: Column
    lacks: Decimal
    too_wide: bool
    net_top: Decimal

    @property
    def columns(self) -> list[Column]:
        return [self.head, self.foot]


def _front(
    asked: Asked, sizes: Sizes, head: Column, reach: Decimal, *, alone: bool = True
) -> Front:
    """Between the margins; ``reach`` is the room of the contents across."""
    foot = Column(head.x, head.width, head.faces)
    head.middle = foot.middle = asked.dress.design == "frame"
    set_head(asked.content, asked.dress, sizes, head)
    set_foot(asked.content, asked.dress, sizes, foot, reach)
    top = asked.margin if head.x == asked.margin else asked.edge + asked.inset
    net_top = asked.height - top - foot.height
    free = net_top - asked.clear(sizes) - head.height - top
    down = max(ZERO, free) * DOWN[asked.dress.design] if alone else ZERO
    return Front(
        head.shifted(top + down),
        foot.shifted(net_top),
        max(-free, head.widest - head.width),
        foot.widest > reach,
        net_top,
    )


def _stacked(asked: Asked, sizes: Sizes) -> Trial:
    """The name on top, the contents at the foot, all else between."""
    margin, content, dress = asked.margin, asked.content, asked.dress
    head, body, last = (asked.column(ZERO, asked.width) for _ in range(3))
    front = _front(asked, sizes, head, head.width, alone=False)
    set_list(content, sizes, body)
    set_told(content, sizes, body)
    set_last(content, dress, sizes, last)
    between = sizes.text * Decimal("0.9")
    last_top = front.net_top - asked.clear(sizes) - last.height
    body_top = last_top - between - body.height
    rule = body_top - between
    return asked.trial(
        [body.shifted(body_top), last.shifted(last_top)],
        [Rule(margin, rule, asked.width - margin, rule)],
        max(margin + head.height + between - rule, _beyond(body, last)),
        front,
    )


def _side_by_side(asked: Asked, sizes: Sizes, left: Decimal) -> Trial:
    """Name and contents left, all else right of an upright line."""
    head, back = asked.column(ZERO, left), asked.column(left, asked.width)
    reach = head.width
    if asked.heights.apart:
        # Two letters N clear of the text on the right.
        apart = 2 * asked.faces.bold.width("N", sizes.net)
        reach = min(reach, back.x - apart - head.x)
    front = _front(asked, sizes, head, reach)
    columns, lacks = _all_else(asked, sizes, left, asked.width)
    rule = Rule(left, asked.margin, left, asked.height - asked.margin)
    return asked.trial(columns, [rule], lacks, front)


def _front_side(asked: Asked, sizes: Sizes) -> Trial:
    head = asked.column(ZERO, asked.width)
    return asked.trial([], [], ZERO, _front(asked, sizes, head, head.width))


def _back_side(asked: Asked, sizes: Sizes) -> Trial:
    columns, lacks = _all_else(asked, sizes, ZERO, asked.width)
    return asked.trial(columns, [], lacks)


def _all_else(
    asked: Asked, sizes: Sizes, left: Decimal, right: Decimal
) -> tuple[list[Column], Decimal]:
    """List and precautions from the top down, batch and maker at the foot."""
    body, last = (asked.column(left, right) for _ in range(2))
    set_list(asked.content, sizes, body)
    set_told(asked.content, sizes, body)
    set_last(asked.content, asked.dress, sizes, last)
    needs = body.height + sizes.text * Decimal("1.5") + last.height
    foot = asked.height - asked.margin - last.height
    lacks = max(needs - asked.inner, _beyond(body, last))
    return [body.shifted(asked.margin), last.shifted(foot)], lacks


def _wrapped(asked: Asked, sizes: Sizes, wide: Decimal) -> Trial:
    """Once round the bottle: the front in the middle, the list on its left, the
    precautions, batch and maker on its right."""
    content, dress = asked.content, asked.dress
    left = (asked.width - wide) / 2
    right = left + wide
    head = Column(
        left + asked.edge + asked.inset,
        wide - 2 * (asked.edge + asked.inset),
        asked.faces,
    )
    front = _front(asked, sizes, head, head.width)
    listed, told, last = (
        asked.column(*edges)
        for edges in ((ZERO, left), (right, asked.width), (right, asked.width))
    )
    set_list(content, sizes, listed)
    set_told(content, sizes, told)
    set_last(content, dress, sizes, last)
    needs = told.height + sizes.text * Decimal("1.5") + last.height
    foot = asked.height - asked.margin - last.height
    upright = asked.margin, asked.height - asked.margin
    rules = [Rule(x, upright[0], x, upright[1]) for x in (left, right)]
    return asked.trial(
        [listed.shifted(asked.margin), told.shifted(asked.margin), last.shifted(foot)],
        [] if asked.inset else rules,
        max(
            needs - asked.inner,
            listed.height - asked.inner,
            _beyond(listed, told, last),
        ),
        front,
        asked.frame(left, right),
    )


def _beyond(*columns: Column) -> Decimal:
    """How far the longest word reaches over the edge."""
    return max(one.widest - one.width for one in columns)


_SIDES: Mapping[str, Callable[[Asked, Sizes], Trial]] = {
    FRONT: _front_side,
    BACK: _back_side,
}
