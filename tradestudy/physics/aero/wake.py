"""The wash far behind a wing, in the Trefftz plane. "(...)" means arrays of any batch shape."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.geometry.mesh import Mesh, strip_edges

# the mirror image of a vortex acts as the own one on a mirrored point
_SIDES = np.array([1.0, -1.0])[:, None, None]


class WakeWash(NamedTuple):
    """Normal velocity at the mid-angle wake points far behind per strip circulation, see ``wake_wash``."""

    symmetric: np.ndarray  # of both halves in symmetric flow (..., n_strip, n_strip) [1/m]
    antisymmetric: np.ndarray  # of both halves in antisymmetric flow (..., n_strip, n_strip) [1/m]


def wake_wash(mesh: Mesh) -> WakeWash:
    """Return the WakeWash (..., n_strip, n_strip) of a mesh. [1/m]

    Wake vortices are straight and endless (Biot-Savart law, any aerodynamics text).
    """
    edge = strip_edges(mesh)[0][..., None, None, :, :]
    y = _SIDES * mesh.middle[..., None, :, None, 1] - edge[..., 1]
    z = mesh.middle[..., None, :, None, 2] - edge[..., 2]
    ny, nz = _SIDES * mesh.normal[..., None, :, None, 1], mesh.normal[..., None, :, None, 2]
    by_edge = _ratio(nz * y - ny * z, 2 * np.pi * (y * y + z * z))
    steps = by_edge[..., 1:] - by_edge[..., :-1]
    wash = np.concatenate([steps[..., first] for first in mesh.first_edges], axis=-1)
    own, image = wash[..., 0, :, :], wash[..., 1, :, :]
    return WakeWash(own + image, own - image)


def _ratio(above: np.ndarray, below: np.ndarray) -> np.ndarray:
    """Return a ratio; of complex arrays to first order in the imaginary parts, in a third of the time."""
    if not np.iscomplexobj(below):
        return above / below
    inverse = 1 / below.real
    ratio = np.empty(above.shape, complex)
    ratio.real = value = above.real * inverse
    ratio.imag = (above.imag - value * below.imag) * inverse
    return ratio
