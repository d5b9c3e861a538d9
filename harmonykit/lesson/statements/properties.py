"""What can be said of each of a group: a property, worded for one and for many, and judged.

Which properties there are follows from what the group is of: ``PROPERTIES``.
"""

from collections.abc import Callable

from harmonykit.fretboard.hands.holding import fit
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import groups, kinds, turning
from harmonykit.lesson.statements.counted import held_strings, rises_a_half_step
from harmonykit.lesson.statements.kinds import Stated
from harmonykit.lesson.statements.laws import ROOTS
from harmonykit.lesson.statements.sounding import heard, of_chord, read_kind
from harmonykit.theory.chord import Chord, Note
from harmonykit.values import dataclass
from harmonykit.words.numbers import in_words, join_words, number


@dataclass(frozen=True, slots=True)
class Said:
    """A property with its arguments: its verb for one and for many, and whether a member has it."""

    one: str
    many: str
    judge: Callable[[groups.Member], tuple[bool, str]]


def _chord(member: groups.Member) -> Chord:
    """Return a chord alone or in its chart."""
    chord: Chord = member.thing if isinstance(member.thing, Chord) else member.thing.chord
    return chord


def _by_kind(state: Callable[..., Stated], one: str, many: str, *about: str | int) -> Said:
    """Return a property of chords that a statement about one chord judges."""

    def judge(member: groups.Member) -> tuple[bool, str]:
        stated = state(_chord(member).symbol, *about)
        return stated.holds, stated.reason

    return Said(one, many, judge)


def _what(text: str) -> str:
    kind = read_kind(text)
    return kind.article if kind else heard(text).name


def _contains(part: str) -> Said:
    # "D7 contains F" would be read of the note.
    plain = read_kind(part) is None and _is_note(part)
    what = "the triad " * plain + _what(part)
    return _by_kind(kinds.contains, f"contains {what}", f"contain {what}", part)


def _holds(*notes: str) -> Said:
    if not notes:
        raise LessonError("no note is named", mend='every("chords of level 2", "holds", "C")')
    told = join_words([Note.parse(note).unicode for note in notes])
    return _by_kind(kinds.holds, f"holds {told}", f"hold {told}", *notes)


def _has_notes(count: int) -> Said:
    told = in_words(count, "note")
    return _by_kind(kinds.how_many_notes, f"has {told}", f"have {told}", count)


def _same_notes(other: str) -> Said:
    kind = read_kind(other)
    if kind is None:
        told = f"the notes of {heard(other).name}"
        return _by_kind(kinds.same_notes, f"has {told}", f"have {told}", other)

    def judge(member: groups.Member) -> tuple[bool, str]:
        whole = of_chord(_chord(member))
        return whole.pcs.mask in kind.sets, f"{whole.name} is {whole.spelled}"

    return Said(f"has the notes of {kind.article}", f"have the notes of {kind.article}", judge)


def _turns_into(other: str) -> Said:
    what, tail = _what(other), "when one note moves a half or a whole step"
    return _by_kind(
        turning.turns_into, f"turns into {what} {tail}", f"turn into {what} {tail}", other
    )


def _resolves_to(root: str) -> Said:
    told = Note.parse(root).unicode
    one, many = f"resolves to {told} as a dominant", f"resolve to {told} as dominants"
    return _by_kind(turning.resolves_to, one, many, root)


def _alternates(other: str) -> Said:
    kind = read_kind(other)
    what = _what(other)
    one, many = f"alternates with {what} in a scale", f"alternate with {what} in a scale"
    if kind is None or kind.suffix is None:
        return _by_kind(kinds.alternates, one, many, other)
    others = [Chord.build(Note.parse(root), Chord.of("C", kind.suffix).degrees) for root in ROOTS]

    def judge(member: groups.Member) -> tuple[bool, str]:
        tried = [kinds.alternates(_chord(member).symbol, each.symbol) for each in others]
        found = next((each for each in tried if each.holds), None)
        name = _chord(member).unicode
        return found is not None, found.label if found else f"{name} alternates with none of them"

    return Said(one, many, judge)


def _is(kind: str) -> Said:
    found = read_kind(kind)
    if found is None or found.suffix is None:
        raise LessonError(f"{kind!r} is not a kind of chord", mend='"dominant seventh"')
    suffix = found.suffix

    def judge(member: groups.Member) -> tuple[bool, str]:
        right = _chord(member).quality == suffix
        return right, f"{member.name} is {'one' if right else 'not'}"

    return Said(f"is {found.article}", f"are {found.many}", judge)


def _moved(way: int, other: str) -> Said:
    kind = read_kind(other)
    if kind is None:
        raise LessonError(f"{other!r} is not a kind of chord", mend='"dominant seventh"')
    verb = "rises" if way > 0 else "falls"
    tail = f"{kind.article} when it {verb} a half step"
    many = f"{kind.article} when one of them {verb} a half step"

    def judge(member: groups.Member) -> tuple[bool, str]:
        return turning.moved(_chord(member), member.thing.note, way, kind)

    return Said(f"leaves {tail}", f"leave {many}", judge)


def _falls_to(other: str) -> Said:
    return _moved(-1, other)


def _rises_to(other: str) -> Said:
    return _moved(1, other)


