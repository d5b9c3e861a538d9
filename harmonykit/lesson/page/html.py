"""The lesson's page: one HTML file for a phone, a big screen and the printer.

The file asks nothing of any other place: fonts, figures and what is played are in it, and its
content policy allows exactly its own script and its own style sheet, by their hashes.  Sound is
made by the page itself, from the same list of events as the WAV and the MIDI file.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from harmonykit.draw.base.marks import FINGER_ROLES, MARK_WORDS, mark_drawing, roles_drawn
from harmonykit.draw.base.web import script
from harmonykit.lesson.page import chart, shell
from harmonykit.lesson.page.figures import Figures, FigureView, Styles, view_figures
from harmonykit.lesson.page.rows import beside_css, fit_css
from harmonykit.lesson.page.sounds import music as level_music
from harmonykit.lesson.page.text import hear_button, shape_pattern, to_html, with_buttons
from harmonykit.lesson.plan import model
from harmonykit.lesson.plan.model import Block, Chart, Lesson, Picture, Table, Text
from harmonykit.sound.strung import numbers
from harmonykit.values import dataclass

if TYPE_CHECKING:
    from jinja2.environment import TemplateModule

_MARGINS = {"a4": "15mm 18mm 22mm", "letter": "11mm 20.95mm 17mm"}
# On a phone a longer last cell stands under the others of its row; of more columns than these the
# first stands above the others.
_WORDY, _MANY = 40, 6


@dataclass(frozen=True, slots=True)
class Links:
    """The files beside a page to which it leads; empty where there is none.

    Parameters
    ----------
    practice : str
        A page of questions.
    index : str
        The list of all files of the lesson.
    other_hand : str
        The same page with its diagrams for the other hand.
    """

    practice: str = ""
    index: str = ""
    other_hand: str = ""


def write_page(
    lesson: Lesson,
    links: Links | None = None,
    music: str | None = None,
    *,
    left_handed: bool = False,
) -> str:
    """Return a lesson as one self-contained HTML page.

    Parameters
    ----------
    lesson : Lesson
    links : Links, optional
        The files beside it to which it leads.
    music : str, optional
        What ``music_of`` says of the lesson, where it is known already.
    left_handed : bool
        Whether shapes and necks are mirror images.
    """
    parts = PageParts(lesson, links, left_handed=left_handed)
    sections = [parts.section(each.title, each.blocks) for each in lesson.sections]
    heard = music_of(lesson) if music is None else music
    return str(parts.page(lesson, sections, _script(), heard))


def wall_parts(
    parts: PageParts, lesson: Lesson, sections: Sequence[dict[str, Any]], music: str | None = None
) -> str:
    """Return a page of charts alone, with what lets one of them fill a screen."""
    text = f'"use strict";\n{script("page/wall.js")}'
    heard = music_of(lesson) if music is None else music
    return str(parts.page(lesson, sections, text, heard, shell.shared_text("wall.css")))


def music_of(lesson: Lesson) -> str:
    """Return what a page's script reads: the open strings, each level's events, how they sound."""
    return shell.for_script(
        {
            **numbers(lesson.front.instrument),
            "strings": lesson.front.instrument.midi,
            "levels": [level_music(played) for played in lesson.played],
        }
    )


class PageParts:
    """A lesson's parts made ready for the template.

    Sections may be set one by one: what they add to the style sheet and to the store of shapes
    grows, and what was set before stays right.
    """

    def __init__(
        self, lesson: Lesson, links: Links | None = None, *, left_handed: bool = False
    ) -> None:
        self.lesson, self.links = lesson, links or Links()
        self.styles = Styles()
        self.figures = Figures(self.styles, left_handed=left_handed)
        self.strings = len(lesson.front.instrument.strings)
        roles = (*_roles(lesson), *_finger_roles(lesson))
        self.key = [(self.figures.inline(mark_drawing(role)), MARK_WORDS[role]) for role in roles]
        self.fits: set[str] = set()

    def page(
        self,
        lesson: Lesson,
        sections: Sequence[dict[str, Any]],
        script: str = "",
        music: str = "{}",
        theme: str = "",
        policy: str = "",
    ) -> TemplateModule:
        """Return a page of some sections, with the words, key and cautions of a lesson.

        As text it is the page; ``section`` and ``symbol`` set what is put into it afterwards.
        ``theme`` is what its own style sheet ends with; ``policy`` says what the page may do, and
        is made for its own script and style sheet where not given.
        """
        style = "\n".join(
            [shell.base_css(), *sorted(self.fits), _paper_css(lesson), self.styles.css]
        )
        style += theme
        return shell.template().make_module(
            {
                "front": lesson.front,
                "links": self.links,
                "left_handed": self.figures.left_handed,
                "about": _about(lesson, self.figures),
                "policy": policy or shell.policy(script, style),
                "style": style,
                "script": script,
                "sections": sections,
                "key": self.key,
                "symbols": self.figures.symbols,
                "music": music,
                "cautions": model.cautions_of(lesson),
                "rights": " ".join(model.said_of_rights(lesson.front)),
            }
        )

    def section(self, title: str, blocks: tuple[Block, ...]) -> dict[str, Any]:
        """Return a section of the page as plain data."""
        above = 2 if title else 1
        return {"title": title, "blocks": [self.block(block, above) for block in blocks]}

    def block(self, block: Block, above: int) -> dict[str, Any]:
        """Return a block of a section as plain data."""
        match block:
            case Text():
                folder = self.lesson.front.path.parent
                return {
                    "kind": "text",
                    "html": to_html(block.markdown, self.strings, above, folder),
                }
            case Picture():
                return {"kind": "figures", "figures": self._figures(block)}
            case Table():
                return {"kind": "table", "table": block, **self._table(block)}
            case Chart():
                watch = to_html(self.lesson.played[block.level].level.watch, self.strings, above)
                return {"kind": "chart", "chart": self._chart(block.level), "watch": watch}

    def _figures(self, picture: Picture) -> tuple[FigureView, ...]:
        return view_figures(picture, self.lesson.front, self.figures)

    def _table(self, table: Table) -> dict[str, Any]:
        rows = [[self._cell(text) for text in row] for row in table.rows]
        wordy = any(len(row[-1]) > _WORDY for row in table.rows if row)
        many = "many" if len(table.header) >= _MANY else ""
        return {"rows": rows, "look": "wordy" if wordy else many}

    def _cell(self, text: str) -> tuple[str, bool]:
        """Return a table's cell as HTML, and whether it is one shape, which is kept on a line."""
        if shape_pattern(self.strings).fullmatch(text):
            return hear_button(text), True
        return with_buttons(text, self.strings), False

    def _chart(self, level: int) -> chart.ChartView:
        view = chart.view_chart(
            level, self.lesson.played[level], self.figures, self.lesson.front.playalong
        )
        self.fits.update((fit_css(view.width), *beside_css(view.beside)))
        return view


