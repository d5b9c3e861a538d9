"""What a shape may be asked for beside its chord, as one value."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from harmonykit.errors import need_flag, need_whole, wrong_kind
from harmonykit.fretboard.given import as_tones
from harmonykit.fretboard.shapes.sieve import muted_strings
from harmonykit.fretboard.shapes.spacing import check_layout
from harmonykit.fretboard.shapes.tones import Tone, asked_pitch
from harmonykit.theory.degree import Degree
from harmonykit.theory.typed import as_typed


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the shapes of a chord should be like; what is not said is as players have it.

    Parameters
    ----------
    bass, top : Note, str or int, optional
        What the lowest and the highest *pitch* must be: a note name or pitch class for any
        octave; a note with an octave, or a MIDI number from 12 up, for that very pitch.
    omit : iterable of int, Degree, Note or str, optional
        Tones that need not sound (they still may): semitones above the root, degrees
        (``"5"``), or note names (``"E"``).  The customary ones where not given, and the shapes
        are those that players use; ``()`` for none.
    mutes : bool or {"none", "any", "outer", "inner"}, optional
        Which strings may be muted: none (``False``), any (``True``), only those outside all that
        sound, or only those between.  Where not given, none; of the shapes that players use, any
        of five strings and more, and of fewer the outer ones if there is no shape without.
    doubling : bool, or iterable as ``omit``
        Whether tones may sound on two strings or more, or which of them may.
    opens : bool
        Whether strings may sound open; shapes without can be moved along the neck.
    layout : {"close", "open", "drop 2", "drop 3", "drop 2 and 4"}, optional
        How the notes lie.
    max_span : int, optional
        The highest minus the lowest fretted fret, open strings being free; 3 where not given, and
        5 for shapes that players use on strings a fifth apart.

    Raises
    ------
    HarmonyError
        If a word is unknown, or something is not a tone or a note.

    Examples
    --------
    >>> hk.fretboard.Wanted(bass="C", top="C5")
    Wanted(bass='C', top='C5')
    """

    bass: Tone | None = None
    top: Tone | None = None
    omit: Iterable[Tone | Degree] | str | None = None
    mutes: bool | str | None = None
    doubling: bool | Iterable[Tone | Degree] | str = True
    opens: bool = True
    layout: str | None = None
    max_span: int | None = None

    def __post_init__(self) -> None:
        asked_pitch(self.bass), asked_pitch(self.top)
        need_flag(self.opens, "opens")
        if self.omit is not None:
            object.__setattr__(self, "omit", as_tones(self.omit, "omit"))
        if not isinstance(self.doubling, bool):
            object.__setattr__(self, "doubling", as_tones(self.doubling, "doubling"))
        if self.mutes is not None:
            muted_strings(asked=self.mutes)
        if self.layout is not None:
            check_layout(self.layout)
        if self.max_span is not None:
            need_whole(self.max_span, "max_span", 0)

    def __repr__(self) -> str:
        return as_typed(self)

    @property
    def omitted(self) -> tuple[Tone | Degree, ...] | None:
        """The tones that need not sound, where they are given."""
        return None if self.omit is None else as_tones(self.omit, "omit")

    @property
    def doubled(self) -> bool | tuple[Tone | Degree, ...]:
        """Whether tones may be doubled, or which."""
        given = self.doubling
        return given if isinstance(given, bool) else as_tones(given, "doubling")


def as_wanted(given: Wanted | None) -> Wanted:
    """Return what was asked of a shape, or what is usual.

    Raises
    ------
    WrongKind
        If it is of another kind.

    Examples
    --------
    >>> as_wanted(None)
    Wanted()
    """
    if given is None:
        return Wanted()
    if isinstance(given, Wanted):
        return given
    raise wrong_kind(given, "what the shapes should be like", 'Wanted(bass="C", mutes="outer")')
