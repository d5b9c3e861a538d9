"""Exercises about an idea: say what a chord becomes, and hear which of its results it was.

An idea (``lesson.plan.idea``) names a source, a change and a target; every result of the change is
an item to be asked.  At level 1 the chords stand where the idea has them, then on any root, those
met most first; at level 4 their notes are asked for, or they are heard turned.  The reason is the
idea's own, with what was proved of the two chords.
"""

from collections.abc import Iterator

from harmonykit.errors import HarmonyError
from harmonykit.ideas.becomes import Becomes
from harmonykit.ideas.source import as_source
from harmonykit.lesson.plan.idea import statement_of
from harmonykit.lesson.statements import calls, stated
from harmonykit.practice import question, wording
from harmonykit.practice.question import Chance, Pitches, Question, Seen, Spec, Verdict
from harmonykit.practice.theme import (
    DIMINISHED,
    ROOTS,
    Theme,
    change_name,
    up_to,
)
from harmonykit.practice.themes import APART, usual_rows, ways_of
from harmonykit.practice.wording import read_chords, read_notes
from harmonykit.sound.chords import close_notes
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.leading.voiceleading import best_voice_leading
from harmonykit.theory.spelling import usual_root
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

_STATED = ("lower", "raise", "move", "turn", "slide", "alternates", "same")
_MOST_CHOICES = 4
_LOWEST = 55
# What a symbol that is typed as an answer cannot have.
_COMMA = ","


@dataclass(frozen=True, slots=True)
class _Item:
    """One result of a change, and the others that it could have been."""

    way: Becomes
    before: Chord
    others: tuple[Chord, ...]
    reason: str


def _item(spec: Spec, theme: Theme, chance: Chance) -> _Item:
    """Return an item drawn by chance; but in words its notes are others than before."""
    for row, ways in _rows(spec, theme, chance):
        pairs = [(way.before, way) for way in ways if way.before and _COMMA not in way.after.symbol]
        near = pairs
        if spec.medium != "words":
            pairs = [(before, way) for before, way in pairs if before.pcs != way.after.pcs]
            near = pairs
        pairs = [each for each in pairs if theme.about in ("", _name(each))]
        if pairs:
            before, way = chance.pick(pairs)
            found = {one.after.pcs: one.after for _, one in near}
            others = found if len(found) > 1 else {c.pcs: c for c in _beside(way.after)}
            heard = tuple(c for pcs, c in others.items() if pcs not in (way.after.pcs, before.pcs))
            return _Item(way, before, heard, _reason(way, row.split(APART)[1]))
    raise HarmonyError("the idea has nothing of this kind", mend="another kind of exercise")


def result_names(theme: Theme, _level: int) -> tuple[str, ...]:
    """Return the changes that can be asked about: those of the ideas, where they stand."""
    rows = theme.ideas or usual_rows()
    ways = (way for row in rows for way in ways_of(row, theme.instrument))
    return tuple(
        dict.fromkeys(
            _name((way.before, way))
            for way in ways
            if way.before is not None
            and _COMMA not in way.after.symbol
            and way.before.pcs != way.after.pcs
        )
    )


def _name(pair: tuple[Chord, Becomes]) -> str:
    before, way = pair
    return change_name((before, way.after))


def _rows(spec: Spec, theme: Theme, chance: Chance) -> Iterator[tuple[str, tuple[Becomes, ...]]]:
    """Give the rows of ideas, each with what comes of it on a root.

    What is asked about by its name may stand where the idea has it, or on any root.
    """
    rows = chance.shuffled(theme.ideas or usual_rows())
    if not theme.about:
        for row in rows:
            yield row, ways_of(row, theme.instrument, _root(row, spec.level, chance))
        return
    source, _, _ = theme.about.partition(APART)
    root = Chord.parse(source).root.plain().name
    for row in rows:
        yield row, ways_of(row, theme.instrument)
    for row in rows:
        if as_source(row.split(APART)[0], None).chord is not None:
            yield row, ways_of(row, theme.instrument, root)


def _root(row: str, level: int, chance: Chance) -> str:
    """Return a root to which an idea is moved: none at level 1, where it stands as it is."""
    if level == 1:
        return ""
    source = as_source(row.split(APART)[0], None).chord
    dim = source is not None and source.is_diminished_seventh
    rows = DIMINISHED if dim else ROOTS
    # From level 3 on those that are met most are known.
    return chance.pick(up_to(rows if level < 3 else rows[1:], level))


def _beside(chord: Chord) -> tuple[Chord, ...]:
    """Return chords of a chord's kind a step or a third away, to be told from it by ear."""
    root = chord.root.pitch_class
    return tuple(Chord.of(usual_root((root + up) % 12), chord.quality) for up in (2, 3, 10))


def _reason(way: Becomes, change: str) -> str:
    """Return what was proved of two chords, or how one comes of the other where that says more."""
    call = statement_of(way, change) if change.startswith(_STATED) else ""
    return str(calls.answer_call(stated.about_chords_alone(), call)) if call else way.reason


