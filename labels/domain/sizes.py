"""How large the type of a label is: between what is needed and what is generous."""

from decimal import Decimal

from labels.domain.blocks import Sizes, named
from labels.domain.columns import Faces
from labels.domain.drawing import FINE, ONE, fine
from labels.domain.dress import Dress
from labels.domain.heights import Heights
from labels.domain.label import LabelContent


def size_for(height: Decimal, reach: int) -> Decimal:
    """The size of type at which letters of ``reach`` thousandths are so high."""
    # The renderer counts in 1/1024 of a point and rounds down.
    return fine(height * 1000 / reach) + FINE


def sizes_of(
    content: LabelContent,
    dress: Dress,
    heights: Heights,
    faces: Faces,
    room: Decimal,
    least: Decimal,
    t: Decimal,
) -> Sizes:
    """``room`` is that of the front across, ``least`` the shorter side of the label."""
    text = size_for(heights.text, faces.regular.x)
    text += (max(text, least * Decimal("0.052")) - text) * t
    net = max(
        size_for(heights.net_figures, faces.bold.figure),
        size_for(heights.net_letters, faces.bold.x),
    )
    # The name stays in proportion to the boldest print beside it.
    smallest = max(text * Decimal("1.3"), net * Decimal("0.65"))
    share = Decimal("0.19") if dress.form == "one" else Decimal("0.26")
    largest = max(smallest, min(room * share, least * Decimal("0.2")))
    identity = product = smallest + (largest - smallest) * t
    if named(content, dress):
        larger = max(smallest * Decimal("1.35"), product)
        product = max(smallest, min(larger, _widest(dress, faces, larger, room)))
        # In bold and not much smaller than the largest print (21 CFR 701.11(c), where
        # "reasonably related" is our reading: half).
        identity = max(smallest, product / 2)
    return Sizes(
        product=fine(product),
        identity=fine(identity),
        scent=fine(
            max(text * Decimal("1.2"), min(product * Decimal("0.42"), text * 2))
        ),
        function=fine(text * (Decimal("1.05") + t * Decimal("0.15"))),
        ingredients=max(fine(text), size_for(heights.ingredients, faces.regular.x)),
        cautions=max(fine(text), size_for(heights.warnings, faces.regular.x)),
        text=fine(text),
        net=net,
        mark=fine(max(Decimal(7), least * Decimal("0.26") * t)),
    )


def _widest(dress: Dress, faces: Faces, size: Decimal, room: Decimal) -> Decimal:
    """The size at which the longest word of the name fits its room."""
    if dress.design == "band":
        room -= size * Decimal("0.84")
    words = dress.product.split()
    return room / max(faces.bold.width(word, ONE) for word in words) - FINE
