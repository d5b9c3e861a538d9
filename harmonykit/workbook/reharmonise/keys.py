"""The likely keys of a tune that an arranger typed, and the one that was chosen, as text."""

import re

from harmonykit.score.typed import text_kind
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import find_keys, likely_keys
from harmonykit.tune.tune import Tune

_SAID = re.compile(r"(?im)^[ \t]*key[ \t]*:.*\n?")


def keys_offered(text: str, tune: Tune) -> tuple[Key, ...]:
    """Return the likely keys of a tune that was typed as a message; none of other kinds of text.

    Examples
    --------
    >>> typed = "| C | G | Am | F |"
    >>> [str(key) for key in keys_offered(typed, Tune.parse(typed))]
    ['C major', 'A minor']
    """
    if text_kind(text) != "|":
        return ()
    found = likely_keys(find_keys(tune))
    return found if len(found) > 1 else ()


def with_key(text: str, key: Key) -> str:
    """Return a message that says its key, in place of one that it said.

    Examples
    --------
    >>> with_key("Key: C\\n| C | Am |", Key.parse("A minor"))
    'Key: A minor\\n| C | Am |'
    """
    return f"Key: {key}\n{_SAID.sub('', text)}"
