"""Carries pictures by drag and drop within the window: their ids, and nothing else."""

from __future__ import annotations

from PySide6.QtCore import QMimeData

PHOTO_MIME = "application/x-foray-bench-photos"


def mime_of(photo_ids: list[str]) -> QMimeData:
    """What is carried while pictures are dragged."""
    data = QMimeData()
    data.setData(PHOTO_MIME, "\n".join(photo_ids).encode())
    return data


def photos_in(data: QMimeData) -> list[str]:
    """The pictures that are being dragged."""
    return [key for key in bytes(data.data(PHOTO_MIME).data()).decode().split("\n") if key]
