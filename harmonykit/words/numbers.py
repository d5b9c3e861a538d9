"""Numbers in words and with what is counted, and words in a row, as a text says them."""

from collections.abc import Sequence
from fractions import Fraction


def counted(number: int | Fraction, thing: str, none: str = "0") -> str:
    """Return a number with what is counted, in the singular for one.

    Parameters
    ----------
    number : int or Fraction
    thing : str
        What one of them is called; its plural ends in s.
    none : str
        What is said for 0.

    Examples
    --------
    >>> counted(1, "bar"), counted(4, "bar"), counted(0, "bar"), counted(0, "bar", none="no")
    ('1 bar', '4 bars', '0 bars', 'no bars')
    """
    return f"{number or none} {plural(number, thing)}"


def plural(number: int | Fraction, thing: str) -> str:
    """Return what so many things are called; one has no s.

    Examples
    --------
    >>> plural(1, "bar"), plural(4, "bar")
    ('bar', 'bars')
    """
    return thing if number == 1 else f"{thing}s"


_MOST_SECONDS = 90


def lasting(seconds: float) -> str:
    """Return how long something lasts: in seconds, over a minute and a half in minutes too.

    Examples
    --------
    >>> lasting(1), lasting(90.4), lasting(201), lasting(180)
    ('1 second', '90 seconds', '3 min 21 s', '3 min')
    """
    whole = round(seconds)
    if whole <= _MOST_SECONDS:
        return counted(whole, "second")
    minutes, left = divmod(whole, 60)
    return f"{minutes} min {left} s" if left else f"{minutes} min"


NUMBERS = "no one two three four five six seven eight nine ten eleven twelve".split()


def number(count: int) -> str:
    """Return a small number in words.

    Examples
    --------
    >>> number(4), number(16)
    ('four', '16')
    """
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


_TEENS = "thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty".split()


def counted_word(count: int) -> str:
    """Return a number up to twenty as a word, a larger one in figures: as paper has it.

    Examples
    --------
    >>> counted_word(4), counted_word(16), counted_word(21)
    ('four', 'sixteen', '21')
    """
    return _TEENS[count - 13] if 13 <= count <= 20 else number(count)


def in_words(count: int, thing: str) -> str:
    """Return a number in words with what is counted, in the singular for one.

    Examples
    --------
    >>> in_words(4, "note"), in_words(1, "note"), in_words(0, "note")
    ('four notes', 'one note', 'no notes')
    """
    return f"{number(count)} {plural(count, thing)}"


_ORDINALS = (
    "open first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth "
    "thirteenth fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth twentieth"
).split()


def ordinal(number: int) -> str:
    """Return ``"second"`` for 2; figures beyond twenty.

    Examples
    --------
    >>> ordinal(2), ordinal(22)
    ('second', '22nd')
    """
    if 0 < number < len(_ORDINALS):
        return _ORDINALS[number]
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10)
    return f"{number}{ending or 'th'}"


def join_words(words: Sequence[str], last: str = "and") -> str:
    """Join words as in a sentence, with ``last`` before the last of them.

    Examples
    --------
    >>> join_words(["A", "C", "E"])
    'A, C and E'
    >>> join_words(["A", "C", "E"], "or")
    'A, C or E'
    """
    return (
        f" {last} ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)
    )


def bars_between(first: int, last: int) -> str:
    """Return a run of bars by its first and its last, as a text says them.

    Examples
    --------
    >>> bars_between(3, 3), bars_between(3, 4), bars_between(3, 6), bars_between(9, 1)
    ('bar 3', 'bars 3 and 4', 'bars 3 to 6', 'bars 9 and 1')
    """
    if first == last:
        return f"bar {first}"
    return f"bars {first} {'to' if last > first + 1 else 'and'} {last}"
