"""Laws that every figure keeps, whatever it shows: asked of its tree, by plane geometry.

What is measured is ink: of a text the capitals' height and its set width, of a line its width too.
The scales of type and lines are those of the figures' design: few steps, each told from the next;
lines that carry no meaning are the thinnest (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Box, Group, Mark, Part, Path, Point, Sheet, Text

TYPE_PT = {8.0, 8.5, 9.0, 10.0, 10.5, 12.0, 13.0, 17.0, 24.0}
LARGE_PT = {13.0, 14.0, 16.0, 17.0, 22.0, 26.0}
LINES_MM = {0.12, 0.15, 0.2, 0.22, 0.25, 0.3, 0.33, 0.35, 0.4, 0.42, 0.45, 0.5, 0.6, 0.65, 0.7}
LINES_MM |= {0.8, 0.9, 1.0}
HAIR_MM = 0.25
# Of the text face: how high capitals are, in ems (read from the font: tests/draw/base).
CAPITAL = 0.66


def lawful(
    drawing: Drawing, margins: tuple[float, float, float, float] = (6, 6, 6, 6), large: bool = False
) -> None:
    """Make sure that a figure keeps all laws.

    Its white edges are at most so many mm wide: at the left, the top, the right and the bottom.
    """
    sheet = drawing.sheet
    texts = sheet.all(Text)
    keeps_within(sheet, margins)
    inked = [(text, ink(text)) for text in texts]
    for (one, box), (other, place) in combinations(inked, 2):
        assert not meet(box, place, 0.0), (one.text, other.text)
    in_scale(sheet, LARGE_PT if large else TYPE_PT, large)
    letters_fit(sheet)
    lines_spare_texts(sheet)
    grounds_hold_their_texts(sheet)
    patches_spare_marks(sheet)
    corners_are_round(sheet)


def ink(part: Part) -> Box:
    """Return where a part is seen."""
    if isinstance(part, Text):
        left, _, right, _ = part.box
        em = part.size * 25.4 / 72
        return Box(left, part.baseline - CAPITAL * em, right, part.baseline)
    box = part.box
    if not isinstance(part, Path) or not part.stroke:
        return box
    across = down = part.width / 2
    if part.cap == "butt" and len(part.points) == 2:
        # A plain line ends where it ends: its width lies beside it.
        across, down = (0.0, down) if box.height == 0 else (across, down)
        across, down = (across, 0.0) if box.width == 0 else (across, down)
    return Box(box.left - across, box.top - down, box.right + across, box.bottom + down)


def seen(sheet: Sheet) -> list[Path | Text]:
    """Return texts and paths that are seen, from below to above."""
    parts = (part for part in sheet.walk() if isinstance(part, (Path, Text)))
    return [p for p in parts if isinstance(p, Text) or p.fill or p.stroke]


def keeps_within(sheet: Sheet, margins: tuple[float, float, float, float]) -> None:
    """Nothing leaves the sheet, and no side of it is left empty for nothing."""
    boxes = [ink(part) for part in seen(sheet)]
    left, top = min(b.left for b in boxes), min(b.top for b in boxes)
    right, bottom = max(b.right for b in boxes), max(b.bottom for b in boxes)
    edges = (left, top, sheet.width - right, sheet.height - bottom)
    assert min(edges) >= -0.06, edges
    assert all(edge <= most for edge, most in zip(edges, margins, strict=True)), edges


def meet(one: Box, other: Box, apart: float) -> bool:
    """Whether two boxes come nearer than so many mm."""
    across = one.left < other.right + apart and other.left < one.right + apart
    return across and one.top < other.bottom + apart and other.top < one.bottom + apart


def in_scale(sheet: Sheet, sizes: set[float], large: bool) -> None:
    """Type and lines come in the steps of the design, and colours of roles in marks alone."""
    for text in sheet.all(Text):
        assert text.size in sizes, (text.text, text.size)
    marks = [*sheet.all(Mark), *(g for g in sheet.all(Group) if g.id.startswith("barre-"))]
    inside = {id(part) for mark in marks for part in mark.parts}
    for path in sheet.all(Path):
        if path.stroke and id(path) not in inside:
            known = any(abs(path.width - each) < 0.005 for each in LINES_MM)
            assert large or known, path.width
            assert path.stroke != "hair" or path.width <= HAIR_MM, path.width
            assert path.stroke in ("ink", "soft", "hair") or path.width == 0.4, path.stroke


def letters_fit(sheet: Sheet) -> None:
    """What stands in a mark stands within it, and in its middle."""
    for mark in sheet.all(Mark):
        ground = ink(mark)
        for text in (part for part in mark.parts if isinstance(part, Text)):
            box = ink(text)
            assert abs(box.middle[0] - mark.x) < 0.05 and abs(box.middle[1] - mark.y) < 0.2
            assert ground.left <= box.left + 0.3 and box.right - 0.3 <= ground.right, mark.letter


def lines_spare_texts(sheet: Sheet) -> None:
    """No line runs through a text, unless something filled lies between them."""
    parts = seen(sheet)
    boxes = [part.box for part in parts]
    for place, text in enumerate(parts):
        if not isinstance(text, Text):
            continue
        box = ink(text)
        for below, path in enumerate(parts):
            if not isinstance(path, Path) or not path.stroke or not meet(boxes[below], box, 0.01):
                continue
            if crosses(path, box):
                covers = range(below, place)
                filled = (n for n in covers if isinstance(p := parts[n], Path) and p.fill)
                assert any(holds(boxes[n], box.middle) for n in filled), text.text


def grounds_hold_their_texts(sheet: Sheet) -> None:
    """What is filled lies under texts, not over them; it holds a text in its middle, in contrast.

    A patch of paper that only breaks a line need not have the text at its middle height.
    """
    parts = seen(sheet)
    fills = [(n, p) for n, p in enumerate(parts) if isinstance(p, Path) and p.fill]
    for place, text in enumerate(parts):
        if not isinstance(text, Text) or not text.text.strip():
            continue
        box = ink(text)
        assert not any(n > place and hides(p, box) for n, p in fills), text.text
        under = [p for n, p in fills if n < place and holds(p.box, box.middle)]
        if not under:
            continue
        ground, sides = under[-1], under[-1].box
        air = (box.left - sides.left, sides.right - box.right)
        down = (box.top - sides.top, sides.bottom - box.bottom)
        assert min(*air, *down) > 0.25 and abs(air[0] - air[1]) < 0.05, (text.text, air, down)
        patch = ground.fill == "paper" and not ground.stroke
        assert patch or abs(down[0] - down[1]) < 0.06, (text.text, down)
        dark = ground.fill != "paper" and ground.opacity > 0.5
        assert (text.colour == "paper") == dark, (text.text, text.colour, ground.fill)


def patches_spare_marks(sheet: Sheet) -> None:
    """A patch of paper that breaks lines under a text hides no disc, ring or mark."""
    parts = list(sheet.walk())
    for place, patch in enumerate(parts):
        if not isinstance(patch, Path) or patch.fill != "paper" or patch.stroke:
            continue
        if [letter for letter, _ in patch.outline] != list("MLLLZ"):
            continue
        for below in parts[:place]:
            if isinstance(below, Mark) or (isinstance(below, Path) and is_round(below)):
                assert not meet(ink(below), patch.box, -0.01), (below, patch.box)


def corners_are_round(sheet: Sheet) -> None:
    """Round corners take half of a side at the most, and all of a box are alike."""
    for path in sheet.all(Path):
        if [letter for letter, _ in path.outline] == list("MQLQLQLQZ"):
            left, top, right, bottom = path.box
            corner = path.points[0][1] - top
            assert 0 <= 2 * corner <= min(right - left, bottom - top) + 1e-6, path.box
            wanted = [(left, top + corner), (left + corner, top), (right - corner, top)]
            wanted += [(right, top + corner), (right, bottom - corner), (right - corner, bottom)]
            wanted += [(left + corner, bottom), (left, bottom - corner)]
            for (x, y), (a, b) in zip(path.points, wanted, strict=True):
                assert abs(x - a) < 1e-6 and abs(y - b) < 1e-6, path.points


def is_round(path: Path) -> bool:
    """Whether a path is a circle that is seen."""
    return bool(path.fill or path.stroke) and [s for s, _ in path.outline] == list("MCCCCZ")


def hides(path: Path, box: Box) -> bool:
    """Whether something filled comes over a box: of a triangle, whether it does so itself."""
    if not meet(path.box, box, 0.0):
        return False
    corners = path.points
    if len(corners) != 3:
        return True
    edges = [*zip(corners, [*corners[1:], corners[0]], strict=True)]
    spots = [(x, y) for x in (box.left, box.right) for y in (box.top, box.bottom)]
    turns = [
        [(b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) for x, y in spots]
        for a, b in edges
    ]
    # It stays aside where all corners of the box lie beyond one of its edges.
    inner = [
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        for (a, b), c in zip(edges, [corners[2], *corners[:2]], strict=True)
    ]
    return not any(
        all(turn * side <= 0 for turn in row) for row, side in zip(turns, inner, strict=True)
    )


def crosses(path: Path, box: Box) -> bool:
    """Whether a line comes into a box: looked at every tenth of a mm or nearer."""
    return any(holds(box, point) for a, b in segments(path) for point in along(a, b))


def segments(path: Path) -> Iterator[tuple[Point, Point]]:
    """Yield the straight pieces of a path of straight pieces."""
    if all(letter in "MLZ" for letter, _ in path.outline):
        for stroke in path.strokes():
            yield from pairwise(stroke)


def along(a: Point, b: Point) -> Iterator[Point]:
    """Yield points from one to another."""
    count = max(1, int(10 * max(abs(b[0] - a[0]), abs(b[1] - a[1]))))
    for n in range(count + 1):
        yield a[0] + (b[0] - a[0]) * n / count, a[1] + (b[1] - a[1]) * n / count


def holds(box: Box, point: Point) -> bool:
    """Whether a point lies in a box."""
    return box.left < point[0] < box.right and box.top < point[1] < box.bottom
