"""The body of a wing as a mesh file for any viewer of solids: glTF in its binary form, in metres."""

from __future__ import annotations

import importlib.util
from typing import Any

import numpy as np

from tradestudy.quantities import from_edge
from tradestudy.results.body import Body

BODY_FILE = "body.glb"
BODY_FILE_MISSING = (
    f"There is no {BODY_FILE}, the wing as a solid for viewers: it needs the library trimesh, which is not installed: "
    'pip install "tradestudy[mesh]".'
)
# places as in the standard of glTF: y up, and z towards the viewer in front of the nose
_AXES = np.array([[0.0, -1.0, 0.0], [0.0, 0.0, 1.0], [-1.0, 0.0, 0.0]])
_SKIN_COLOUR, _VOID_COLOUR, _MATERIAL_COLOUR = (0.8, 0.85, 0.9, 0.35), (0.9, 0.5, 0.3, 0.35), (0.35, 0.4, 0.45, 1.0)


def body_file_is_possible() -> bool:
    """Return whether the file can be written, which needs the library trimesh."""
    return importlib.util.find_spec("trimesh") is not None


def body_file(body: Body) -> bytes:
    """Return both halves of a body as the bytes of a glTF file, one node for each part, named as in the result.

    Raises ImportError if trimesh is not installed.
    """
    import trimesh

    scene: Any = trimesh.Scene()

    def add(name: str, vertices: np.ndarray, triangles: np.ndarray, colour: tuple[float, ...]) -> None:
        material = trimesh.visual.material.PBRMaterial(
            baseColorFactor=colour, alphaMode="BLEND" if colour[-1] < 1 else "OPAQUE", doubleSided=True
        )
        mesh = trimesh.Trimesh(from_edge("mm", vertices) @ _AXES.T, triangles, process=False)
        mesh.visual = trimesh.visual.TextureVisuals(material=material)
        scene.add_geometry(mesh, node_name=name, geom_name=name)

    add("skin", *_skin(body), _SKIN_COLOUR)
    for solid in body.solids:
        vertices, triangles = np.array(solid.vertices_mm, float), np.array(solid.triangles)
        colour = _VOID_COLOUR if solid.role == "void" else _MATERIAL_COLOUR
        add(solid.name, vertices, triangles, colour)
        if vertices[:, 1].min() >= 0.0:  # the right one of a pair
            add(f"{solid.name}, left half", vertices * [1.0, -1.0, 1.0], triangles[:, ::-1], colour)
    return scene.export(file_type="glb")


def _skin(body: Body) -> tuple[np.ndarray, np.ndarray]:
    """Return vertices (n, 3) [mm] and triangles of the skin of both halves, open at the tips."""
    y = np.array([section.y_mm for section in body.skin])
    points = np.array([section.points_mm for section in body.skin])
    y, points = np.concatenate([-y[:0:-1], y]), np.concatenate([points[:0:-1], points])
    count, size = points.shape[:2]
    vertices = np.stack([points[..., 0], np.broadcast_to(y[:, None], (count, size)), points[..., 1]], axis=-1)
    here = np.arange(size - 1) + size * np.arange(count - 1)[:, None]
    corners = [here, here + size, here + 1], [here + 1, here + size, here + size + 1]
    triangles = np.concatenate([np.stack(three, axis=-1).reshape(-1, 3) for three in corners])
    return vertices.reshape(-1, 3), triangles
