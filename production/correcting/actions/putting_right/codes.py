"""A code that an older book let in, and that nobody can read, type or link to."""

from production.quantities.domain.code_shape import fault_of, keeps_shape, shown
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import deed
from production.record.actions.people import owner_only, reason_asked
from production.record.actions.restating import follow, restate
from production.record.models.ink import Deed
from production.record.reads.restated import of_model
from production.stock.actions.freed_codes import bearing, refuse_twin, was_given_up
from production.stock.actions.opening_lots import given_code
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot


@deed("give a proper code", moves_nothing=True)
def give_proper_code(deed: Deed, *, thing: Lot | Batch, code: str) -> None:
    """Give a lot or batch whose code keeps no shape one that does; an owner says why.

    The old code stays written, and a lot still answers to it.
    """
    owner_only(deed.by, "give a code anew")
    reason_asked(deed, "giving a code anew")
    thing = type(thing)._default_manager.get(pk=thing.pk)
    if was_given_up(thing.code) or keeps_shape(thing.code):
        raise Refused(
            f"The code {shown(thing.code)} can be read and typed: it stays as it is."
        )
    code = given_code(code)
    if not code:
        raise Refused(f"Write a code. {fault_of(thing.code)}")
    for other in bearing(type(thing), code):
        if other.pk == thing.pk:
            continue
        refuse_twin(other.code, code)
        raise Refused(f"The code {code} is taken. Choose another.")
    of = of_model(type(thing))
    restate(deed, of, thing.pk, {"code": (thing.code, code)})
    follow(of, thing.pk)
