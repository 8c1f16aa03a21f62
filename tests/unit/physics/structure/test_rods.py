"""Rods near one skin, tubes and leaning rods, against the transformed section by hand and by invariants."""

import numpy as np
import pytest
from helpers.references.utilisations import utilisations
from helpers.wings.rod_samples import glass_rods as sets

from tradestudy.physics.structure import failure_modes, foam_bed
from tradestudy.physics.structure import rods as rod_sets
from tradestudy.physics.structure.cut_centre import CutCentre
from tradestudy.physics.structure.stiffness import wing_stiffness
from tradestudy.physics.structure.wing_parts import Covering, Foam, FoamSection, Joiner, RodPlaces, WingParts

FOAM = Foam(4e6, 1.6e6, 0.25e6, 0.11e6, 0.25)
SECTION = FoamSection(0.068, 3.92e-5, 1.544e-4, 2.03, 0.1, 0.0027)
FILM, NO_FILM = Covering(1.4e9, 0.5e9, 38e-6, 0.7), Covering(1.4e9, 0.5e9, 38e-6, 0.0)
NO_JOINER = Joiner(130e9, 800e6, 0.0, 0.4)
EDGES = np.linspace(0.0, 0.75, 11)
ALONG_RODS = slice(0, 9)  # stations within the rods
CHORD = 0.25


TOP, BOTTOM, MIDDLE = (
    {"top": top, "bottom": bottom, "middle": middle}
    for top, bottom, middle in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
)


def stiff(rods, foam=FOAM, covering=FILM, chord=CHORD, edges=EDGES):
    return wing_stiffness(edges, np.full(edges.size, chord), 0.0, wing_parts(rods, foam, covering))


def wing_parts(rods, foam=FOAM, covering=FILM):
    return WingParts(SECTION, foam, covering, rods, NO_JOINER)


def test_one_rod_near_the_top_bends_as_its_transformed_section():
    stiffness = stiff(sets(**TOP))
    height, area = stiffness.spacing[0, 3] / 2, np.pi * 0.003**2 / 4
    parts = [
        (40e9 * area, height, 40e9 * np.pi * 0.003**4 / 64),
        (4e6 * 0.068 * CHORD**2, 0.0, 4e6 * 3.92e-5 * CHORD**4),
        (0.5 * 0.7 * 1.4e9 * 38e-6 * 2.03 * CHORD, 0.0, 0.5 * 0.7 * 1.4e9 * 38e-6 * 0.0027 * CHORD**3),
    ]
    axis = sum(stretch * z for stretch, z, _ in parts) / sum(stretch for stretch, _, _ in parts)
    rigidity = sum(own + stretch * (z - axis) ** 2 for stretch, z, own in parts)
    assert stiffness.neutral_axis[3] == pytest.approx(axis, rel=1e-12) and axis > 0.8 * height  # shifted to the rod
    assert stiffness.bending_rigidity[3] == pytest.approx(rigidity, rel=1e-12)
    mirrored = stiff(sets(**BOTTOM))
    assert mirrored.neutral_axis[3] == pytest.approx(-axis, rel=1e-12)
    assert mirrored.bending_rigidity == pytest.approx(stiffness.bending_rigidity, rel=1e-12)
    # a rod at mid-plane adds only its own bending stiffness
    without = stiff(sets(pairs=0.0)).bending_rigidity
    in_the_middle = stiff(sets(**MIDDLE)).bending_rigidity
    np.testing.assert_allclose((in_the_middle - without)[ALONG_RODS], 40e9 * np.pi * 0.003**4 / 64, rtol=1e-9)


