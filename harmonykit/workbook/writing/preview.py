"""The page of a lesson as it is written: made by the page's own template, a section at a time.

The browser shows it in a frame in which no script runs.  A section is set anew only where it
changed; what is told is the order in which the sections stand, by number, and those of them that
did not stand there before.
"""

import re
from collections import OrderedDict
from typing import Any

from harmonykit.draw.base.colours import css_variables
from harmonykit.draw.drawing import Drawing
from harmonykit.lesson.page.html import PageParts
from harmonykit.lesson.page.text import to_html
from harmonykit.lesson.plan.model import FIGURES, Chart, Lesson, Picture, Section
from harmonykit.lesson.script import write_script
from harmonykit.lesson.write import pictures
from harmonykit.values import dataclass
from harmonykit.workbook.writing.judge import COMING

PAGE, SCRIPT, SHEET = "page", "script", "sheet"
POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; "
    "form-action 'none'"
)
# The frame follows the notebook's light or dark, not the system's.
_THEME = (
    f"\n:root[data-theme=light]{{color-scheme:light;{css_variables('colour')}}}"
    f"\n:root[data-theme=dark]{{color-scheme:dark;{css_variables('dark')}}}"
    "\nbody{font-size:16px;line-height:25px}h1{font-size:31px;line-height:37px}"
    "\n[aria-busy=true]{border-left:3px dotted var(--ink);padding-left:12px}"
    "\n.script{padding-block:24px 48px;max-width:none}.script h2{margin-top:30px}"
    "\n:root:not([data-shows=script])>body>.script{display:none}"
    "\n:root:not([data-shows=sheet])>body>.sheet{display:none}"
    "\n:root:is([data-shows=script],[data-shows=sheet])>body>:is(header,main,footer){display:none}"
    "\n.sheet{padding:12px 16px 32px}.sheet>div+div{margin-top:12px}"
    "\n.sheet svg{display:block;width:100%;height:auto;border:1px solid var(--hair)}"
)
_MOST_SECTIONS, _MOST_SHAPES, _MOST_STYLE = 60, 600, 300_000
_IMAGE = re.compile(rf"!\[.*?\]\({FIGURES}/(.*?)\)")
# Holds a figure's place in a text: a character that stands for nothing anywhere.
_HELD = "\ufdd0"


@dataclass(frozen=True, slots=True)
class _Part:
    """A section that was set: its number, its HTML, and whether something in it is waited for."""

    number: int
    html: str
    waits: bool


