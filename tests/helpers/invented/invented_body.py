"""The body of an invented wing: a skin of ellipses, and boxes and prisms inside it. Its numbers mean nothing."""

import numpy as np

_SIDES = 12


def box(low, high):
    """Return the mesh of a box between two corners [mm]: vertices and triangles."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    face = np.array([[x1, z1], [x0, z1], [x0, z0], [x1, z0]])
    return prism([np.insert(face, 1, y, axis=1) for y in (y0, y1)])


def rod(start, end, diameter):
    """Return the mesh of a round rod whose ends are square to the centre line. [mm]"""
    angle = -2 * np.pi * np.arange(_SIDES) / _SIDES
    circle = 0.5 * diameter * np.column_stack([np.cos(angle), 0 * angle, np.sin(angle)])
    return prism([np.asarray(place, float) + circle for place in (start, end)])


def prism(rings):
    """Return vertices and triangles between two rings of points, which run clockwise as seen from the tip."""
    count = len(rings[0])
    here = np.arange(count)
    after = (here + 1) % count
    walls = [*np.column_stack([here, here + count, after]), *np.column_stack([after, here + count, after + count])]
    caps = [(0, one, one + 1) for one in range(1, count - 1)]
    caps += [(count, count + one + 1, count + one) for one in range(1, count - 1)]
    return np.concatenate(rings), np.array([*walls, *caps])[:, ::-1]


def solid(name, kind, mesh, role="material", inside="skin"):
    """Return one part of an invented body, as a result holds it."""
    vertices, triangles = mesh
    return {
        "name": name,
        "kind": kind,
        "role": role,
        "inside": inside,
        "may_cross": [],
        "clearance_mm": 0.0,
        "vertices_mm": np.round(vertices, 3).tolist(),
        "triangles": triangles.tolist(),
        "volume_cm3": 1.0,
        "centroid_mm": vertices.mean(0).tolist(),
    }


def body_of(outline):
    """Return the body of an invented wing from its outline from above, with the parts and rods that it lists."""
    solids, heights = [], {"bay": (-10, 12), "lid": (12, 15), "board": (-10, 12), "pack": (-9, 11), "pocket": (-16, -4)}
    for part in outline["parts"]:
        front, back, left, right = min(part["x_mm"]), max(part["x_mm"]), min(part["y_mm"]), max(part["y_mm"])
        if part["kind"] == "joiner":
            middle = 0.5 * (front + back)
            mesh = rod([middle, left, 0.0], [middle, right, 0.0], back - front)
        else:
            low, high = heights.get(part["kind"], (-8, 8))
            mesh = box([front, left, low], [back, right, high])
        solids.append(solid(part["name"], part["kind"], mesh))
    for line in outline["rods"]:
        for side, z in (("top", 11.0), ("bottom", -11.0)):
            mesh = rod([line["from_x_mm"], line["from_y_mm"], z], [line["to_x_mm"], line["to_y_mm"], z], 3.0)
            solids.append(solid(f"{line['name']} {side}", "rod", mesh))
    count = len(outline["x_mm"]) // 2
    skin = []
    for index in range(count):
        front, back = outline["x_mm"][index], outline["x_mm"][2 * count - 1 - index]
        angle = np.linspace(0, 2 * np.pi, 81)
        x = front + 0.5 * (back - front) * (1 + np.cos(angle))
        z = 0.07 * (back - front) * np.sin(angle)
        skin.append({"y_mm": outline["y_mm"][index], "points_mm": np.column_stack([x, z]).tolist()})
    return {"skin": skin, "solids": solids, "foam_cm3": 5000.0, "foam_centroid_mm": [150.0, 0.0, 0.0]}
