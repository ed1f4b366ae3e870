"""A drawing as SVG text, for papers and files that are not painted by the program itself."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from catalog_gui.drawing.shapes import DASHED, DOTTED, Command, Drawing, Shape


def _figure(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".") or "0"


def _data(commands: tuple[Command, ...]) -> str:
    return " ".join(
        str(command[0]) + " ".join(_figure(float(number)) for number in command[1:]) for command in commands
    )


def _path(shape: Shape, clip: str) -> str:
    style = [f'fill="{shape.fill}"' if shape.fill else 'fill="none"']
    if shape.stroke:
        width = shape.width
        style.append(
            f'stroke="{shape.stroke}" stroke-width="{_figure(width)}" '
            'stroke-linejoin="round" stroke-linecap="round"'
        )
        if shape.line == DASHED:
            style.append(f'stroke-dasharray="{_figure(4.5 * width)} {_figure(3.5 * width)}"')
        elif shape.line == DOTTED:
            style.append(f'stroke-dasharray="{_figure(0.1 * width)} {_figure(2.6 * width)}"')
    if shape.opacity < 1:
        style.append(f'opacity="{_figure(shape.opacity)}"')
    if clip:
        style.append(f'clip-path="url(#{clip})"')
    return f'<path d="{_data(shape.commands)}" {" ".join(style)}/>'


def to_svg(drawing: Drawing, *, title: str = "", ink: str = "#3b3128", name: str = "d") -> str:
    """The drawing as one SVG element, 1 user unit = 1 mm of the fruit body, scale bar or note included.

    `title` is the text for those who cannot see it; `name` begins the ids of its clip paths, so that several
    drawings can stand in one document.
    """
    left, top, right, bottom = drawing.box
    size = max(right - left, bottom - top) / 26
    clips: dict[tuple[Command, ...], str] = {}
    for shape in drawing.shapes:
        if shape.clip and shape.clip not in clips:
            clips[shape.clip] = f"{name}-clip-{len(clips)}"
    defined = "".join(f'<clipPath id="{i}"><path d="{_data(path)}"/></clipPath>' for path, i in clips.items())
    body = "".join(_path(shape, clips.get(shape.clip, "")) for shape in drawing.shapes)
    words, at = drawing.note, (left + right) / 2
    below = bottom + (1.6 * size if words or drawing.bar else 0.0)
    bar = ""
    if drawing.bar is not None:
        words, at = drawing.bar.text, drawing.bar.x + drawing.bar.length_mm / 2
        x0, x1, y = drawing.bar.x, drawing.bar.x + drawing.bar.length_mm, drawing.bar.y
        tick = size / 3
        line = f"M{_figure(x0)} {_figure(y)} L{_figure(x1)} {_figure(y)}"
        for x in (x0, x1):
            line += f" M{_figure(x)} {_figure(y - tick)} L{_figure(x)} {_figure(y + tick)}"
        bar = f'<path d="{line}" fill="none" stroke="{ink}" stroke-width="{_figure(size / 9)}"/>'
    text = (
        f'<text x="{_figure(at)}" y="{_figure(bottom + size)}" font-size="{_figure(size)}" '
        f'text-anchor="middle" fill="{ink}">{escape(words)}</text>'
        if words
        else ""
    )
    box = " ".join(_figure(v) for v in (left, top, right - left, below - top))
    label = f" role={quoteattr('img')} aria-label={quoteattr(title)}" if title else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"{label}>'
        f"<defs>{defined}</defs>{body}{bar}{text}</svg>"
    )
