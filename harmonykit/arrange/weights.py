"""How much the search dislikes each thing: whole numbers, 10 for a semitone of one voice."""

from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class Weights:
    """How much the search dislikes each thing.

    Parameters
    ----------
    semitone : int
        A voice's semitone.
    top : int
        A semitone of the highest pitch.
    travel : int
        A millimetre that the hand travels.
    string : int
        A string whose fret changes.
    stretch : int
        A millimetre between the outermost fingers.
    height : int
        A fret of the highest finger.
    aloft : int
        A fret of the highest finger beside that, where there are many strings to choose from.
    change : int
        An added chord.
    chance : int
        A slot that a move could have filled, left as written.
    clash : int
        A melody note that clashes with the chord and would not with the tune's own.
    mark : int
        A mark against a shape, about a finger.
    first : int
        A mark against a shape beyond those against the most usual shape of its chord.
    book : int
        A place in the order of a chord book beyond the sixth, up to ten such places, on an
        instrument of many strings with a bass, where no texture is asked for.
    sounding : int
        A change of the strings that sound.
    turn : int
        A turn of the highest pitch from up to down or back.
    leap : int
        A leap of the highest pitch over a fourth; where no step back follows, that is a turn.
    straight : int
        A phrase in which the highest pitch never turns.
    loose : int
        A diminished seventh that is left by none of the three endings.
    parallel : int
        A cadence that all strings enter the same way.
    contour : int
        A semitone that the highest pitch is off the wanted contour.
    whole : int
        A bar in which a diminished seventh replaces the chord as written from the start.
    harmony : int
        A bit by which an added chord makes the skeleton more unusual than ``colour``, or less
        (``evidence.harmony``).
    colour : int
        Bits: how much more unusual is wanted of a place where something is added, but in a walk;
        where 0, what is more usual than the tune costs nothing.
    texture : int
        A change of texture, on instruments of many strings.
    wish : int
        What an added chord is worth: taken off what it costs.
    linger : int
        A second that a diminished seventh of an ornament lasts beyond the first.
    guide : int
        A seventh that no voice takes by step to the third of a chord a fifth below.
    outer : int
        A change at which the outer voices go the same way, on an instrument with a bass.
    register : int
        A semitone by which a second or a third lies too low.
    odd : int
        A mark against what the hand does beyond the least of the shapes with its highest pitch,
        where all strings sound.
    doubled : int
        A string that sounds a tone of a chord of four or more again, where there are many strings.
    still : int
        A shape that goes on where one chord lasts for more than two bars, at each second bar line.
    opening : int
        Another chord than the tune's own at the start of a tune of several phrases.
    """

    semitone: int = 10
    top: int = 5
    travel: int = 2
    string: int = 5
    stretch: int = 0
    height: int = 2
    change: int = 10
    chance: int = 260
    clash: int = 0
    mark: int = 10
    sounding: int = 60
    turn: int = 15
    leap: int = 50
    straight: int = 0
    loose: int = 250
    parallel: int = 100
    contour: int = 0
    whole: int = 250
    harmony: int = 20
    colour: int = 0
    texture: int = 60
    wish: int = 0
    linger: int = 60
    guide: int = 40
    outer: int = 10
    register: int = 4
    first: int = 0
    book: int = 0
    opening: int = 300
    odd: int = 0
    doubled: int = 0
    aloft: int = 0
    still: int = 0

    def __repr__(self) -> str:
        return as_typed(self)
