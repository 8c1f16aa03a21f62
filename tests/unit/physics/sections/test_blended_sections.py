"""Different sections at root and tip: the section of each strip between the two templates, and exact derivatives."""

from dataclasses import replace

import numpy as np
import openmdao.api as om
import pytest
from helpers.references.differences import slopes_that_agree
from helpers.wings.wings import answer, tapered

from tradestudy.aircraft.components.aircraft import Aircraft
from tradestudy.aircraft.model.model_data import model_data
from tradestudy.physics.aero import lattice
from tradestudy.physics.flight import layout, level_drag, strength, trimmed_flight
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.mesh import half_wing_mesh
from tradestudy.physics.sections import airfoil, polar
from tradestudy.physics.sections.strip_table import strip_table
from tradestudy.physics.structure import foam_section
from tradestudy.physics.structure.wing_parts import StationSections
from tradestudy.physics.weights import mass
from tradestudy.physics.weights.unlisted import UnlistedMass

SCHEMES = ("scaled", "plug", "tip")
PARTS = UnlistedMass(mass.Lump(0.1, 0.01), mass.Lump(0.1, 0.01), 0.0, 0.0)  # the same in every wing


def data_of(study, scheme="scaled", **stock):
    """Return model data of the Godwit with a scheme and other values in its [stock].

    Without other values, the root's thickness ratio holds for all of the wing.
    """
    stock = {"tip_thickness": None} | stock
    return model_data(
        replace(
            study,
            stock=study.stock.model_copy(update=stock),
            stretch=study.stretch.model_copy(update={"scheme": scheme}),
        ),
        PARTS,
    )


@pytest.fixture(scope="module")
def other_tip(godwit_study):
    """Return a function for the Godwit with a thin symmetric tip section, by scheme."""
    return lambda scheme: data_of(godwit_study, scheme, tip_airfoil="naca0010", tip_thickness=0.0175)


def choice(extension=0.15):
    return np.asarray(extension), np.asarray(0.43), np.asarray(0.03)


# --- where each section lies ------------------------------------------------------------------------------------


@pytest.mark.parametrize("scheme", SCHEMES)
def test_share_is_that_of_a_straight_cut(other_tip, scheme):
    """Check that foam heights (share times chord) are linear along the panel.

    A plug has the root's section, and a piece added at the tip the tip's.
    """
    laid = other_tip(scheme).layout
    wing = layout.wing_outline(laid, *choice())
    station = np.linspace(0, wing.station[-1], 201)
    chord = planform.interpolated(wing, (wing.foam_chord,), station)[0]
    share = planform.tip_section_share(wing, wing.foam_chord, station)
    panel = wing.pieces.index("panel")
    start, end = wing.station[panel], wing.station[panel + 1]
    assert share[station <= start] == pytest.approx(0.0, abs=1e-15)
    assert share[station >= end] == pytest.approx(1.0, abs=1e-12)
    inside = (station > start) & (station < end)
    along = (station[inside] - start) / (end - start)
    assert (share * chord)[inside] == pytest.approx(along * laid.stock.tip_chord, rel=1e-12)
    # the added piece: none on the scaled wing, 150 mm inboard or outboard on the others
    assert start - laid.stock.panel_start == pytest.approx(0.15 if scheme == "plug" else 0.0, abs=1e-9)
    assert wing.station[-1] - end == pytest.approx(0.15 if scheme == "tip" else 0.0, abs=2e-4)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_shares_of_strips_do_not_depend_on_the_design(other_tip, scheme):
    """Check that shares do not depend on the design, which allows one table for a study."""
    laid = other_tip(scheme).layout
    fixed, edges = trimmed_flight.strip_tip_shares(laid), strength.station_tip_shares(laid)
    for extension, sweep, washout in ((0.05, 0.3, 0.0), (0.35, 0.55, 0.08)):
        wing = layout.wing_outline(laid, np.asarray(extension), np.asarray(sweep), np.asarray(washout))
        mesh = half_wing_mesh(wing)
        assert planform.tip_section_share(wing, wing.chord, mesh.middle[: mesh.n_wing, 1]) == pytest.approx(
            fixed, abs=1e-12
        )
        at = np.append(mesh.inner_edge[: mesh.n_wing, 1], mesh.outer_edge[mesh.n_wing - 1, 1])
        assert planform.tip_section_share(wing, wing.foam_chord, at) == pytest.approx(edges, abs=1e-12)


