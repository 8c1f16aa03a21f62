"""The balance of a wing by hand: a list of parts with grams and places, from the text of a study alone.

It shares no code with the project. It cuts the wing into thin slices and adds them up. It knows the wings of
`builds_by_hand`: redrawn panels or a plug at the root, and kept fins. Lengths are in mm and masses in g.
"""

import math
import tomllib
from pathlib import Path
from typing import NamedTuple

import aerosandbox
import numpy as np

_DATA = Path(__file__).parents[3] / "tradestudy" / "data"
_SLICES, _POINTS = 1500, 400
# what the documents state as allowances
OVERLAP, LEAD, STRIPS, LEADS_OF_PACK = 1.08, 14.0, 1.06, 30.0
BY_AREA, BY_JOINTS = 0.4, 0.2


class Part(NamedTuple):
    """One part, or two alike in both halves: grams, millimetres behind the nose, and to the right of the middle."""

    name: str
    mass: float
    x: float
    y: float = 0.0


class Stretched(NamedTuple):
    """What a result says of a stretched wing, without its weight and balance."""

    added: float = 0.0  # to each side
    sweep: float | None = None  # angle of the leading edge in degrees; None is that of the stock wing
    tip_chord: float | None = None  # of the foam; None is that of the stock wing
    bay: dict | None = None  # front, length, width, depth, raised lid of a bay that is cut to the pack
    pack: float | None = None  # place of the pack
    pack_mass: float | None = None
    rods: tuple | None = None  # diameter and pairs of the first set


def mm(text):
    value, unit = text.split()
    return float(value) * {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}[unit]


def grams(text):
    value, unit = text.split()
    return float(value) * {"g": 1.0, "kg": 1000.0, "oz": 28.349523125}[unit]


def listed(table, name):
    """Return one entry of the catalogue's text."""
    return tomllib.loads((_DATA / f"{table}.toml").read_text(encoding="utf-8"))[name]


def first_number(text):
    return float(text.split()[0])


class Wing:
    """The slices of one half wing."""

    def __init__(self, study, added=0.0, sweep=None, tip_chord=None):
        stock, elevon = study["stock"], study["elevon"]
        self.study, self.added = study, added
        self.scheme = study["stretch"]["scheme"]
        start, semi = 0.5 * mm(stock.get("centre_width", "0 mm")), 0.5 * mm(stock["span"])
        back = mm(stock["tip_set_back"])
        self.semi = semi + added
        self.start = start + (added if self.scheme == "plug" else 0.0)
        if self.scheme == "scaled":
            tangent = back / (semi - start) if sweep is None else math.tan(math.radians(sweep))
            back = tangent * (self.semi - self.start)
        self.back = back
        self.root, self.tip = mm(stock["root_chord"]), mm(stock["tip_chord"])
        smaller = tip_chord / self.tip if tip_chord else 1.0  # the section at the tip keeps its shape
        self.elevon = mm(elevon["root_chord"]), smaller * mm(elevon["tip_chord"])
        drawn = aerosandbox.Airfoil(stock["airfoil"]).repanel(400)
        top, bottom = drawn.upper_coordinates()[::-1], drawn.lower_coordinates()
        s = 0.5 * (1 - np.cos(np.linspace(0, np.pi, _POINTS)))  # shares of the foam chord
        ends = []
        own = ((self.root, self.elevon[0], "root", 1.0), (self.tip, self.elevon[1] / smaller, "tip", smaller))
        for chord, strip, key, scale in own:
            whole = chord + (strip if stock.get("airfoil_covers", "whole") == "whole" else 0.0)
            fine = np.linspace(0, 1, 20001)
            upper, lower = np.interp(fine, *top.T), np.interp(fine, *bottom.T)
            thick = mm(stock.get(f"{key}_thickness", "0 mm")) or mm(stock["root_thickness"]) * chord / self.root
            factor = thick / (whole * (upper - lower).max())
            camber, half = 0.5 * whole * (upper + lower), 0.5 * whole * factor * (upper - lower)
            at = s * chord / whole
            ends.append([scale * np.interp(at, fine, camber + half), scale * np.interp(at, fine, camber - half)])
        self.tip *= smaller
        edges = np.linspace(0.0, self.semi, _SLICES + 1)
        self.y, self.wide = 0.5 * (edges[1:] + edges[:-1]), np.diff(edges)
        self.share = self.on_panel(self.y)
        self.edge, self.chord = self.back * self.share, self.foam_chord(self.y)
        self.behind = self.elevon[0] + (self.elevon[1] - self.elevon[0]) * self.share
        (u0, l0), (u1, l1) = ends
        blend = self.share[:, None]
        self.s, self.upper, self.lower = s, (1 - blend) * u0 + blend * u1, (1 - blend) * l0 + blend * l1

    def on_panel(self, y):
        return np.clip((y - self.start) / (self.semi - self.start), 0.0, 1.0)

    def foam_chord(self, y):
        return self.root + (self.tip - self.root) * self.on_panel(y)

    def edge_at(self, y):
        return self.back * float(self.on_panel(y))

    def moved(self, y):
        """Return where a thing in a panel of the stock wing goes."""
        stock = 0.5 * mm(self.study["stock"]["span"])
        return y + self.added if self.scheme == "plug" else y * self.semi / stock

    def foam(self):
        """Return cm3 of both halves and their middle."""
        depth, x = self.upper - self.lower, self.s * self.chord[:, None]
        area, moment = np.trapezoid(depth, x), np.trapezoid(depth * x, x)
        volume = 2 * (area * self.wide).sum()
        return volume / 1e3, 2 * ((moment + area * self.edge) * self.wide).sum() / volume

    def surface(self):
        """Return cm2 of foam and elevons, upper and lower side and the face at the hinge, and their middle."""
        x = self.s * self.chord[:, None]
        long, mid = 0.0, 0.0
        for side in (self.upper, self.lower):
            piece = np.hypot(np.diff(x), np.diff(side))
            long, mid = long + piece.sum(1), mid + (piece * 0.5 * (x[:, 1:] + x[:, :-1])).sum(1)
        face = self.upper[:, -1] - self.lower[:, -1]
        c, e = self.chord, self.behind
        long, mid = long + face + 2 * e, mid + face * c + 2 * e * (c + 0.5 * e)
        area = 2 * (long * self.wide).sum()
        return area / 100, 2 * ((mid + long * self.edge) * self.wide).sum() / area

    def thickness_over(self, front, back, inner, outer):
        """Return cm3 of foam between places and stations, in both halves, and its middle."""
        volume = moment = 0.0
        for index in np.flatnonzero((self.y > inner) & (self.y < outer)):
            x = np.linspace(front, back, 200)
            here = self.edge[index] + self.s * self.chord[index]
            depth = np.interp(x, here, self.upper[index] - self.lower[index], left=0.0, right=0.0)
            volume += 2 * np.trapezoid(depth, x) * self.wide[index]
            moment += 2 * np.trapezoid(depth * x, x) * self.wide[index]
        return volume / 1e3, moment / volume