class Preview:
    """What the frame shows, and what of it the browser knows."""

    def __init__(self) -> None:
        self._count = 0
        self._parts: PageParts | None = None
        self.forget()

    def forget(self) -> None:
        """Tell all with the next news: a browser has opened that knows nothing."""
        self._told: dict[str, Any] = {}
        self._there: set[int] = set()
        self._shapes = 0
        self._sheet: tuple[str, ...] = ()

    def news(
        self, lesson: Lesson, shows: str = PAGE, sheet: tuple[str, ...] = ()
    ) -> dict[str, Any]:
        """Return what the browser does not yet know of a lesson's page.

        ``frame`` is the whole frame, where one is begun; ``parts`` the sections in order, each
        with its number and whether it waits; ``html`` those that did not stand there before, by
        number; ``symbols`` the shapes of charts that are new; ``head``, ``care`` and ``foot`` what
        stands around the sections, and ``style`` the rules, where they have changed; ``script`` is
        the script, where that is what ``shows``, and ``sheet`` the pages of the handout: each that
        the browser does not show yet, at the others' places nothing.  While they are not there
        ``sheet`` is missing, and those shown are behind.
        """
        parts = self._follow(lesson)
        order = [self._section(section, parts) for section in lesson.sections]
        head, care, foot = self._ends(lesson, parts)
        script = self._script(lesson, parts) if shows == SCRIPT else ""
        shapes = [str(self._page.symbol(*each)) for each in parts.figures.symbols]
        fresh: dict[str, Any] = {
            "parts": [[part.number, part.waits] for part in order],
            "style": "\n".join([*sorted(parts.fits), parts.styles.css]),
            "head": head,
            "care": care,
            "foot": foot,
            "shows": shows,
        }
        if script:
            fresh["script"] = script
        news = {key: value for key, value in fresh.items() if self._told.get(key) != value}
        if sheet:
            news["sheet"] = self._pages(sheet)
        news["behind"] = shows == SHEET and not sheet
        news["html"] = {part.number: part.html for part in order if part.number not in self._there}
        news["symbols"] = shapes[self._shapes :]
        if not self._told:
            news["frame"] = self._frame
        self._told, self._there = fresh, {part.number for part in order}
        self._shapes = len(shapes)
        return news

    def _follow(self, lesson: Lesson) -> PageParts:
        """Take on a lesson: a frame is begun where nothing of the old one could be kept."""
        parts = self._parts
        full = parts is not None and (
            len(list(parts.figures.symbols)) > _MOST_SHAPES or len(parts.styles.css) > _MOST_STYLE
        )
        if parts is None or full or parts.lesson.front.instrument != lesson.front.instrument:
            self._begin(lesson)
        elif not _draws_the_same(parts.lesson, lesson):
            parts.lesson = lesson
            self._drawn.clear()
        parts = self._parts
        assert parts is not None
        return parts

    def _begin(self, lesson: Lesson) -> None:
        self._parts = PageParts(lesson)
        self._plain: OrderedDict[Section, _Part] = OrderedDict()
        self._drawn: OrderedDict[Section, _Part] = OrderedDict()
        self._figures: dict[Drawing, str] = {}
        self._around: tuple[object, tuple[str, str, str]] = (None, ("", "", ""))
        # Its macros are attributes that no checker of types knows.
        self._page: Any = self._parts.page(lesson, (), theme=_THEME, policy=POLICY)
        self._frame = str(self._page)
        self.forget()

    def _section(self, section: Section, parts: PageParts) -> _Part:
        known = self._drawn if _is_drawn(section) else self._plain
        part = known.get(section)
        if part is None:
            self._count += 1
            html = str(self._page.section(parts.section(section.title, section.blocks))).strip()
            part = known[section] = _Part(self._count, html, COMING in section.blocks)
        known.move_to_end(section)
        while len(known) > _MOST_SECTIONS:
            known.popitem(last=False)
        return part

    def _pages(self, sheet: tuple[str, ...]) -> list[str]:
        before, self._sheet = self._sheet, sheet
        known = [*before, *[""] * len(sheet)]
        return ["" if page == old else page for page, old in zip(sheet, known, strict=False)]

    def _script(self, lesson: Lesson, parts: PageParts) -> str:
        """Return the script as HTML, with each figure in the place of its words."""
        found: dict[str, Drawing] = {}
        for picture in pictures(lesson):
            found |= zip(picture.files, picture.drawings, strict=True)
        order: list[Drawing] = []

        def hold(image: re.Match[str]) -> str:
            if image[1] not in found:
                return image[0]
            order.append(found[image[1]])
            return _HELD

        script = _IMAGE.sub(hold, write_script(lesson).replace(_HELD, ""))
        html = to_html(script, parts.strings, above=1)
        first, *rest = html.split(_HELD)
        figures = (self._inline(drawing, parts) for drawing in order)
        return first + "".join(f"{svg}{text}" for svg, text in zip(figures, rest, strict=True))

    def _inline(self, drawing: Drawing, parts: PageParts) -> str:
        known = self._figures.get(drawing)
        if known is None:
            known = self._figures[drawing] = parts.figures.inline(drawing)
        return known

    def _ends(self, lesson: Lesson, parts: PageParts) -> tuple[str, str, str]:
        """Return head, cautions and foot, made anew only where something in them may differ."""
        shown = [b for each in lesson.sections for b in each.blocks if isinstance(b, Picture)]
        key = (lesson.front, tuple(map(id, lesson.played)), tuple(shown))
        if self._around[0] != key:
            # Its macros are attributes that no checker of types knows.
            page: Any = parts.page(lesson, ())
            head, care, foot = (str(part()).strip() for part in (page.head, page.care, page.foot))
            self._around = (key, (head, care, foot))
        return self._around[1]


def _is_drawn(section: Section) -> bool:
    return any(isinstance(block, Picture | Chart) for block in section.blocks)


def _draws_the_same(before: Lesson, after: Lesson) -> bool:
    """Whether charts and figures are set alike in two lessons."""
    old, new = before.front, after.front
    return (
        len(before.played) == len(after.played)
        and all(a is b for a, b in zip(before.played, after.played, strict=True))
        and (old.scale, old.scale_shape, old.shape) == (new.scale, new.scale_shape, new.shape)
        and old.tune == new.tune
    )
