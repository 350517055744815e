"""XML from strangers: no entities, no document type, bounded size; names without namespaces."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from guyline.errors import InputError
from guyline.services.interchange.place import check_size

OWN_NAMESPACE = "tag:guyline,2026:place"  # RFC 4151; names our own fields inside other formats
_DEEPEST = 60


def parsed(data: bytes, root: str) -> Element:
    """Return the root element of a document, which must be of the given name.

    Raises
    ------
    InputError
        It is no such document, or one that could do harm.
    """
    check_size(data)
    try:
        element: Element = fromstring(data, forbid_dtd=True)
    except DefusedXmlException as error:
        raise InputError(
            "The file defines entities of its own, which a list of places never needs.",
            advice="Do not trust it. Ask for it again in another format.",
        ) from error
    except (ParseError, ValueError, LookupError) as error:  # LookupError: unknown encoding
        raise InputError(
            f"The file is no {root.upper()} file, or is damaged: {error}.",
            advice="Fetch or export it again.",
        ) from error
    if local_name(element) != root:
        raise InputError(
            f"The file is no {root.upper()} file: it holds “{local_name(element)[:40]}”.",
            advice="Choose a file of that kind.",
        )
    _refuse_depth(element)
    return element


def _refuse_depth(root: Element) -> None:
    level = [root]
    for _ in range(_DEEPEST):
        level = [child for element in level for child in element]
        if not level:
            return
    raise InputError(
        f"The file is nested more than {_DEEPEST} levels deep.",
        advice="Do not trust it. Ask for it again in another format.",
    )


def local_name(element: Element) -> str:
    """Return the name of an element without its namespace; empty for comments and the like."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def namespace(element: Element) -> str:
    return element.tag[1:].partition("}")[0] if element.tag.startswith("{") else ""


def all_named(root: Element, name: str) -> Iterator[Element]:
    return (element for element in root.iter() if local_name(element) == name)


def child_text(element: Element, name: str) -> str:
    """Return the text of the first child of that name, empty where there is none."""
    for child in element:
        if local_name(child) == name:
            return child.text or ""
    return ""
