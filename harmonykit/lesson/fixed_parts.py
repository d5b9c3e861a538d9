"""The fixed parts of a class, in words: from tuning up to practice at home.

Every part says what to play and what to ask, with the answer.  The ear comes before the fingers:
what is heard is found in the notes (``together.heard``), what will break down in the fingers
(``together.rescue``).
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from harmonykit.arrange.arrangement import Step
from harmonykit.arrange.together import rubs_between, said_together
from harmonykit.arrange.written import printed_numbers
from harmonykit.draw.base.given import string_names
from harmonykit.fretboard.hands.change import CROSSES, LANDS, LIFTS, Change
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.changes import fingers_said
from harmonykit.lesson.plan.model import Lesson, Played
from harmonykit.lesson.plan.takes import TUNING
from harmonykit.lesson.together import heard, rescue
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words, number

# How much of a meeting each fixed part wants, in minutes of 45 (common practice, no source).
_TUNE, _WARM, _SOUND, _HARD, _PAIRS, _HALVES, _SILENCE, _CLOSING, _HOME = 3, 3, 4, 6, 3, 5, 3, 2, 1
_FEW = 2


@dataclass(frozen=True, slots=True)
class Activity:
    """One thing that the class does.

    Parameters
    ----------
    title : str
    minutes : float
        Whole ones, unless a meeting has more activities than minutes.
    lines : tuple of str
        What to say and do, a paragraph of Markdown each.
    sound : str
        The file that is played, if any.
    section : int or None
        The section of the teacher's text that is told in it.
    listen : tuple of str
        What the ear hears, said before its chart.
    """

    title: str
    minutes: float
    lines: tuple[str, ...] = ()
    sound: str = ""
    section: int | None = None
    listen: tuple[str, ...] = ()


def sound_of(lesson: Lesson, played: Played) -> str:
    """Return the file of a level that is played along with, the slow one where there is one."""
    front = lesson.front
    if "sound" not in front.outputs:
        return ""
    for take in sorted(front.playalong.takes, key=lambda take: (take.bass, not take.slow)):
        for kind in ("mp3", "wav", "mid"):
            if kind in take.kinds:
                return f"{played.stem}{take.suffix}.{kind}"
    return ""


def opening(lesson: Lesson, played: Sequence[Played]) -> Iterator[Activity]:
    """Yield what a meeting begins with: tune up, warm up, begin with sound."""
    front = lesson.front
    tuned = f"Play each open string and wait for the class: {front.instrument.tuning_said}."
    sound = f"{TUNING}.mp3" if TUNING in front.playalong.files and "sound" in front.outputs else ""
    yield Activity("Tune up", _TUNE, (tuned,), sound)
    if warm := _warm_up(lesson, played):
        yield Activity("Warm up", _WARM, (warm,))
    found = first_moment(lesson, played)
    if found is not None:
        yield _from_sound(found[1])


def _warm_up(lesson: Lesson, played: Sequence[Played]) -> str:
    """Return a warm-up on two grips: of those that the class knows, or the first of the tune."""
    front = lesson.front
    knows = front.knows
    own: list[tuple[Chord, Voicing]] = []
    for level in played[:1]:
        steps = (s for s in level.arrangement.sounding if s.chord and s.voicing and not s.alone)
        # A grip that bears two names is one grip.
        grips: dict[Voicing, Chord] = {}
        for step in steps:
            if step.chord and step.voicing:
                grips.setdefault(step.voicing, step.chord)
        own = [(chord, shape) for shape, chord in grips.items()]
    known = [(c, s) for c, s in own if knows is not None and knows.knows(s)]
    head = "On grips that the class knows"
    if len(known) < 2 and knows is not None and len(knows.grips_on(front.instrument)) > 1:
        known = [(grip.chord, grip.shape) for grip in knows.grips_on(front.instrument)][:2]
    if len(known) < 2:
        known, head = own, "On the first two grips of the tune"
    if len(known) < 2:
        return ""
    (one, first), (other, second) = known[:2]
    slow = rescue.slowest(played[0].level.tempo, played[0].arrangement.tune.meter)
    return (
        f"{head}: {one.unicode} {first.digits} and {other.unicode} {second.digits}, two bars each, "
        f"at {slow}. First the fretting hand alone, then with the strum."
    )


def first_moment(lesson: Lesson, played: Sequence[Played]) -> tuple[Played, heard.Moment] | None:
    """Return what a lesson is first heard by, and the level that has it.

    The lesson's own chord, or what is added in its place, goes before every other added chord, and
    these before a dominant of the tune; of a level's, one that tells most.
    """
    own = lesson.front.shape_chord

    def is_own(chord: Chord | None) -> bool:
        root = own.root.pitch_class
        return chord is not None and chord.pcs == own.pcs and chord.root.pitch_class == root

    def rank(place: int, moment: heard.Moment) -> tuple[object, ...]:
        step = moment.step
        added = step.added and is_own(step.chord)
        written = is_own(step.written if step.added else step.chord)
        tells = heard.rising(moment) is not None
        return not (added and not written), not written, not step.added, place, not tells

    found = [
        (rank(place, moment), one, moment)
        for place, one in enumerate(played)
        if not one.arrangement.choruses
        for moment in heard.moments(one.arrangement)
    ]
    first = min(found, key=lambda each: each[0], default=None)
    return first and first[1:]


def _from_sound(moment: heard.Moment) -> Activity:
    chord, after = _name(moment.step.chord), _name(moment.after.chord)
    if moment.step.added:
        without = _name(moment.step.written)
        head = (
            f"Play {moment.loop} twice with {without} as written, then twice with {chord} "
            f"before {after}. Say nothing. Ask: which do you prefer?"
        )
    else:
        head = (
            f"Play {moment.loop} twice without {chord}, holding the chord before it, then twice "
            f"with {chord} before {after}. Say nothing. Ask: which do you prefer?"
        )
    told = " ".join(heard.said_of(moment))
    lines = [head, f"What the ear hears: {told}"] if told else [head]
    if (led := sung(moment)) is not None:
        lines.append(f"The class sings {led} over the two bars before anybody touches a string.")
    return Activity("Begin with sound", _SOUND, tuple(lines))


def sung(moment: heard.Moment) -> str | None:
    """Return the two notes that are sung at a moment: leading tone and root."""
    chord, after = moment.chords
    if chord is None or after is None or heard.tritone(chord, after) is None:
        return None
    found = heard.leading_tone(chord, after)
    return f"{found[0].unicode} and {found[1].unicode}" if found else None


def _name(chord: Chord | None) -> str:
    return chord.unicode if chord is not None else "silence"


def tempi(played: Played) -> str:
    """Return the tempi at which a loop of a level is practised, in words."""
    return rescue.said_tempi(played.level.tempo, played.arrangement.tune.meter)


def breaking(played: Sequence[Played]) -> Iterator[Activity]:
    """Yield the two changes that will break down, each with its rescue."""
    hard = list(_hardest(played))
    if hard:
        lines = [_hard_line(one, level) for one, level in hard]
        lines.append(f"Each as a loop of two bars at {tempi(hard[0][1])}.")
        yield Activity("The changes that will break down", _HARD, tuple(lines))


def _hardest(played: Sequence[Played]) -> Iterator[tuple[rescue.Hard, Played]]:
    """Yield the two hardest changes, of the first level's first: they are what all play."""
    found: dict[tuple[str, str], tuple[rescue.Hard, Played]] = {}
    for one in played:
        for hard in rescue.hard_changes(one.arrangement, one.level.tempo):
            found.setdefault(hard.names, (hard, one))
    yield from list(found.values())[:2]