def test_a_top_and_a_bottom_set_are_a_set_of_pairs():
    pair = sets()
    apart = sets(2, top=[1.0, 0.0], bottom=[0.0, 1.0], middle=0.0)
    assert rod_sets.has_uneven_sets(apart) and not rod_sets.has_uneven_sets(pair)
    one, two = stiff(pair), stiff(apart)
    each, both = (rod_sets.rods_per_place(rods) * rod_sets.rod_area(rods) for rods in (apart, pair))
    np.testing.assert_allclose(each.sum(), both.sum(), rtol=1e-12)
    for name in ("bending_rigidity", "torsional_rigidity", "elastic_axis"):
        np.testing.assert_allclose(getattr(two, name), getattr(one, name), rtol=1e-12, err_msg=name)
    # the bending stiffness of each rod itself, 0.5 % of a pair's EI, strains no web if rods are single
    np.testing.assert_allclose(two.shear_compliance, one.shear_compliance, rtol=2e-2)
    # under lift the top rod is compressed like that of the pair and the bottom rod is not, under a push down in turn
    for sign, near, far in ((1.0, 0, 1), (-1.0, 1, 0)):
        load = np.full((1, 11), sign * 15.0), np.full((1, 11), sign * 4.775)
        modes = []
        for rods, stiffness in ((pair, one), (apart, two)):
            values = utilisations(stiffness, wing_parts(rods), CutCentre(0.04, 0.3), *load)[0]
            names = failure_modes.mode_names([f"{i}" for i in range(rods.pairs.size)])
            modes.append(dict(zip(names, values, strict=True)))
        for name in ("rod crushed", "rod buckling in the foam", "rod failing where it crosses the cut centre"):
            whole, single = modes[0][f"{name} (0)"][:1], modes[1][f"{name} ({near})"][:1]
            np.testing.assert_allclose(single, whole, rtol=1e-4, err_msg=name)
            # rounded at zero: the positive part of zero is half of the rounding
            assert modes[1][f"{name} ({far})"].max() < 1.2 * failure_modes.UTILISATION_ROUNDING, name
        pulled = "rod pulled apart"
        np.testing.assert_allclose(modes[1][f"{pulled} ({far})"], modes[0][f"{pulled} (0)"], rtol=1e-4)
        assert modes[1][f"{pulled} ({near})"].max() < 1.2 * failure_modes.UTILISATION_ROUNDING


def test_the_sign_of_bending_decides_which_rod_is_pressed():
    rods = sets(**TOP)
    names = failure_modes.mode_names(["one"])
    pressed, pulled = (names.index(f"{mode} (one)") for mode in ("rod buckling in the foam", "rod pulled apart"))
    up, down = (
        utilisations(stiff(rods), wing_parts(rods), CutCentre(), np.zeros((1, 11)), np.full((1, 11), moment))[0]
        for moment in (1.0, -1.0)
    )
    # modes not used by the load only have the rounding
    np.testing.assert_allclose(up[pulled, ALONG_RODS], failure_modes.UTILISATION_ROUNDING, rtol=1e-2)
    np.testing.assert_allclose(down[pressed, ALONG_RODS], failure_modes.UTILISATION_ROUNDING, rtol=1e-2)
    assert up[pressed, 3] > 20 * down[pressed, 3] and down[pulled, 3] > 3 * up[pulled, 3]
    # elsewhere only the size
    np.testing.assert_allclose(np.delete(up, [0, 1, 2, 5], axis=0), np.delete(down, [0, 1, 2, 5], axis=0), rtol=1e-12)


def test_a_tube_has_an_annulus_s_area_and_second_moment():
    rods = sets(diameter=0.008, bore=0.75)
    assert rod_sets.rod_area(rods)[0] == pytest.approx(np.pi / 4 * (0.008**2 - 0.006**2), rel=1e-12)
    assert rod_sets.rod_rigidity(rods)[0] == pytest.approx(40e9 * np.pi / 64 * (0.008**4 - 0.006**4), rel=1e-12)
    # without wall there is no tube
    vanishing, none = stiff(sets(bore=1.0 - 1e-9)), stiff(sets(pairs=0.0))
    np.testing.assert_allclose(vanishing.bending_rigidity, none.bending_rigidity, rtol=1e-6)
    # its own torsion: twice the second moment times G
    plain, twisting = stiff(sets(diameter=0.008, bore=0.75)), stiff(sets(diameter=0.008, bore=0.75, shear_modulus=5e9))
    more = 2 * 5e9 * np.pi / 32 * (0.008**4 - 0.006**4)
    np.testing.assert_allclose((twisting.torsional_rigidity - plain.torsional_rigidity)[ALONG_RODS], more, rtol=1e-9)


@pytest.mark.parametrize("bore", [0.0, 0.6, 0.9])
def test_buckling_stress_in_foam_does_not_depend_on_the_diameter(bore):
    rods = sets(4, diameter=[0.002, 0.003, 0.005, 0.01], bore=bore)
    load = foam_bed.rod_buckling_load(foam_bed.foundation_modulus(FOAM, rods), rods)
    stress = load / rod_sets.rod_area(rods)
    np.testing.assert_allclose(stress, stress[0], rtol=1e-12)


