"""The only file that knows where the shipped resources are."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_SHIPPED = _PACKAGE / "_shipped"
_CLONE = _PACKAGE.parent


def _either(shipped: str, clone: str) -> Path:
    installed = _SHIPPED / shipped
    return installed if installed.exists() else _CLONE / clone


def reference_pack() -> Path:
    """The folder of our own reference pack."""
    return _either("reference", "resources/reference")


def demo_foray() -> Path:
    """The folder of the demo foray's pictures; the program opens a copy of it."""
    return _either("demo", "demo_data/foray")


def demo_evening() -> Path:
    """What is already done when the demo opens, as JSON."""
    return _either("demo_evening.json", "demo_data/evening.json")


def fonts() -> Path:
    """The folder of the typefaces (SIL Open Font Licence) that screens and papers use."""
    return _either("fonts", "resources/fonts")