def _fingers(change: Change) -> str:
    """Return what the fingers do in a change, in short where all of them leave their place."""
    away = [move for move in change.moves if move.what in (CROSSES, LIFTS, LANDS)]
    if len(change.fingers(LANDS)) == len(change.moves) > _FEW:
        return f"{number(len(change.moves))} fingers land together"
    if len(away) == len(change.moves) > _FEW:
        return "no finger stays where it is"
    return fingers_said(change)


def _hard_line(hard: rescue.Hard, played: Played) -> str:
    before, after = hard.names
    shapes = [step.voicing.digits if step.voicing else "" for step in (hard.before, hard.after)]
    line = (
        f"**{before} {shapes[0]} to {after} {shapes[1]}**, *{played.level.name}*, bar {hard.bar}: "
        f"{_fingers(hard.change)}."
    )
    if hard.rescue is not None:
        chord, grip = hard.rescue
        said = f"{chord.unicode} as {grip.digits}", rescue.left_out(chord, grip)
        return f"{line} Rescue: {', '.join(filter(None, said))}."
    return f"{line} Rescue: one strum on the first beat, and the rest of the bar to move."


def after(lesson: Lesson, played: Sequence[Played]) -> Iterator[Activity]:
    """Yield what a meeting ends with: pairs, halves, silence, a question, practice at home."""
    if (asked := _asked_in_pairs(played)) is not None:
        yield Activity("In pairs", _PAIRS, asked)
    yield Activity("Half and half", _HALVES, tuple(_halves(played)))
    yield Activity("Silence", _SILENCE, tuple(_silence(lesson)))
    if (closing := _closing(lesson, played)) is not None:
        yield Activity("One question to close", _CLOSING, closing)
    if played:
        yield Activity("Practice at home", _HOME, tuple(_at_home(lesson, played)))


