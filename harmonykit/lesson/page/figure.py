"""Pictures on the page: each drawing with its caption, what is heard of it, and the key.

What a box sounds is read from the ids of its marks (``string-2-fret-3``); the neck is heard shape
by shape, as the lesson's scale is carried up it.
"""

from dataclasses import dataclass

from harmonykit.draw.drawing import Drawing
from harmonykit.lesson.page.svg import Figures
from harmonykit.lesson.plan.model import Front, Picture
from harmonykit.lesson.statements.carried import climb

# Wider ones keep their size and scroll sideways in their own frame.
_WIDE_MM = 85


@dataclass(frozen=True, slots=True)
class FigureView:
    """A drawing on the page.

    ``frets`` are the shapes heard, one after the other; a caption has a line for each of its parts.
    """

    svg: str
    captions: tuple[str, ...]
    frets: str
    heard: str
    wide: bool


def view_figures(picture: Picture, front: Front, figures: Figures) -> tuple[FigureView, ...]:
    """Return what the template needs to set a picture."""
    pairs = zip(picture.drawings, picture.captions, strict=True)
    return tuple(
        _view(drawing, caption, picture.heard or heard(drawing, front), figures)
        for drawing, caption in pairs
    )


def _view(drawing: Drawing, caption: str, shapes: tuple[str, ...], figures: Figures) -> FigureView:
    name = drawing.alt.partition(":")[0] if len(shapes) == 1 else "the shapes in order"
    lines = tuple(part for part in caption.split("; ") if part)
    wide = drawing.width_mm > _WIDE_MM
    return FigureView(figures.inline(drawing), lines, " ".join(shapes), name, wide)


def heard(drawing: Drawing, front: Front) -> tuple[str, ...]:
    """Return the shapes that a drawing sounds, in digits, in the order in which they come."""
    marks = [place for name in drawing.sheet.ids if (place := _place(name))]
    strings = [string for string, _ in marks]
    if not marks:
        return ()
    if sorted(strings) == list(range(1, len(front.instrument.strings) + 1)):
        return ("-".join(fret or "x" for _, fret in sorted(marks)),)
    places = {(string - 1, int(fret)) for string, fret in marks if fret}
    shapes = [shown.shape for shown in climb(front)]
    drawn = {
        (s, fret) for shape in shapes for s, fret in enumerate(shape.frets) if fret is not None
    }
    return tuple(shape.digits for shape in shapes) if places == drawn else ()


def _place(name: str) -> tuple[int, str] | None:
    """Return the string and the fret of a mark's id, the fret empty where it is muted.

    Examples
    --------
    >>> _place("string-2-fret-3"), _place("string-4-muted"), _place("string-1-was-2")
    ((2, '3'), (4, ''), None)
    """
    match name.split("-"):
        case ["string", string, "fret", fret]:
            return int(string), fret
        case ["string", string, "muted"]:
            return int(string), ""
    return None
