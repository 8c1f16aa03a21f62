"""Our lattice against the vortex lattice of aerosandbox at equal error, on one thread, and errors of section tables.

Run alone on a quiet machine: python tests/bench/speed/lattice_beside_another.py. Nothing is asserted, since clocks
differ. Each printed line names what it requires.

One solution consists of lift slope, moment slope, elevon derivatives, neutral point, spanwise loading and the polar of
induced drag. Our lattice gives all from one run. The other lattice is used in its best way: on a flat wing, so that by
linearity two runs suffice (angle of attack, elevon). It computes no derivatives by sideslip or rates, and its hinge is
on a panel edge. It has whichever of even and cosine spacing is closer to its own limit.

Errors are relative to each program's own limit, so that a difference of limits is not counted as an error. Our limit is
from meshes refined one to four times, by least squares of limit + c / n^p for refinement n. The limit of the other is
from its two finest meshes, assuming first order (which its error is, from above). Both limits are printed.
"""

import os
import sys
from pathlib import Path

os.environ |= dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")

import numpy as np  # noqa: E402

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parent)]
from helpers.wings.wings import answer, outline, tapered  # noqa: E402
from speed import best_of  # noqa: E402

from tradestudy.physics.aero import lattice  # noqa: E402
from tradestudy.physics.flight import trimmed_flight  # noqa: E402
from tradestudy.physics.geometry.fins import SheetFin  # noqa: E402
from tradestudy.physics.geometry.mesh import half_wing_mesh  # noqa: E402
from tradestudy.physics.sections import airfoil, polar  # noqa: E402

ASPECT_RATIO, TAPER, SWEEP, HINGE, SPAN = 6.0, 0.5, 25.0, 0.8, 2.0
NAMES = ("lift slope", "neutral point", "elevon lift", "elevon moment", "span efficiency", "loading")
# relative for lift and elevon, over the mean chord for place and moment, rms over the peak for loading
STATIONS = np.linspace(0.05, 0.95, 19)
ANGLE = np.radians(1.0)
TARGET_RATIO, TARGET_TANGENTS, TARGET_TABLE, TARGET_TABLE_ERROR = 200, 8.0, 0.5, 0.01


def wing():
    plain = tapered(ASPECT_RATIO, TAPER, SWEEP, span=SPAN)
    return plain._replace(
        foam_chord=HINGE * plain.chord, elevon_chord=(1 - HINGE) * plain.chord, elevon_outer_end=np.asarray(0.5 * SPAN)
    )


def ours(refinement=1):
    """Return the numbers of NAMES and the loading from one solution by our lattice, from geometry to polar."""
    shape = wing()
    found = answer(shape, refinement=refinement, n_panel=4 * refinement)
    area, chord = found.areas.area, found.areas.mean_aerodynamic_chord
    elevon = found.unit.lift_area[2], found.unit.moment_volume[2] + found.neutral_point * found.unit.lift_area[2]
    loading = np.interp(STATIONS, found.mesh.middle[:, 1], found.unit.strip_circulation[:, 1])
    return np.array(
        [
            found.lift_slope,
            found.neutral_point / chord,
            elevon[0] / area,
            elevon[1] / (area * chord),
            found.span_efficiency(),
        ]
    ), loading


def other_plane(asb, deflection):
    section = asb.Airfoil("naca0010")  # without camber: a flat surface
    if deflection:
        section = section.add_control_surface(deflection=deflection, hinge_point_x=HINGE)
    shape = wing()
    sections = [
        asb.WingXSec([edge, station, 0], chord, airfoil=section)
        for edge, station, chord in zip(shape.leading_edge, shape.station, shape.chord, strict=True)
    ]
    return asb.Airplane(
        wings=[asb.Wing(symmetric=True, xsecs=sections)],
        xyz_ref=[0, 0, 0],
        s_ref=SPAN**2 / ASPECT_RATIO,
        c_ref=1.0,
        b_ref=SPAN,
    )


def other(spanwise, chordwise, spacing):
    """Return the same numbers by the other lattice, from two runs."""
    import aerosandbox as asb

    degrees = float(np.degrees(ANGLE))
    runs = []
    for alpha, deflection in ((degrees, 0.0), (0.0, degrees)):
        lattice_run = asb.VortexLatticeMethod(
            airplane=other_plane(asb, deflection),
            op_point=asb.OperatingPoint(velocity=1.0, alpha=alpha),
            spanwise_resolution=spanwise,
            chordwise_resolution=chordwise,
            spanwise_spacing_function=spacing,
            chordwise_spacing_function=np.linspace,
        )
        runs.append((lattice_run, lattice_run.run()))
    (solved, turned), (_, flapped) = runs
    lift, neutral = turned["CL"], -turned["Cm"] / turned["CL"]
    chord = float(np.squeeze(answer(wing()).areas.mean_aerodynamic_chord))
    strips = solved.vortex_strengths.reshape(-1, chordwise).sum(axis=1) / ANGLE
    middle = solved.vortex_centers.reshape(-1, chordwise, 3)[:, 0, 1]
    order = np.argsort(middle)
    loading = np.interp(STATIONS, middle[order], strips[order])
    return np.array(
        [
            lift / ANGLE,
            neutral / chord,
            flapped["CL"] / ANGLE,
            (flapped["Cm"] + neutral * flapped["CL"]) / (ANGLE * chord),
            lift**2 / (np.pi * ASPECT_RATIO * turned["CD"]),
        ]
    ), loading


