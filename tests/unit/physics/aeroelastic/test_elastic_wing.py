"""Lattice and beam coupled: against an iteration between them, limits of stiffness, scaling, mirror image,
derivatives."""

from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pytest
from helpers.references.differences import slopes_that_agree
from helpers.wings.wings import outline

from tradestudy.aircraft.model.model_data import model_data
from tradestudy.physics.aero import lateral, lattice, trim
from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight import strength, trimmed_flight
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import half_wing_mesh
from tradestudy.physics.structure import wing_beam
from tradestudy.physics.weights import mass

SHAPE = {"extension": 0.04, "sweep": 0.4, "washout": 0.04}
RODS = {"rod_diameter": 0.003, "rod_pairs": 1.0}
MASS, MARGIN = 1.5, 0.08
# from slow flight to near the speed at which elevons lose pitch control of this wing; beyond it iteration diverges
PRESSURE = np.array([110.0, 400.0, 800.0])
FACTOR = np.array([1.0, 3.0, -1.2])


class Soft(NamedTuple):
    solution: trimmed_flight.UnitSolution
    built: strength.HalfWing
    compliance: elastic_wing.Compliance
    air: elastic_wing.AirLoads
    symmetric: elastic_wing.Coupling
    rolling: elastic_wing.Coupling


def soft(data, stiffer=1.0, weightless=False, **changes):
    values = {name: np.asarray(value) for name, value in (SHAPE | RODS | changes).items()}
    solution = trimmed_flight.unit_solution(data.flight, *(values[name] for name in SHAPE), strips=True)
    built = strength.half_wing(data.strength, strength.WingChoice(**values))
    built = built._replace(
        beam=replace(
            built.beam,
            bending_rigidity=stiffer * built.beam.bending_rigidity,
            torsional_rigidity=stiffer * built.beam.torsional_rigidity,
        )
    )
    if weightless:
        built = built._replace(strip_mass=0 * built.strip_mass, tip_mass=0.0, tip_mass_x=0.0)
    compliance = elastic_wing.compliance(*built)
    return Soft(solution, built, compliance, air_of(solution), *elastic_wing.couplings(compliance, solution.air))


def air_of(solution):
    """Return the air loads of a solution, with the induced drag of its strip columns too."""
    unit = lattice.with_all_drag(solution.mesh, solution.wash, solution.air.unit)
    return solution.air._replace(unit=unit)


def neutral_points(unit, incidences, weight, dynamic_pressure):
    """Return where lift by angle of attack acts behind the nose datum, of shape (..., n_condition), elevons fixed. [m]

    Speed is constant and the load factor follows lift, so the wing's own weight reduces its twist.
    """
    lift, moment = (
        elastic_wing.with_elastic_part(unit.lift_area, incidences),
        elastic_wing.with_elastic_part(unit.moment_volume, incidences),
    )
    load_factor = lift[..., lattice.ALPHA] / (weight[..., None] / dynamic_pressure - lift[..., -1])
    return -(moment[..., lattice.ALPHA] + load_factor * moment[..., -1]) / (
        lift[..., lattice.ALPHA] + load_factor * lift[..., -1]
    )


LEANING = (
    SheetFin(0.15, 0.15, 0.1, 0.05, 0.02, cant=0.8, areal_mass=1.0),
    SheetFin(0.12, 0.15, 0.1, 0.05, 0.02, cant=0.5, from_centre=0.3, areal_mass=1.0, stands_on=2),
)


@pytest.fixture(scope="module", params=["upright", "leaning"])
def data(request, godwit_study):
    """Return the data of a soft wing with its own fins, or with fins that lift, on the tips and inboard.

    It is the Godwit with a section of 34 mm, one pair of rods far forward and no joiner.
    """
    study = godwit_study
    forward = {"chord_fraction": 0.3, "tip_chord_fraction": 0.3, "inner_end": 0.0, "at_centre": "whole"}
    thin = replace(
        study,
        stock=study.stock.model_copy(update={"root_thickness": 0.034, "tip_thickness": 0.017}),
        rods=[study.rods[0].model_copy(update=forward)],
        joiner=None,
    )
    built = model_data(thin, mass.Lump(0.1, 0.01))
    laid = built.layout._replace(keep="sweep_angle", fins_rule="hold_volume")
    if request.param == "leaning":
        laid = laid._replace(fins=LEANING)
    level = built.level._replace(flight=built.flight._replace(layout=laid))
    return replace(built, level=level, strength=built.strength._replace(layout=laid))


