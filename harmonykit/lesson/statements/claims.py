"""What a lesson's text claims in its author's own words, and which statement would prove it.

Prose is read, not understood: a clause that asserts something and has a number with what is
counted, a quantifier, notes or chords, or the name of a set class is a *claim*.  Questions and
requests are not, nor is what a statement beside it proves, nor a number that a call put in.  A
claim is marked and listed, and stops nothing.  (English alone.)
"""

import re
from collections.abc import Iterator, Set

from harmonykit.errors import attempt
from harmonykit.ideas.laws import KINDS
from harmonykit.lesson.plan.model import Lesson, Text
from harmonykit.lesson.statements import sentences, sounding
from harmonykit.lesson.statements.kinds import call_text, synonym
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass
from harmonykit.words.numbers import NUMBERS

SAID = "said by the teacher, not proved"

_PITCH = re.compile(
    r"(?<![\w♯♭/-])[A-G][♯♭#b]?(?:/[A-G][♯♭]?|[\w♯♭°ø+#]*(?:\([\w♯♭#,]+\))?(?:/[A-G][♯♭]?)?)"
    r"(?![\w♯♭])"
)
_ARTICLE = re.compile(r" (?!(?:and|or|to|is|in|falls|rises|stays)\b)[a-z]")
_NUMBER = "|".join(NUMBERS[2:])
_THINGS = (
    r"(?:notes?|tones?|chords?|dominants?|sevenths?|sixths?|triads?|voices?|strings?|fingers?"
    r"|shapes?|grips?|frets?|roots?|thirds?|fifths?|keys?|scales?|steps?|semitones?|names?|kinds?"
    r"|places?|bass(?:es)?|targets?|transpositions?|inversions?|changes?|bars?)"
)
_COUNT = re.compile(
    rf"\b(?P<n>{_NUMBER}|\d+) (?:(?:[\w-]+ ){{0,2}}?(?P<what>{_THINGS})|of (?:them|these|those))\b",
    re.I,
)
_QUANTIFIER = re.compile(
    rf"\b(?:every|each|all|any|no|none|most|neither|both|only)\b(?: [\w♯♭°-]+){{0,3}}? {_THINGS}\b"
    r"|\b(?:each|all|none|most|neither|both|any|every one) of (?:them|these|those|the|its|your)\b"
    r"|\b(?:always|never)\b|\b(?:exactly|just|only) one\b|\bOnly (?=[A-G](?:[♯♭\d]|\b))",
    re.I,
)
_SET_CLASS = re.compile(r"(?<![\d-])\d{1,2}-Z?\d{1,2}(?![\d-])")
_TERM = re.compile(
    r"\b(?:root|third|fifth|sixth|seventh|ninth|bass|tonic|dominant|diminished|augmented"
    r"|half[- ]diminished|half[- ]step|whole[- ]step|semitone|tritone|octave|inversion|scale"
    r"|leading note|same notes|chord tones?)s?\b",
    re.I,
)
_APART = re.compile(
    r"\b(?:half step|whole step|semitones?|tritone|third|fourth|fifth|sixth|seventh|octave) "
    r"(?:above|below|away|apart|higher|lower)\b",
    re.I,
)
_MAKES = re.compile(
    r"\b(?:is|are|gives?|becomes?|leaves?|makes?) (?:again |now |a |an |just )*[A-G](?:[♯♭\d]|\b)"
)
_ASSERTS = re.compile(
    r"\b(?:is|are|has|have|holds?|contains?|gives?|becomes?|leaves?|makes?|resolves?|leads?|goes"
    r"|go|stands?|shares?|belongs?|falls?|rises?|moves?|stays?|sounds?|lies|lie|needs?|changes?"
    r"|lasts?|replaces?|alternates?|keeps?|differs?|serves?|fits?|comes?|repeats?|turns?|adds?"
    r"|takes?|cannot)\b"
)
# Who does something in class: what is said of them is no claim about notes.
_NOT_SAID = re.compile(
    r"\b(?:you|we|I|let us|(?:[Ee]ach|[Ee]very|[Oo]ne|[Aa]nother) (?:group|half|pair|player|pupil)"
    r"|(?:[Ee]very|[Ss]ome|[Nn]o)(?:body|one)|[Pp]layers|the class|teachers?|neighbours?)\b"
)
_ASKS = frozenset(
    "add answer ask be begin call change check choose clap close compare count cover decide do "
    "draw feel find finger fret get give go hear hold hum keep know lay lead learn leave let lift "
    "listen look lower make mark move name notice open pick play pluck practise press put raise "
    "read remember repeat return say see set show sing slide start stay stop strum swap take tap "
    "tell think try turn use wait walk watch write".split()
)
_FIRST = re.compile(
    r"^(?:(?:now|then|next|first|so|and|but|or|just|here|again|there|if you like|please"
    r"|once more),? )+",
    re.I,
)
_BEFORE_IT = re.compile(
    r"^(?:over|under|in|on|at|after|before|while|where|when|with|for|if)\b[^,]*, ", re.I
)
_PARTS = re.compile(
    r"[;:–—]\s|, (?=and |but |so |which |yet |or )"
    r"|(?<=\w) and (?=(?:it|that|this|they) )|(?<=\w), (?=(?:it|that|this)\b)"
)
_DENIES = re.compile(r"\b(?:not|no|none|never|neither|nor|nothing|cannot)\b|n['’]t\b", re.I)
_OF_ALL = re.compile(r"\b(?:every|each|all|any|no|none|most|some|exactly|only|both)\b", re.I)
_DEGREE = re.compile(r"\b(?:root|third|fifth|seventh|ninth)\b", re.I)


