"""Closed surfaces of triangles, and the solids of an instrument that they bound.

Space is that of the flat drawing, in millimetres: x across to the treble side, y down from the neck
joint to the tail, and z out of the top towards the audience, 0 at the rim that the top is glued to.
Because y runs down these axes are left-handed. Faces are wound so that the cross product of their
numbers, (b - a) x (c - a), points outwards, and signed volumes are above 0; `Mesh.upright` has the
same in a right-handed space, for whatever draws it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Mesh:
    """A closed surface, or several that touch.

    Attributes
    ----------
    points : (n, 3) array
        mm. A point is there once for each normal and each place in the photograph that it has.
    faces : (m, 3) array
        Three points each, the cross product outwards.
    uv : (n, 2) array
        Place in the photograph of its part, in shares of the width and height of what is shown of
        it, from its left upper corner as it was taken. Beyond 0 to 1 it repeats, mirrored.
    normals : (n, 3) array
        Unit, outwards; smooth where the surface is.
    """

    points: NDArray[np.float64]
    faces: NDArray[np.int32]
    uv: NDArray[np.float64]
    normals: NDArray[np.float64]

    @property
    def upright(self) -> Mesh:
        """The same in a right-handed space: x to the treble, y up to the head, z to the audience.

        Its faces are counter-clockwise as they are seen from outside.
        """
        mirror = np.array([1.0, -1.0, 1.0])
        return Mesh(self.points * mirror, self.faces[:, ::-1], self.uv, self.normals * mirror)

    @property
    def volume_mm3(self) -> float:
        """What it encloses, by the divergence theorem."""
        a, b, c = (self.points[self.faces[:, i]] for i in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


@dataclass(frozen=True, eq=False)
class Solid:
    """One thing of an instrument.

    Attributes
    ----------
    name : str
        Plain, and once in an instrument, such as "top" or "fret 12".
    role : str
        The part whose material it wears, or else "frets", "strings", "posts" (the metal of the
        tuners), "pins", "label" or "inside" (a lining, dark where no light comes in).
    """

    name: str
    role: str
    mesh: Mesh
