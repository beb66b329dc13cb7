"""What a reader aloud is told of a page that is put together from forms."""

from collections.abc import Mapping, Sequence

import pikepdf
from pikepdf import Array, Dictionary, Name


def tag(pdf: pikepdf.Pdf, told: Mapping[int, Sequence[str]]) -> None:
    """Give pages their structure: of each page, by its place, the words of its marked
    contents 0, 1, 2 ...; what else is tagged already stays (ISO 32000-1 14.7, from
    memory)."""
    root = pdf.Root
    root.MarkInfo = Dictionary(Marked=True)
    if "/StructTreeRoot" not in root:
        root.StructTreeRoot = pdf.make_indirect(
            Dictionary(
                Type=Name.StructTreeRoot, K=Array(), ParentTree=Dictionary(Nums=Array())
            )
        )
    tree = root.StructTreeRoot
    nums = tree.ParentTree.Nums
    free = max((int(nums[n]) for n in range(0, len(nums), 2)), default=-1) + 1
    whole = pdf.make_indirect(
        Dictionary(Type=Name.StructElem, S=Name.Document, P=tree, K=Array())
    )
    for place, texts in told.items():
        page = pdf.pages[place].obj
        page.StructParents, page.Tabs = free, Name.S
        parts = [
            pdf.make_indirect(
                Dictionary(
                    Type=Name.StructElem,
                    S=Name.Figure,
                    P=whole,
                    Pg=page,
                    K=number,
                    Alt=pikepdf.String(text),
                )
            )
            for number, text in enumerate(texts)
        ]
        whole.K.extend(parts)
        nums.append(free)
        nums.append(pdf.make_indirect(Array(parts)))
        free += 1
    before = tree.K if isinstance(tree.K, Array) else Array([tree.K])
    tree.K = Array([whole, *before])
    tree.ParentTreeNextKey = free