@dataclass(frozen=True, slots=True)
class Claim:
    """A sentence that claims something which no statement proves.

    Parameters
    ----------
    sentence : Sentence
    call : str
        The nearest statement, as it is typed.
    """

    sentence: sentences.Sentence
    call: str

    @property
    def note(self) -> str:
        """What its author is told."""
        return f"{SAID}; try {{{{ {self.call} }}}}"


def claims_of(lesson: Lesson) -> tuple[Claim, ...]:
    """Return what a lesson's text claims in its author's own words, in order."""
    found, ways = [], enumerate(lesson.played, 1)
    adding = next((number for number, one in ways if one.arrangement.added), 0)
    for one in sentences.sentences_of(lesson):
        if one.fact is None and one.turned is None:
            clause = claim_in(one.text, one.put_in)
            if clause and not _is_covered(clause, one, lesson):
                call = nearest(clause, lesson.front.shape_chord.symbol, adding)
                found.append(Claim(one, call))
    return tuple(found)


def told_of(lesson: Lesson) -> Iterator[str]:
    """Yield a line that says how many claims are not proved; nothing where there are none."""
    if found := claims_of(lesson):
        first = found[0]
        what = "1 sentence rests" if len(found) == 1 else f"{len(found)} sentences rest"
        each = "it" if len(found) == 1 else "each"
        yield (
            f"{what} on the author's word: facts.csv has what would prove {each}, "
            f"such as {{{{ {first.call} }}}} in line {first.sentence.line}"
        )


def marked_in(lesson: Lesson, block: Text, claimed: Set[str]) -> str:
    """Return a text of a lesson with a mark behind what is proved, a light one behind claims.

    ``claimed`` are the sentences of the lesson that claim something.
    """
    titles = (s.title for s in lesson.sections if any(each is block for each in s.blocks))
    facts = () if sentences.denies(next(titles, "")) else lesson.facts
    return sentences.marked(block.markdown, facts, claimed)


def claim_in(sentence: str, put_in: tuple[str, ...] = ()) -> str:
    """Return the first clause of a sentence that claims something; empty where none does.

    Examples
    --------
    >>> claim_in("Play C6, and all four notes of it are in Am7.")
    'all four notes of it are in Am7.'
    >>> claim_in("Which two notes do they share?"), claim_in("Play all four notes.")
    ('', '')
    """
    if sentence.rstrip("\"”’')*_ ").endswith(("?", ":")):
        return ""
    return next((clause for clause in _clauses(sentence) if _claims(clause, put_in)), "")


