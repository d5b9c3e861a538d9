"""What a first draft of a lesson may be about: which moves it looks for, and what it says of each.

An idea has no order of its own.  ``draft`` looks where the tune has places for each move, and the
lesson follows what is found.  In a text ``{chord}`` is the lesson's diminished seventh,
``{parent}`` a dominant that becomes it, ``{target}`` where that resolves, and ``{level}`` the
number of the level.
"""

from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class Offered:
    """What a lesson is about.

    Parameters
    ----------
    name : str
        In a list of choices.
    title, subtitle : str
        Of the lesson; ``{tune}`` in the title is the tune's.
    moves : tuple of str
        The moves that places are looked for, of ``hk.arrange.MOVES``.
    """

    name: str
    title: str
    subtitle: str
    moves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Station:
    """What a draft says of one move.

    Parameters
    ----------
    name : str
        The level's name, and the section's.
    text : str
        What the move does, in Markdown with calls.
    watch : str
        What to watch; true of every chart that has the move.
    needs : str
        The section that comes before the first move that needs it: ``"shape"``, ``"scale"``, or
        nothing.
    """

    name: str
    text: str
    watch: str
    needs: str = ""


STATIONS: dict[str, Station] = {
    "rootless dominant": Station(
        "Rootless dominants",
        "Take the root away from a dominant that resolves down a fifth, and play the flat ninth in "
        "its place. What is left is a diminished seventh.",
        "Say the name of the dominant while you play the chord that replaces it.",
        "shape",
    ),
    "tritone substitution": Station(
        "Tritone substitution",
        "Play the dominant a tritone away in place of the one that is written. "
        '{{{{ always("tritone pairs") }}}}',
        "The new root lies a half step above the root that follows. Listen for it.",
    ),
    "four dominants": Station(
        "A dominant a minor third away",
        "Play a dominant a minor third away in place of the one that is written: one of the four "
        "that come from the same diminished seventh. Of third and seventh, which stays?",
        "Listen for what is gone: the third or the seventh of the dominant as written.",
    ),
    "leading-tone diminished": Station(
        "Leading-tone diminished",
        "Add a diminished seventh at the end of a bar, a half step below the root that follows. "
        "{{{{ half_step_below({level}) }}}}",
        "Leave the first chord in time: the added one leads to the next.",
        "shape",
    ),
    "descending passing diminished": Station(
        "Descending passing diminished",
        "Where the root goes down a whole step to a minor chord, add a diminished seventh on the "
        "half step between.",
        "Listen for the line that goes down by half steps.",
        "shape",
    ),
    "common-tone diminished": Station(
        "Common-tone diminished",
        "While one chord lasts, play the diminished seventh on its root before the chord returns.",
        "The root stays while the chord changes and returns.",
        "shape",
    ),
    "ascending walk": Station(
        "A walk up the scale of chords",
        "While one chord lasts, move every string up the scale: chord, diminished seventh, "
        "chord. {{{{ highest_fret({level}) }}}}",
        "All strings move up together, one step of the scale each. Look at the next shape.",
        "scale",
    ),
    "descending walk": Station(
        "A walk down the scale of chords",
        "While one chord lasts, move every string down the scale: chord, diminished seventh, "
        "chord.",
        "All strings move down together, one step of the scale each. Look at the next shape.",
        "scale",
    ),
}
"""What is said of each move that a draft can look for."""

AS_WRITTEN = Station(
    "As written",
    '{{{{ tune() }}}} is in {{{{ key() }}}} and has {{{{ count("bars") }}}} bars as played. Play '
    "it, and mark the bars that you would change.",
    "Know the tune before you change it.",
)
TOGETHER = Station(
    "All together",
    "Listen for the kind of added chord that was chosen in each place.",
    "Before each added chord, say which kind it is.",
)

DOMINANTS = """## Its dominants

Say where each dominant resolves, and whether you expected it.

{{{{ dominants() }}}}"""

SHAPE = """## The diminished seventh

Hold **{{{{ shape() }}}}**: {{{{ frets_aloud() }}}}. {{{{ sounds() }}}}

Lower one string by one fret and let it sound with the others. Which chord is it? Try each string.

{{{{ lowered_diagrams() }}}}

{{{{ semitones_apart("{parent}", "{chord}", 1) }}}} {{{{ resolves_to("{chord}", "{target}") }}}}"""

SCALE = """## The scale of chords

Hold **{{{{ scale_shape() }}}}** and move every string up to the next note of the scale. The scale
has {{{{ count("scale") }}}} notes.

{{{{ neck() }}}}

{{{{ scale_shapes() }}}}"""

REASON = """## Why one shape is enough

{{{{ always("symmetry") }}}} {{{{ repeats(3) }}}} {{{{ exactly("diminished sevenths", 3) }}}}

{{{{ four_dominants("{chord}") }}}}

{{{{ always("lowering") }}}}"""

OFFERED = Offered(
    "what the tune offers",
    "New chords for {tune}",
    "Where another chord fits",
    (
        "rootless dominant",
        "tritone substitution",
        "leading-tone diminished",
        "descending passing diminished",
        "common-tone diminished",
        "ascending walk",
    ),
)
OF_DOMINANTS = Offered(
    "its dominants",
    "The dominants of {tune}",
    "What may replace a dominant",
    ("rootless dominant", "tritone substitution", "four dominants"),
)
OF_DIMINISHED = Offered(
    "diminished sevenths between its chords",
    "Between the chords of {tune}",
    "Leading-tone, passing and common-tone diminished sevenths",
    ("leading-tone diminished", "descending passing diminished", "common-tone diminished"),
)
OF_WALKS = Offered(
    "walks in the scale of chords",
    "Walks in {tune}",
    "What to play while one chord lasts",
    ("ascending walk", "descending walk"),
)

OFFERS: dict[str, Offered] = {
    idea.name: idea for idea in (OFFERED, OF_DOMINANTS, OF_DIMINISHED, OF_WALKS)
}
"""What a draft without an idea of its own may look for, by its name."""
