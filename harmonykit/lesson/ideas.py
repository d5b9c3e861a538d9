"""What a first draft of a lesson may be about: its levels, and its text with every call in it.

In the text ``{chord}`` is the diminished seventh, ``{parent}`` the dominant that its root leads
home, and ``{target}`` where that goes.
"""

from __future__ import annotations

from dataclasses import dataclass

# Name, moves, preferred move, hand, share of the tune's tempo, what to watch.
Level = tuple[str, tuple[str, ...], str, int, float, str]


@dataclass(frozen=True, slots=True)
class Idea:
    """What a lesson is about.

    Parameters
    ----------
    name : str
        In a sentence.
    title, subtitle : str
        Of the lesson; ``{tune}`` in the title is the tune's.
    levels : tuple of Level
    body : str
        The Markdown of the lesson.
    leads_to : str
        The interval from the tonic up to where the diminished seventh leads.
    """

    name: str
    title: str
    subtitle: str
    levels: tuple[Level, ...]
    body: str
    leads_to: str = "P1"


AS_WRITTEN: Level = ("As written", (), "", 1, 0.6, "Know the tune before you change it.")
_HOME_LEVELS: tuple[Level, ...] = (
    AS_WRITTEN,
    ("A step from below", ("approach",), "", 1, 0.5, "Leave the chord early, not late."),
    (
        "The dominant gives way",
        ("approach", "dominant to diminished"),
        "",
        2,
        0.75,
        "Move only the fingers that have to move.",
    ),
    (
        "Up the neck",
        ("approach", "dominant to diminished", "climb"),
        "climb",
        3,
        0.85,
        "Look one shape ahead.",
    ),
)

_HOME = """## The idea

Put your hand on **{{{{ shape() }}}}**, which sounds {{{{ notes() }}}}. Its
notes stand equally far apart, so none of them sounds like home.

Lower one string by one fret, and it becomes a dominant seventh; each string gives another.

{{{{ clock("{parent}", was="{chord}") }}}}

## Why it works

{{{{ always("symmetry") }}}} {{{{ exactly("diminished sevenths", 3) }}}}

{{{{ always("lowering") }}}} {{{{ apart("{chord}", "{parent}", 1) }}}}

## The shape

Say it slowly: {{{{ words() }}}}. {{{{ sounds() }}}} {{{{ repeats(3) }}}}

{{{{ boxes() }}}}

## Where it leads

{{{{ exactly("places", 4) }}}} {{{{ leads_to("{chord}", "{target}") }}}}

{{{{ parents("{chord}") }}}}

## The tune as it is written

{{{{ tune() }}}} is in {{{{ key() }}}} and has {{{{ count("bars") }}}} bars as played.

{{{{ chart(1) }}}}

## A step from below

{{{{ chart(2) }}}}

{{{{ inserted(2) }}}}

## The dominant gives way

{{{{ chart(3) }}}}

{{{{ inserted(3) }}}}

## Up the neck

{{{{ neck() }}}}

{{{{ chart(4) }}}}

{{{{ inserted(4) }}}}

## An exercise

Move the shape up by one fret. Lower each string in turn, name the chord that is left, and say
where it leads. The answer stands on the last page of the handout.

## By numbers

{{{{ comparison() }}}}"""

_FAMILY_LEVELS: tuple[Level, ...] = (
    AS_WRITTEN,
    (
        "One parent gives way",
        ("dominant to diminished",),
        "dominant to diminished",
        2,
        0.75,
        "Say the parent's name aloud as you play its child: that is whose place it takes.",
    ),
    (
        "Asked and answered",
        ("approach", "dominant to diminished"),
        "",
        3,
        0.85,
        "A chord from below asks; the chord that follows answers.",
    ),
)