def _half_step_below() -> Said:
    def judge(member: groups.Member) -> tuple[bool, str]:
        placed: groups.Placed = member.thing
        after = placed.after.chord.unicode if placed.after and placed.after.chord else "silence"
        return rises_a_half_step(placed.step, placed.after), f"{member.name} goes to {after}"

    where = "root a half step below the root that follows"
    return Said(f"has its {where}", f"have their {where}", judge)


def _falls_a_fifth() -> Said:
    def judge(member: groups.Member) -> tuple[bool, str]:
        placed: groups.Placed = member.thing
        goal = placed.after.chord if placed.after else None
        fifth = (placed.chord.root.pitch_class + 5) % 12
        said = f"{member.name} goes to {goal.unicode if goal else 'silence'}"
        return goal is not None and goal.root.pitch_class == fifth, said

    return Said("goes down a fifth", "go down a fifth", judge)


def _holds_the_melody() -> Said:
    def judge(member: groups.Member) -> tuple[bool, str]:
        placed: groups.Placed = member.thing
        if placed.sung is None:
            raise LessonError(
                "the tune has no melody", mend='melody = "| C5 r G4:2 |" in a section of its file'
            )
        foreign = [n.unicode for n in placed.sung if n.pitch_class not in placed.chord.pcs]
        return not foreign, f"{member.name} lacks {join_words(foreign)}" if foreign else member.name

    return Said("holds every note of the melody", "hold every note of the melody", judge)


def _past_fret(fret: int) -> Said:
    def judge(member: groups.Member) -> tuple[bool, str]:
        highest = member.thing.highest_fret
        return highest > fret, f"{member.name} goes to fret {highest}"

    return Said(f"goes past fret {fret}", f"go past fret {fret}", judge)


def _open_string() -> Said:
    def judge(member: groups.Member) -> tuple[bool, str]:
        has = 0 in member.thing.frets
        return has, f"{member.name} has {'one' if has else 'none'}"

    return Said("has an open string", "have an open string", judge)


def _barre() -> Said:
    def judge(member: groups.Member) -> tuple[bool, str]:
        held = fit(member.thing.frets, member.thing.instrument)
        has = held is not None and bool(held.barres)
        return has, f"{member.name} has {'one' if has else 'none'}"

    return Said("has a barre", "have a barre", judge)


def _keeps(strings: int) -> Said:
    def judge(member: groups.Member) -> tuple[bool, str]:
        kept = len(held_strings(member.thing.before, member.thing.shape))
        stay = {0: "none stays", 1: "one stays"}.get(kept, f"{number(kept)} stay")
        return kept >= strings, f"from {member.name} {stay}"

    where = "on its fret" if strings == 1 else "on their frets"
    told = f"at least {in_words(strings, 'string')} {where}"
    return Said(f"keeps {told}", f"keep {told}", judge)


def _stays() -> Said:
    def judge(member: groups.Member) -> tuple[bool, str]:
        return member.thing.what == "stays", f"{member.name} {member.thing.what}"

    return Said("stays", "stay", judge)


def _sounds(*names: str) -> Said:
    if not names:
        raise LessonError("no chord or note is named", mend='"sounds", "F6"')
    alone = len(names) == 1 and not _is_note(names[0])
    wanted = heard(names[0]).pcs if alone else {Note.parse(name).pitch_class for name in names}
    told = heard(names[0]).name if alone else join_words([Note.parse(n).unicode for n in names])
    what = f"a note of {told}" if alone else told.replace(" and ", " or ")

    def judge(member: groups.Member) -> tuple[bool, str]:
        played: groups.Played = member.thing
        note = played.shape.notes[played.string]
        said = f"{member.name} sounds {note.at(None).unicode if note else 'nothing'}"
        return note is not None and note.pitch_class in wanted, said

    return Said(f"sounds {what}", f"sound {what}", judge)


def _is_note(text: str) -> bool:
    return len(text) <= 3 and text[:1] in "ABCDEFG" and set(text[1:]) <= set("#b")


def _is_open() -> Said:
    def judge(member: groups.Member) -> tuple[bool, str]:
        fret = member.thing.shape.frets[member.thing.string]
        place = "is muted" if fret is None else f"is at fret {fret}" if fret else "is open"
        return fret == 0, f"{member.name} {place}"

    return Said("is open", "are open", judge)


Make = Callable[..., Said]
_OF_CHORDS: dict[str, Make] = {
    "contains": _contains, "holds": _holds, "has notes": _has_notes,
    "has the notes of": _same_notes, "turns into": _turns_into, "resolves to": _resolves_to,
    "alternates with": _alternates, "is": _is,
}  # fmt: skip
PROPERTIES: dict[str, dict[str, Make]] = {
    groups.CHORD: _OF_CHORDS,
    groups.STEP: {
        **_OF_CHORDS,
        "lies a half step below what follows": _half_step_below,
        "goes down a fifth": _falls_a_fifth,
        "holds the melody": _holds_the_melody,
    },
    groups.NOTE: {"falls to leave": _falls_to, "rises to leave": _rises_to},
    groups.SHAPE: {
        "goes past fret": _past_fret,
        "has an open string": _open_string,
        "has a barre": _barre,
    },
    groups.CHANGE: {"keeps strings": _keeps},
    groups.FINGER: {"stays": _stays},
    groups.STRING: {"sounds": _sounds, "is open": _is_open},
}
"""What can be said of each sort of group, by name."""
