"""What a chord symbol says: a root, degrees and a bass; degrees made of the roles of its pieces.

The degrees are put together here alone, in one order: the triad of the kind, the seventh, the
stack of thirds, alterations in the place of natural degrees, omissions, additions.
"""

from collections.abc import Iterable
from functools import lru_cache

from harmonykit.errors import wrong_kind
from harmonykit.theory.degree import Degree
from harmonykit.theory.note import Note
from harmonykit.theory.symbols import quality, sort
from harmonykit.theory.symbols.dialect import Dialect
from harmonykit.theory.symbols.tokens import OCTAVE_UP, STACK, Misfit, Roles, Token
from harmonykit.values import dataclass

_SEVENTH_ALTER = {"dim": -2, "half": -1}
_FOURTH, _SECOND = Degree(4), Degree(2)


@dataclass(frozen=True, slots=True)
class Built:
    """Degrees, and what schools read otherwise.

    Examples
    --------
    >>> build_degrees([Token("minus", "-", 0), Token("number", "9", 1)], Dialect()).doubts
    ('-9 after the root is read as a minor ninth chord; some mean 7b9',)
    """

    degrees: tuple[Degree, ...]
    doubts: tuple[str, ...]


def build_degrees(tokens: Iterable[Token], dialect: Dialect) -> Built:
    """Return the degrees that the tokens of one symbol say.

    Raises
    ------
    Misfit
        Where two tokens contradict each other.

    Examples
    --------
    >>> built = build_degrees([Token("min", "m", 0), Token("number", "7", 1)], Dialect())
    >>> [degree.name for degree in built.degrees]
    ['1', 'b3', '5', 'b7']
    """
    roles = sort.sort_roles(tokens, dialect)
    return _Builder(roles, dialect).build()


@dataclass(slots=True)
class _Builder:
    roles: Roles
    dialect: Dialect

    def build(self) -> Built:
        roles = self.roles
        if roles.alt:
            found = set(quality.ALT)
        else:
            upper = self._upper()  # first: what it says of an eleventh suspends the third
            found = self._alter(self._triad() | upper)
        found = self._omit(found) | roles.added
        return Built(tuple(sorted(found)), tuple(dict.fromkeys(roles.doubts)))

    def _doubt(self, name: str) -> str:
        return self.roles.doubt(self.dialect, name)

    def _triad(self) -> set[Degree]:
        roles = self.roles
        third = {Degree(3, -1 if roles.minor_third else 0)}
        if roles.suspended or (roles.number == "5" and not roles.kind):
            third = set(roles.suspended)
        return {Degree(1), *third, *(Degree(5, alter) for alter in roles.fifths or {0})}

    def _upper(self) -> set[Degree]:
        seventh = self._seventh()
        if seventh is None:
            seventh = self._seventh_under_tensions()
        upper = set() if seventh is None else {Degree(7, seventh)}
        if self.roles.sevenths:
            upper |= {Degree(7), Degree(7, -2)}
        if self.roles.number in ("6", "69"):
            return upper | {Degree(6)} | ({Degree(9)} if self.roles.number == "69" else set())
        return upper | self._stacked()

    def _seventh(self) -> int | None:
        """Return the seventh's alteration, or None where there is no seventh."""
        roles = self.roles
        if roles.seventh is not None:
            return roles.seventh
        if roles.number in STACK:
            if roles.nine_added:
                return None
            return 0 if roles.major else _SEVENTH_ALTER.get(roles.kind, -1)
        return None if roles.number else self._seventh_unsaid()

    def _seventh_unsaid(self) -> int | None:
        """Return the seventh of a symbol that has no number."""
        roles = self.roles
        if roles.triangle and roles.kind == "maj":
            return 0 if self._doubt("triangle") == "major seventh" else None
        if roles.major and roles.kind != "maj":
            return 0
        if roles.kind in ("half", "dom"):
            return -1
        if roles.kind == "dim":
            return -2 if self._doubt("dim") == "seventh" else None
        return None

    def _seventh_under_tensions(self) -> int | None:
        """Return the seventh that some understand below altered tensions: ``G(b9)``."""
        roles = self.roles
        tensions = any(d.number in (9, 11, 13) for d in roles.altered)
        if not tensions or roles.number in ("6", "69") or _has_seventh(roles.added):
            return None
        setting = self._doubt("tension")
        if setting == "added":
            return None
        return 0 if roles.major else _SEVENTH_ALTER.get(roles.kind, -1)

    def _stacked(self) -> set[Degree]:
        roles = self.roles
        numbers = set() if roles.nine_added else set(STACK.get(roles.number, ()))
        if roles.nine_added:
            numbers.add(9)
        ninth_altered = any(d.number == 9 for d in roles.altered)
        # 13 with an altered ninth names the ninth and the thirteenth, not the stack between them;
        # and a flat fifth beside a third, or a second in its place, stands where an eleventh would.
        flat_five = -1 in roles.fifths and not roles.minor_third
        if roles.number == "13" and (ninth_altered or flat_five or roles.suspended == {_SECOND}):
            numbers.discard(11)
        self._doubt_stack(numbers)
        numbers -= {OCTAVE_UP[degree.number] for degree in roles.suspended}
        return {Degree(number) for number in numbers}

    def _doubt_stack(self, numbers: set[int]) -> None:
        roles = self.roles
        if 11 not in numbers or roles.suspended or roles.minor_third:
            return
        if any(d.number == 11 for d in roles.altered):
            return
        setting = self._doubt("eleven" if roles.number == "11" else "thirteen")
        if setting == "suspended":
            roles.suspended.add(_FOURTH)
        if setting == "without eleventh":
            numbers.discard(11)

    def _alter(self, found: set[Degree]) -> set[Degree]:
        """Put altered degrees in, each in the place of the natural one of its number."""
        altered = self.roles.altered
        if not altered:
            return found
        numbers = {d.number for d in altered}
        return {d for d in found if d.number not in numbers} | altered

    def _omit(self, found: set[Degree]) -> set[Degree]:
        """Leave degrees out; only what the chord has can be left out."""
        omitted = self.roles.omitted
        if not omitted:
            return found
        here = {d.number for d in found}
        # A suspension and a bare fifth have no third already; saying so is usual.
        unsaid = {3} if self.roles.suspended or self.roles.number == "5" else set()
        if 11 in omitted and self.roles.number == "13":
            unsaid.add(11)
        for number, column in omitted.items():
            if number not in here | unsaid:
                raise Misfit(column, f"the chord has no {number} to leave out")
        return {d for d in found if d.number not in omitted}