class Rod(NamedTuple):
    length: float  # of one rod in one half
    x: float


def rods_of(wing, table, diameter):
    """Return the rods of one half at one place: the rod itself, and half of the one across the centre."""
    stock_semi = 0.5 * mm(wing.study["stock"]["span"])
    inner = mm(table.get("inner_end", "0 mm")) + (wing.added if wing.scheme == "plug" else 0.0)
    outer = wing.semi - (stock_semi - mm(table["outer_end"]))
    first = wing.start if inner < wing.start < outer else inner
    tip = table.get("tip_chord_fraction", table["chord_fraction"])
    x0 = wing.edge_at(first) + table["chord_fraction"] * float(wing.foam_chord(first))
    x1 = wing.edge_at(outer) + tip * float(wing.foam_chord(outer))
    slope = (x1 - x0) / (outer - first)
    per = math.hypot(1.0, slope)  # of rod for each mm outward
    lap = mm(table["lap"]) if "lap" in table else 25 * diameter
    if table["at_centre"] == "cross over":
        inner -= lap / per
    begin = x0 + slope * (inner - first)
    rods = [Rod((outer - inner) * per, 0.5 * (begin + x1))]
    if table["at_centre"] == "lap":
        apart = diameter + 1.0
        rods.append(Rod(inner + lap / per, begin + (apart if slope < 0 else -apart)))
    return rods