# --- the same section twice is one section ----------------------------------------------------------------------


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_same_section_at_the_tip_changes_nothing(godwit_study, scheme):
    """Check that root section and thickness ratio stated again at the tip change no output, to rounding."""
    ratio = 0.0545 / (0.328 + 0.046)
    runs = []
    for stock in ({}, {"tip_airfoil": "mh60", "tip_thickness": ratio * (0.172 + 0.026)}):
        data = data_of(godwit_study, scheme, **stock)
        assert isinstance(data.strength.section, StationSections) == bool(stock)
        runs.append(run(data))
    for name in (
        "all_up_mass",
        "moment_without_pack",
        "elevon",
        "lift_coefficient",
        "drag_area",
        "stall_margin",
        "utilisation",
        "failure_load_factor",
        "deflection_share",
        "range",
        "load_factor",
    ):
        plain, blended = (problem.get_val(name) for problem in runs)
        assert blended == pytest.approx(plain, rel=1e-9), name  # the same sums by the other code


def run(data, **values):
    problem = om.Problem(reports=False)
    problem.options["group_by_pre_opt_post"] = False
    problem.model = Aircraft(flight=data.flight, level=data.level, strength=data.strength, power=data.power)
    problem.setup(mode="fwd", check=False)
    given = {
        "extension": 0.15,
        "sweep": 0.43,
        "washout": 0.03,
        "static_margin": 0.08,
        "cruise_speed": 14.0,
        "equipment_position": 0.18,
        "rod_diameter": 0.003,
        "rod_pairs": 1.0,
        "series": 4.0,
        "parallel": 2.0,
    }
    for name, value in (given | values).items():
        problem.set_val(name, value)
    problem.run_model()
    return problem


# --- lattice ----------------------------------------------------------------------------------------------------


def test_section_angle_and_twist_are_one(random):
    """Check that twist plus the difference of zero-lift angles is aerodynamic twist.

    A blended camber without moment loads the wing like flat sections twisted by the blended angle. Tolerance: rounding.
    """
    root, tip = np.radians([-3.0, 1.0])
    cambered = lattice.SectionCamber(-2 * np.pi * root, 0.0, -2 * np.pi * (tip - root), 0.0)
    wing = tapered(8, 0.5, 25)
    mesh = half_wing_mesh(wing)
    angles = trimmed_flight.strip_angles(wing, mesh)
    share = planform.tip_section_share(wing, wing.chord, mesh.middle[:, 1])
    twisted = angles._replace(twist=angles.twist - (root + (tip - root) * share))
    with_camber = lattice.symmetric_circulations(mesh, angles, cambered)
    with_twist = lattice.symmetric_circulations(mesh, twisted, lattice.SectionCamber(0.0, 0.0))
    assert with_camber == pytest.approx(with_twist, rel=1e-11, abs=1e-13)


def test_moment_of_blended_sections_by_the_planform_integral():
    """Check the moment of a wing without lift and sweep: int cm c^2 dy, with cm between the ends by the straight
    cut."""
    camber = lattice.SectionCamber(0.0, -0.05, 0.0, 0.09)
    wing = tapered(60, 0.6, 0, span=4.0)
    plain = answer(wing, counts=[60], n_panel=8)
    unit = answer(wing, counts=[60], n_panel=8, camber=camber).unit
    moment = unit.moment_volume[0] - plain.unit.moment_volume[0]
    along = np.linspace(0, 1, 4001)
    root, tip = wing.chord
    chord = root + (tip - root) * along
    expected = 2 * np.trapezoid((-0.05 + 0.09 * along * tip / chord) * chord**2, along * wing.semi_span)
    assert moment == pytest.approx(expected, rel=2e-3)  # 60 aspect ratios: nearly two-dimensional


# --- section drag and stall -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("root", "tip"), [("mh60", "naca0010"), ("e222", "e230")])
def test_half_way_section(root, tip):
    """Compare tables of root and tip, blended at half, with the table of the half-way outline.

    Measured are drag errors of 2.2 and 2.3 % rms (6 and 7 % at most), and largest lift within 0.057 and 0.041. The
    tolerances are 3 %, a third of the surrogate's scatter of 10 %, and 0.06, its scatter.
    """
    outlines = [airfoil.coordinates_by_name(name) for name in (root, tip)]
    ends = [polar.section_table(outline, 0.8) for outline in outlines]
    half = polar.section_table(foam_section.blended_outline(*outlines, 0.5), 0.8)
    lift, reynolds, angle = (
        grid.ravel()[:, None]
        for grid in np.meshgrid(np.linspace(0.0, 0.7, 8), np.log([8e4, 1.5e5, 3e5]), np.radians([-8.0, -3.0, 2.0]))
    )
    mixed = strip_table(*ends, np.array([0.5]))
    drags = [polar.profile_drag(table, lift, reynolds, angle)[0] for table in (mixed, half)]
    assert np.sqrt(np.mean(np.log(drags[0] / drags[1]) ** 2)) < 0.03
    limits = [polar.lift_limits(table, reynolds, angle)[0][0] for table in (mixed, half)]
    assert limits[0] == pytest.approx(limits[1], abs=polar.LIFT_MAXIMUM_BAND)