@pytest.fixture(scope="module")
def wing(data):
    return soft(data)


def centre_of_gravity(solution):
    return trim.balance_points(solution.unit, solution.areas.mean_aerodynamic_chord, MARGIN).centre_of_gravity


def conditions(data, solution):
    """Return the inputs for trim in the three conditions."""
    return trim.TrimInputs(
        centre_of_gravity=centre_of_gravity(solution),
        weight=np.asarray(MASS * GRAVITY),
        dynamic_pressure=PRESSURE,
        load_factor=FACTOR,
        speed=np.sqrt(2 * PRESSURE / data.flight.air_density),
        effectiveness=data.flight.elevon_effectiveness,
        thrust_moment_volume=np.full(3, -1e-4),
    )


def trimmed(data, wing, **more):
    incidences = elastic_wing.elastic_incidences(wing.symmetric, PRESSURE)
    return elastic_wing.flexible_trim(wing.air.unit, incidences, conditions(data, wing.solution), **more)


def at_strips(twist, built):
    station, middle = built[0].station_y, built[1]
    return np.array([np.interp(middle, station, row) for row in np.atleast_2d(twist)])


def test_incidence_of_all_strips_is_angle_of_attack():
    """Check that incidence of all strips acts like angle of attack, or like twist if it varies. With dihedral."""
    bent = outline([0, 0.05, 0.5, 0.7], [0, 0, 0.2, 0.27], [0.28, 0.28, 0.18, 0.14], height=[0, 0, 0.07, 0.1])
    mesh = half_wing_mesh(bent)
    angles = trimmed_flight.strip_angles(bent, mesh)
    camber = lattice.SectionCamber(0.1, -0.01)
    result = lattice.symmetric_circulations(mesh, angles, camber, strips=True)
    # tolerance: rounding
    assert result[..., 4:].sum(-1) == pytest.approx(result[..., lattice.ALPHA], rel=1e-9, abs=1e-12)
    twist = np.linspace(0.0, -0.05, mesh.n_wing)
    turned = angles._replace(twist=angles.twist + np.pad(twist, (0, len(angles.twist) - mesh.n_wing)))
    moved = lattice.symmetric_circulations(mesh, turned, camber)[..., 0] - result[..., 0]
    assert result[..., 4:] @ twist == pytest.approx(moved, rel=1e-8, abs=1e-12)


@pytest.mark.parametrize("condition", [0, 1, 2])
def test_one_shot_equals_iteration(data, wing, condition):
    """Compare with an iteration: rigid lattice of the twisted strips, loads on the beam, twist, until nothing
    changes."""
    solution, mesh = wing.solution, wing.solution.mesh
    angles = trimmed_flight.strip_angles(solution.wing, mesh)
    given = trim.TrimInputs(
        *(value[condition : condition + 1] if np.ndim(value) else value for value in conditions(data, solution))
    )
    incidence = np.zeros(mesh.n_wing)
    for _ in range(300):
        twisted = angles._replace(twist=angles.twist + np.pad(incidence, (0, len(angles.twist) - mesh.n_wing)))
        unit = lattice.unit_loads(mesh, lattice.symmetric_circulations(mesh, twisted, data.flight.camber))
        state = trim.rigid_trim(unit, given)
        strips = trimmed_flight.wing_strips(mesh, unit)
        lift, moment = (
            trim.strip_forces(part, state.amplitude, given.dynamic_pressure)
            for part in (strips.strip_lift, strips.strip_moment)
        )
        bent = strength.design_structure(
            data.strength, wing.built, 0.0, strength.StripForces(given.load_factor, lift, moment)
        ).beam
        step = at_strips(bent.twist, wing.built)[0] - incidence
        incidence = incidence + 0.7 * step
        if np.abs(step).max() < 1e-14:
            break
    assert np.abs(step).max() < 1e-13
    result = trimmed(data, wing)
    assert np.abs(result.incidence[condition]).max() > np.radians(0.1)  # the twist is not negligible
    assert result.incidence[condition] == pytest.approx(incidence, rel=1e-8, abs=1e-11)
    assert result.elevon[condition] == pytest.approx(state.elevon[0], rel=1e-8)
    assert result.alpha[condition] == pytest.approx(state.alpha[0], rel=1e-8)
    for total, forces in ((wing.air.strip_lift, lift), (wing.air.strip_moment, moment)):
        there = trim.strip_forces(total, result.amplitude, PRESSURE)[condition]
        assert there == pytest.approx(forces[0], rel=1e-8, abs=1e-9)
    drag = trim.induced_drag_areas(wing.air.unit, result.amplitude)[condition]
    assert drag == pytest.approx(trim.induced_drag_areas(unit, state.amplitude)[0], rel=1e-8)