def _clauses(sentence: str) -> Iterator[str]:
    for part in _PARTS.split(sentence):
        yield re.sub(r"^(?:and|but|so|which|yet|or) ", "", part.strip())


def _claims(clause: str, put_in: tuple[str, ...]) -> bool:
    plain = _BEFORE_IT.sub("", _FIRST.sub("", clause))
    plain = _FIRST.sub("", plain)
    first = re.match(r"[\w']+", plain)
    if first is None or first[0].lower() in _ASKS or _NOT_SAID.search(plain):
        return False
    if not _ASSERTS.search(clause):
        return False
    found = [m for m in _COUNT.finditer(clause) if m["n"] not in put_in]
    named = pitches(clause)
    return bool(
        [one for one in found if not _is_place(clause, one)]
        or any(each.search(clause) for each in (_QUANTIFIER, _SET_CLASS, _APART, _MAKES))
        or len(named) > 1
        or (named and _TERM.search(clause))
        or len({each.lower() for each in _DEGREE.findall(clause)}) > 1
    )


def _is_place(clause: str, found: re.Match[str]) -> bool:
    """Whether a number names something rather than counts it: bar 4, level 2, fret 5."""
    before = clause[: found.start()].split()[-1:]
    return bool(before) and before[0].lower().rstrip("s") in ("bar", "level", "fret", "cue", "step")


def pitches(text: str) -> list[str]:
    """Return the chords and notes that a text names, each once, as they are typed.

    Examples
    --------
    >>> pitches("A chord such as C♯°7 goes to D, or from A to B♭m7.")
    ['C#dim7', 'D', 'A', 'Bbm7']
    """
    found: dict[str, None] = {}
    for match in _PITCH.finditer(text):
        word = match[0]
        after = text[match.end() :]
        article = word == "A" and _ARTICLE.match(after)
        if not article and (chord := attempt(Chord.parse, word)):
            found[chord.symbol] = None
    return list(found)


def _is_covered(clause: str, sentence: sentences.Sentence, lesson: Lesson) -> bool:
    """Whether a statement beside a claim names all that it names, and denies or counts as it does.

    One that is silent was put there for it: it covers a claim that names nothing, too.
    """
    wanted = {*pitches(clause), *_numbers(clause)}
    for fact in lesson.facts:
        if abs(fact.line - sentence.line) > 1 or _turns(clause) != _turns(fact.sentence):
            continue
        if _QUANTIFIER.search(clause) and not _OF_ALL.search(fact.sentence):
            continue
        there = {*pitches(told := f"{fact.sentence} {fact.proof}"), *_numbers(told)}
        if wanted <= there and (wanted or (fact.silent and fact.line == sentence.line)):
            return True
    return False


def _turns(text: str) -> bool:
    return _DENIES.search(text) is not None


def _numbers(text: str) -> set[str]:
    words = {str(n): word for n, word in enumerate(NUMBERS)}
    found = re.findall(rf"\b(?:{_NUMBER}|\d+)\b", text.lower())
    return {words.get(each, each) for each in found}


def nearest(clause: str, chord: str = "C6", adding: int = 1) -> str:
    """Return the call of the statement nearest to a claim, about ``chord`` if none is named.

    ``adding`` is the first level that adds chords; of none nothing is stated where it is 0.

    Examples
    --------
    >>> nearest("C6 and Am7 have the same notes")
    'same_notes("C6", "Am7")'
    >>> nearest("B°7 resolves to C"), nearest("There are three diminished sevenths.")
    ('resolves_to("Bdim7", "C")', 'exactly("diminished seventh", 3)')
    """
    named, low = pitches(clause), clause.lower()
    chords = [each for each in named if len(each.rstrip("b#")) > 1]
    notes = [each for each in named if each not in chords]
    if set_name := _SET_CLASS.search(clause):
        return call_text("set_class", (named or [chord])[0], set_name[0])
    if "melody" in low and named:
        return call_text("melody_over", named[0])
    if len(named) > 1 and re.search(r"\bresolve|\bleads? to|\bgoes (?:on )?to|dominant of", low):
        return call_text("resolves_to", named[0], Chord.parse(named[1]).root.name)
    if len(chords) > 1:
        return _of_two(low, chords[0], chords[1], notes)
    if notes and (chords or len(notes) > 1):
        if "bass" in low or "lowest" in low:
            return call_text("lowest", (chords or [chord])[0], notes[0])
        return call_text("holds", (chords or [chord])[0], *notes)
    return _of_one(low, named, chord, adding)


