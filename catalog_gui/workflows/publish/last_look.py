"""Which finished files are read once more before they take their place, and what may stand in them."""

from __future__ import annotations

from urllib.parse import urlsplit

from catalog_gui.domain.last_look import LastLook
from catalog_gui.domain.sheet import Precision
from catalog_gui.workflows.publish.order import PLACELESS, Order
from catalog_gui.workflows.publish.press import Press


def last_look(order: Order, press: Press, left_in: frozenset[str] = frozenset()) -> LastLook | None:
    """What to look for in the finished files of an order.

    None for an order that gives a place, coarse or exact: that place is meant to stand there. Numbers to call,
    the terms that the user typed for this order and the web pages of the reference's sources are no places;
    `left_in` is what the user let stay.
    """
    if order.kind not in PLACELESS and order.reader.precision is not Precision.HIDDEN:
        return None
    webs = {
        _site(word) for source in press.reference.sources for word in source.citation.split() if "://" in word
    }
    known = tuple(word for word in (*press.emergency, order.author, order.licence) if word)
    return LastLook(known, tuple(sorted(webs)), left_in)


def _site(address: str) -> str:
    """The beginning of an address that all pages of its site share."""
    try:
        parts = urlsplit(address[max(0, address.find("http")) :])
    except ValueError:
        return address
    return f"{parts.scheme}://{parts.netloc}/" if parts.scheme and parts.netloc else address
