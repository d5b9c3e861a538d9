"""What ``harmonykit words`` prints: the glossary, or the terms that were asked for."""

import textwrap
from collections.abc import Iterable, Iterator
from itertools import chain

from harmonykit.about.text import WIDTH
from harmonykit.errors import HarmonyError
from harmonykit.tune.bar import write_meter
from harmonykit.words.former import plain
from harmonykit.words.glossary import Term, glossary, holding, term


def lines_of(asked: str | None) -> Iterator[str]:
    """Yield the glossary, the one term of that name, or those that have the word in them.

    What ``compare`` measures and offers stands behind the terms; idioms, intros and endings are
    found by their names.

    Raises
    ------
    HarmonyError
        If no term has it; with the nearest terms.
    """
    compared = [*_compared()]
    if asked is None:
        return _printed(chain(glossary(), compared))
    own = [one for one in compared if one.name.casefold() == asked.casefold()]
    try:
        return chain(_printed([term(asked), *own]), _more(asked))
    except HarmonyError:
        inside = (one for one in compared if asked.casefold() in f"{one}".casefold())
        found = own or [*_rows(asked)] or [*holding(asked), *inside]
        if not found:
            raise
        return _printed(found)


_OWES = "What the difficulty owes to "
_PARTS = {
    "variety": "how many shapes there are, by the time that each is held.",
    "kinds": "how many kinds of chord there are.",
    "uncommon": "the time on chords other than triads, 7 and m7.",
    "rate": "how fast the chords change.",
    "hand": "fingers, barres, stretches, height on the neck and strings kept silent.",
}


def _compared() -> Iterator[Term]:
    """Yield what ``compare`` measures, with units, and the arrangements that it offers."""
    from harmonykit.arrange import measures, offering, playability

    for column, about in measures.ABOUT.items():
        name, _, unit = column.removesuffix(")").partition(" (")
        yield Term(name, f"{about[:1].upper()}{about[1:]}.", unit)
    for part, said in playability.SAID_OF_PARTS.items():
        yield Term(f"points {said}", _OWES + _PARTS[part])
    for name, about in offering.ABOUT.items():
        yield Term(name, about)


def _rows(asked: str) -> Iterator[Term]:
    """Yield the idiom, the intro or the ending of a name: what it is, as one term."""
    from harmonykit.arrange.idioms.frames import ENDINGS, INTROS
    from harmonykit.arrange.idioms.reading import shipped

    framing = (
        Term(each.name, each.means, source=each.source)
        for each in chain(INTROS.values(), ENDINGS.values())
    )
    idioms = (Term(each.name, each.means, source=each.source) for each in shipped().values())
    yield from (each for each in chain(idioms, framing) if plain(each.name) == plain(asked))


def moves_and_styles() -> Iterator[str]:
    """Yield every move and every style, each with what it is, as lines of a command's help."""
    from harmonykit.arrange.moves import MOVES
    from harmonykit.arrange.styles import STYLES

    yield "Moves:"
    for move in MOVES:
        found = term(move)
        yield from _listed(f"{move} ({found.symbol})" if found.symbol else move, found.means)
    yield ""
    yield "Styles:"
    for style in STYLES.values():
        yield from _listed(style.name, style.about)


def _more(asked: str) -> Iterator[str]:
    """Yield what belongs to some terms: the signs of a strum, the grooves that there are."""
    from harmonykit.tune.groove.shelf import grooves
    from harmonykit.tune.groove.strokes import BASS_LEGEND, PERCUSSION_LEGEND, STRUM_LEGEND

    if asked in ("strum", "groove"):
        yield from _listed("strum", f"{STRUM_LEGEND}, | the next bar")
    if asked == "walking bass":
        yield from _listed("bass", BASS_LEGEND)
    if asked == "groove":
        yield from _listed("percussion", PERCUSSION_LEGEND)
        for name, groove in grooves().items():
            meter = write_meter(groove.meter)
            yield from _listed(f"{name} ({meter})", groove.about)
            yield f"      strum: {groove.strum}"
            yield f"      bass: {groove.bass}"
            yield f"      percussion: {groove.percussion}"


def _listed(name: str, said: str) -> Iterator[str]:
    first, indent = f"  {name}: ", " " * 6
    yield from textwrap.wrap(said, WIDTH - 2, initial_indent=first, subsequent_indent=indent)


def _printed(terms: Iterable[Term]) -> Iterator[str]:
    for each in terms:
        yield from textwrap.wrap(str(each), WIDTH, subsequent_indent="    ")
