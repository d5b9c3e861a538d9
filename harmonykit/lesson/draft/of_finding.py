"""From a finding to the draft of a lesson: an idea file of its own, and a lesson on a tune from it.

The question is asked in words that give nothing away; the finding's statement is the answer, with
each chord in a call, so that it is right in whatever key the tune is.  What is said of frets is
left out: the draft finds the shapes for the instrument and the tune.
"""

import re
from collections.abc import Iterator
from pathlib import Path

from harmonykit.errors import HarmonyError, attempt
from harmonykit.files.file import write_new
from harmonykit.files.toml import toml_string, toml_strings
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.ideas.becomes import becomes
from harmonykit.ideas.finding import Finding, Teach
from harmonykit.ideas.source import as_source
from harmonykit.lesson.draft.writing import write_draft
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements.stated import statements_of
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune

ASKED = {
    "turns into": ("One note moves", "What does the chord become when one of its notes moves?"),
    "resolves": (
        "Where the chord goes",
        "Where does the chord resolve, and which voices lead there?",
    ),
    "tritone pairs": (
        "Two dominants, the same third and seventh",
        "Which other dominant has the same third and seventh?",
    ),
    "kin": ("Three triads, two notes kept", "Which triads keep two notes of this one?"),
    "same notes": (
        "One grip, several names",
        "What else is this grip called, and what decides its name?",
    ),
    "nearest of its kind": ("The nearest of its kind", "Which other one is nearest?"),
    "how many": ("Fewer than twelve", "How many different transpositions are there?"),
    "paths": (
        "One note at a time",
        "Which chords lie between it and the same chord a half step up?",
    ),
    "alternates": (
        "Two chords that alternate",
        "Which chord has the notes between those of the first?",
    ),
    "twelve notes": ("Twelve notes, three chords", "Can three chords have all twelve notes?"),
    "within": ("Where the chord belongs", "In which keys and larger chords is it found?"),
    "how even": ("Spread evenly", "How evenly are the notes spread?"),
    "contains": ("What the scale holds", "Which chords are in the scale?"),
    "every other note": ("Every other note", "What chord does every other note of the scale give?"),
    "left over": ("What is left out", "What are the notes that the scale leaves out?"),
    "on the strings": ("One shape along the neck", "What sounds when the shape moves up the neck?"),
    "in the hand": ("The shortest way", "How far does each finger move to the next chord?"),
    "in music": ("What comes next", "Which chord follows in most tunes?"),
}
"""Of each kind of finding: the lesson's title, and its question."""
_LISTEN = {
    "top": "Listen to the highest voice.",
    "bass": "Listen to the bass.",
    "inner": "Listen for the inner voice that moves.",
}
# The moves by which a finding comes into a tune.
_MOVES = {"tritone pairs": ("tritone substitution",), "same notes": ("chord synonym",)}
_MOVES_OF = {
    "dim7": ("rootless dominant", "leading-tone diminished"),
    "m6": ("rootless ninth",),
    "m7b5": ("rootless ninth",),
}
_MOST_STATED = 4
_SYMBOL = re.compile(r"(?<![A-Za-z♭♯])[A-G][♭♯𝄫]*(?:[a-z°ø+]*[0-9♭♯+()°,/]*)*")
_SIGNS = {"♭": "b", "♯": "#", "𝄫": "bb", "°": "dim"}


def idea_of(finding: Finding, *, levels: bool = True, place: str = "") -> str:
    """Return an idea file about a finding.

    Parameters
    ----------
    finding : Finding
    levels : bool
        Whether it has levels for the moves by which the finding comes into a tune.
    place : str
        The chord at which it stands in a tune.

    Returns
    -------
    str

    Examples
    --------
    >>> finding = next(f for f in hk.discover("Bdim7") if "lowered" in f.statement)
    >>> idea_of(finding).splitlines()[1]
    'title = "One note moves"'
    """
    title, question = ASKED[finding.kind]
    said = {
        "title": title,
        "question": question,
        "about": _answer(finding.statement),
        **_change(finding.teach),
        "place": place,
        "hear": _LISTEN.get(finding.hearing.voice, ""),
    }
    lines = ["format = 1", *(f"{key} = {toml_string(text)}" for key, text in said.items() if text)]
    if said.get("change"):
        lines.append(f"figures = {toml_strings(['change', 'clock'])}")
    if stated := statements_of(finding)[:_MOST_STATED]:
        lines.append(f"statements = {toml_strings(list(stated))}")
    for move in _moves(finding) if levels else ():
        lines += ["", "[[levels]]", f"moves = {toml_strings([move])}"]
    return "\n".join([*lines, ""])


