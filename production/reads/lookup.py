"""Finding a lot by the code that somebody typed."""

from production.domain.codes import mistyped, normalise
from production.domain.refusal import Refused
from production.models import Lot


def find_lot(text: str) -> Lot:
    """Look a code up as it stands; only an unknown one may be called mistyped."""
    lots = Lot.objects.select_related("item", "batch")
    for spelling in (text, text.strip(), normalise(text)):
        if lot := lots.filter(code=spelling).first():
            return lot
    if mistyped(text):
        raise Refused(
            f"There is no lot {text}; if it is one of ours it is mistyped, since its "
            "last character does not fit the others. Read the code again."
        )
    raise Refused(f"There is no lot {text}. Look it up among the lots.")