def _roles(lesson: Lesson) -> tuple[str, ...]:
    drawings = [
        drawing
        for section in lesson.sections
        for block in section.blocks
        if isinstance(block, Picture)
        for drawing in block.drawings
    ]
    return roles_drawn(drawings)


def _finger_roles(lesson: Lesson) -> tuple[str, ...]:
    changes = [
        change for played in lesson.played for change in played.arrangement.changes if change
    ]
    used = any(change.kept for change in changes), any(change.slid for change in changes)
    return tuple(role for role, there in zip(FINGER_ROLES, used, strict=True) if there)


def _about(lesson: Lesson, figures: Figures) -> str:
    front = lesson.front
    about = [front.group, f"Lesson {front.sheet}" if front.sheet else ""]
    # In a mixed class each page says whose it is.
    about += [front.instrument.name] if front.also else []
    # No line ends within the strings' names.
    tuned = f"tuned {front.instrument.tuning_said}".replace(" ", "\N{NO-BREAK SPACE}")
    turned = figures.left_handed or front.instrument.left_handed
    about += [tuned, "diagrams for left-handed players" if turned else ""]
    return " · ".join(filter(None, about))


def contents_page(
    title: str,
    subtitle: str,
    rows: Sequence[tuple[str, str, str, str]],
    book: str,
    more: Sequence[tuple[str, str]] = (),
) -> str:
    """Return the contents page of a course: one row a lesson, and the book of all handouts.

    Parameters
    ----------
    title, subtitle : str
    rows : sequence of (address, title, subtitle, about)
    book : str
        The address of the book.
    more : sequence of (address, words)
        What else is linked at its foot.
    """
    return _links_page("contents", title=title, subtitle=subtitle, rows=rows, book=book, more=more)


# What a row says, and the address and the format of each of its files.
FileRow = tuple[str, Sequence[tuple[str, str]]]


def index_page(
    title: str,
    subtitle: str,
    about: str,
    groups: Sequence[tuple[str, Sequence[tuple[str, Sequence[FileRow]]]]],
    said: Sequence[str],
) -> str:
    """Return the index of a folder: groups of files, by instrument, a row for each.

    Parameters
    ----------
    title, subtitle, about : str
    groups : sequence of (name, parts)
        A part is a name, may be empty, and rows; a row is words, and links of an address and a
        format each.
    said : sequence of str
        What changed since the build before.
    """
    return _links_page(
        "index", title=title, subtitle=subtitle, about=about, groups=groups, said=said
    )


def _links_page(name: str, **parts: object) -> str:
    """Return a page of links, which has no script."""
    style = shell.base_css()
    page = shell.template(f"{name}.html.jinja")
    return page.render(style=style, policy=shell.policy("", style), **parts)


def _paper_css(lesson: Lesson) -> str:
    """Return the paper's size, and margins that leave a text block 174 mm wide."""
    return f"@page{{size:{lesson.front.paper};margin:{_MARGINS[lesson.front.paper]}}}"


@lru_cache(maxsize=1)
def _script() -> str:
    return f'"use strict";\n{script("page/page.js")}'
