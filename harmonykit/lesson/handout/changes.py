"""What each finger does in a change that matters, as the lines of a table."""

from collections.abc import Iterator

from harmonykit.lesson.together.rescue import Hard


def finger_lines(one: Hard) -> Iterator[tuple[str, str]]:
    """Yield what the fingers do in a change, a verb and the rest; a silent verb is left out."""
    yield "bars" if len(one.bars) > 1 else "bar", ", ".join(map(str, one.bars))
    yield from one.change.lines