def ask_becomes(spec: Spec, theme: Theme) -> Question:
    """Return a question about what a chord becomes."""
    chance, clock = spec.chance(), spec.medium == "clock"
    item = _item(spec, theme, chance)
    way, before, after = item.way, item.before, item.way.after
    # From level 4 on its notes are asked for in words too, where they are others than before.
    notes = clock or (spec.level == question.LEVELS and before.pcs != after.pcs)
    verb = "Press" if clock else "Write"
    asked = f"{verb} the notes of the new chord." if notes else "Which chord is it now?"
    hidden = clock and spec.level == question.LEVELS
    return Question(
        spec,
        f"{'These notes sound' if hidden else before.unicode}: {way.done}. {asked}",
        "notes" if notes else "chords",
        wording.typed(note.plain() for note in after.tones) if notes else after.symbol,
        (
            f"Of the notes of {before.unicode}, {_kept(before, after)}.",
            f"The notes of {before.unicode} are {wording.listed(before.tones)}.",
            f"The notes are {wording.listed(after.tones)}, and the root is {after.root.unicode}.",
        ),
        Seen("?", before.pcs) if hidden else Seen(before.unicode, before.pcs, before),
        lambda text: judge_becomes(item.reason, before, after, text, notes=notes),
        theme.neck,
        (close_notes(before.tones, _LOWEST),),
        change_name((before, after)),
    )


def _kept(before: Chord, after: Chord) -> str:
    kept = [note.plain() for note in before.tones if note.pitch_class in after.pcs]
    return f"{wording.listed(kept)} {wording.verb(kept, 'stays', 'stay')}" if kept else "none stays"


def judge_becomes(
    reason: str, before: Chord, after: Chord, text: str, *, notes: bool = False
) -> Verdict:
    """Judge which chord another is said to become, or its notes.

    Where the notes stay, the root counts too.

    Examples
    --------
    >>> before, after = Chord.parse("Bdim7"), Chord.parse("E7")
    >>> judge_becomes("F falls to E.", before, after, "E7").said
    'Right. F falls to E.'
    >>> judge_becomes("F falls to E.", before, after, "Em7").said
    'Not yet. Em7 has E, G, B and D. F falls to E.'
    """
    seen = Seen(after.unicode, after.pcs, after, before.pcs, before)
    if notes:
        return _judge_notes(reason, after, text, seen)
    given = read_chords(text)
    wrong = [one for one in given if one.pcs != after.pcs or _another_root(one, before, after)]
    if not wrong:
        return Verdict(question.RIGHT, wording.sentences(wording.GOOD, reason), seen)
    said = [f"{one.unicode} has {wording.listed(one.tones)}." for one in wrong]
    return Verdict(
        question.WRONG,
        wording.sentences(wording.NOT_YET, wording.reasons(said), reason),
        seen,
        tuple(one.symbol for one in wrong),
    )


def _judge_notes(reason: str, after: Chord, text: str, seen: Seen) -> Verdict:
    named = read_notes(text)
    pcs = PcSet.of(*(note.pitch_class for note in named))
    if pcs == after.pcs:
        return Verdict(question.RIGHT, wording.sentences(wording.GOOD, reason), seen)
    extra = [note for note in named if note.pitch_class not in after.pcs]
    right = sum(pc in pcs for pc in after.pcs)
    return Verdict(
        question.share(right, len(extra), len(after.pcs)),
        wording.sentences(wording.NOT_YET, wording.faults(pcs, after, named), reason),
        seen,
        tuple(note.name for note in extra),
    )


def _another_root(given: Chord, before: Chord, after: Chord) -> bool:
    """Whether a chord of the same notes has another root than the one that was asked for."""
    return before.pcs == after.pcs and given.root.pitch_class != after.root.pitch_class


def ask_hear(spec: Spec, theme: Theme) -> Question:
    """Return a question about which chord is heard after another."""
    chance = spec.chance()
    item = _item(spec, theme, chance)
    before, after = item.before, item.way.after
    few = chance.some(item.others, _MOST_CHOICES - 1 if spec.level > 1 else 1)
    choices = sorted([after, *few], key=lambda chord: chord.symbol)
    # At level 4 the root is not the lowest note.
    turn = 1 if spec.level == question.LEVELS else 0
    start = close_notes(before.tones, _LOWEST, turn)
    names = [chord.unicode for chord in choices]
    return Question(
        spec,
        f"You hear {before.unicode} and then {join_words(names, 'or')}. Which of them is it?",
        "chords",
        after.symbol,
        (
            f"The notes of {before.unicode} are {wording.listed(before.tones)}.",
            "; ".join(f"{c.unicode}: {wording.listed(c.tones)}" for c in choices) + ".",
            f"Of the notes of the first chord, {_kept(before, after)}.",
        ),
        Seen(before.unicode, before.pcs, before),
        lambda text: judge_becomes(item.reason, before, after, text),
        theme.neck,
        (start, _led(start, before, after)),
        change_name((before, after)),
        tuple(chord.symbol for chord in choices),
    )


def _led(start: Pitches, before: Chord, after: Chord) -> Pitches:
    """Return the pitches of a chord, each voice by the shortest way."""
    moves = best_voice_leading(before.pcs, after.pcs).moves
    by_note: dict[int, list[int]] = {}
    for low, _, step in moves:
        by_note.setdefault(low, []).append(step)
    found = {pitch + step for pitch in start for step in by_note.get(pitch % 12, [0])}
    return tuple(sorted(found))
