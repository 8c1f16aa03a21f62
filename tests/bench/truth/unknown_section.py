"""Measure the uncertainty of a wing of unknown section: python tests/bench/truth/unknown_section.py

The first table gives the bands for unknown sections in the physics, the second their correction by measured thickness.
Nothing is asserted. The sections are those in the library's database with camber lines of 1 to 2.8 % and a thin-airfoil
moment of -0.01 or more. Of these, only sections known from tailless models are used, and one of each pair of near
twins. All are compared at one thickness.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from tradestudy.physics.sections import airfoil, polar, unnamed_section

TAILLESS = (
    "mh44 mh45 mh60 mh61 mh62 hs510 hs520 hs522 e182 e184 s5010 s5020 PW75 PW106 eh1590 eh2010 sb97_fw phoenix jwl065"
).split()
FIRST_FIVE = ("mh60", "mh45", "mh61", "hs522", "e184")
THICKNESSES, REYNOLDS, LIFTS = (0.09, 0.105, 0.12), np.array([1e5, 2e5, 4e5]), (0.2, 0.4, 0.6)
ALPHA = np.radians(np.arange(-6, 16.1, 0.5))
COLUMNS = "cd at cl 0.2, 0.4, 0.6 (1e-4), largest cl, zero-lift angle [deg], cm at cl 0.3"

TRACED = ("mh60", "hs522", "e184", "s5010", "PW106", "eh2010")
# positions of the readings, as shares of the chord
STATIONS = np.array([0.04, 0.10, 0.20, 0.30, 0.44, 0.60, 0.76, 0.90])
CHORDS = np.linspace(0.235, 0.265, 7)


def section_numbers(outline, reynolds=REYNOLDS, finish="covered"):
    """Return drag at three lifts, largest lift, zero-lift angle [rad] and moment, of shape (n_reynolds, 6)."""
    transition = polar.TRANSITION_BY_FINISH[finish]
    cl, cd, cm = polar.alpha_polars(outline, ALPHA[:, None], reynolds, forced_transition=transition)
    rows = []
    for j in range(len(reynolds)):
        part = polar._attached(cl[:, j], cd[:, j])
        rows.append(
            [
                *np.interp(LIFTS, cl[part, j], cd[part, j]),
                polar._peak(cl[:, j], part[-1]),
                np.interp(0.0, cl[part, j], ALPHA[part]),
                np.interp(0.3, cl[part, j], cm[part, j]),
            ]
        )
    return np.array(rows)


def spread_table(finish="covered"):
    """Return the numbers of every section (n_section, n_thickness, n_reynolds, 6) and those of the generic section."""
    outlines = [airfoil.coordinates_by_name(name) for name in TAILLESS]
    named = [
        [section_numbers(airfoil.scaled_thickness(outline, t), finish=finish) for t in THICKNESSES]
        for outline in outlines
    ]
    generic = [section_numbers(unnamed_section.generic_section(t), finish=finish) for t in THICKNESSES]
    return np.array(named), np.array(generic)


def shown(row):
    return " | ".join(
        " ".join(f"{1e4 * v:6.1f}" for v in r[:3]) + f" {r[3]:5.3f} {np.degrees(r[4]):+5.2f} {r[5]:+.4f}" for r in row
    )


def print_spread():
    named, generic = spread_table()
    mean = named.mean(axis=0)
    print(f"Re 100k | 200k | 400k: {COLUMNS}")
    for t, thickness in enumerate(THICKNESSES):
        print(f"thickness {100 * thickness:.1f} %")
        for name, row in [*zip(TAILLESS, named[:, t], strict=True), ("mean", mean[t]), ("generic", generic[t])]:
            print(f"  {name:8} {shown(row)}")
    print_bands("all", named, generic)
    print_bands("first five", named[[TAILLESS.index(name) for name in FIRST_FIVE]], generic)
    for finish in ("bare", "smooth"):
        print_bands(finish, *spread_table(finish))
    for word, sign in (("below", -1), ("above", 1)):
        beyond = np.all(sign * (named - generic)[..., :3] > 0, axis=(1, 2, 3))
        print(f"drag {word} the generic section's everywhere:", *np.array(TAILLESS)[beyond])


def print_bands(label, named, generic):
    """Print one standard deviation and the distance of the generic section from the mean, rms over all conditions."""
    middle = named.mean(axis=0)
    scale = np.concatenate([middle[..., :3], np.ones_like(middle[..., 3:])], axis=-1)
    deviation, distance = named.std(axis=0, ddof=1) / scale, (generic - middle) / scale
    for name, part in (("drag", slice(0, 3)), ("lift", 3), ("angle [rad]", 4), ("moment", 5)):
        s, d = deviation[..., part], distance[..., part]
        print(
            f"{label}, {name}: deviation {np.sqrt(np.mean(s**2)):.4f} ({s.min():.4f} to {s.max():.4f}), "
            f"generic - mean {d.mean():+.4f} ({d.min():+.4f} to {d.max():+.4f}), "
            f"both {np.sqrt(np.mean(s**2 + d**2)):.4f}"
        )


def read_off(outline, chord, step=0.5e-3):
    """Return station, top and bottom [m] of an outline, as read from a ruler with marks ``step`` apart."""
    x, upper, lower = airfoil.surfaces(outline)
    station = np.round(STATIONS * chord, 3)
    return station, *(
        step * np.round(sign * chord * np.interp(station / chord, x, side) / step)
        for sign, side in ((1, upper), (-1, lower))
    )


def print_trace():
    true = {name: airfoil.coordinates_by_name(name) for name in TRACED}
    numbers = {name: section_numbers(true[name], REYNOLDS[1:2])[0] for name in TRACED}
    chosen = unnamed_section.ORDER, unnamed_section.PULL
    print("rms outline [mm of 250], largest of one trace; rms cd, largest lift, zero-lift angle [rad], cm")
    for order in (4, 5, 6):
        for pull in (0.003, 0.01, 0.02, 0.03, 0.05, 0.1):
            unnamed_section.ORDER, unnamed_section.PULL = order, pull
            print(f"order {order}, pull {pull:5.3f}: {trace_errors(true, numbers, unnamed_section.traced_section)}")
    unnamed_section.ORDER, unnamed_section.PULL = chosen
    print(
        "generic instead:    ",
        trace_errors(
            true,
            numbers,
            lambda station, top, bottom, chord: unnamed_section.generic_section((top + bottom).max() / chord),
        ),
    )


def trace_errors(true, numbers, drawn):
    """Return words on the errors of ``drawn`` (as traced_section), over sections and chords."""
    away, errors = [], []
    for name, outline in true.items():
        for chord in CHORDS:
            found = drawn(*read_off(outline, chord), chord)
            away.append(250 * np.sqrt(np.mean((found[:, 1] - outline[:, 1]) ** 2)))
            error = section_numbers(found, REYNOLDS[1:2])[0] - numbers[name]
            error[:3] /= numbers[name][:3]
            errors.append(error)
    errors = np.array(errors)
    rms = np.sqrt(np.mean(errors**2, axis=0))
    return (
        f"{np.sqrt(np.mean(np.square(away))):.3f}, {max(away):.3f}; {rms[0]:.4f} {rms[1]:.4f} {rms[2]:.4f}, "
        f"{rms[3]:.3f}, {rms[4]:.5f}, {rms[5]:.4f}"
    )


if __name__ == "__main__":
    print_spread()
    print_trace()
