"""What is said beside wide stretches and barres, and of which shapes it is said."""

from harmonykit.fretboard.hands.difficulty import caution
from harmonykit.lesson.plan.model import Lesson


def cautions_of(lesson: Lesson) -> tuple[tuple[tuple[str, ...], str], ...]:
    """Return each caution with the shapes, as digits, that want it."""
    said: dict[str, list[str]] = {}
    for shape in dict.fromkeys(s for p in lesson.played for s in p.arrangement.shapes):
        if text := caution(shape):
            said.setdefault(text, []).append(shape.digits)
    return tuple((tuple(shapes), _of_many(text, len(shapes))) for text, shapes in said.items())


def _of_many(text: str, shapes: int) -> str:
    return text if shapes == 1 else text.replace("This shape", "Each of these shapes", 1)
