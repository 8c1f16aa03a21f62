"""Rods of a design for the beam: their places along the span, how far they lie from the axis, and what they pass on."""

import numpy as np
import pytest

from tradestudy.physics.body.straight_rods import x_at
from tradestudy.physics.flight import layout, rod_sets, strength
from tradestudy.physics.sections import airfoil
from tradestudy.physics.structure.rod_ends import RodLap, adjacent_lap, passed_share
from tradestudy.physics.structure.rods import RodSets

DESIGN = {"extension": 0.15, "sweep": 0.43, "washout": 0.03, "rod_diameter": 0.003, "rod_pairs": 1.0}


@pytest.fixture(scope="module")
def wing(turnstone_space):
    """Return a function for the Turnstone's data with a scheme, with a flat centre piece and its main rods alone.

    They reach the centre line here.
    """
    plain = turnstone_space.data(turnstone_space.choices[0])

    def with_scheme(scheme):
        laid = plain.layout._replace(
            scheme=scheme,
            rods=(plain.layout.rods[0]._replace(inner_end=0.0),),
            stock=plain.layout.stock._replace(centre_width=0.08),
        )
        main = RodSets(*(field if isinstance(field, float) else field[:1] for field in plain.strength.rods))
        return plain.strength._replace(layout=laid, rods=main), plain.coordinates

    return with_scheme


def built(data, **changes):
    choice = strength.WingChoice(**{name: np.asarray(value) for name, value in (DESIGN | changes).items()})
    return strength.detailed_half_wing(data, choice)


@pytest.mark.parametrize("scheme", ["scaled", "plug", "tip"])
def test_rods_lie_on_the_line_on_which_they_are_cut(wing, scheme):
    """Compare place and depth of the section with the line in plan and the outline, from the inner to the outer end."""
    data, coordinates = wing(scheme)
    half = built(data)
    (rods,) = layout.chosen_rods(data.layout, 0.003, 1.0)
    line = layout.rod_line(data.layout, half.wing, rods)
    y = half.half.beam.station_y
    on_rod = (y > float(line.inner_y) + 1e-3) & (y < float(line.outer_y))
    edge = np.interp(y, half.wing.station, half.wing.leading_edge)
    fraction = (x_at(line, y) - edge) / half.chord
    assert half.parts.places.fraction[0][on_rod] == pytest.approx(fraction[on_rod], rel=1e-9)
    share = data.layout.stock.hinge_fraction
    thickness = airfoil.section_thickness(coordinates, fraction[on_rod] * share) / share
    # tolerance: a spline through the outline
    assert half.parts.places.thickness_fraction[0][on_rod] == pytest.approx(thickness, rel=1e-3)


def test_a_rod_across_the_axis_stiffens_by_the_cube_of_its_cosine(wing):
    """Check the flat centre piece, where the axis is square to the centre line and the rod goes straight on."""
    data, _ = wing("scaled")
    half = built(data)
    (rods,) = layout.chosen_rods(data.layout, 0.003, 1.0)
    turn = np.arctan(layout.rod_line(data.layout, half.wing, rods).slope)
    inside = half.half.beam.station_y < 0.039
    assert inside.sum() >= 1
    assert half.parts.places.axis_cosine[0][inside] == pytest.approx(np.cos(turn), rel=1e-9)
    spacing, area = half.stiffness.spacing[0][inside], 0.25 * np.pi * 0.003**2
    own = 2 * 40e9 * np.pi * 0.003**4 / 64
    straight = 40e9 * area * 0.5 * spacing**2 + own
    assert half.stiffness.pair_rigidity[0][inside] == pytest.approx(np.cos(turn) ** 3 * straight, rel=1e-9)


def test_the_rod_across_a_plug_is_square_to_the_centre_line(wing):
    """Check a plug of 150 mm: the rods end where it begins, and what bridges it keeps its place behind the nose."""
    half = built(wing("plug")[0])
    y = half.half.beam.station_y
    assert half.parts.rods.inner_end[0] == pytest.approx(0.15)
    inboard = y < 0.149
    place = half.parts.places.fraction[0][inboard] * half.chord[inboard]
    assert inboard.sum() > 2 and np.ptp(place) < 1e-12
    assert np.all(half.parts.places.axis_cosine[0][inboard] == 1.0)


def test_what_a_lap_passes_on_is_that_of_its_two_rods(wing):
    """Compare with the lap of 25 diameters, from its own function with the sweep of the rods."""
    data, _ = wing("scaled")
    half = built(data)
    (rods,) = layout.chosen_rods(data.layout, 0.003, 1.0)
    sweep = np.arctan(layout.rod_line(data.layout, half.wing, rods).slope)
    axial = 40e9 * 0.25 * np.pi * 0.003**2
    lap = RodLap(*(np.array([value]) for value in (0.003, axial, sweep, 0.004, 0.075)))
    foam = data.foam
    holds = adjacent_lap(lap, np.array([foam.shear_modulus]), np.array([foam.shear_strength]))
    found = rod_sets.transverse_laps(data.layout, half.wing, (0.003, 1.0), half.parts)
    assert found.weakness == pytest.approx(1.0 / holds.force, rel=1e-9)
    assert found.continuity == pytest.approx(
        passed_share(holds, axial, 0.075 * np.cos(sweep)),
        rel=1e-4,  # tolerance: a micrometre that avoids 0 / 0
    )


def test_ways_to_meet_in_the_order_of_what_they_pass_on(wing):
    """Check that ends pass on nothing, rods that cross over most, and a whole rod all.

    A lap beside a transverse rod would pass on a little, and the strength does not count it.
    """
    data, passed, reported = wing("scaled")[0], {}, {}
    for way in ("ends", "lap", "cross over", "whole"):
        laid = data.layout._replace(rods=tuple(run._replace(at_centre=way) for run in data.layout.rods))
        stock = data.rods._replace(continuity=np.array([float(way == "whole")]))
        half = built(data._replace(layout=laid, rods=stock))
        passed[way] = float(half.parts.rods.continuity[0])
        laps = rod_sets.transverse_laps(laid, half.wing, (0.003, 1.0), half.parts)
        reported[way] = float(laps.continuity[0])
        assert (np.max(half.parts.rods.lap_weakness) > 0.0) == (way == "cross over")
    assert passed["ends"] == passed["lap"] == 0.0 < 0.2 < passed["cross over"] < passed["whole"] == 1.0
    assert 0.0 < reported.pop("lap") < 0.2 and set(reported.values()) == {0.0}


@pytest.mark.parametrize("way", ["lap", "cross over"])
def test_slopes_of_the_unit_utilisations(wing, way):
    """Compare slopes with differences along the diameter, extension and sweep.

    The lap of rods that cross over is among the modes.
    """
    data, _ = wing("plug" if way == "lap" else "scaled")
    laid = data.layout._replace(rods=tuple(run._replace(at_centre=way) for run in data.layout.rods))
    changed = data._replace(layout=laid)

    def modes(name, step):
        choice = {key: np.asarray(value + (step if key == name else 0.0)) for key, value in DESIGN.items()}
        return strength.half_wing(changed, strength.WingChoice(**choice)).beam.unit_utilisation

    for name, step in (("rod_diameter", 1e-7), ("extension", 1e-6), ("sweep", 1e-6)):
        exact = modes(name, 1e-25j).imag / 1e-25
        plain = (modes(name, step) - modes(name, -step)) / (2 * step)
        for row, other in zip(exact, plain, strict=True):
            assert row == pytest.approx(other, rel=1e-4, abs=1e-5 * max(np.abs(other).max(), 1e-12))
