"""Statements about motion: what one moved note makes of a chord, and where a chord resolves."""

from harmonykit.errors import HarmonyError
from harmonykit.lesson.statements.kinds import Stated, call_text
from harmonykit.lesson.statements.sounding import Heard, Kind, heard, of_chord, read_kind
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.diminished import Move, resolutions
from harmonykit.theory.leading.neighbours import OneNote, one_note_changes
from harmonykit.theory.spelling import usual_root
from harmonykit.theory.uses import nearest_moves
from harmonykit.words.numbers import join_words


def moved(chord: Chord, note: Note, way: int, kind: Kind) -> tuple[bool, str]:
    """Return whether a note of a chord, moved by semitones, leaves a kind of chord, and what."""
    for one in one_note_changes(chord, abs(way), named=False):
        if one.semitones == way and one.move.start.pitch_class == note.pitch_class:
            return one.pcs.mask in kind.sets, f"{_by_step(one)}: {_made(one, kind)}"
    end = chord.spell((note.pitch_class + way) % 12).plain().unicode
    return False, f"{note.unicode} would move to {end}, which the chord has already"


def turns_into(first: str, second: str, note: str = "") -> Stated:
    """State that one moved note makes another chord of a chord: which note, where it is named.

    It moves by a half or a whole step; the second chord may be a kind: "dominant seventh".
    """
    start, kind = Chord.parse(first), read_kind(second)
    target = None if kind is not None else heard(second)
    moving = Note.parse(note) if note else None
    ways = [
        one
        for one in one_note_changes(start, 2, named=False)
        if (one.pcs.mask in kind.sets if kind else target is not None and one.pcs == target.pcs)
        and (moving is None or one.move.start.pitch_class == moving.pitch_class)
    ]
    ways.sort(key=lambda one: abs(one.semitones))
    what = kind.article if kind else target.name if target else ""
    when = f" when {moving.unicode} moves" if moving else " when one note moves"
    if ways:
        when = f" when {_by_step(ways[0])}"
        label = f"{start.unicode} → {what}: {move_said(ways[0].move)}"
        reason = _made(ways[0], kind, target)
    else:
        label = (
            f"{start.unicode}: no move of {moving.unicode if moving else 'one note'} gives {what}"
        )
        reason = _needs(start, target, what, moving)
    return Stated(
        bool(ways),
        label,
        f"{start.unicode} turns into {what}{when}",
        f"{start.unicode} does not turn into {what}{when}",
        reason,
        _a_turn(first, start),
    )


def move_said(move: Move) -> str:
    """Return one voice's step in words, in notes of one accidental at most.

    Examples
    --------
    >>> move_said(Move(Note.parse("Bbb"), Note.parse("Ab")))
    'A falls to A♭'
    """
    return str(Move(move.start.plain(), move.end.plain()))


def _by_step(one: OneNote) -> str:
    size = "half" if abs(one.semitones) == 1 else "whole"
    way = "rises" if one.semitones > 0 else "falls"
    return f"{one.move.start.plain().unicode} {way} a {size} step"


def _made(one: OneNote, kind: Kind | None, target: Heard | None = None) -> str:
    notes = [n.plain().unicode for n in one.chord.notes]
    moved = one.move.start.plain().unicode
    after = [one.move.end.plain().unicode if n == moved else n for n in notes]
    alike = [name for name in one.names if kind is not None and name.quality == kind.suffix]
    name = target.name if target else next((n.unicode for n in (*alike, *one.names)), "")
    return f"{join_words(notes)} become {join_words(after)}{f', {name}' if name else ''}"


def _needs(start: Chord, target: Heard | None, what: str, moving: Note | None) -> str:
    if target is None:
        step = "moved a half or a whole step"
        if moving is not None:
            return f"{moving.unicode} of {start.unicode}, {step}, does not leave {what}"
        return f"no note of {start.unicode}, {step}, leaves {what}"
    kept = [target.spell(pc) for pc in start.pcs & target.pcs]
    keeps = f"keeps {join_words(kept)}" if kept else "keeps none"
    return f"{start.unicode} is {of_chord(start).spelled}; {target.name} {keeps} of them"


def _a_turn(first: str, start: Chord) -> str:
    named = [one for one in one_note_changes(start, 1) if one.names]
    return call_text("turns_into", first, named[0].names[0].symbol) if named else ""


def resolves_to(chord: str, target: str) -> Stated:
    """State that a chord, as a dominant, resolves to a root, by what steps."""
    found, root = Chord.parse(chord), Note.parse(target)
    ways = _resolutions(found)
    said = f"{found.unicode} resolves to {root.unicode}"
    for role, goal, moves, why in ways:
        if goal.pitch_class == root.pitch_class:
            steps = join_words([move_said(move) for move in moves])
            return Stated(
                holds=True,
                label=f"{found.unicode} → {goal.unicode}",
                said=f"As a {role} {found.unicode} resolves to {goal.unicode}: {steps}",
                denied=f"As a {role} {found.unicode} does not resolve to {root.unicode}",
                reason=why,
            )
    goals = join_words([goal.unicode for _, goal, _, _ in ways])
    return Stated(
        holds=False,
        label=f"{found.unicode} → {goals or 'nowhere as a dominant'}",
        said=f"As a dominant {said}",
        denied=f"As a dominant {found.unicode} does not resolve to {root.unicode}",
        reason=f"it resolves to {goals}" if ways else f"{found.unicode} is not a dominant",
        mend=call_text("resolves_to", chord, ways[0][1].name) if ways else "",
    )


def _resolutions(chord: Chord) -> list[tuple[str, Note, tuple[Move, ...], str]]:
    """Return each goal of a chord as a dominant: its role, root, the voices' moves, the proof."""
    try:
        return [
            ("dominant", way.target, way.moves, f"{way.parent.unicode} falls a fifth to {goal}")
            for way in resolutions(chord)
            for goal in [way.target.unicode]
        ]
    except HarmonyError:
        pass
    suspended = {5, 10} <= set(chord.semitones) and 3 not in chord.semitones
    if not (chord.is_dominant or suspended or chord.semitones == (0, 4, 7)):
        return []
    fifth = chord.root.transpose("-P5").at(None).plain()
    found = [("dominant", fifth, "its root falls a fifth")]
    if chord.is_dominant:
        half = usual_root((chord.root.pitch_class - 1) % 12)
        found.append(("tritone substitution", half, "its root falls a half step"))
    return [
        (role, goal, tuple(nearest_moves(chord.notes, Chord.of(goal))), f"{why} to {goal.unicode}")
        for role, goal, why in found
    ]
