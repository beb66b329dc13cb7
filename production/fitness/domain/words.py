"""The sentences of what stands open in a lot; each says what to do."""

from datetime import date
from decimal import Decimal

BURNS = "free alkali burns skin and eyes"


def untested(code: str) -> str:
    return (
        f"No neutrality check of {code} is in the book. Test it and note the result "
        f"first; {BURNS}."
    )


def no_soap(code: str) -> str:
    return (
        f"By the book no soap went into {code}. Enter what it was made from; or test "
        f"it and note the result first; {BURNS}."
    )


def declared(code: str) -> str:
    return (
        f"{code} was cooked with a declared lye excess. Dilute and neutralise it, test "
        "the diluted soap and note the result before it is finished, filled, sold or "
        f"given; {BURNS}."
    )


def may_hold(code: str, items: list[str]) -> str:
    return (
        f"{code} holds {', '.join(items)}, of which nobody has said what it is: it may "
        f"be an alkali. State its role, or test {code} and note the result."
    )


def no_ph(code: str) -> str:
    return (
        f"{code} is an alkali with an acid: note its pH, inside the band of its "
        f"recipe, before it is used; {BURNS}."
    )


def waits(code: str) -> str:
    return (
        f"A check of {code} that was not passed was taken back: it waits for a new "
        "one. Test it and note the result."
    )


def failed(code: str, on: date) -> str:
    return (
        f"The neutrality check of {code} failed on {on}. Cook on or rework it, and "
        f"test it again; {BURNS}."
    )


def older(code: str, source: str, on: date) -> str:
    return (
        f"The neutrality check of {code} of {on} is older than {source}, which went "
        f"into it since. Test it again and note the result; {BURNS}."
    )


def shifted(code: str, then: Decimal | None, now: Decimal | None) -> str:
    if then is None or now is None:
        return (
            f"What went into {code} was corrected after it passed, and its superfat "
            f"cannot be worked out. Test it again and note the result; {BURNS}."
        )
    return (
        f"{code} passed when the book gave it a superfat of {percent(then)}; by what "
        f"was typed since it is {percent(now)}. Test it again and note the result; "
        f"{BURNS}."
    )


def restored(code: str, since: str) -> str:
    return (
        f"The book was restored from a backup of {since}, and nobody has said yet what "
        "was checked and held since then. An owner says it on the page Restored from a "
        f"backup; until then {code} is not sold, given or labelled."
    )


def percent(share: Decimal) -> str:
    return f"{(share * 100):.2f} %"