def _of_two(low: str, first: str, second: str, notes: list[str]) -> str:
    for about, name in _OF_TWO.items():
        if re.search(about, low):
            return call_text(name, first, second, *(notes if name == "common_notes" else ()))
    return call_text("same_notes", first, second)


_OF_TWO = {
    r"\bshare|in common|\bkeeps?\b|\bboth\b": "common_notes",
    r"becomes?|turns? into|\bgives?|leaves?|is left|\braise|\blower": "turns_into",
    r"contains?|\bholds?\b|part of|inside": "contains",
    r"takes? turns|alternat": "alternates",
}
_OF_VOICES = 'most("changes of level 1", "keeps strings", 1)'
# What a clause is about, and the statement offered for it; "{n}" is its number, "{kind}" its kind,
# "{adding}" the first level that adds chords.
_OFFERS = {
    r"third and (?:the )?seventh": 'always("tritone pairs")',
    r"lower.*dominant|dominants?.*lower|gives? a dominant": 'always("lowering")',
    r"rais.*minor sixth|minor sixth.*rais": 'always("raising")',
    r"strings?.*\b(?:stay|move)": "strings_stay(1, {n})",
    r"fingers?.*\b(?:stay|move)": 'most("fingers of level 1", "stays")',
    r"\bfret": 'none("shapes of level 1", "goes past fret", {n})',
    r"(?:leads?|resolves?) to": 'exactly("places", {n})',
    r"half step": 'every("added chords of level {adding}", "lies a half step below what follows")',
    r"\badded|\bbars": "added({adding})",
    r"of the tune": 'some("chords of the tune", "is", "{kind}")',
    r"\bscale": 'alternates("C6", "Bdim7")',
    r"\bvoices?": _OF_VOICES,
    r"\bstrings?": 'strings_move("2213", "2212")',
}


def _of_one(low: str, named: list[str], chord: str, adding: int) -> str:
    count, fret = _COUNT.search(low), re.search(r"\bfret (\d+)", low)
    number = _value(count["n"]) if count else int(fret[1]) if fret else 3
    for each in _COUNT.finditer(low):
        for one, many in KINDS.values():
            if low[each.start("n") :].startswith((f"{each['n']} {many}", f"{each['n']} {one}")):
                return call_text("exactly", one, _value(each["n"]))
    kind = next((one for one, many in KINDS.values() if many in low or one in low), "")
    if count and (count["what"] or "").startswith("note") and "scale" not in low:
        return call_text("how_many_notes", (named or [chord])[0], number)
    other = synonym(sounding.heard(chord))
    if re.search(r"\bnames?\b", low) and other and Chord.parse(other).quality in KINDS:
        return call_text("same_notes", chord, other)
    for about, offer in _OFFERS.items():
        if re.search(about, low):
            offered = offer if adding or "{adding}" not in offer else _OF_VOICES
            return offered.format(n=number, kind=kind or "dominant seventh", adding=adding)
    if named and named[0] != chord and re.search(r"\b(?:gives?|becomes?|leaves?|makes?)\b", low):
        return call_text("turns_into", chord, named[0])
    if named:
        lost = re.search(r" without its (\w+)", low)
        told = f"{named[0]} without its {lost[1]}" if lost else named[0]
        return call_text("contains", told, kind) if kind else call_text("bars_of", named[0])
    return call_text("every", kind or "dominant seventh", "contains", "tritone")


def _value(word: str) -> int:
    return int(word) if word.isdigit() else NUMBERS.index(word.lower())