def test_rolling_equals_iteration(data, wing):
    """Compare with the same iteration for a given roll rate and elevon, with the antisymmetric lattice."""
    solution, mesh = wing.solution, wing.solution.mesh
    own, image = lattice.normalwash(mesh)
    angles = trimmed_flight.strip_angles(solution.wing, mesh)
    sides = lateral.antisymmetric_velocities(mesh, lattice.symmetric_downwash(mesh, angles, data.flight.camber))[
        :, elastic_wing.ROLLING
    ] @ [-0.5, 0.1]
    upright = mesh.normal[: mesh.n_wing, 2]
    incidence = np.zeros(mesh.n_wing)
    for _ in range(300):
        turned = np.pad(np.repeat(upright * incidence, 4), (0, len(sides) - 4 * mesh.n_wing))
        circulation = np.linalg.solve(own - image, -sides - turned).reshape(-1, 4, 1)
        lift, moment = (
            PRESSURE[1] * lattice.carried_by_wing(mesh, force)[:, 0]
            for force in lattice.circulation_loads(mesh, circulation)[1:]
        )
        bent = strength.design_structure(
            data.strength, wing.built, 0.0, strength.StripForces(np.zeros(1), lift[None], moment[None])
        ).beam
        step = at_strips(bent.twist, wing.built)[0] - incidence
        incidence = incidence + 0.7 * step
        if np.abs(step).max() < 1e-14:
            break
    assert np.abs(step).max() < 1e-13
    incidences = elastic_wing.elastic_incidences(wing.rolling, PRESSURE)[1, :, :2] @ [-0.5, 0.1]
    assert np.abs(incidences).max() > np.radians(0.1)
    assert incidences == pytest.approx(incidence, rel=1e-8, abs=1e-11)
    volume = wing.air.roll_volume @ np.concatenate([[-0.5, 0.1], incidences])
    edge = mesh.outer_edge - mesh.inner_edge
    arms = mesh.middle[:, 1] * edge[:, 1] + mesh.middle[:, 2] * edge[:, 2]
    assert volume == pytest.approx(-4 * arms @ circulation[..., 0].sum(-1), rel=1e-8)


def test_one_elevon_alone_on_the_whole_wing(data, wing):
    """Compare one elevon with both halves as separate unknowns.

    It is the sum and difference of half the symmetric and half the rolling solution.
    """
    mesh, n = wing.solution.mesh, wing.solution.mesh.n_wing
    own, image = lattice.normalwash(mesh)
    total = np.block([[own, image], [image, own]])
    angles = trimmed_flight.strip_angles(wing.solution.wing, mesh)
    elevon = -lattice.symmetric_downwash(mesh, angles, data.flight.camber)[:, 2]
    strips = -lattice.strip_columns(mesh)
    none = np.zeros_like(strips)
    expected = np.column_stack([np.append(elevon, 0 * elevon), np.block([[strips, none], [none, strips]])])
    circulation = np.linalg.solve(total, expected)
    halves = [
        [
            lattice.carried_by_wing(mesh, force)
            for force in lattice.circulation_loads(mesh, part.reshape(-1, 4, 2 * n + 1))[1:]
        ]
        for part in np.split(circulation, 2)
    ]
    turned = np.vstack([wing.compliance.lift @ lift + wing.compliance.moment @ moment for lift, moment in halves])
    right, left = np.split(np.linalg.solve(np.eye(2 * n) - PRESSURE[1] * turned[:, 1:], PRESSURE[1] * turned[:, 0]), 2)
    both = elastic_wing.elastic_incidences(wing.symmetric, PRESSURE)[1, :, lattice.ELEVON]
    # differential elevon is up on the right, down on the left
    rolling = -elastic_wing.elastic_incidences(wing.rolling, PRESSURE)[1, :, 1]
    # tolerance: rounding of the larger system
    assert right == pytest.approx(0.5 * (both + rolling), rel=1e-8, abs=1e-11)
    assert left == pytest.approx(0.5 * (both - rolling), rel=1e-8, abs=1e-11)
    assert np.abs(left).max() > 1e-3