_FAMILY = """## The idea

Here is a chord that may stand for several: **{{{{ shape() }}}}**, which sounds {{{{ notes() }}}}.

Lower one of its notes, and a dominant seventh on that note is left. With each note in turn there
are {{{{ count("{chord}") }}}} of them: call them its parents.

{{{{ clock("{parent}", was="{chord}") }}}}

## The family

{{{{ parents("{chord}") }}}}

{{{{ always("lowering") }}}} {{{{ exactly("places", 4) }}}}
{{{{ apart("{chord}", "{parent}", 1) }}}}

## Raised instead of lowered

{{{{ always("raising") }}}} That is another family, and another lesson.

## On the strings

{{{{ sounds() }}}} {{{{ repeats(3) }}}} Lower each string in turn.

{{{{ boxes() }}}}

## The tune as it is written

{{{{ tune() }}}} is in {{{{ key() }}}} and has {{{{ count("bars") }}}} bars as played.

{{{{ chart(1) }}}}

## One parent gives way

Where a dominant leads down a fifth, its child takes its place, or the end of it.

{{{{ chart(2) }}}}

{{{{ inserted(2) }}}}

## Asked and answered

Now chords from below are let in as well, wherever the beat and the melody allow.

{{{{ chart(3) }}}}

{{{{ inserted(3) }}}}

## By numbers

{{{{ comparison() }}}}"""

_STAIRS_LEVELS: tuple[Level, ...] = (
    AS_WRITTEN,
    (
        "One stair",
        ("climb",),
        "climb",
        3,
        0.6,
        "The chord that comes back is the one that you left. Hear it come back higher.",
    ),
    (
        "The whole house",
        ("climb", "approach", "dominant to diminished"),
        "climb",
        3,
        0.85,
        "Look at the fret where the next shape starts, not at the one that you leave.",
    ),
)

_STAIRS = """## The idea

A chord that lasts a whole bar need not stand still. Take **{{{{ scale_shape() }}}}** and move every
string up by one note of a scale of {{{{ count("scale") }}}} notes: a diminished seventh, and one
step on the same chord again, higher.

{{{{ clock("{chord}") }}}}

## Up the neck

{{{{ neck() }}}}

{{{{ scale() }}}}

## Why the stairs meet

{{{{ always("symmetry") }}}} {{{{ exactly("alternating kinds", 5) }}}}
{{{{ sounds() }}}} {{{{ repeats(3) }}}}

{{{{ cube() }}}}

## The tune as it is written

{{{{ tune() }}}} is in {{{{ key() }}}} and has {{{{ count("bars") }}}} bars as played.

{{{{ chart(1) }}}}

## One stair in the tune

While one chord lasts, carry it up the scale.

{{{{ chart(2) }}}}

{{{{ inserted(2) }}}}

## The whole house

{{{{ leads_to("{chord}", "{target}") }}}} {{{{ exactly("diminished sevenths", 3) }}}}

{{{{ chart(3) }}}}

{{{{ inserted(3) }}}}

## By numbers

{{{{ comparison() }}}}"""

HOME = Idea(
    "a diminished seventh that leads home",
    "Ways into {tune}",
    "A diminished seventh, and where it leads",
    _HOME_LEVELS,
    _HOME,
)
AWAY = Idea(
    "a diminished seventh that leads to the fourth",
    "Ways out of {tune}",
    "A diminished seventh that leads away from home",
    _HOME_LEVELS,
    _HOME,
    leads_to="P4",
)
FAMILY = Idea(
    "a diminished seventh and its four parents",
    "Whose child is it in {tune}?",
    "A diminished seventh and the dominants that it stands for",
    _FAMILY_LEVELS,
    _FAMILY,
)
STAIRS = Idea(
    "stairs of a chord and a diminished seventh",
    "Stairs in {tune}",
    "A chord and a diminished seventh take turns up the neck",
    _STAIRS_LEVELS,
    _STAIRS,
)

IDEAS: dict[str, Idea] = {idea.name: idea for idea in (HOME, AWAY, FAMILY, STAIRS)}
"""Every idea by its name."""
