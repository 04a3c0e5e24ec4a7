"""Signature fields in the structure tree, so that assistive technology meets them where they stand.

The pages leave an element for each field, which holds its caption and has the field's name for a title. The field comes
in beneath it as a Form (ISO 32000-2 clauses 14.8.4.7.3 and 14.7.5.3), before anything is signed.
"""

from __future__ import annotations

from typing import Any

from pyhanko.pdf_utils.generic import DictionaryObject, NumberObject, pdf_name, pdf_string
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.fields import enumerate_sig_fields


def enter_in_tree(writer: IncrementalPdfFileWriter, name: str, words: str) -> None:
    """Put the field ``name`` into the tree, described by ``words``.

    It goes beneath the element of that title on its page; where there is none, the tree stays as it is.
    """
    reference: Any = next(iter(enumerate_sig_fields(writer, with_name=name)))[2]
    field = reference.get_object()
    field[pdf_name("/Contents")] = pdf_string(words)  # what assistive technology says of it
    writer.update_container(field)
    above = _titled(writer, field["/P"], name)
    if above is None:
        return
    tree = writer.root["/StructTreeRoot"]
    shown = {"/Type": pdf_name("/OBJR"), "/Obj": reference, "/Pg": field.raw_get("/P")}
    form = {
        "/Type": pdf_name("/StructElem"),
        "/S": pdf_name("/Form"),
        "/P": above,
        "/NS": above.get_object().raw_get("/NS"),
        "/K": _dictionary(shown),  # alone, in no array: the library that verifies looks for it so
    }
    form_reference = writer.add_object(_dictionary(form))
    above.get_object()["/K"].append(form_reference)
    number = tree["/ParentTreeNextKey"]
    owners = tree["/ParentTree"]
    owners["/Nums"].extend([number, form_reference])
    tree[pdf_name("/ParentTreeNextKey")] = NumberObject(number + 1)  # type: ignore[no-untyped-call]  # the library leaves it bare
    field[pdf_name("/StructParent")] = number
    for changed in (above.get_object(), owners, tree):
        writer.update_container(changed)


def _titled(writer: IncrementalPdfFileWriter, page: DictionaryObject, title: str) -> Any:
    """The reference to the element of a title that holds content of the page, one element below it; else None."""
    if "/StructParents" not in page or "/StructTreeRoot" not in writer.root:
        return None
    numbers = writer.root["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    at = next(place for place in range(0, len(numbers), 2) if numbers[place] == page["/StructParents"])
    owners = (reference.get_object() for reference in numbers[at + 1])
    return next((owner.raw_get("/P") for owner in owners if owner["/P"].get("/T") == title), None)


def _dictionary(said: dict[str, Any]) -> DictionaryObject:
    words = {pdf_name(key): value for key, value in said.items()}
    return DictionaryObject(words)  # type: ignore[no-untyped-call]  # as above