def test_stiff_wing_is_the_rigid_one(data):
    hard = soft(data, stiffer=1e12)
    given = conditions(data, hard.solution)
    gust = np.array([0.0, 1.5, 0.0])
    result, rigid = trimmed(data, hard, gust_load_factor=gust), trim.rigid_trim(hard.solution.unit, given)
    assert result.elevon == pytest.approx(rigid.elevon, rel=1e-9)
    amplitude = trim.amplitude_with_gust(rigid, hard.solution.unit, given.weight, PRESSURE, gust)
    assert result.amplitude[..., :4] == pytest.approx(amplitude, rel=1e-9, abs=1e-12)
    assert result.incidence == pytest.approx(0 * result.incidence, abs=1e-10)
    assert trim.induced_drag_areas(hard.air.unit, result.amplitude) == pytest.approx(
        trim.induced_drag_areas(hard.solution.unit, amplitude), rel=1e-9
    )
    incidences = elastic_wing.elastic_incidences(hard.symmetric, PRESSURE)
    rolling = elastic_wing.elastic_incidences(hard.rolling, PRESSURE)
    balance = trim.balance_points(hard.solution.unit, 1.0, 0.0)
    assert neutral_points(hard.air.unit, incidences, given.weight, PRESSURE) == pytest.approx(
        np.full(3, balance.neutral_point), rel=1e-9
    )
    assert elastic_wing.pitch_effectiveness(hard.air.unit, incidences) == pytest.approx(np.ones(3), rel=1e-9)
    assert elastic_wing.roll_effectiveness(hard.air.roll_volume, rolling) == pytest.approx(np.ones(3), rel=1e-9)
    assert divergence_reversal.twist_off_share(hard.symmetric.feedback, PRESSURE) == pytest.approx(
        np.zeros(3), abs=1e-9
    )


def test_flight_on_a_stiff_beam_is_rigid_flight(data):
    """Check through `flight`: gusts, pull-ups and the loads passed to the structure equal those of a rigid wing."""
    hard = soft(data, stiffer=1e12)
    choice = np.asarray(MASS), np.asarray(MARGIN), np.asarray(15.0)
    rigid = trimmed_flight.trim_conditions(data.flight, hard.solution, *choice)
    result = trimmed_flight.trim_conditions(data.flight, hard.solution, *choice, hard.compliance)
    for name, value in rigid._asdict().items():
        assert getattr(result, name) == pytest.approx(value, rel=1e-9, abs=1e-10), name


def test_flight_on_a_soft_wing_carries_its_load(data, wing):
    choice = np.asarray(MASS), np.asarray(MARGIN), np.asarray(15.0)
    rigid = trimmed_flight.trim_conditions(data.flight, wing.solution, *choice)
    result = trimmed_flight.trim_conditions(data.flight, wing.solution, *choice, wing.compliance)
    lift = 2 * result.strip_lift.sum(axis=-1)
    assert lift == pytest.approx(MASS * GRAVITY * result.load_factor[4:], rel=1e-9)
    pull_up = trimmed_flight.N_LEVEL + trimmed_flight.LOAD_CONDITIONS.index("pull_up")
    pitch = divergence_reversal.elastic_effects(wing.air, wing.compliance, result.dynamic_pressure).pitch_effectiveness
    assert pitch[pull_up] < 0.7  # at full speed
    # more elevon for the same manoeuvre
    assert result.elevon[pull_up] / rigid.elevon[pull_up] > 1.15