def _change(teach: Teach) -> dict[str, str]:
    """Return source, change and target, without what nothing comes of."""
    try:
        source = as_source(teach.source, None)
        becomes(source, teach.change, teach.target)
    except HarmonyError:
        return {"source": teach.source}
    return {"source": teach.source, "change": teach.change, "target": teach.target}


def _moves(finding: Finding) -> tuple[str, ...]:
    try:
        quality = Chord.parse(finding.teach.source).quality
    except HarmonyError:
        quality = ""
    return _MOVES.get(finding.kind, _MOVES_OF.get(quality, ()))


def _answer(statement: str) -> str:
    """Return a statement with each chord in a call, and without what is said of frets.

    Examples
    --------
    >>> _answer("B7 and F♯m7♭5 differ. 1-2-1-2 plays one.")
    '{{ name("B7") }} and {{ name("F#m7b5") }} differ.'
    """
    sentences = re.split(r"(?<=\.) (?=[A-Z0-9])", statement)
    kept = [each for each in sentences if not re.search(r"\d+-\d+-", each)]
    return _SYMBOL.sub(_called, " ".join(kept))


def _called(found: re.Match[str]) -> str:
    shown = found[0].rstrip(",")
    typed = _typed(shown)
    if attempt(Chord.parse, typed) is None:
        return found[0]
    return f'{{{{ name("{typed}") }}}}{found[0][len(shown) :]}'


def _typed(shown: str) -> str:
    """Return a chord as it is typed that is shown with signs."""
    return "".join(_SIGNS.get(sign, sign) for sign in shown)


def write_lesson_of(
    finding: Finding, folder: Path, tune: Tune, tune_name: str, instrument: Instrument
) -> Path:
    """Write an idea file and the draft of a lesson about a finding.

    Parameters
    ----------
    finding : Finding
    folder : Path
        Where both files are put, under names that nothing has yet.
    tune : Tune
    tune_name : str
        The tune as the lesson names it: a shipped name, or a path.
    instrument : Instrument

    Returns
    -------
    Path
        The lesson's file.

    Raises
    ------
    HarmonyError
        If the draft cannot be made, or a file cannot be written.
    """
    stem = re.sub(r"[^a-z0-9]+", "-", ASKED[finding.kind][0].lower()).strip("-")
    count, named = 1, stem
    while any((folder / f"{named}{ending}").exists() for ending in (".md", ".toml")):
        count += 1
        named = f"{stem}-{count}"
    idea, lesson = folder / f"{named}.toml", folder / f"{named}.md"
    for text in _ideas(finding, tune):
        write_new(idea, text, LessonError)
        try:
            return write_draft(lesson, tune, tune_name, instrument, None, str(idea))
        except HarmonyError as error:
            idea.unlink()
            refused = error
    raise refused


def _ideas(finding: Finding, tune: Tune) -> Iterator[str]:
    """Yield idea files about a finding: by moves, as the tune offers, at a chord where it fits.

    The chord is one of the kind that stands there, on the root of what the idea starts from: the
    idea is moved to the tune's own.
    """
    yield idea_of(finding)
    yield idea_of(finding, levels=False)
    here = (spot.chord for spot in finding.spots if spot.tune == tune.title)
    for spot in dict.fromkeys(here):
        yield idea_of(finding, levels=False, place=_like(_typed(spot), finding.teach.source))


def _like(spot: str, source: str) -> str:
    """Return the symbol of a chord of a spot's kind on the root of a source, if it has one.

    Examples
    --------
    >>> _like("F6", "C+"), _like("F6", "half-whole")
    ('C6', 'F6')
    """
    chord = attempt(Chord.parse, source)
    return Chord.of(chord.root, Chord.parse(spot).quality).symbol if chord else spot
