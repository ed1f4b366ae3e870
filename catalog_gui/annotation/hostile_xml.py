"""Reading XML that came from somewhere else."""

from __future__ import annotations

from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException  # type: ignore[import-untyped]
from defusedxml.ElementTree import fromstring  # type: ignore[import-untyped]

from catalog_gui.domain.problem import BadInput


def parse_xml(text: str, what: str) -> Element:
    """The root of well-formed XML without entity tricks. Raises BadInput, naming `what` it was."""
    try:
        root: Element = fromstring(text.encode("utf-8", "surrogatepass"))
    except (ParseError, DefusedXmlException, ValueError) as error:
        raise BadInput(f"{what} is not well-formed.") from error
    return root
