"""What may stand in a lesson file, told from the code that reads it."""

import inspect
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from harmonykit.lesson.plan import keys, source
from harmonykit.lesson.statements import every_root, groups, laws, properties, signature
from harmonykit.lesson.statements.functions import Functions
from harmonykit.lesson.statements.stated import stated


def reference() -> Iterator[str]:
    """Yield the lines of a page on the header, the calls and the statements."""
    yield from inspect.cleandoc(source.__doc__ or "").splitlines()
    yield from ("", "The whole header:", "")
    yield from keys.header_lines()
    yield from ("", "Calls that add a text, figure or table:", "")
    for name in Functions.PUT_IN:
        yield from _entry(name, getattr(Functions, name))
    yield 'A figure or a table may say whether it stands on the sheet: paper="yes" or "no".'
    yield from ("", "Statements, which are proved or stop the build:", "")
    for name, prove in STATEMENTS.items():
        yield from _entry(name, prove)
    yield from (
        "",
        "A statement gives a sentence of its own.  Inside other words ('It is not true that",
    )
    yield "...') it does not count as proved, and the build says so."
    yield from ("", f'exactly counts {_listed(laws.COUNTS)}, or a quality such as "aug".')
    yield f"always takes one of the laws {_listed(laws.LAWS)},"
    yield f"and proves from every root what {_listed(every_root.ABOUT_CHORDS)} say of chords."
    yield from (
        "",
        'A chord may be given by what it lacks, "F7 without its fifth", or by its bass, "C6 in',
        'third inversion"; a scale by name, "C major"; a kind by name or suffix, "minor triad".',
        "",
        "every, some, none, most and just take a group and what is said of its members. Groups:",
    )
    yield from (f'  "{told}"' for told in groups.TOLD)
    yield "What can be said:"
    for sort, known in properties.PROPERTIES.items():
        yield f"  of a {sort}: {_listed(known)}"


STATEMENTS = stated(Functions)


def _entry(name: str, function: Callable[..., Any]) -> Iterator[str]:
    """Yield how a call is written, the first line of what is said of it, and an example."""
    first = inspect.cleandoc(function.__doc__ or "").splitlines()[0]
    yield f"  {{{{ {signature.usage(name, function)} }}}}"
    yield f"      {first}"
    yield f"      as in {{{{ {signature.EXAMPLES[name]} }}}}"


def _listed(names: Mapping[str, Any]) -> str:
    return ", ".join(map(repr, names))