def fitted_limit(values, refinements):
    """Return the limit of values (n, ...) as the refinement n grows, assuming an error c / n^p."""
    best = None
    for order in np.linspace(0.5, 3.0, 251):
        powers = np.stack([np.ones(len(refinements)), refinements**-order], axis=1)
        solution = np.linalg.lstsq(powers, values, rcond=None)[0]
        miss = np.sum((powers @ solution - values) ** 2, axis=0)
        if best is None:
            best = miss, solution[0]
        best = np.minimum(miss, best[0]), np.where(miss < best[0], solution[0], best[1])
    return best[1]


def errors(found, limit):
    """Return the errors in the order of NAMES. They are relative, but lengths and moments are over the mean chord."""
    numbers, loading = found
    wanted, shape = limit
    scale = np.where([True, False, True, True, True], wanted, 1.0)
    return np.append(np.abs((numbers - wanted) / scale), np.sqrt(np.mean((loading - shape) ** 2)) / shape.max())


def shown(values):
    return ", ".join(f"{name} {100 * value:.2f} %" for name, value in zip(NAMES, values, strict=True))


def panels_wanted(spanwise, error, allowed):
    """Return the strips on each side at which a first-order error has fallen to the allowed one."""
    return spanwise * error / allowed


def print_comparison():
    import aerosandbox.numpy as asb_numpy

    refinements = np.array([1.0, 2.0, 3.0, 4.0])
    answers = [ours(int(refinement)) for refinement in refinements]
    our_limit = tuple(fitted_limit(np.stack(part), refinements) for part in zip(*answers, strict=True))
    our_error = errors(answers[0], our_limit)
    our_time = best_of(200, ours)
    print(f"our lattice, 12 x 4 panels a side, everything: {1e3 * our_time:.2f} ms; error {shown(our_error)}")

    spacings = {"even": np.linspace, "cosine": asb_numpy.cosspace}
    trends = {}
    for name, spacing in spacings.items():
        coarse, fine = (other(*mesh, spacing) for mesh in ((16, 10), (32, 20)))
        limit = tuple(2 * late - early for early, late in zip(coarse, fine, strict=True))
        trends[name] = limit, errors(other(32, 5, spacing), limit)
        print(f"the other, {name} strips, 32 x 5 a side: error {shown(trends[name][1])}")
    name = min(trends, key=lambda key: trends[key][1][:2].max())
    limit, error = trends[name]
    print(
        "limits, ours and the other's: "
        + "; ".join(f"{one} {a:.4f} {b:.4f}" for one, a, b in zip(NAMES, our_limit[0], limit[0], strict=False))
    )

    wanted = [panels_wanted(32, error[i], our_error[i]) for i in (0, 1)]
    spanwise = int(np.ceil(max(wanted)))
    found = errors(other(spanwise, 5, spacings[name]), limit)
    other_time = best_of(2, lambda: other(spanwise, 5, spacings[name]))
    print(
        f"the other, {name} strips, {spanwise} x 5 a side, as good in lift slope and neutral point: "
        f"{other_time:.2f} s; error {shown(found)}"
    )
    print(f"    ratio {other_time / our_time:.0f}, {TARGET_RATIO} wanted")
    print_elevon_as_well(spacings[name], spanwise, other_time, limit, our_error, our_time)


def print_elevon_as_well(spacing, spanwise, other_time, limit, our_error, our_time):
    """Print the comparison with the elevon included, by extrapolation and not by running.

    In the other lattice the hinge is a step in slope, whose error is of first order in chordwise panels.
    """
    chordwise = (5, 10, 20)
    away = np.array([errors(other(24, count, spacing), limit)[2:4] for count in chordwise])
    order = np.log2(away[1] / away[2])
    print(
        "    elevon lift and moment at 5, 10, 20 chordwise panels, 24 strips: "
        + "; ".join(f"{100 * lift:.2f} {100 * moment:.2f} %" for lift, moment in away)
        + f"; order {order[0]:.1f}, {order[1]:.1f}"
    )
    needed = 20 * (away[2, 0] / our_error[2]) ** (1 / order[0])
    # the matrix is full, so time grows at least as the square of the number of panels
    carried_on = other_time * max(needed / 5, 1.0) ** 2
    print(
        f"    as good in elevon lift as well would take {needed:.0f} chordwise panels: some {carried_on:.0f} s by "
        f"the square of the panels, ratio {carried_on / our_time:.0f} (carried on, not run)"
    )