def test_dynamic_pressure_is_softness(data, wing):
    """Check that a wing k times as stiff behaves at k times the dynamic pressure like the original."""
    stiffer = soft(data, stiffer=3.0)
    for mine, other in ((wing.symmetric, stiffer.symmetric), (wing.rolling, stiffer.rolling)):
        incidences, scaled = (
            elastic_wing.elastic_incidences(mine, PRESSURE),
            elastic_wing.elastic_incidences(other, 3 * PRESSURE),
        )
        assert scaled[..., :-1] == pytest.approx(incidences[..., :-1], rel=1e-9, abs=1e-12)
        # weight does not depend on speed
        assert 3 * scaled[..., -1] == pytest.approx(incidences[..., -1], rel=1e-9, abs=1e-12)
        share, double = (divergence_reversal.twist_off_share(mine.feedback, each) for each in (PRESSURE, 2 * PRESSURE))
        assert double == pytest.approx(2 * share, rel=1e-12)
    assert divergence_reversal.roll_reversal_pressure(stiffer.rolling, wing.air.roll_volume) == pytest.approx(
        3 * divergence_reversal.roll_reversal_pressure(wing.rolling, wing.air.roll_volume), rel=1e-9
    )
    assert divergence_reversal.pitch_reversal_pressure(stiffer.symmetric, wing.air.unit) == pytest.approx(
        3 * divergence_reversal.pitch_reversal_pressure(wing.symmetric, wing.air.unit), rel=1e-9
    )


@pytest.mark.parametrize("share", [0.0, 0.5])
def test_loose_covering_is_a_wing_built_with_less_bond(data, wing, share):
    less = data.strength.covering._replace(bond=share * data.strength.covering.bond)
    values = {name: np.asarray(value) for name, value in (SHAPE | RODS).items()}
    built = strength.half_wing(data.strength._replace(covering=less), strength.WingChoice(**values)).beam
    weak = wing_beam.with_covering_share(wing.built.beam, share)
    for name in ("bending_rigidity", "torsional_rigidity", "covering_rigidity", "covering_torsional_rigidity"):
        assert getattr(weak, name) == pytest.approx(getattr(built, name), rel=1e-12, abs=1e-12)
    for mine, other in zip(
        elastic_wing.compliances((1.0, share), *wing.built)[1],
        elastic_wing.compliance(built, *wing.built[1:]),
        strict=True,
    ):
        assert mine == pytest.approx(other, rel=1e-9, abs=1e-15)


def test_reversal_scales_with_torsional_rigidity(data, wing):
    """Check that half the bond reduces GJ by half of the covering's share, and speed squared within that range."""
    weak = wing_beam.with_covering_share(wing.built.beam, 0.5)
    ratio = weak.torsional_rigidity / wing.built.beam.torsional_rigidity
    _, rolling = elastic_wing.couplings(elastic_wing.compliance(weak, *wing.built[1:]), wing.air)
    moved = divergence_reversal.roll_reversal_pressure(
        rolling, wing.air.roll_volume
    ) / divergence_reversal.roll_reversal_pressure(wing.rolling, wing.air.roll_volume)
    # bending depends little on the bond and has some effect
    assert ratio.min() < moved < 1.05 * ratio.max()
    # torsion alone: rods that do not bend
    stiff = [
        replace(wing_beam.with_covering_share(wing.built.beam, share), bending_rigidity=1e9 * ratio)
        for share in (1.0, 0.5)
    ]
    pressures = [
        divergence_reversal.roll_reversal_pressure(
            elastic_wing.couplings(elastic_wing.compliance(beam, *wing.built[1:]), wing.air)[1], wing.air.roll_volume
        )
        for beam in stiff
    ]
    assert ratio.min() < pressures[1] / pressures[0] < ratio.max()
    assert ratio.max() - ratio.min() < 0.1