def test_ends_of_the_blend_are_the_two_tables():
    ends = [polar.section_table(airfoil.coordinates_by_name(name), 0.8) for name in ("mh60", "naca0010")]
    mixed = strip_table(*ends, np.array([0.0, 1.0]))
    where = np.array([[0.2, 0.2], [0.6, 0.6]]), np.log(2e5), np.radians(-4.0)
    both = polar.profile_drag(mixed, *where), polar.lift_limits(mixed, *(np.full(2, one) for one in where[1:]))[0]
    for strip, table in enumerate(ends):
        assert both[0][..., strip] == pytest.approx(polar.profile_drag(table, where[0][:, 0], *where[1:]), rel=1e-12)
        assert both[1][:, strip] == pytest.approx(polar.lift_limits(table, *where[1:])[0], rel=1e-12)


def test_slopes_of_a_blended_table(random):
    """Compare with fourth-order differences for strips of every share, within 1e-6: third derivatives jump at knots."""
    ends = [polar.section_table(airfoil.coordinates_by_name(name), 0.8) for name in ("mh60", "naca0010")]
    mixed = strip_table(*ends, np.linspace(0, 1, 12))
    where = [
        random.uniform(-0.3, 1.3, (5, 12)),
        np.log(random.uniform(5e4, 9e5, (5, 12))),
        np.radians(random.uniform(-18, 9, (5, 12))),
    ]
    exact, step = polar.profile_drag(mixed, *where), 1e-5
    for axis in range(3):
        runs = [
            polar.profile_drag(mixed, *(value + share * step * (axis == k) for k, value in enumerate(where)))[0]
            for share in (-2, -1, 1, 2)
        ]
        slope = (runs[0] - 8 * runs[1] + 8 * runs[2] - runs[3]) / (12 * step)
        assert exact[axis + 1] / exact[0] == pytest.approx(slope / exact[0], abs=1e-6 * np.abs(slope / exact[0]).max())


# --- mass and structure -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("scheme", SCHEMES)
def test_foam_is_the_volume_between_the_templates(other_tip, scheme):
    """Compare with outlines every few millimetres and the sum of their areas.

    The code uses a closed sum over three places.
    """
    data = other_tip(scheme)
    laid = data.layout
    wing = layout.wing_outline(laid, *choice())
    result = mass.bare_wing(wing, laid.materials).lumps
    station = np.linspace(0, wing.station[-1], 3001)
    edge, chord = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord), station)
    share = planform.tip_section_share(wing, wing.foam_chord, station)
    root, change = laid.materials.section, laid.materials.tip_change
    area = root.area + change.area * share
    behind = (root.area_moment + change.area_moment * share) / area
    per_length = 2 * laid.materials.foam_density * area * chord**2
    assert result["foam"].mass == pytest.approx(np.trapezoid(per_length, station), rel=1e-5)  # sum by trapezoids
    place = edge + behind * chord
    assert result["foam"].moment == pytest.approx(np.trapezoid(per_length * place, station), rel=1e-5)


def test_area_of_a_blend_is_linear_and_its_outline_nearly():
    outlines = [airfoil.coordinates_by_name(name) for name in ("mh60", "naca0018")]
    root, half, tip = (
        airfoil.section_shape(foam_section.blended_outline(*outlines, share)) for share in (0.0, 0.5, 1.0)
    )
    assert half.area == pytest.approx(0.5 * (root.area + tip.area), rel=1e-12)
    assert half.perimeter == pytest.approx(0.5 * (root.perimeter + tip.perimeter), rel=2e-3)  # a curve gets longer