def print_tangents():
    plain = outline(
        [0, 0.05, 0.6],
        [0, 0, 0.25],
        [0.28, 0.28, 0.18],
        twist=[0, 0, -0.03],
        height=[0, 0, 0.02],
        elevon_chord=[0.04, 0.04, 0.03],
        elevon=(0.1, 0.55),
    )
    step = 1e-20j * np.eye(8)
    moves = {
        "station": (0, 1),
        "leading_edge": (1, 2),
        "foam_chord": (2, 2),
        "twist": (3, 2),
        "height": (4, 2),
        "elevon_chord": (5, 2),
    }
    changed = {}
    for field in ("station", "leading_edge", "height", "foam_chord", "elevon_chord", "twist"):
        changed[field] = np.tile(getattr(plain, field) + 0j, (8, 1))
        if field in moves:
            direction, place = moves[field]
            changed[field][:, place] += step[:, direction]
    changed["station"][:, 2] += step[:, 6]
    for field in ("elevon_inner_end", "elevon_outer_end"):
        changed[field] = np.full(8, getattr(plain, field)) + step[:, 7]
    moving = plain._replace(**changed)
    fin, fins = (
        SheetFin(*(np.asarray(length) + zero for length in (0.13, 0.15, 0.09, 0.06, 0.02)))
        for zero in (0.0, np.zeros(8))
    )
    camber = lattice.SectionCamber(0.12, -0.015)

    def solved(shape, fins, solve):
        mesh = half_wing_mesh(shape, (fins,))
        return lattice.unit_loads(mesh, solve(mesh, trimmed_flight.strip_angles(shape, mesh), camber))

    value = best_of(100, lambda: solved(plain, fin, lattice.symmetric_circulations))
    tangents = best_of(100, lambda: solved(moving, fins, lattice.symmetric_circulations))
    print(
        f"lattice with a tip fin, value: {1e3 * value:.2f} ms; value and 8 tangents: {1e3 * tangents:.2f} ms, "
        f"{TARGET_TANGENTS:.0f} ms wanted"
    )


def table_error(table, outline_points, finish, random, count=40):
    """Return errors of ln(drag) of a table between its nodes, of shape (count * 9,), against the surrogate at the same
    place.

    Re is from 50 000 to a million, the elevon from 15 degrees up to 8 down, lift from zero to 0.85 of the largest.
    """
    alpha = np.radians(np.arange(-12.0, 16.1, 0.1))
    found = []
    for _ in range(count):
        log_reynolds = random.uniform(*np.log([5e4, 1e6]))
        deflection = random.uniform(*np.radians([-15.0, 8.0]))
        shape, turn = airfoil.deflected_outline(outline_points, HINGE, deflection)
        lift, drag, _ = polar.alpha_polars(
            shape, alpha + turn, np.exp(log_reynolds), forced_transition=polar.TRANSITION_BY_FINISH[finish]
        )
        top = int(np.argmax(lift)) + 1
        bottom = int(np.argmin(np.abs(lift[:top])))
        wanted = np.linspace(max(0.0, lift[bottom]), 0.85 * lift[top - 1], 9)
        direct = np.interp(wanted, lift[bottom:top], drag[bottom:top]) * polar.drag_bias(log_reynolds)[0]
        asked = polar.profile_drag(table, wanted, np.full(9, log_reynolds), np.full(9, deflection))[0]
        found.append(np.log(asked / direct))
    return np.concatenate(found)


def print_tables():
    polar.section_table(airfoil.coordinates_by_name("mh60"), HINGE)  # the first call loads the network
    for name in ("mh60", "mh45", "s5010"):
        points = airfoil.coordinates_by_name(name)
        for finish in ("covered", "bare", "smooth"):
            seconds = best_of(2, lambda p=points, f=finish: polar.section_table(p, HINGE, f))
            error = table_error(polar.section_table(points, HINGE, finish), points, finish, np.random.default_rng(5))
            print(
                f"section table {name}, {finish}: {seconds:.2f} s, {TARGET_TABLE} s wanted; drag between its nodes "
                f"{100 * np.sqrt(np.mean(error**2)):.1f} % rms, {100 * TARGET_TABLE_ERROR:.0f} % wanted "
                f"(median {100 * np.median(np.abs(error)):.1f} %, largest {100 * np.abs(error).max():.0f} %)"
            )


def main():
    print(f"{' '.join(['python', *sys.argv])}: one thread, best of several runs")
    print_comparison()
    print_tangents()
    print_tables()


if __name__ == "__main__":
    main()
