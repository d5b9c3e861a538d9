"""The sections of a message in order: named, said to stand again, or sung to another verse."""

from collections.abc import Iterator, Sequence

from harmonykit.tune.text.pasted import again
from harmonykit.tune.text.pasted.cells import Cell
from harmonykit.tune.text.pasted.layout import Doubts, Part
from harmonykit.tune.text.pasted.lines import Line, is_known_name
from harmonykit.tune.text.pasted.lyrics import Above
from harmonykit.values import dataclass, field, replace
from harmonykit.words.numbers import counted

# How much longer or shorter a line of another verse may be.
_MOST_LONGER = 2


@dataclass(frozen=True, slots=True)
class Called:
    """A section as it is named in a message, in order; ``same`` where its bars are said to be.

    Parameters
    ----------
    part : Part
        What is gathered under the name; without cells where no bars follow it.
    like : str
        The section whose bars it has, where that is named.
    at : int
        Where it is named.
    """

    part: Part
    at: int
    times: int = 1
    like: str = ""
    same: bool = False


@dataclass(slots=True)
class Gathered:
    """The sections while they are gathered.

    Parameters
    ----------
    doubts : list of (str, int)
        What may be otherwise, and where.
    left_out : list of (str, int)
        Words that nothing is made of, and where.
    parts : list of Part
    called : list of Called
        Each section as often as it is named, in order.
    told : list of (str, int)
        What is played again, and where that is said.
    others : dict
        For each name without bars of its own the section that it has them of.
    """

    doubts: Doubts
    left_out: Doubts = field(default_factory=list)
    parts: list[Part] = field(default_factory=lambda: [Part("")])
    called: list[Called] = field(default_factory=list)
    told: Doubts = field(default_factory=list)
    others: dict[str, str] = field(default_factory=dict)

    @property
    def begun(self) -> bool:
        """Whether bars were read."""
        return any(part.cells for part in self.parts)

    @property
    def now(self) -> Part:
        """The part that is gathered."""
        return self.parts[-1]

    def add(self, cells: list[Cell], row: Above) -> None:
        """Add the bars of a row."""
        if self.now.repeated and not self.now.cells:
            self.parts.append(Part(self.now.name))
            self.called.append(Called(self.now, row.at))
        self.now.cells += cells
        self.now.rows.append(row)

    def begin(self, name: str, at: int, times: int = 1) -> None:
        """Begin a section."""
        same = [call for call in self.called if call.part.name.casefold() == name.casefold()]
        if same and same[-1].part is self.now and not self.now.cells:
            self.called[-1] = replace(same[-1], at=at, times=times)
            return
        self.parts.append(Part(same[-1].part.name if same else name, times=times))
        call = Called(self.now, at, times)
        bare = same and not same[-1].part.cells
        self.called.append(replace(same[-1], part=call.part, at=at, times=times) if bare else call)

    def take_again(self, said: again.Again, at: int, *, sung: bool = False) -> None:
        """Take a line that says what stands again; ``sung`` where it stands below words."""
        complete = bool(self.now.cells) or sung or any(call.same for call in self.called[-1:])
        if said.name:
            self.begin(said.name, at, said.times)
        elif said.like and complete:
            call = Called(Part(said.like), at, like=said.like)
            found = meant(call, self.parts)
            self.begin(found.name if found else said.like, at, said.times)
            self.now.repeated = True
        elif not self.called or self.now.cells:
            self.repeat(at, said.times)
            return
        call = self.called[-1]
        times = max(call.times, said.times)
        self.called[-1] = replace(call, like=said.like, same=True, times=times)

    def repeat(self, at: int, times: int = 1) -> None:
        """Let the section that stands here be played again, by signs where it has none."""
        part = self.now
        if not part.cells:
            self.doubts.append(("no bars are written above this: left out", at))
            return
        if part.repeated or not any(c.opens or c.closes or c.mark or c.signs for c in part.cells):
            part.cells[0].opens, part.repeated = True, True
            part.cells[-1].closes = max(part.cells[-1].closes, 1) + times
        else:
            self.parts.append(Part(part.name, repeated=True))
            self.called.append(Called(self.now, at, times, same=True))
        self.told.append((f"the bars of {part.name or 'the tune'}, played again", at))

    def another_verse(self, run: Sequence[Line], before: Line) -> bool:
        """Give lines of words to the bars of a verse that has words; return whether they fit."""
        part, at = self.now, run[0].at
        texts = [line.text for line in run]
        below = before.at + len(before.text) + 1 == at and before.kind not in ("name", "again")
        bare = bool(self.called) and not part.cells
        target = meant(self.called[-1], self.parts) if bare else part
        if below or target is None:
            return False
        rows = another_verse(target, texts, 1 if bare or before.kind == "again" else 2)
        if not rows:
            had = sum(bool(row.first) for row in target.rows)
            if had and (bare or before.kind == "again"):
                lines = f"{counted(len(run), 'line')} of words, and the verse before has {had}"
                self.doubts.append((f"{lines}: left out; type the chords above them", at))
            return False
        if not bare and before.kind != "again":
            self.repeat(at)
            what = "these words are taken as another verse, with the bars before played again"
            self.doubts.append((f"{what}; type # before them to leave them out", at))
        elif bare:
            self.called[-1] = replace(self.called[-1], same=True)
        for row, text in zip(rows, texts, strict=True):
            row.verse_more(text, passes(target, self.called, self.parts))
        return True

    def played(self, parts: Sequence[Part]) -> Iterator[int]:
        """Yield the parts in the order played, by their places; what has no bars has others'."""
        yield from (n for n, part in enumerate(parts[:1]) if not part.name)
        for call in self.called:
            part, said, doubt = bars_of(call, self.parts)
            self.told += [(said, call.at)] * bool(said)
            self.doubts += [(doubt, call.at)] * bool(doubt)
            if part is None and not doubt:
                self.left_out.append((call.part.name, call.at))
            if part is not None:
                self.others |= {call.part.name.casefold(): part.name} if said else {}
                place = next(n for n, each in enumerate(parts) if each is part)
                yield from [place] * times_played(call, part)

    def share_names(self) -> None:
        """Take the number off a section that is sung to other verses too: Verse, not Verse 1.

        Its names so far stand in ``others``; a name that another section has is not taken.
        """
        for part in self.parts if self.others else ():
            kind, number = again.kind_of(part.name)
            at = part.name.casefold().find(kind)
            plain = part.name[at : at + len(kind)]
            sung = {name for name, has in self.others.items() if has == part.name}
            kin = any(again.kind_of(name)[0] == kind for name in sung)
            if part.cells and number and kin and all(each.name != plain for each in self.parts):
                self.others |= dict.fromkeys((*sung, part.name.casefold()), plain)
                part.name = plain


