"""Checks of a body by libraries for meshes: closed solids, volumes, crossings, what lies inside what, the foam.

They read the record alone, and share no code with the project. trimesh judges each mesh; manifold3d cuts them.
"""

from itertools import pairwise

import manifold3d
import numpy as np
import trimesh

TINY = 2.0  # greatest volume that counts as touching [mm^3]
_ROUNDING = 0.01  # records are rounded, and a loft is bent between its triangles [mm]
_FAR = 4000.0  # half the size of a block around the wing [mm]


class BodyChecks:
    """The solids of a Body as manifolds, and the questions to them. Lengths are in mm, volumes in mm^3."""

    def __init__(self, body, design=None):
        self.body, self.design = body, design
        self.records = {solid.name: solid for solid in body.solids}
        assert len(self.records) == len(body.solids)
        self.solids = {
            solid.name: manifold(np.array(solid.vertices_mm), np.array(solid.triangles)) for solid in body.solids
        }
        self.skin = manifold(*_skin_mesh(body))
        self._shells = {}

    def off_centre(self, name):
        """Return whether a solid is the right one of a pair."""
        if self.records[name].single:
            return False
        return np.min(np.array(self.records[name].vertices_mm)[:, 1]) > -_ROUNDING

    def whole(self, name):
        """Return a solid together with its mirror image, if it has one."""
        solid = self.solids[name]
        return solid + solid.mirror((0.0, 1.0, 0.0)) if self.off_centre(name) else solid

    def mesh_faults(self):
        """Return what is wrong with the meshes: open, turned inside out, or with another volume or centroid."""
        faults = []
        for name, solid in self.records.items():
            mesh = trimesh.Trimesh(np.array(solid.vertices_mm), np.array(solid.triangles), process=False)
            volume, middle = 1e3 * solid.volume_cm3, np.array(solid.centroid_mm)
            size = np.ptp(mesh.vertices, axis=0).max()
            if not (mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0):
                faults.append((name, "open"))
            elif abs(mesh.volume / volume - 1) > 0.005:
                faults.append((name, "volume", mesh.volume, volume))
            elif np.abs(mesh.center_mass - middle).max() > 0.005 * size:
                faults.append((name, "centroid", mesh.center_mass, middle))
        return faults

    def crossings(self):
        """Return pairs of materials that share more than a tiny volume."""
        names = [name for name, solid in self.records.items() if solid.role == "material"]
        found = []
        for index, one in enumerate(names):
            for other in names[index:]:
                if other in self.records[one].may_cross or one in self.records[other].may_cross:
                    continue
                if one == other:  # a solid and its mirror image
                    shared = (
                        self.solids[one] ^ self.solids[one].mirror((0.0, 1.0, 0.0)) if self.off_centre(one) else None
                    )
                else:
                    shared = self.solids[one] ^ self.whole(other)
                if shared is not None and shared.volume() > TINY:
                    found.append((one, other, shared.volume()))
        return found

    def around(self, container):
        """Return all that lies outside the skin, or outside a void."""
        if container not in self._shells:
            inner = self.skin if container == "skin" else self.whole(container)
            self._shells[container] = manifold3d.Manifold.cube((2 * _FAR,) * 3, True) - inner
        return self._shells[container]

    def sticks_out(self, name, moved=(0.0, 0.0, 0.0)):
        """Return whether a solid, moved by a step, comes nearer than its clearance to the wall of what it lies in."""
        record, solid = self.records[name], self.solids[name].translate(tuple(moved))
        shell = self.around(record.inside)
        if (solid ^ shell).volume() > TINY:
            return True
        gap = record.clearance_mm
        return gap > 0 and solid.min_gap(shell, gap + 1.0) < gap - _ROUNDING

    def what_sticks_out(self):
        """Return the names of solids that leave what they must lie in, or come too near to its wall."""
        return [name for name, solid in self.records.items() if solid.inside and self.sticks_out(name)]

    def tightest(self, name):
        """Return the distance from a solid to the wall of what it lies in, and the direction to it.

        It comes from points on the edges of the solid and a library's search for the nearest point of a mesh.
        """
        record = self.records[name]
        mesh = trimesh.Trimesh(np.array(record.vertices_mm), np.array(record.triangles), process=False)
        ends = mesh.vertices[mesh.edges_unique]
        share = np.linspace(0, 1, 3)[:, None, None]
        points = (ends[:, 0] * (1 - share) + ends[:, 1] * share).reshape(-1, 3)
        if record.inside == "skin":
            wall = trimesh.Trimesh(*_skin_mesh(self.body, pieces=2), process=False)
        else:
            void = self.records[record.inside]
            wall = trimesh.Trimesh(np.array(void.vertices_mm), np.array(void.triangles), process=False)
        nearest, distance = _nearest(points, wall.triangles[wall.area_faces > 1e-9])
        at = int(np.argmin(distance))
        return distance[at], (nearest[at] - points[at]) / max(distance[at], 1e-12)

    def foam(self):
        """Return volume and centroid of the foam: the skin less elevons and strips, voids, rods and boards."""
        removed = [
            self.whole(name)
            for name, solid in self.records.items()
            if solid.role == "void" or solid.kind in ("elevon", "strip", "rod", "board")
        ]
        left = self.skin - manifold3d.Manifold.batch_boolean(removed, manifold3d.OpType.Add)
        mesh = left.to_mesh64()
        mesh = trimesh.Trimesh(mesh.vert_properties[:, :3], mesh.tri_verts, process=False)
        return mesh.volume, mesh.center_mass


