"""A finished figure: its tree, its palette, and how it is shown and saved."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from harmonykit.draw.base.style import palette
from harmonykit.draw.tree import Sheet, renamed
from harmonykit.draw.writers.page import VARIABLES
from harmonykit.draw.writers.still import write_still
from harmonykit.draw.writers.svg import write_svg
from harmonykit.files import write_whole

# What is left for a figure of a notebook on a screen of 1024 px, beside the list of files.
SCREEN_MM = 152.0


@dataclass(frozen=True)
class Drawing:
    """A finished figure.

    Its text is live text in our fonts, with the reader's own sans-serif behind them: it holds
    together in Liberation Sans and DejaVu Sans, and names have space for a face a quarter wider.
    What shows figures as elements of its own, a page or a panel, brings the faces along once; what
    stands alone, in a notebook or as a file, brings along the letters that it uses (``still``).

    Parameters
    ----------
    sheet : Sheet
        What is drawn, its size, and the fact that it states in words.
    origin_mm : (float, float)
        Where the figure's own first corner stands (for a box: first string at the nut), right
        and down from the top left, so that a row of figures can be set level.
    colours : str
        The name of its palette.
    """

    sheet: Sheet
    origin_mm: tuple[float, float] = (0.0, 0.0)
    colours: str = "colour"

    def saying(self, alt: str) -> Drawing:
        """Return the drawing with another description of what it shows.

        Parameters
        ----------
        alt : str
            What is said in place of the picture.

        Returns
        -------
        Drawing

        Examples
        --------
        >>> hk.draw.clock("C6").saying("C E G A on the clock").alt
        'C E G A on the clock'
        """
        return replace(self, sheet=replace(self.sheet, alt=alt))

    @property
    def alt(self) -> str:
        """The fact that the figure states, in words."""
        return self.sheet.alt

    @property
    def width_mm(self) -> float:
        """How wide it is to be shown."""
        return self.sheet.width

    @property
    def height_mm(self) -> float:
        """How high it is to be shown."""
        return self.sheet.height

    @cached_property
    def svg(self) -> str:
        """One ``<svg>`` element, without a prologue."""
        return write_svg(self.sheet, palette(self.colours).tokens)

    def for_page(self, prefix: str = "") -> str:
        """Return the SVG for a web page: colours as CSS variables, ids behind a prefix.

        Parameters
        ----------
        prefix : str
            What ids begin with.

        Returns
        -------
        str

        Examples
        --------
        >>> "var(--" in hk.draw.clock("C6").for_page()
        True
        """
        return write_svg(self.sheet, VARIABLES, prefix)

    def prefixed(self, prefix: str) -> Drawing:
        """Return the drawing with every id behind a prefix, so that it may share a page.

        Parameters
        ----------
        prefix : str
            What ids begin with.

        Returns
        -------
        Drawing

        Examples
        --------
        >>> 'id="first-' in hk.draw.clock("C6").prefixed("first-").svg
        True
        """
        parts = tuple(renamed(part, prefix) for part in self.sheet.parts)
        return replace(self, sheet=replace(self.sheet, parts=parts))

    def alone(self) -> str:
        """Return the SVG with the letters that it uses and its colours for a dark screen.

        Returns
        -------
        str
        """
        return write_still(self.sheet, self.colours)

    def save(self, path: str | Path) -> Path:
        """Write the SVG to a file as UTF-8, with an XML prologue; it stands alone.

        Parameters
        ----------
        path : str or Path
            Where the file is.

        Returns
        -------
        Path

        Examples
        --------
        >>> from tempfile import mkdtemp
        >>> path = hk.draw.box("0003", "C").save(mkdtemp() + "/c.svg")
        >>> path.name, path.read_text("utf-8").startswith("<?xml")
        ('c.svg', True)
        """
        target = Path(path)
        write_whole(target, self.as_file())
        return target

    def as_file(self) -> str:
        """Return the SVG as a file holds it, with an XML prologue.

        Returns
        -------
        str
        """
        return f'<?xml version="1.0" encoding="utf-8"?>\n{self.alone()}\n'

    def _repr_mimebundle_(self, **_asked: object) -> dict[str, str]:
        # A notebook cuts off what is wider than its cell.
        shown = write_still(self.sheet, self.colours, SCREEN_MM)
        return {"image/svg+xml": shown, "text/plain": self.alt}

    def __repr__(self) -> str:
        return f"<Drawing {self.width_mm:g} x {self.height_mm:g} mm: {self.alt}>"