def parts_of(text, built=None, not_listed=True):
    """Return every Part of a wing from the text of its study. ``built`` is a Stretched; None is the stock wing."""
    study = tomllib.loads(text)
    stock = study["stock"]
    built = built or Stretched()
    wing = Wing(study, built.added, built.sweep, built.tip_chord)
    foam_density = first_number(listed("foams", study["foam"]["material"])["density"]) / 1e3  # g/cm3
    film = first_number(listed("coverings", study["covering"]["material"])["areal_mass"])
    glue = first_number(study["covering"].get("adhesive", "15 g/m2"))
    parts, joints = [], []

    def removed(name, volume, x, y=0.0):
        parts.append(Part(f"less foam of {name}", -foam_density * volume, x, y))

    volume, x = wing.foam()
    parts.append(Part("foam", foam_density * volume, x))
    surface, middle = wing.surface()
    parts.append(Part("film", (film + glue) * OVERLAP * surface / 1e4, middle))
    e, sheet = wing.behind, first_number(listed("sheets", study["elevon"]["material"])["density"]) / 1e6
    thick = mm(study["elevon"]["thickness"])
    per = sheet * thick * (2 / 3) * e * wing.wide * 2  # a wedge down to a third of its thickness
    parts.append(Part("elevons", per.sum(), (per * (wing.edge + wing.chord + 5 / 12 * e)).sum() / per.sum()))
    for fin in study.get("fin", ()):
        a, b, high = mm(fin["root_chord"]), mm(fin["tip_chord"]), mm(fin["height"])
        sheet = first_number(listed("sheets", fin["material"])["areal_mass"]) / 1e6
        rise = (a + 2 * b) / (3 * (a + b))
        middle_chord = (a * a + a * b + b * b) / (3 * (a + b))
        place = mm(fin["behind_leading_edge"]) + mm(fin["set_back"]) * rise + middle_chord
        parts.append(Part("fins", 2 * sheet * 0.5 * (a + b) * high, wing.edge_at(wing.semi) + place))
    for index, table in enumerate(study.get("rods", ())):
        diameter, pairs = mm(table["diameter"]), table.get("pairs", 1)
        if index == 0 and built.rods:
            diameter, pairs = built.rods
        count = pairs * (2 if table.get("surface", "both") == "both" else 1)
        bore = mm(table.get("inside_diameter", "0 mm")) / mm(table["diameter"])
        density = first_number(listed("rods", table["material"])["density"]) / 1e6
        section = math.pi / 4 * diameter**2
        for rod in rods_of(wing, table, diameter):
            long = 2 * count * rod.length
            parts.append(Part(f"rods {table['name']}", density * section * (1 - bore**2) * long, rod.x))
            removed(f"rods {table['name']}", section * long / 1e3, rod.x)
            joints.append((long, rod.x))
    if joiner := study.get("joiner"):
        d, inside, long = mm(joiner["diameter"]), mm(joiner.get("inside_diameter", "0 mm")), mm(joiner["length"])
        density = first_number(listed("rods", joiner["material"])["density"]) / 1e6
        x, channel = mm(joiner["from_nose"]), mm(joiner["channel"]) if "channel" in joiner else 2.5 * d
        parts.append(Part("joiner", density * math.pi / 4 * (d**2 - inside**2) * long, x))
        removed("the channel", channel * (long + 2) * (d + 2) / 1e3, x)
    pack_bay = study["pack"]["bay"]
    for bay in study["bay"]:
        front, long, wide, deep = (mm(bay[key]) for key in ("from_nose", "length", "width", "depth"))
        lid = mm(bay.get("raised_lid", "0 mm"))
        cut_to_pack = built.bay and bay["name"] == pack_bay
        if cut_to_pack:
            front, long, wide, deep, lid = (built.bay[key] for key in ("front", "length", "width", "depth", "lid"))
        halves = 2 if "from_centre" in bay else 1
        if bay.get("through"):
            removed(f"bay {bay['name']}", *wing.thickness_over(front, front + long, 0.0, 0.5 * wide))
        else:
            removed(f"bay {bay['name']}", halves * long * wide * deep / 1e3, front + 0.5 * long)
        if board := mm(bay.get("divider", "0 mm")):
            removed(f"board {bay['name']}", halves * board * wide * deep / 1e3, front + long + 0.5 * board)
        if lid and cut_to_pack:
            sides = (film + glue) / 1e6 * 2 * (long + wide) * lid
            slab = foam_density * long * wide * lid / 1e3
            parts.append(Part("raised lid", halves * (slab + sides), front + 0.5 * long))
    for pocket in study.get("pocket", ()):
        along, long, deep = (mm(pocket[key]) for key in ("along_span", "length", "depth"))
        x = wing.edge_at(wing.moved(mm(pocket["from_centre"]))) + mm(pocket["from_leading_edge"]) + 0.5 * long
        removed(f"pockets {pocket['name']}", 2 * along * long * deep / 1e3, x)
    motor = study["motor"]
    if "mount_slot" in motor:
        slot, half = mm(motor["mount_slot"]), 0.5 * mm(motor["mount_slot_width"])
        x = np.linspace(wing.root - slot, wing.root, 200)
        depth = np.interp(x, wing.s * wing.root, (wing.upper - wing.lower)[0])
        whole = np.trapezoid(depth, x)
        removed("the mount's slot", whole * 2 * half / 1e3, np.trapezoid(depth * x, x) / whole)
    lead = mm(study["controller"]["from_nose"])
    parts.append(Part("longer leads", LEAD * 2 * built.added / 1e3, lead))
    for name in ("motor", "controller", "propeller"):
        parts.append(Part(name, grams(study[name]["mass"]), mm(study[name]["from_nose"])))
    in_middle = 0.5 * mm(stock.get("centre_width", "0 mm"))
    own = Wing(study)
    for thing in study.get("equipment", ()):
        x, out, side = mm(thing["from_nose"]), mm(thing.get("from_centre", "0 mm")), thing.get("side")
        station = wing.moved(out) if out > in_middle else out
        x += wing.edge_at(station) - own.edge_at(out) if out > in_middle else 0.0
        y = {None: 0.0, "right": 1.0, "left": -1.0, "both": 0.0}[side] * station
        parts.append(Part(thing["name"], grams(thing["mass"]), x, y))
        if "size" in thing and thing["size"] != "none" and not _in_a_bay(study, x, out):
            number = 2 if side == "both" else 1
            removed(thing["name"], number * math.prod(mm(one) for one in thing["size"]) / 1e3, x, y)
    parts += _packs(study, built)
    joints.append((wing.root + wing.elevon[0], 0.5 * (wing.root + wing.elevon[0])))
    inner, outer = (mm(study["elevon"][key]) for key in ("inner_end", "outer_end"))
    ends = [wing.moved(end) for end in (inner, outer)]
    hinge = sum(wing.edge_at(end) + float(wing.foam_chord(end)) for end in ends) / 2
    joints.append((2 * (ends[1] - ends[0]), hinge))
    if not_listed:
        parts += _not_listed(text, study, surface, middle, joints)
    return parts


