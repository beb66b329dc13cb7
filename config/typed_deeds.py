"""What mypy cannot say by itself: a deed is told more than the function it wraps.

``@deed`` keeps the parameters of a function; the typing rules know no way to add
keywords to them. The keywords of ``deed.run`` are added here. What returns nothing
gives the deed itself.
"""

from collections.abc import Callable

from mypy.plugin import MethodContext, Plugin
from mypy.types import CallableType, Instance, NoneType, Type, get_proper_type

DEED = "production.record.actions.deeds.deed"


class TypedDeeds(Plugin):
    def get_method_hook(self, fullname: str) -> Callable[[MethodContext], Type] | None:
        return with_what_every_deed_is_told if fullname == f"{DEED}.__call__" else None


def with_what_every_deed_is_told(ctx: MethodContext) -> Type:
    act, deed = get_proper_type(ctx.default_return_type), get_proper_type(ctx.type)
    wrapped = get_proper_type(ctx.arg_types[0][0])
    assert isinstance(act, CallableType)
    assert isinstance(wrapped, CallableType)
    assert isinstance(deed, Instance)
    run = get_proper_type(deed.type.names["run"].type)
    assert isinstance(run, CallableType)
    told = [n for n, kind in enumerate(run.arg_kinds) if kind.is_named()]
    nothing = isinstance(get_proper_type(act.ret_type), NoneType)
    return act.copy_modified(
        arg_types=[*act.arg_types, *(run.arg_types[n] for n in told)],
        arg_kinds=[*act.arg_kinds, *(run.arg_kinds[n] for n in told)],
        arg_names=[*act.arg_names, *(run.arg_names[n] for n in told)],
        ret_type=wrapped.arg_types[0] if nothing else act.ret_type,
    )


def plugin(version: str) -> type[Plugin]:
    return TypedDeeds