def _has_seventh(degrees: set[Degree]) -> bool:
    return any(degree.number == 7 for degree in degrees)


_BESIDE_A_THIRD = {2: 9, 4: 11}
# What a note above a root is called beside the lower chord's own tones; a ninth of each kind, an
# eleventh, a thirteenth, and what the lower chord lacks of fifth and seventh.
_TENSIONS = {
    1: Degree(9, -1), 2: Degree(9), 3: Degree(9, 1), 4: Degree(3), 5: Degree(11),
    6: Degree(11, 1), 7: Degree(5), 8: Degree(13, -1), 9: Degree(13), 10: Degree(7, -1),
    11: Degree(7),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Said:
    """A root, spelled degrees over it, and a bass; ``Chord`` adds what follows from them.

    Parameters
    ----------
    root : Note
        Without an octave.
    degrees : tuple of Degree
        Ordered by number; each once.
    bass : Note
        The root unless another is asked for.
    """

    root: Note
    degrees: tuple[Degree, ...]
    bass: Note

    def __post_init__(self) -> None:
        if not isinstance(self.root, Note) or not isinstance(self.bass, Note):
            wrong = self.bass if isinstance(self.root, Note) else self.root
            raise wrong_kind(wrong, "root and bass must be notes", 'Chord.parse("C/E")')
        try:
            degrees = in_order(tuple(self.degrees))
        except (AttributeError, TypeError):
            mend = 'degrees("1 3 5"), or Chord.parse("C")'
            raise wrong_kind(self.degrees, "the degrees of a chord", mend) from None
        object.__setattr__(self, "root", self.root.at(None))
        object.__setattr__(self, "degrees", degrees)
        object.__setattr__(self, "bass", self.bass.at(None))


@lru_cache(maxsize=2048)
def in_order(found: tuple[Degree, ...]) -> tuple[Degree, ...]:
    """Return degrees by number, each once; beside a third, 2 is a ninth and 4 an eleventh.

    Examples
    --------
    >>> [degree.name for degree in in_order((Degree(4), Degree(3), Degree(1)))]
    ['1', '3', '11']
    """
    degrees = set(found)
    if any(degree.number == 3 for degree in degrees):
        degrees = {Degree(_BESIDE_A_THIRD.get(d.number, d.number), d.alter) for d in degrees}
    return tuple(sorted(degrees))


def over_chord(upper: Said, lower: Said) -> Said | None:
    """Return the lower chord with the upper one's notes as tensions.

    Parameters
    ----------
    upper, lower : Said
        A bass of the upper chord is one of its notes.

    Returns
    -------
    Said or None
        On the lower root and bass; None where the upper chord has a third, a fifth or a seventh
        beside another one of the lower chord.

    Examples
    --------
    >>> from harmonykit.theory.chord import Chord
    >>> both = over_chord(Chord.parse("D"), Chord.parse("C7"))
    >>> [degree.name for degree in both.degrees]
    ['1', '3', '5', 'b7', '9', '#11', '13']
    >>> over_chord(Chord.parse("E"), Chord.parse("Cm")) is None
    True
    """
    here = {degree.pitch_class for degree in lower.degrees}
    numbers = {degree.number for degree in lower.degrees}
    found = set(lower.degrees)
    notes = (*(degree.over(upper.root) for degree in upper.degrees), upper.bass)
    tones = {note.pitch_class for note in notes}
    for above in sorted((tone - lower.root.pitch_class) % 12 for tone in tones):
        if above in here or above == 0:
            continue
        degree = _TENSIONS[above]
        if degree.number in numbers & {3, 5, 7}:
            return None
        found.add(degree)
        numbers.add(degree.number)
    return Said(lower.root, tuple(found), lower.bass)
