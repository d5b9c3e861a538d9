"""Give the distance: how many semitones the voices move in all, at the least.

Level 1 asks about triads, level 2 about neighbours of four notes, level 3 about any chords of four
notes, level 4 about triads and chords of four notes, where a note of the triad is doubled.  The
distance is that of ``harmonykit.theory.leading.voiceleading`` in norm 1.
"""

from harmonykit.draw.base.style import join_words
from harmonykit.errors import HarmonyError
from harmonykit.sound.chords import close_pitches
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.voiceleading import Move, VoiceLeading, best_voice_leading
from harmonykit.workbook.base.names import count
from harmonykit.workbook.practice.chance import Chance
from harmonykit.workbook.practice.question import RIGHT, WRONG, Question, Seen, Spec, Verdict
from harmonykit.workbook.practice.reading import read_number
from harmonykit.workbook.practice.telling import GOOD, NOT_YET, sentences
from harmonykit.workbook.practice.theme import Theme, up_to

_NEAR, _TRIES = (4, 4, 8, 8), 60
_TRIADS = tuple(
    Chord.of(root, third)
    for root in up_to(("C D E F G A B Db Eb F# Ab Bb",), 1)
    for third in ("", "m")
)


def ask_distance(spec: Spec, theme: Theme) -> Question:
    """Return a question about the distance of two chords."""
    before, after = _picked(spec.chance(), spec, theme)
    leading = best_voice_leading(before, after)
    both = spec.medium == "clock"
    doubled = " A note may be doubled." if len(before.pcs) != len(after.pcs) else ""
    stay = join_words([before.spell(pc).unicode for pc in leading.common_tones]) or "No note"
    steps = [_step(move, before, after) for move in leading.moves if move.displacement]
    return Question(
        spec,
        f"From {before.unicode} to {after.unicode}: how many semitones do the voices move in all, "
        f"at least?{doubled}",
        "number",
        str(int(leading.total)),
        (
            "Keep the common tones; move every other note to the nearest one.",
            f"{stay} {'stay' if len(leading.common_tones) > 1 else 'stays'}; "
            f"{count(len(steps), 'voice')} {'moves' if len(steps) == 1 else 'move'}.",
            f"{join_words(steps)}: add them up.",
        ),
        Seen(f"{before.unicode} – {after.unicode}", after.pcs, after, before.pcs, before)
        if both
        else Seen(f"{before.unicode} – {after.unicode}"),
        lambda text: judge_distance(before, after, leading, read_number(text)),
        theme.neck,
        tuple(close_pitches([n.pitch_class for n in each.tones]) for each in (before, after)),
    )


def _picked(chance: Chance, spec: Spec, theme: Theme) -> tuple[Chord, Chord]:
    own = [pair for pair in theme.changes(spec.level) if theme.pairs]
    for _ in range(_TRIES):
        before, after = chance.pick(own) if own else _any_two(chance, spec, theme)
        if before.pcs == after.pcs:
            continue
        if own or best_voice_leading(before, after).total <= _NEAR[spec.level - 1]:
            return before.over(None), after.over(None)
    raise HarmonyError("the chords of the theme are all alike")


def _any_two(chance: Chance, spec: Spec, theme: Theme) -> tuple[Chord, Chord]:
    if spec.level == 1:
        return chance.pick(_TRIADS), chance.pick(_TRIADS)
    fours = (*theme.four_notes(spec.level), *theme.diminished_sevenths(spec.level))
    return chance.pick(_TRIADS if spec.level == 4 else fours), chance.pick(fours)


def judge_distance(before: Chord, after: Chord, leading: VoiceLeading, given: int) -> Verdict:
    """Judge a number of semitones.

    Examples
    --------
    >>> chords = Chord.parse("Bdim7"), Chord.parse("G7")
    >>> judge_distance(*chords, best_voice_leading(*chords), 3).said
    'Not yet. 3 is more than they need. D stays, F stays, A♭ falls to G (1), B stays: 1 in all.'
    """
    moves = ", ".join(_step(move, before, after) for move in leading.moves)
    told = f"{moves}: {int(leading.total)} in all."
    arrows = tuple((move.start, move.end) for move in leading.moves)
    seen = Seen(f"{before.unicode} – {after.unicode}", after.pcs, after, before.pcs, before, arrows)
    if given == leading.total:
        return Verdict(RIGHT, sentences(GOOD, told), seen)
    why = f"{given} is more than they need." if given > leading.total else f"{given} is too few."
    return Verdict(WRONG, sentences(NOT_YET, why, told), seen)


def _step(move: Move, before: Chord, after: Chord) -> str:
    start, end = before.spell(move.start).unicode, after.spell(move.end).unicode
    if not move.displacement:
        return f"{start} stays" + ("" if start == end else f" as {end}")
    verb = "rises" if move.displacement > 0 else "falls"
    return f"{start} {verb} to {end} ({abs(move.displacement)})"
