"""Invented wings in which everything fits, two by hand and any number by chance, as designs without aerodynamics."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from tradestudy.aircraft.anchor.calibration import stock_choice
from tradestudy.aircraft.model import model_data
from tradestudy.aircraft.model.choices import chosen_pack_size, study_with_choice
from tradestudy.aircraft.shape.pack_bay import bay_of_pack, ends_of_bay, study_with_bay
from tradestudy.aircraft.shape.stock_fit import stock_fits
from tradestudy.aircraft.shape.stock_shape import bay_box, stock_wing, wing_sections
from tradestudy.errors import StudyFileError
from tradestudy.physics.body.clearance import box_heights, box_margins
from tradestudy.physics.flight import layout
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights.pack_layouts import layouts
from tradestudy.physics.weights.unlisted import NOTHING_UNLISTED
from tradestudy.study.reader import read_study

MM = 1e-3
ORDER = ["stock", "elevon", "fin", "foam", "covering", "rods", "joiner", "bay", "pocket", "pack", "motor", "controller",
         "propeller", "equipment", "stretch", "fly"]  # fmt: skip

PLAIN = {
    "stock": {"span": "1250 mm", "centre_width": "140 mm", "root_chord": "325 mm", "tip_chord": "170 mm",
              "tip_set_back": "280 mm", "washout": "2 deg", "airfoil": "mh60", "airfoil_covers": "whole",
              "root_thickness": "50 mm", "tip_thickness": "26 mm", "flying_weight": "2100 g",
              "balance_from_nose": "170 mm"},
    "elevon": {"root_chord": "45 mm", "tip_chord": "30 mm", "inner_end": "90 mm", "outer_end": "600 mm",
               "thickness": "7 mm", "material": "balsa"},
    "fin": [{"height": "150 mm", "root_chord": "160 mm", "tip_chord": "90 mm", "set_back": "60 mm",
             "behind_leading_edge": "10 mm", "material": "corrugated sheet 3 mm"}],
    "foam": {"material": "EPP 30"},
    "covering": {"material": "laminating film 38 um"},
    "rods": [{"name": "main", "material": "glass", "diameter": "3 mm", "chord_fraction": 0.3, "inner_end": "75 mm",
              "outer_end": "590 mm", "slot_depth": "5 mm", "at_centre": "ends"},
             {"name": "rear", "material": "carbon", "diameter": "2 mm", "chord_fraction": 0.85, "outer_end": "500 mm",
              "slot_depth": "4 mm", "at_centre": "lap"}],
    "bay": [{"name": "nose", "from_nose": "45 mm", "length": "170 mm", "width": "120 mm", "depth": "26 mm",
             "divider": "3 mm"}],
    "pocket": [{"name": "servo", "from_centre": "300 mm", "along_span": "24 mm", "from_leading_edge": "150 mm",
                "length": "24 mm", "depth": "13 mm"}],
    "pack": {"cell": "18650 2.5 Ah", "series": 4, "parallel": 1, "cells_across": 4, "bay": "nose",
             "from_nose": "110 mm"},
    "motor": {"size": "28 mm", "mass": "118 g", "speed_constant": "820 rpm/V", "maximum_current": "34 A",
              "from_nose": "375 mm"},
    "controller": {"mass": "38 g", "maximum_current": "40 A", "from_nose": "250 mm"},
    "propeller": {"size": "10x6", "mass": "20 g", "from_nose": "405 mm"},
    "equipment": [{"name": "receiver", "mass": "20 g", "from_nose": "230 mm"}],
    "stretch": {"scheme": "scaled", "span": ["1250 mm", "1600 mm"], "rod_length_sold": "1000 mm"},
    "fly": {"launch_speed": "49.5 km/h", "never_exceed_speed": "140 km/h"},
}  # fmt: skip
# foam section with a flat elevon, a joiner ahead of a bay that is cut right through, tubes, pairs, leaning fins
RICH = PLAIN | {
    "stock": PLAIN["stock"] | {"airfoil_covers": "foam", "dihedral": "2 deg"},
    "elevon": PLAIN["elevon"] | {"outer_end": "625 mm"},
    "fin": [PLAIN["fin"][0] | {"from_centre": "450 mm", "root_chord": "110 mm", "cant": "15 deg", "toe": "2 deg",
                               "depth_below": "50 mm"},
            PLAIN["fin"][0] | {"toe": "1 deg"}],
    "rods": [PLAIN["rods"][0] | {"pairs": 2, "diameter": "2 mm"},
             PLAIN["rods"][1] | {"name": "tube", "surface": "middle", "diameter": "4 mm", "inside_diameter": "3 mm",
                                 "chord_fraction": 0.8, "tip_chord_fraction": 0.6, "at_centre": "cross over"}],
    "joiner": {"material": "carbon", "diameter": "8 mm", "length": "300 mm", "from_nose": "114 mm",
               "inside_diameter": "5 mm"},
    "bay": [{"name": "nose", "from_nose": "129 mm", "length": "80 mm", "width": "110 mm", "depth": "23 mm",
             "through": True},
            {"name": "camera", "from_nose": "20 mm", "length": "50 mm", "width": "40 mm", "depth": "14 mm"}],
    "pocket": [PLAIN["pocket"][0] | {"side": "top", "depth": "11 mm", "from_leading_edge": "110 mm"}],
    "equipment": [{"name": "camera", "mass": "12 g", "from_nose": "45 mm", "size": ["22 mm", "30 mm", "12 mm"]},
                  {"name": "receiver", "mass": "20 g", "from_nose": "212 mm", "from_centre": "65 mm", "side": "both",
                   "size": ["18 mm", "14 mm", "6 mm"]},
                  {"name": "GPS", "mass": "14 g", "from_nose": "212 mm", "from_centre": "210 mm", "side": "right",
                   "size": ["20 mm", "24 mm", "9 mm"]},
                  {"name": "power module", "mass": "9 g", "from_nose": "224 mm", "size": ["16 mm", "30 mm", "7 mm"]}],
    "pack": PLAIN["pack"] | {"from_nose": "169 mm"},
    "motor": PLAIN["motor"] | {"mount_slot": "30 mm", "mount_slot_width": "12 mm"},
}  # fmt: skip


def study_text(tables):
    """Return the text of a study file from its tables."""
    lines = []
    for name in ORDER:
        table = tables.get(name)
        for one in table if isinstance(table, list) else [table] if table else []:
            lines.append(f"[[{name}]]" if isinstance(table, list) else f"[{name}]")
            lines += [f"{key} = {_value(value)}" for key, value in one.items()]
    return "\n".join([*lines, ""])


def _value(value):
    if isinstance(value, list):
        return f"[{', '.join(_value(each) for each in value)}]"
    return f'"{value}"' if isinstance(value, str) else str(value).lower()


def read_tables(tables, folder):
    """Return the study of some tables, written into a folder."""
    path = folder / "wing.toml"
    path.write_text(study_text(tables), encoding="utf-8")
    return read_study(path)


def light_design(study, extension=0.0, choice=None, place=None):
    """Return what the assembly of a body needs of a design, without a lattice.

    The pack is that of the stock wing in its place, or that of ``choice`` at ``place`` [m].
    """
    stock = stock_wing(study)
    laid = model_data._layout_data(study, stock, wing_sections(study, stock), NOTHING_UNLISTED)
    wing = layout.wing_outline(laid, np.array(extension), np.array(stock.sweep), np.array(stock.washout))
    fins = layout.fins_on(laid, wing, planform.areas(wing))
    return SimpleNamespace(
        study=study,
        data=SimpleNamespace(layout=laid),
        choice=choice or stock_choice(study),
        variables={"extension": extension},
        solution=SimpleNamespace(wing=wing, fins=fins),
        evaluation=SimpleNamespace(
            balance=SimpleNamespace(pack_position=study.pack.from_nose if place is None else place),
            flow=SimpleNamespace(trimmed=SimpleNamespace(centre_of_gravity=study.stock.balance_from_nose)),
        ),
    )


def random_tables(random):
    """Return the tables of a wing by chance. Bays, rods and joiner are placed side by side, as a builder does."""

    def mm(low, high):
        return f"{random.uniform(low, high):.1f} mm"

    def number(low, high):
        return float(random.uniform(low, high))

    span, root, taper = number(900, 1900), number(260, 380), number(0.45, 0.95)
    tip, thick, semi = taper * root, number(0.12, 0.16) * root, 0.5 * span
    elevon, centre = number(0.1, 0.18) * root, number(0.12, 0.2) * span
    width, front = number(0.5, 0.85) * centre, number(0.12, 0.2) * root
    joined = random.random() < 0.5
    bay_front = 0.35 * root + 11 if joined else front  # behind half a channel of 20 mm
    length, depth = max(0.55 * root - bay_front, 78.0), max(number(0.35, 0.45) * thick, 23.0)
    inner = 0.5 * width + 12
    stock = {"span": f"{span:.1f} mm", "centre_width": f"{centre:.1f} mm", "root_chord": f"{root:.1f} mm",
             "tip_chord": f"{tip:.1f} mm", "tip_set_back": f"{number(0.15, 0.5) * semi:.1f} mm",
             "washout": f"{number(0, 4):.2f} deg", "dihedral": f"{number(-1, 4):.2f} deg",
             "airfoil": str(random.choice(["mh60", "mh45", "naca23012", "naca0012"])),
             "airfoil_covers": str(random.choice(["whole", "foam"])), "root_thickness": f"{thick:.1f} mm",
             "flying_weight": "2500 g", "balance_from_nose": f"{0.5 * root:.1f} mm"}  # fmt: skip
    if random.random() < 0.5:
        stock["tip_thickness"] = f"{number(0.09, 0.13) * tip:.1f} mm"
    fin = {"height": mm(90, 170), "root_chord": f"{0.7 * tip:.1f} mm", "tip_chord": f"{0.5 * tip:.1f} mm",
           "set_back": mm(20, 80), "behind_leading_edge": mm(0, 20), "material": "corrugated sheet 3 mm",
           "toe": f"{number(-2, 2):.2f} deg"}  # fmt: skip
    rods = [
        {"name": "main", "material": "glass", "diameter": f"{random.choice([2, 3])} mm",
         "surface": str(random.choice(["both", "top", "bottom"])), "chord_fraction": number(0.25, 0.35),
         "inner_end": f"{inner:.1f} mm", "outer_end": f"{0.9 * semi:.1f} mm", "slot_depth": mm(4, 5),
         "at_centre": "ends"},
        {"name": "rear", "material": "carbon", "diameter": "3 mm", "inside_diameter": "2 mm", "surface": "middle",
         "chord_fraction": 0.84, "tip_chord_fraction": number(0.65, 0.8), "inner_end": mm(0, 10),
         "outer_end": f"{0.7 * semi:.1f} mm", "slot_depth": "6 mm",
         "at_centre": str(random.choice(["ends", "lap", "cross over"]))},
    ]  # fmt: skip
    bay = {"name": "nose", "from_nose": f"{bay_front:.1f} mm", "length": f"{length:.1f} mm",
           "width": f"{width:.1f} mm", "depth": f"{depth:.1f} mm", "through": bool(random.random() < 0.3)}  # fmt: skip
    if random.random() < 0.5:
        bay["divider"] = "3 mm"
    pocket = {"name": "servo", "from_centre": f"{0.45 * semi:.1f} mm", "along_span": mm(15, 30),
              "from_leading_edge": f"{0.42 * root:.1f} mm", "length": mm(15, 25), "depth": mm(5, 8),
              "side": str(random.choice(["top", "bottom"]))}  # fmt: skip
    pack = {"cell": "18650 2.5 Ah", "series": 1, "parallel": 1, "cells_across": 1, "bay": "nose",
            "from_nose": f"{bay_front + 0.5 * length:.1f} mm"}  # fmt: skip
    behind = root + elevon
    out = number(0.6, 0.8)  # share of the panel
    chord, station = root + out * (tip - root), 0.5 * centre + out * (semi - 0.5 * centre)
    edge = out * float(stock["tip_set_back"].split()[0])
    thing = {"name": "receiver", "mass": "20 g", "from_nose": f"{edge + 0.5 * chord:.1f} mm",
             "from_centre": f"{station:.1f} mm", "side": str(random.choice(["left", "right", "both"])),
             "size": ["12 mm", f"{number(8, 20):.1f} mm", f"{number(2.0, 3.5):.1f} mm"]}  # fmt: skip
    return PLAIN | {
        "stock": stock,
        "elevon": {"root_chord": f"{elevon:.1f} mm", "tip_chord": f"{0.8 * elevon:.1f} mm",
                   "inner_end": f"{0.15 * semi:.1f} mm", "outer_end": f"{number(0.85, 1) * semi:.1f} mm",
                   "thickness": "6 mm", "material": "balsa"},
        "fin": [fin],
        "rods": rods,
        "bay": [bay],
        "joiner": {"material": "carbon", "diameter": "8 mm", "length": f"{centre + 40:.1f} mm",
                   "from_nose": f"{0.35 * root:.1f} mm"} if joined else None,
        "pocket": [pocket],
        "equipment": [thing],
        "pack": pack,
        "motor": PLAIN["motor"] | {"from_nose": f"{behind + 30:.1f} mm"},
        "propeller": PLAIN["propeller"] | {"from_nose": f"{behind + 0.6 * semi + 60:.1f} mm"},
        "stretch": PLAIN["stretch"] | {"span": [f"{span:.1f} mm", f"{1.3 * span:.1f} mm"]},
    }  # fmt: skip


def random_designs(seed, count, folder):
    """Yield designs of wings by chance in which the bays fit, each with an extension of its own."""
    random = np.random.default_rng(seed)
    found = 0
    while found < count:
        try:
            study = read_tables(random_tables(random), folder)
        except StudyFileError:  # no wing that flies
            continue
        if min(one.room for one in stock_fits(study)) < 1e-3:
            continue
        found += 1
        yield light_design(study, float(random.uniform(0.0, 0.15)) * study.stock.span)


def random_laid_designs(seed, count, folder):
    """Yield designs of wings by chance whose bays are cut to packs by chance: in one bay or in two, lids raised or not.

    Each pack lies at a place by chance where its bay has room.
    """
    random = np.random.default_rng(seed)
    found = 0
    while found < count:
        tables = random_tables(random)
        bay, apart = tables["bay"][0], bool(random.random() < 0.4)
        bay["through"] = False
        tables["stretch"] = tables["stretch"] | {"can_cut_cores": True, "pack_travel": "3 mm"}
        if apart:
            bay |= {"from_centre": f"{random.uniform(20, 60):.1f} mm", "width": "24 mm"}
            tables["pack"] = tables["pack"] | {"parallel": 2}
        try:
            study = read_tables(tables, folder)
        except StudyFileError:
            continue
        if min(one.room for one in stock_fits(study)) < 1e-3:
            continue
        design = _laid_design(random, study, 2 if apart else 1)
        if design is not None:
            found += 1
            yield design


def _laid_design(random, study, halves):
    """Return a design with a pack by chance in a bay of its own, or None if it has no room."""
    cells = int(random.integers(1, 5))
    ways = layouts(cells, study.pack.piece)
    lid = float(random.choice([0.0, 0.0, 0.004]))
    choice = replace(
        stock_choice(study), series=cells, parallel=halves, layout=str(random.choice([one.text for one in ways])),
        raised_lid=lid,
    )  # fmt: skip
    made = study_with_choice(study, choice)
    size, extension = chosen_pack_size(made, choice), float(random.uniform(0.0, 0.15)) * study.stock.span
    light = light_design(made, extension)
    outer = layout.outer_skin(light.data.layout, light.solution.wing)
    front, back = (end.place for end in ends_of_bay(made))
    for place in random.permutation(np.arange(front, back, 0.003)):
        bay = bay_of_pack(made, size, float(place), lid)
        boxes = [bay_box(bay)]
        inside = bay.from_nose >= front and bay.from_nose + bay.length <= back and bay.inner_side >= 0.0
        if inside and box_margins(box_heights(outer, boxes), boxes).min() > 2e-4:
            return light_design(study_with_bay(made, bay), extension, choice, float(place))
    return None