def _in_a_bay(study, x, out):
    return any(
        mm(bay["from_nose"]) <= x <= mm(bay["from_nose"]) + mm(bay["length"])
        and abs(out - mm(bay.get("from_centre", "0 mm"))) <= 0.5 * mm(bay["width"])
        for bay in study["bay"]
    )


def _packs(study, built):
    pack = study["pack"]
    weight = built.pack_mass
    if weight is None and "weight" in pack:
        weight = grams(pack["weight"])
    if weight is None:
        cells = pack["series"] * pack["parallel"]
        weight = grams(listed("cells", pack["cell"])["mass"]) * cells * STRIPS + LEADS_OF_PACK
    x = mm(pack["from_nose"]) if built.pack is None else built.pack
    if "second_bay" not in pack:
        return [Part("pack", weight, x)]
    return [Part("pack", 0.5 * weight, x), Part("second pack", 0.5 * weight, mm(pack["second_from_nose"]))]


_IN_STOCK = {}


def _not_listed(text, study, surface, middle, joints):
    """Return the mass on no list: what the scale says less all listed parts, placed so that the stock wing balances."""
    if text not in _IN_STOCK:
        _IN_STOCK[text] = _stock_remainder(text, study)
    mass, moment, own_surface, own_middle, own_joints, own_joint_moment = _IN_STOCK[text]
    by_area, by_joints = (study["stock"].get(f"not_listed_by_{key}", share) for key, share in _SHARES)
    area, joint = by_area * mass / own_surface, by_joints * mass / own_joints
    rest = moment - area * own_surface * own_middle - joint * own_joint_moment
    long, glued = sum(one for one, _ in joints), sum(one * x for one, x in joints)
    total = (1 - by_area - by_joints) * mass + area * surface + joint * long
    return [Part("not listed", total, (rest + area * surface * middle + joint * glued) / total)]


_SHARES = (("area", BY_AREA), ("joints", BY_JOINTS))


def _stock_remainder(text, study):
    found = []
    parts = parts_of(text, not_listed=False)
    wing = Wing(study)
    surface, middle = wing.surface()
    for table in study.get("rods", ()):
        count = table.get("pairs", 1) * (2 if table.get("surface", "both") == "both" else 1)
        found += [(2 * count * rod.length, rod.x) for rod in rods_of(wing, table, mm(table["diameter"]))]
    found.append((wing.root + wing.elevon[0], 0.5 * (wing.root + wing.elevon[0])))
    ends = [mm(study["elevon"][key]) for key in ("inner_end", "outer_end")]
    found.append((2 * (ends[1] - ends[0]), sum(wing.edge_at(y) + float(wing.foam_chord(y)) for y in ends) / 2))
    weight = grams(study["stock"]["flying_weight"])
    mass = weight - sum(part.mass for part in parts)
    moment = weight * stock_mark(study) - sum(part.mass * part.x for part in parts)
    long = sum(one for one, _ in found)
    return mass, moment, surface, middle, long, sum(one * x for one, x in found)


def stock_mark(study):
    """Return where the stock wing balances behind the nose, from either datum."""
    stock = study["stock"]
    if "balance_from_nose" in stock:
        return mm(stock["balance_from_nose"])
    return mm(stock["root_chord"]) + mm(study["elevon"]["root_chord"]) - mm(stock["balance_from_trailing_edge"])


def balance(parts):
    """Return grams, place behind the nose and place to the right of the middle, of all parts together."""
    mass = sum(part.mass for part in parts)
    return mass, sum(part.mass * part.x for part in parts) / mass, sum(part.mass * part.y for part in parts) / mass