def _asked_in_pairs(played: Sequence[Played]) -> tuple[str, ...] | None:
    """Return a question that is answered on the instrument: which strings change, and how."""
    found: list[tuple[int, bool, int, Step, Step, list[tuple[int, int | None, int | None]]]] = []
    for one in played:
        steps = [s for s in one.arrangement.steps if s.chord and s.voicing and not s.alone]
        for before, after in pairwise(steps):
            if before.voicing and after.voicing and before.chord != after.chord:
                pairs = zip(before.voicing.frets, after.voicing.frets, strict=True)
                moved = [(n, a, b) for n, (a, b) in enumerate(pairs) if a != b]
                if moved:
                    found.append((len(moved), not after.added, len(found), before, after, moved))
    if not found:
        return None
    _, _, _, before, after, moved = min(found, key=lambda one: one[:3])
    names = string_names(played[0].arrangement.instrument)
    said = [f"the {names[n]} from {_fret(a)} to {_fret(b)}" for n, a, b in moved]
    many = "string changes" if len(moved) == 1 else "strings change"
    return (
        f"One plays {_name(before.chord)} {before.voicing and before.voicing.digits}, the other "
        f"looks away and finds {_name(after.chord)} by ear. Which {many}, and how?",
        f"Answer: {join_words(said)}; {after.voicing and after.voicing.digits}.",
    )


def _fret(fret: int | None) -> str:
    return "silent" if fret is None else f"fret {fret}" if fret else "open"


def _halves(played: Sequence[Played]) -> Iterator[str]:
    """Yield how half the class holds while half moves, by what sounds together."""
    plain = next((one for one in played if not one.arrangement.added), None)
    moving = [one for one in played if one is not plain and not one.arrangement.choruses]
    if plain is None or not moving:
        yield "Half the class holds the first chord of each bar; the other half plays. Then swap."
        return
    fits = [one for one in moving if not rubs_between(plain.arrangement, one.arrangement)]
    other = (fits or moving)[0]
    yield f"Half the class plays *{plain.level.name}*, half *{other.level.name}*; then swap."
    if fits:
        yield "Both halves sound good together in every bar."
    else:
        yield " ".join(said_together((plain.arrangement, other.arrangement)))


def _silence(lesson: Lesson) -> Iterator[str]:
    way = lesson.played[0].arrangement
    numbers = [number for number, begins in printed_numbers(way) if begins]
    if len(numbers) >= 8:
        yield (
            f"All play. In bars {numbers[4]} to {numbers[7]} nobody plays and everybody counts; "
            f"{f'come in together in bar {numbers[8]}' if len(numbers) > 8 else 'begin again'}."
        )
    yield "Then hands off the strings: listen once, and raise a hand where a chord surprises you."


def _closing(lesson: Lesson, played: Sequence[Played]) -> tuple[str, ...] | None:
    """Return a question with its answer, on another chord than the class began with."""
    first = first_moment(lesson, played)
    for one in reversed(played):
        for moment in reversed(heard.moments(one.arrangement)):
            told = heard.rising_said(moment)
            if first is not None and moment.step.chord == first[1].step.chord:
                continue
            if told:
                return (
                    f"In bar {moment.bars[0]} of *{one.level.name}*: which note of "
                    f"{_name(moment.step.chord)} rises to the root of {_name(moment.after.chord)}?",
                    f"Answer: {told}",
                )
    return None


def _at_home(lesson: Lesson, played: Sequence[Played]) -> Iterator[str]:
    hard = next(_hardest(played), None)
    if hard is not None:
        before, after = (
            f"{name} {step.voicing.digits}" if step.voicing else name
            for name, step in zip(hard[0].names, (hard[0].before, hard[0].after), strict=True)
        )
        slow = rescue.slowest(hard[1].level.tempo, hard[1].arrangement.tune.meter)
        yield f"1. {before} to {after}, four strums each, at {slow}: ten times, cleanly."
    sound = sound_of(lesson, played[0])
    along = f" with {sound}" if sound else ""
    name = f"*{played[0].level.name}*"
    yield f"{'2' if hard else '1'}. {name} once through{along}, humming the roots."