def test_neutral_point_is_where_a_gust_lifts(data, wing):
    """Check that lift added by angle of attack at fixed elevon, with its load factor, has no moment about the
    neutral point."""
    plain, gusty = (trimmed(data, wing, gust_load_factor=np.full(3, extra)) for extra in (0.0, 0.4))
    added = gusty.amplitude - plain.amplitude
    lift, moment = added @ wing.air.unit.lift_area, added @ wing.air.unit.moment_volume
    assert PRESSURE * lift == pytest.approx(np.full(3, 0.4 * MASS * GRAVITY), rel=1e-9)
    assert gusty.elevon == pytest.approx(plain.elevon, rel=1e-12)
    incidences = elastic_wing.elastic_incidences(wing.symmetric, PRESSURE)
    result = neutral_points(wing.air.unit, incidences, np.asarray(MASS * GRAVITY), PRESSURE)
    assert result == pytest.approx(-moment / lift, rel=1e-9)


def test_pitch_effectiveness_from_trim(data):
    """Check that the elevon which cancels a given moment at constant lift is proportional to one over effectiveness."""
    wing = soft(data, weightless=True)
    given = conditions(data, wing.solution)
    incidences = elastic_wing.elastic_incidences(wing.symmetric, PRESSURE)
    rigid, bent = [], []
    for moment in (0.0, 1e-3):
        given = given._replace(thrust_moment_volume=np.full(3, moment))
        rigid.append(trim.rigid_trim(wing.solution.unit, given).elevon)
        bent.append(elastic_wing.flexible_trim(wing.air.unit, incidences, given).elevon)
    result = elastic_wing.pitch_effectiveness(wing.air.unit, incidences)
    assert (rigid[1] - rigid[0]) / (bent[1] - bent[0]) == pytest.approx(result, rel=1e-9)


def test_effectiveness_falls_with_speed(wing):
    """Check that if elevons twist the wing more than its lift does, effectiveness falls with speed, roll first."""
    pressure = np.linspace(0.0, 400.0, 9)
    pitch = elastic_wing.pitch_effectiveness(wing.air.unit, elastic_wing.elastic_incidences(wing.symmetric, pressure))
    roll = elastic_wing.roll_effectiveness(
        wing.air.roll_volume, elastic_wing.elastic_incidences(wing.rolling, pressure)
    )
    assert pitch[0] == roll[0] == pytest.approx(1.0, rel=1e-12)
    assert np.all(np.diff(pitch) < 0) and np.all(np.diff(roll) < 0)
    assert np.all(roll[1:] < pitch[1:])
    assert (
        divergence_reversal.roll_reversal_pressure(wing.rolling, wing.air.roll_volume)
        < divergence_reversal.pitch_reversal_pressure(wing.symmetric, wing.air.unit)
        < divergence_reversal.twist_off_pressure(wing.symmetric.feedback)
    )


def test_effects_and_critical_speeds_agree_with_their_parts(data, wing):
    result = divergence_reversal.elastic_effects(wing.air, wing.compliance, PRESSURE)
    rolling = elastic_wing.elastic_incidences(wing.rolling, PRESSURE)
    assert np.array_equal(
        result.pitch_effectiveness,
        elastic_wing.pitch_effectiveness(wing.air.unit, elastic_wing.elastic_incidences(wing.symmetric, PRESSURE)),
    )
    assert np.array_equal(result.roll_effectiveness, elastic_wing.roll_effectiveness(wing.air.roll_volume, rolling))
    assert np.array_equal(
        result.twist_off_share, divergence_reversal.twist_off_share(wing.symmetric.feedback, PRESSURE)
    )
    speeds = divergence_reversal.critical_speeds(wing.air, wing.compliance, 1.2, highest=60.0)
    reversal = np.array([0.5 * 1.2 * speeds.roll_reversal**2, 0.5 * 1.2 * speeds.pitch_reversal**2])
    at = divergence_reversal.elastic_effects(wing.air, wing.compliance, reversal)
    assert at.roll_effectiveness[0] == pytest.approx(0.0, abs=1e-9)
    assert at.pitch_effectiveness[1] == pytest.approx(0.0, abs=1e-9)
    assert speeds.twist_off == np.inf


