"""What was engraved is read as SVG says: where texts stand, what is turned and scaled."""

import pytest

from harmonykit.draw.staves.engraved import read_engraving
from harmonykit.draw.tree import Path, Text


def test_runs_of_a_text_stand_side_by_side_and_hang_from_its_anchor() -> None:
    """Units are tenths of a millimetre here; the glyph is the sign that our fonts have for it."""
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg"><svg class="definition-scale" '
        'viewBox="0 0 1000 500"><g class="harm" transform="translate(100, 50)">'
        '<text x="200" y="60" font-size="0px" text-anchor="{}"><tspan class="text">'
        '<tspan font-size="80px">B</tspan><tspan font-size="405px">\uea64</tspan>'
        '<tspan font-size="405px">7</tspan></tspan></text></g></svg></svg>'
    )
    for anchor, share in (("start", 0.0), ("middle", 0.5), ("end", 1.0)):
        one, other = read_engraving(svg.format(anchor), 100.0, "t").all(Text)
        assert (one.text, other.text) == ("B", "♭7")
        assert one.size == pytest.approx(8 * 72 / 25.4, abs=0.01)
        assert one.baseline == other.baseline == pytest.approx(11)
        assert one.box.right == pytest.approx(other.box.left, abs=0.02)
        wide = other.box.right - one.box.left
        assert one.box.left + share * wide == pytest.approx(30, abs=0.02)
        assert one.weight == 600


def test_what_is_turned_and_scaled_lies_where_svg_puts_it() -> None:
    """By hand, SVG 2, 8.5: the last of several transforms is done first."""
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg"><svg class="definition-scale" '
        'viewBox="0 0 100 100"><g transform="translate(10, 20) rotate(90) scale(2, 1)">'
        '<path d="M0 0 L5 0" stroke-width="1"/></g><ellipse cx="50" cy="40" rx="10" ry="5"/>'
        '<polygon points="1,2 3,4 5,2"/><rect x="1" y="2" width="3" height="4"/>'
        '<g class="section placeholder"><ellipse cx="1" cy="1" rx="9" ry="9"/></g></svg></svg>'
    )
    line, oval, corner, box = read_engraving(svg, 100.0, "t").all(Path)
    assert [*line.ends[0], *line.ends[1]] == pytest.approx([10, 20, 10, 30])
    assert line.stroke == "ink" and not line.fill
    assert oval.box == pytest.approx((40, 35, 60, 45)) and oval.fill == "ink"
    assert corner.box == (1, 2, 5, 4) and box.box == (1, 2, 4, 6)
    # Rectangles and polygons are closed, and a polyline is not (SVG 2, 10.2, 10.6 and 10.7).
    assert corner.outline[-1] == box.outline[-1] == ("Z", ())
    assert corner.points == ((1, 2), (3, 4), (5, 2))
    open_ = read_engraving(svg.replace("polygon", "polyline"), 100.0, "t").all(Path)[2]
    assert open_.points == corner.points and open_.outline[-1][0] == "L"
