"""What a lesson and an idea give to be asked about: chords, changes, scales, shapes, hands."""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.ideas.becomes import Becomes, becomes
from harmonykit.ideas.source import as_source
from harmonykit.lesson.plan.idea import Idea, every_idea, moved_names, read_idea
from harmonykit.lesson.plan.model import Front
from harmonykit.practice.theme import Theme
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.diminished import approach

APART = ">"
"""Between the parts of a row."""
_MOST_OF_A_TUNE = 40


def theme_of_idea(idea: str | Path | Idea, instrument: str = "ukulele") -> Theme:
    """Return the theme of an idea: its chords, its changes and its kinds of exercise.

    Parameters
    ----------
    idea : str or Path
        The name of one that ships, or a file.
    instrument : str
        A name, or strings such as ``"G4 C4 E4 A4"``.

    Returns
    -------
    Theme

    Raises
    ------
    HarmonyError
        If the idea cannot be read, or has no change to ask about.

    Examples
    --------
    >>> theme = hk.practice.theme_of_idea("six_neighbours")
    >>> theme.kinds, theme.ideas
    (('becomes', 'hear', 'spelling'), ('C+>move one note>maj m',))
    """
    found = idea if isinstance(idea, Idea) else read_idea(idea)
    row = row_of(found)
    if not row:
        raise HarmonyError(
            f"the idea {found.name!r} has no change",
            rule="exercises ask what its source becomes",
            mend="; ".join(each.name for each in every_idea() if row_of(each)),
        )
    return _with(Theme(title=found.title, instrument=instrument), found, row)


def theme_of(front: Front) -> Theme:
    """Return the theme of a lesson: its idea, chord, instrument, scale, tune and hands.

    The diminished sevenths are the lesson's own and those a semitone below the tune's chords.

    Parameters
    ----------
    front : Front
        A lesson's header.

    Returns
    -------
    Theme

    Examples
    --------
    >>> theme = hk.practice.theme_of(hk.lesson.read_lesson("four_dominants").front)
    >>> theme.instrument, theme.diminished[0], theme.hands[0]
    ('baritone ukulele', 'F#dim7', '5 98 full')
    """
    theme = _of_music(front)
    if not front.idea:
        return theme
    idea = read_idea(front.idea, front.path.parent)
    source = idea.text("source")
    chord = as_source(source, front.instrument).chord if source else None
    # The lesson's own chord says to which root its idea is moved.
    if chord is not None and chord.quality == front.shape_chord.quality:
        idea = idea.moved(chord.root.interval_to(front.shape_chord.root.plain()))
    row = row_of(idea)
    return _with(theme, idea, row) if row else theme


def row_of(idea: Idea) -> str:
    """Return source, change and target of an idea as a row, or nothing where it has no change."""
    source, change = idea.text("source"), idea.text("change")
    if not source or not change:
        return ""
    return APART.join((source, change, idea.text("target")))


def _with(theme: Theme, idea: Idea, row: str) -> Theme:
    ways = ways_of(row, theme.instrument)
    kinds = idea.listed("exercises") or ("becomes", "shape", "hear")
    pairs = [(way.before, way.after) for way in ways if way.before is not None]
    return _of_chords(theme, kinds, (row,), pairs)


@lru_cache(maxsize=256)
def ways_of(row: str, instrument: str, up_to_root: str = "") -> tuple[Becomes, ...]:
    """Return what comes of a row, moved so that its source stands on a root."""
    source, change, target = row.split(APART)
    neck = Theme(instrument=instrument).neck
    found = as_source(source, neck)
    if up_to_root and found.chord is not None:
        interval = found.chord.root.interval_to(Note.parse(up_to_root))
        source, target = moved_names(source, interval), moved_names(target, interval)
        found = as_source(source, neck)
    return becomes(found, change, target)


@lru_cache(maxsize=1)
def usual_rows() -> tuple[str, ...]:
    """Return the rows of every idea that ships and names a change."""
    return tuple(row for idea in every_idea() if (row := row_of(idea)))


def _of_music(front: Front) -> Theme:
    """Return the theme of a lesson's chord, instrument, scale, tune and hands."""
    played = [change.chord for change in front.tune.changes if change.chord is not None]
    chords = tuple(dict.fromkeys(played))[:_MOST_OF_A_TUNE]
    pairs = [(a, b) for a, b in pairwise(played) if a.pcs != b.pcs]
    leading = [approach(chord) for chord in chords if not chord.is_diminished_seventh]
    own = [front.shape_chord] if front.shape_chord.is_diminished_seventh else []
    limits = [level.limits for level in front.levels]
    return Theme(
        title=front.title,
        instrument=front.instrument.name,
        diminished=tuple(chord.symbol for chord in dict.fromkeys(own + leading)),
        chords=tuple(chord.symbol for chord in chords),
        pairs=tuple(f"{a.symbol}>{b.symbol}" for a, b in dict.fromkeys(pairs))[:_MOST_OF_A_TUNE],
        shapes=tuple(
            shape.digits for shape in (front.shape, front.scale_shape) if shape is not None
        ),
        scales=(f"{front.scale.tonic.name} {front.scale.kind}",) if front.scale else (),
        hands=tuple(f"{each.max_fret} {each.stretch_mm:g} {each.barre}" for each in limits),
    )


def _of_chords(
    theme: Theme,
    kinds: Sequence[str],
    ideas: tuple[str, ...],
    pairs: Sequence[tuple[Chord, Chord]],
) -> Theme:
    """Return a theme with the kinds, the changes and the chords of an idea before its own."""
    chords = dict.fromkeys(chord.symbol for pair in pairs for chord in pair)
    changed = [f"{a.symbol}>{b.symbol}" for a, b in pairs if a.pcs != b.pcs]
    diminished = [Chord.parse(c).symbol for c in chords if Chord.parse(c).is_diminished_seventh]
    return replace(
        theme,
        kinds=tuple(kinds),
        ideas=ideas,
        chords=tuple(chords) or theme.chords,
        pairs=tuple(changed) or theme.pairs,
        diminished=tuple(diminished) or theme.diminished,
    )