def flexible_numbers(data, values):
    """Return all numbers with a derivative in a row.

    ``values``, of shape (..., 8), are shape, rods, mass, margin, speed.
    """
    extension, sweep, washout, diameter, pairs, all_up, margin, speed = np.moveaxis(values, -1, 0)
    solution = trimmed_flight.unit_solution(data.flight, extension, sweep, washout, strips=True)
    built = strength.half_wing(data.strength, strength.WingChoice(extension, sweep, washout, diameter, pairs))
    air = air_of(solution)
    row = []
    for compliance in elastic_wing.compliances((1.0, 0.4), *built):
        symmetric, rolling = elastic_wing.couplings(compliance, air)
        speeds = np.stack([speed, 3 * speed], axis=-1)
        pressure = 0.5 * data.flight.air_density * speeds**2
        incidences, rolled = (elastic_wing.elastic_incidences(each, pressure) for each in (symmetric, rolling))
        neutral = neutral_points(air.unit, incidences, all_up * GRAVITY, pressure)
        centre = neutral[..., 0] - margin * solution.areas.mean_aerodynamic_chord
        fixed = elastic_wing.flexible_trim(
            air.unit,
            incidences,
            trim.TrimInputs(centre, all_up * GRAVITY, pressure, np.array([1.0, 3.0]), speeds, 0.8, -1e-4),
            np.array([0.0, 0.7]),
        )
        lift, moment = (
            trim.strip_forces(part, fixed.amplitude, pressure) for part in (air.strip_lift, air.strip_moment)
        )
        row += [
            neutral,
            fixed.elevon,
            fixed.alpha,
            fixed.amplitude,
            lift,
            moment,
            trim.induced_drag_areas(air.unit, fixed.amplitude),
            elastic_wing.pitch_effectiveness(air.unit, incidences),
            elastic_wing.roll_effectiveness(air.roll_volume, rolled),
            divergence_reversal.twist_off_share(symmetric.feedback, pressure),
            divergence_reversal.twist_off_share(rolling.feedback, pressure),
        ]
    lead = np.shape(values)[:-1]
    return np.concatenate(
        [np.broadcast_to(part, (*lead, *np.shape(part)[len(lead) :])).reshape(*lead, -1) for part in row], axis=-1
    )


@pytest.mark.parametrize("scheme", ["scaled", "tip"])
@pytest.mark.parametrize("extension", [0.08, 0.2])
def test_slopes(godwit, scheme, extension):
    data = godwit(scheme)

    def outputs(values):
        if np.iscomplexobj(values) or values.ndim == 1:
            return flexible_numbers(data, values)
        return np.stack([flexible_numbers(data, row) for row in values])

    values = np.array([extension, 0.4, 0.04, 0.0032, 1.1, 1.5, 0.08, 14.0])
    assert slopes_that_agree(outputs, values) > 900


def test_complex_batch_has_the_real_value(data):
    values = np.array([0.11, 0.4, 0.04, 0.003, 1.0, 1.5, 0.08, 14.0])
    batch = flexible_numbers(data, values + 1e-30j * np.eye(8))
    assert batch.real == pytest.approx(np.tile(flexible_numbers(data, values), (8, 1)), rel=1e-9, abs=1e-12)


def test_solution_without_strips_is_the_same(data):
    shape = [np.asarray(value) for value in SHAPE.values()]
    plain, requested = (trimmed_flight.unit_solution(data.flight, *shape, strips=strips) for strips in (False, True))
    assert plain.air is None
    for name in ("symmetric", "antisymmetric"):
        assert getattr(requested, name) == pytest.approx(getattr(plain, name), rel=1e-12, abs=1e-14)
    for mine, other in zip(requested.unit, plain.unit, strict=True):
        assert mine == pytest.approx(other, rel=1e-11, abs=1e-14)
    batch = [value + 1e-30j * np.eye(3)[k] for k, value in enumerate(shape)]
    plain, requested = (trimmed_flight.unit_solution(data.flight, *batch, strips=strips) for strips in (False, True))
    for name in ("symmetric", "antisymmetric"):  # matrices of derivatives against products; tolerance: rounding
        here, there = getattr(requested, name).imag, getattr(plain, name).imag
        assert here == pytest.approx(there, rel=1e-9, abs=1e-12 * np.abs(there).max())
