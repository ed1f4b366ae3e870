"""Says what went wrong: a sentence the user can act on, or that the program is at fault and where to look."""

from __future__ import annotations

from catalog_gui.domain.problem import Problem

AT_FAULT = (
    "Something went wrong inside the program; it is not your doing. What was saved stays saved. "
    "'What happened' shows what the log says of it."
)


def usable(error: BaseException) -> bool:
    """Tell whether the user can act on what an error says by itself."""
    return isinstance(error, Problem) or (isinstance(error, OSError) and bool(error.strerror))


def failure_words(error: BaseException) -> str:
    """Say an error in one or a few sentences, with the file it is about."""
    if isinstance(error, Problem):
        return str(error)
    if isinstance(error, OSError) and error.strerror:
        about = f"{error.filename}: " if error.filename else ""
        return f"{about}The computer refused: {error.strerror}."
    return AT_FAULT


def failure_reason(error: BaseException) -> str:
    """Say an error where its file stands already."""
    return error.reason if isinstance(error, Problem) else failure_words(error)
