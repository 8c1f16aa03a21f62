"""The wash far behind a wing, in the Trefftz plane. "(...)" means arrays of any batch shape."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.physics.geometry.mesh import Mesh


class WakeWash(NamedTuple):
    """Normal velocity at the mid-angle wake points far behind per strip circulation, see ``wake_wash``."""

    own: np.ndarray  # of the own half wing (..., n_strip, n_strip) [1/m]
    image: np.ndarray  # of its mirror image, for the same circulation as the own half (..., n_strip, n_strip) [1/m]

    @property
    def symmetric(self) -> np.ndarray:
        """The wash (..., n_strip, n_strip) of both halves in symmetric flow, by definition. [1/m]"""
        return self.own + self.image

    @property
    def antisymmetric(self) -> np.ndarray:
        """The wash (..., n_strip, n_strip) of both halves in antisymmetric flow, by definition. [1/m]"""
        return self.own - self.image


def wake_wash(mesh: Mesh) -> WakeWash:
    """Return the WakeWash (..., n_strip, n_strip) of a mesh. [1/m]

    Wake vortices are straight and endless (Biot-Savart law, any aerodynamics text).
    """
    n = mesh.chord.shape[-1]
    edge = np.concatenate([mesh.outer_edge[..., 1:], mesh.inner_edge[..., 1:]], axis=-2)[..., None, None, :, :]
    side = np.array([1.0, -1.0])[:, None, None]  # the mirror image of a vortex acts as the own one on a mirrored point
    y = side * mesh.middle[..., None, :, None, 1] - edge[..., 0]
    z = mesh.middle[..., None, :, None, 2] - edge[..., 1]
    ny, nz = side * mesh.normal[..., None, :, None, 1], mesh.normal[..., None, :, None, 2]
    by_edge = (nz * y - ny * z) / (2 * np.pi * (y * y + z * z))
    wash = by_edge[..., :n] - by_edge[..., n:]
    return WakeWash(wash[..., 0, :, :], wash[..., 1, :, :])