def test_stiffness_grows_with_moduli_and_with_the_fourth_power_of_size():
    """Check that all moduli times two give EI and GJ times two, and half the core shear.

    All lengths times two give sixteen times, and a quarter.
    """
    for rods in (sets(), sets(**TOP), sets(bore=0.7, shear_modulus=5e9)):
        one = stiff(rods)
        firm = stiff(
            rods._replace(youngs_modulus=2 * rods.youngs_modulus, shear_modulus=2 * np.asarray(rods.shear_modulus)),
            FOAM._replace(youngs_modulus=8e6, shear_modulus=3.2e6),
            FILM._replace(youngs_modulus=2.8e9, shear_modulus=1e9),
        )
        np.testing.assert_allclose(firm.bending_rigidity, 2 * one.bending_rigidity, rtol=1e-12)
        np.testing.assert_allclose(firm.torsional_rigidity, 2 * one.torsional_rigidity, rtol=1e-12)
        np.testing.assert_allclose(firm.shear_compliance, 0.5 * one.shear_compliance, rtol=1e-12)
        big = stiff(
            rods._replace(diameter=2 * rods.diameter, slot_depth=2 * rods.slot_depth, outer_end=2 * rods.outer_end),
            covering=FILM._replace(thickness=76e-6),
            chord=2 * CHORD,
            edges=2 * EDGES,
        )
        # corners rounded over a fixed length (0.1 mm in the gap, 1 um in the cover) do not scale: 0.01 %
        np.testing.assert_allclose(big.bending_rigidity, 16 * one.bending_rigidity, rtol=1e-4)
        np.testing.assert_allclose(big.torsional_rigidity, 16 * one.torsional_rigidity, rtol=1e-4)
        np.testing.assert_allclose(big.shear_compliance, 0.25 * one.shear_compliance, rtol=1e-3)


def test_a_leaning_rod_takes_elastic_axis_and_thickness_along():
    share = EDGES / 0.75
    places = RodPlaces((0.25 + 0.2 * share)[None], (0.1 - 0.02 * share)[None], np.ones((1, EDGES.size)))
    parts = wing_parts(sets(outer_end=0.75), FOAM, FILM)._replace(places=places)
    stiffness = wing_stiffness(EDGES, np.full(EDGES.size, CHORD), 0.0, parts)
    for station in (2, 5, 7):
        share = EDGES[station] / 0.75
        straight = stiff(sets(outer_end=0.75, chord_fraction=0.25 + 0.2 * share, thickness_fraction=0.1 - 0.02 * share))
        for name in ("bending_rigidity", "shear_compliance", "elastic_axis"):
            assert getattr(stiffness, name)[station] == pytest.approx(getattr(straight, name)[station], rel=1e-12)


def test_support_of_a_rod_across_a_bay():
    """Check a rod across a bay: unsupported it is Euler's column, on a floor or divider it is as in uncut foam.

    If the study states nothing, the foam that is left supports it.
    """
    rods = sets(4, bed_share=[1.0, 0.0, 0.0, 0.0], bed_added=[0.0, 0.0, 0.0, 1.0], bay_share=[1.0, 1.0, 0.5, 1.0])
    bed = foam_bed.foundation_modulus(FOAM, rods)
    load = foam_bed.centre_buckling_load(bed, rods, 0.18, 0.23)
    rigidity = 40e9 * np.pi * 0.003**4 / 64
    # the millimetre that prevents a division by zero for a bay of no width
    np.testing.assert_allclose(load[1:3], np.pi**2 * rigidity / np.array([0.181, 0.091]) ** 2, rtol=1e-12)
    assert load[3] == pytest.approx(foam_bed.rod_buckling_load(bed, rods)[3], rel=1e-12)
    assert load[0] == pytest.approx(np.sqrt(0.23) * load[3], rel=1e-12)  # bay over a half wave
    assert load[1] == pytest.approx(48.0, rel=2e-2)  # N: two digits, as in the Godwit's own warning


def test_a_divider_carries_shear_across_the_cut_centre():
    rods, load = sets(), (np.full((1, 11), 15.0), np.zeros((1, 11)))
    place = failure_modes.mode_names(["one"]).index("foam shear at the cut centre")
    stiffness = stiff(rods)
    bare, board = (
        failure_modes.loaded_utilisations(
            failure_modes.unit_utilisations(stiffness, wing_parts(rods), CutCentre(0.04, 0.3, added)), *load
        )[0, place, 0]
        for added in (0.0, 60.0)
    )
    alone = 0.3 * 0.068 * CHORD**2 * 0.25e6 / 1.5
    assert bare == pytest.approx(np.hypot(15.0 / alone, failure_modes.UTILISATION_ROUNDING), rel=1e-9)
    assert board == pytest.approx(np.hypot(15.0 / (alone + 60.0), failure_modes.UTILISATION_ROUNDING), rel=1e-9)