def test_stations_have_the_numbers_of_their_own_outline(other_tip, godwit_study):
    """Check that depth at the rods, area and second moment at root and tip are those of the two sections."""
    data = other_tip("scaled")
    section, stock = data.strength.section, data.layout.stock
    # by callipers; both ends use the mean share of foam in the chord
    foam = 0.5 * (0.328 + 0.172) / (0.5 * (0.328 + 0.172) + 0.036)
    at_tip, at_root = 0.0175 * 0.172 / 0.198 / foam, 0.0545 * 0.328 / 0.374 / foam
    assert section.thickness_coefficient[-1] * stock.tip_chord == pytest.approx(at_tip, rel=1e-4)
    assert section.thickness_coefficient[0] * stock.root_chord == pytest.approx(at_root, rel=1e-4)
    plain = data_of(godwit_study).strength
    assert section.area_coefficient[0] == pytest.approx(plain.section.area_coefficient, rel=1e-12)
    fraction = plain.rods.chord_fraction[0]
    places = np.full((1, section.area_coefficient.size), fraction)
    along = foam_section.thickness_at(data.strength.thickness, places, strength.station_tip_shares(data.layout))[0]
    # tolerance: a spline through the outline
    assert along[0] == pytest.approx(plain.rods.thickness_fraction[0], rel=1e-3)
    ratio = airfoil.section_thickness(airfoil.coordinates_by_name("naca0010"), fraction * stock.hinge_fraction) / 0.1
    assert along[-1] * stock.tip_chord == pytest.approx(at_tip * ratio, rel=1e-3)  # the same spline
    assert np.all(np.diff(section.inertia_coefficient) < 1e-15)


def test_thinner_tip_bends_more(godwit_study):
    """Check that half the tip's thickness bends a tenth more at least, and gives a lighter wing."""
    thick, thin = (run(data_of(godwit_study, tip_thickness=depth)) for depth in (0.027, 0.0135))
    assert thin.get_val("deflection_share")[0] > 1.1 * thick.get_val("deflection_share")[0]
    assert thin.get_val("all_up_mass") < thick.get_val("all_up_mass")


@pytest.mark.parametrize("scheme", SCHEMES)
def test_slopes_through_lattice_mass_and_structure(other_tip, scheme):
    """Compare derivatives by complex directions with fourth-order differences, with every section different."""
    data = other_tip(scheme)

    def outputs(values):
        if values.ndim == 2 and not np.iscomplexobj(values):
            return np.array([outputs(row) for row in values])
        extension, sweep, washout, diameter = np.moveaxis(values, -1, 0)
        zero = 0 * extension
        shape = layout.design_shape(
            data.layout, extension, sweep, washout, diameter, 1 + zero, 4 + zero, 2 + zero, 0.18 + zero
        )
        solution = trimmed_flight.unit_solution(data.flight, extension, sweep, washout)
        trimmed = trimmed_flight.trim_conditions(data.flight, solution, shape.all_up_mass, 0.08 + zero, 14.0 + zero)
        beam = strength.wing_structure(
            data.strength,
            strength.WingChoice(extension, sweep, washout, diameter, 1 + zero),
            strength.StripForces(trimmed.load_factor[..., 4:], trimmed.strip_lift, trimmed.strip_moment),
        )
        return np.concatenate(
            [
                shape.all_up_mass[..., None],
                shape.moment_without_pack[..., None],
                trimmed.elevon,
                trimmed.lift_coefficient[..., 0, :],
                beam.tip_deflection,
                beam.failure_load_factor,
            ],
            axis=-1,
        )

    assert slopes_that_agree(outputs, np.array([0.15, 0.43, 0.03, 0.003])) > 60


@pytest.mark.parametrize("scheme", SCHEMES)
def test_strips_use_their_own_section(other_tip, scheme):
    """Check that the centre uses the table of the root, and the tip strip nearly that of the tip, for drag and
    margin."""
    data = other_tip(scheme)
    share = trimmed_flight.strip_tip_shares(data.layout)
    lift = np.full((4, len(share)), 0.4)
    drag, margin = level_drag.strip_state(data.level, lift, 0 * lift + np.log(1.5e5), 0 * lift)
    table = data.flight.table
    assert table.limits.shape == (2, 10, len(share))
    first = polar.lift_limits(table, np.log(1.5e5), np.zeros(len(share)))[0][0]
    assert margin[0][0] == pytest.approx(first - 0.4, rel=1e-12)
    assert first[0] > first[-1] + 0.1  # a thin symmetric tip stalls earlier than MH 60
    assert np.ptp(drag[0], axis=1).min() > 1e-4
