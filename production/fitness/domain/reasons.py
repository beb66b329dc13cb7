"""Why a lot may not go where it is wanted, and who can lift that."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from production.fitness.domain.family import UNKNOWN, Family, Node
from production.fitness.domain.words import BURNS, restored

QUARANTINE, HELD, REJECTED = "quarantine", "held", "rejected"


class Purpose(StrEnum):
    """What a lot is wanted for."""

    USE = "use"  # in a batch that is weighed
    FINISH = "finish"  # in soap that is made ready to fill
    FILL = "fill"  # in what is counted: bottles, sets
    MEND = "mend"  # to be cooked on or reworked
    SALE = "sale"
    GIFT = "gift"
    MOVE = "move"  # to a place where a customer keeps it
    LABEL = "label"


OUT = {Purpose.SALE, Purpose.GIFT, Purpose.MOVE, Purpose.LABEL}
IN_BULK = {Purpose.USE, Purpose.FINISH}


class Lifts(StrEnum):
    """Who can lift a reason."""

    ANYBODY = "anybody"
    OWNER = "owner"
    NOBODY = "nobody"


class Mends(StrEnum):
    """Where what is wrong is put right."""

    ROLE = "role"
    CHECK = "check"
    REWORK = "rework"
    FAILED = "failed"
    RELEASE = "release"
    HOLD = "hold"
    DISCARD = "discard"
    TRIAL = "trial"
    ACT = "act"
    RESTORED = "restored"


# What says that alkali may be left; papers, rests and holds are other questions.
CAUSTIC = frozenset({Mends.CHECK, Mends.FAILED, Mends.ACT})


@dataclass(frozen=True, slots=True)
class Reason:
    """A sentence that says what to do.

    ``by_act``: an owner may all the same, in the same act, with a reason.
    """

    says: str
    who_can_lift: Lifts
    mends: Mends
    by_act: bool = False


@dataclass(frozen=True, slots=True)
class Fitness:
    reasons: tuple[Reason, ...]

    @property
    def fit(self) -> bool:
        return not self.reasons


def fit_for(family: Family, code: str, purpose: Purpose) -> Fitness:
    """The one question, on the day of the family; KeyError for a code not in it."""
    return Fitness(tuple(_reasons(family, family.nodes[code], purpose)))


def cleared(family: Family, code: str) -> tuple[Reason, ...]:
    """What a release must wait for: no person's word, only a new check."""
    node = family.nodes[code]
    if node.declared:
        # Lye-heavy by intent: it is only diluted, and tested once it is neutralised.
        return ()
    return tuple(_open(family, node))


def _reasons(family: Family, node: Node, purpose: Purpose) -> Iterator[Reason]:
    if not node.status and purpose != Purpose.LABEL:
        yield Reason(
            f"{node.code} was not in the book yet on {family.on}. Choose the day it "
            "came, or later; or correct the date on which it arrived.",
            Lifts.NOBODY,
            Mends.RELEASE,
        )
    yield from _nameless(node)
    if purpose == Purpose.MEND:
        return
    if node.status == REJECTED:
        yield Reason(
            f"{node.code} is rejected. Rework it into a new lot, or discard it.",
            Lifts.NOBODY,
            Mends.REWORK,
        )
    yield from _held(family, node)
    if not (purpose == Purpose.USE and node.declared):
        yield from _open(family, node)
    yield from _as_chemical(family, node, purpose)
    if purpose != Purpose.LABEL:
        yield from _not_released(node, family)
    yield from _expired(node, family)
    if purpose in {Purpose.SALE, Purpose.MOVE, Purpose.FILL}:
        yield from _on_trial(family, node)
    if purpose in OUT:
        yield from _restored(family, node)


def _restored(family: Family, node: Node) -> Iterator[Reason]:
    """Its checks and holds of the time since the backup are not in the book."""
    if family.since and family.alkaline(node.code):
        says = restored(node.code, family.since)
        yield Reason(says, Lifts.OWNER, Mends.RESTORED)


def _nameless(node: Node) -> Iterator[Reason]:
    if not node.made and node.role == UNKNOWN:
        yield Reason(
            f"Nobody has said what {node.item} is (an oil, an alkali, water …). State "
            f"its role on its page, then use {node.code}.",
            Lifts.ANYBODY,
            Mends.ROLE,
        )


def _held(family: Family, node: Node) -> Iterator[Reason]:
    stops = family.stops(node.code)
    for source, stop in stops:
        held = "held" if source == node.code else f"made from {source}, which is held"
        yield Reason(
            f"{node.code} is {held}: {stop.cause.rstrip('.')}. An owner lifts the "
            "cause when it is answered.",
            Lifts.OWNER,
            Mends.HOLD,
        )
    if node.status == HELD and not stops:
        yield Reason(
            f"{node.code} is held on {family.on}. An owner releases it when the cause "
            "is answered.",
            Lifts.OWNER,
            Mends.HOLD,
        )


def _open(family: Family, node: Node) -> Iterator[Reason]:
    if not node.made and node.role == UNKNOWN:
        return  # what it is comes first
    for point in family.open_points(node.code):
        says = point.says
        if point.lot != node.code and not node.checks:
            says = (
                f"No neutrality check of {node.code} is in the book, and it was made "
                f"from {point.lot}. {says} Or test {node.code} itself."
            )
        elif point.lot != node.code:
            says = (
                f"{node.code} was made from {point.lot}. {says} Or test {node.code} "
                "itself: a later pass of its own clears it."
            )
        mends = Mends.FAILED if point.failed else Mends.CHECK
        yield Reason(says, Lifts.ANYBODY, mends)


def _as_chemical(family: Family, node: Node, purpose: Purpose) -> Iterator[Reason]:
    if purpose in IN_BULK or not family.chemical(node.code):
        return
    if purpose == Purpose.FILL:
        yield Reason(
            f"{node.code} is an alkali as such. It does not go into what is filled or "
            f"packed; {BURNS}.",
            Lifts.NOBODY,
            Mends.ACT,
        )
        return
    yield Reason(
        f"{node.code} is an alkali as such, a chemical that burns skin and eyes. Only "
        "an owner sells or gives it, and says why.",
        Lifts.OWNER,
        Mends.ACT,
        by_act=True,
    )


def _not_released(node: Node, family: Family) -> Iterator[Reason]:
    if node.status == QUARANTINE:
        yield Reason(
            f"{node.code} was in quarantine on {family.on}, not released. Release it "
            "first, or choose another lot.",
            Lifts.ANYBODY,
            Mends.RELEASE,
        )


def _expired(node: Node, family: Family) -> Iterator[Reason]:
    if node.expires is not None and node.expires < family.on:
        yield Reason(
            f"{node.code} expired on {node.expires}. Choose another lot; an owner may "
            "let it go all the same with a reason.",
            Lifts.OWNER,
            Mends.DISCARD,
            by_act=True,
        )


def _on_trial(family: Family, node: Node) -> Iterator[Reason]:
    for trial in family.trials(node.code):
        says = (
            f"{trial} is a trial."
            if trial == node.code
            else f"{node.code} holds {trial}, which is a trial."
        )
        yield Reason(
            f"{says} An owner accepts it before it is sold.", Lifts.OWNER, Mends.TRIAL
        )