def meant(call: Called, parts: Sequence[Part]) -> Part | None:
    """Return the part whose bars a section has that has none of its own; None where none is.

    Parameters
    ----------
    parts : sequence of Part
        All parts so far, in order.
    """
    filled = [part for part in parts if part.cells]
    if call.like:
        kind, number = again.kind_of(call.like)
        kin = [part for part in filled if again.kind_of(part.name)[0] == kind]
        exact = [part for part in kin if again.kind_of(part.name)[1] == number]
        alone = [part for part in kin if again.kind_of(part.name)[1] == 0] if number == 1 else []
        return next(iter(exact or alone), None) or (kin[-1] if kin and not number else None)
    kind, _ = again.kind_of(call.part.name)
    same = [part for part in filled if part.name == call.part.name]
    kin = [p for p in filled if again.kind_of(p.name)[0] == kind and (len(kind) > 1 or call.same)]
    before = filled if call.same else []
    return next((found[-1] for found in (same, kin, before) if found), None)


def bars_of(call: Called, parts: Sequence[Part]) -> tuple[Part | None, str, str]:
    """Return the part that is played where a section is named, what is said of it, and a doubt."""
    own = call.part
    if own.cells:
        return own, "", ""
    place = next(n for n, part in enumerate(parts) if part is own)
    found = meant(call, parts[:place]) or meant(call, parts)
    name = own.name or "the tune"
    if found is None:
        names = ", ".join(dict.fromkeys(part.name for part in parts if part.cells and part.name))
        like = f", and no {call.like} is there" if call.like else ""
        mend = f"type its bars below its name{f', or name one of {names}' if names else ''}"
        known = call.same or (len(own.name) > 1 and is_known_name(own.name))
        return None, "", f"{name} has no bars{like}: left out; {mend}" if known else ""
    if found.name == own.name:
        return found, "", ""
    had = f"{name} has the bars of {found.name or 'the tune'}"
    mend = "type its own below its name if they differ"
    return found, had, "" if call.same else f"{had}: none are written below its name; {mend}"


def passes(part: Part, called: Sequence[Called], parts: Sequence[Part]) -> int:
    """Return how often a part was played up to here."""
    if part.repeated:
        return part.cells[-1].closes
    return sum(bars_of(call, parts)[0] is part for call in called) or 1


def times_played(call: Called, part: Part) -> int:
    """Return how often a part is played where it is named; its repeat signs are not counted.

    Examples
    --------
    >>> from harmonykit.tune.text.pasted.cells import Cell
    >>> part = Part("A", [Cell(0), Cell(3)], times=2)
    >>> times_played(Called(part, 0, 2), part), times_played(Called(Part("A"), 9, 4), part)
    (1, 2)
    """
    cells = part.cells
    whole = not any(cell.closes for cell in cells[:-1]) and not any(c.opens for c in cells[1:])
    if part is call.part:
        return 1 if whole else part.times
    signs = max(cells[-1].closes, part.times) if whole else 1
    return call.times // signs if signs and call.times % signs == 0 else call.times


def another_verse(part: Part, texts: Sequence[str], least: int) -> list[Above]:
    """Return the rows of a part under which lines of words are another verse; none where not.

    There are as many lines as rows with words, ``least`` or more, and each is about as long.
    """
    rows = [row for row in part.rows if row.first]
    sizes = [
        (len(row.first.split()), len(text.split())) for row, text in zip(rows, texts, strict=False)
    ]
    alike = all(max(pair) <= _MOST_LONGER * min(pair) for pair in sizes)
    return rows if least <= len(rows) == len(texts) and alike else []