def manifold(vertices, triangles):
    """Return the manifold of a mesh. Fails if the library refuses it."""
    solid = manifold3d.Manifold(
        manifold3d.Mesh64(np.ascontiguousarray(vertices, float), np.ascontiguousarray(triangles, np.uint64))
    )
    assert solid.status() == manifold3d.Error.NoError
    return solid


def _skin_mesh(body, pieces=12):
    """Return vertices and triangles of the whole skin: its lofts in ``pieces`` along the span, and two caps."""
    y, points = [], []
    for inner, outer in pairwise(body.skin):
        for share in np.arange(pieces) / pieces:
            y.append(inner.y_mm + share * (outer.y_mm - inner.y_mm))
            points.append((1 - share) * np.array(inner.points_mm) + share * np.array(outer.points_mm))
    y.append(body.skin[-1].y_mm)
    points.append(np.array(body.skin[-1].points_mm))
    y, points = np.array(y), np.array(points)
    if np.allclose(points[:, 0], points[:, -1], atol=1e-6):  # a sharp trailing edge
        points = points[:, :-1]
    y, points = np.concatenate([-y[:0:-1], y]), np.concatenate([points[:0:-1], points])
    count, size = points.shape[:2]
    vertices = np.column_stack([points[..., 0].ravel(), np.repeat(y, size), points[..., 1].ravel()])
    triangles = []
    for ring in range(count - 1):
        for one in range(size):
            a, b = ring * size + one, ring * size + (one + 1) % size
            triangles += [(a, b, a + size), (b, b + size, a + size)]
    for ring, turned in ((0, 1), (count - 1, -1)):
        for one in range(1, size // 2 + 1):  # strips between the top and the bottom
            top, bottom = ring * size + one, ring * size + (size - one)
            before = ring * size + one - 1, ring * size + (size - one + 1) % size
            corners = [(before[0], bottom, top)] if bottom != top else []
            if before[0] != before[1]:
                corners.append((before[0], before[1], bottom))
            triangles += [each[::turned] for each in corners]
    mesh = trimesh.Trimesh(vertices, triangles, process=False)
    assert mesh.is_watertight
    if mesh.volume < 0:
        mesh.invert()
    return np.array(mesh.vertices), np.array(mesh.faces)


def _nearest(points, triangles):
    """Return the nearest point (n, 3) of a mesh to each point, and its distance (n,)."""
    nearest, distance = np.empty_like(points), np.empty(len(points))
    for start in range(0, len(points), 40):  # in portions, to spare memory
        here = points[start : start + 40]
        shape = (len(here), len(triangles))
        close = trimesh.triangles.closest_point(
            np.broadcast_to(triangles, (len(here), *triangles.shape)).reshape(-1, 3, 3),
            np.repeat(here, len(triangles), axis=0),
        ).reshape(*shape, 3)
        away = np.linalg.norm(close - here[:, None], axis=-1)
        best = away.argmin(axis=1)
        nearest[start : start + 40] = close[np.arange(len(here)), best]
        distance[start : start + 40] = away.min(axis=1)
    return nearest, distance
