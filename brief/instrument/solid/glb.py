"""The instrument as a glTF 2.0 binary (GLB): opens on a phone and in any viewer, in true size.

glTF has metres, x to the right, y up and z towards who looks (glTF 2.0, 3.4), which is the space
of `Mesh.upright` but for the unit.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from numpy.typing import NDArray

from brief.instrument.solid.in_order import in_order
from brief.instrument.solid.mesh import Solid

MM = 0.001  # metres
VERTICES, INDICES = 34962, 34963  # ARRAY_BUFFER, ELEMENT_ARRAY_BUFFER
FLOATS, SHORTS, INTS = 5126, 5123, 5125
MOST_SHORT = 65535  # vertices that two bytes number; the last number is left free
LINEAR, TRILINEAR, MIRRORED = 9729, 9987, 33648
COAT = "KHR_materials_clearcoat"


@dataclass(frozen=True)
class PartLook:
    """How the parts of one role show.

    Attributes
    ----------
    name : str
        What they are made of, as whoever gets the file may read it.
    colour : str
        "#rrggbb", seen where there is no photograph.
    jpeg : bytes or None
        The photograph that the `uv` of a mesh speak of, in its own colours.
    roughness, metallic : float
        0 to 1, of glTF's metallic-roughness material.
    coat, coat_roughness : float
        0 to 1, of a clear coat over it; 0 for none.
    """

    name: str
    colour: str
    jpeg: bytes | None = None
    roughness: float = 0.8
    metallic: float = 0.0
    coat: float = 0.0
    coat_roughness: float = 0.1


@dataclass
class _Writing:
    """What is written so far: the parts of the binary chunk by what they are, and their accessors.

    Accessors name their part by its key until all parts are there.
    """

    parts: dict[str, list[bytes]] = field(default_factory=dict)
    lengths: dict[str, int] = field(default_factory=dict)
    accessors: list[dict[str, Any]] = field(default_factory=list)

    def accessor(self, part: str, values: NDArray[Any], **said: Any) -> int:
        """Put values behind those of their kind; the number of their accessor."""
        start = self.lengths.get(part, 0)
        data = values.tobytes()
        data += bytes(-len(data) % 4)
        self.parts.setdefault(part, []).append(data)
        self.lengths[part] = start + len(data)
        self.accessors.append(
            {"bufferView": part, "byteOffset": start, "count": len(values), **said}
        )
        return len(self.accessors) - 1


def as_glb(
    solids: Sequence[Solid], looks: Mapping[str, PartLook], *, title: str, asset: Mapping[str, Any]
) -> bytes:
    """The solids as one GLB; the same solids and looks make the same bytes.

    Parameters
    ----------
    solids : sequence of Solid
        Each becomes a node of its name.
    looks : mapping of str to PartLook
        By role; all roles of the solids.
    title : str
        Of the scene.
    asset : mapping
        What the file says of itself besides its version: "generator", "copyright", "extras".

    Returns
    -------
    bytes

    References
    ----------
    Khronos Group 2021, glTF 2.0 Specification; KHR_materials_clearcoat.
    """
    roles = list(dict.fromkeys(solid.role for solid in solids))
    writing, images = _Writing(), [role for role in roles if looks[role].jpeg]
    meshes = []
    for solid in solids:
        textured = solid.role in images
        primitive = _primitive(writing, solid, roles.index(solid.role), textured=textured)
        told = {"role": solid.role}  # the page that turns it asks which part was tapped
        meshes.append({"name": solid.name, "primitives": [primitive], "extras": told})
    count = len(solids)
    said: dict[str, Any] = {
        "asset": {"version": "2.0", **asset},
        "scene": 0,
        "scenes": [{"name": title, "nodes": [count]}],
        "nodes": [
            *({"name": solid.name, "mesh": at} for at, solid in enumerate(solids)),
            {"name": title, "children": list(range(count))},
        ],
        "meshes": meshes,
        "materials": [_material(role, looks[role], images) for role in roles],
    }
    if any(looks[role].coat for role in roles):
        said["extensionsUsed"] = [COAT]
    if images:
        sampler = {"magFilter": LINEAR, "minFilter": TRILINEAR, "wrapS": MIRRORED}
        said["samplers"] = [{**sampler, "wrapT": MIRRORED}]
        said["textures"] = [{"sampler": 0, "source": at} for at in range(len(images))]
    return _written(said, writing, {role: looks[role].jpeg or b"" for role in images})


def _primitive(writing: _Writing, solid: Solid, material: int, *, textured: bool) -> dict[str, Any]:
    mesh = in_order(solid.mesh.upright)
    points = (mesh.points * MM).astype("<f4")
    normals = mesh.normals.astype("<f4")
    short = len(points) <= MOST_SHORT
    faces = mesh.faces.astype("<u2" if short else "<u4").reshape(-1)
    vector = {"componentType": FLOATS, "type": "VEC3"}
    span = {"min": points.min(axis=0).tolist(), "max": points.max(axis=0).tolist()}
    attributes = {
        "POSITION": writing.accessor("points", points, **vector, **span),
        "NORMAL": writing.accessor("normals", normals, **vector),
    }
    if textured:
        uv = mesh.uv.astype("<f4")
        attributes["TEXCOORD_0"] = writing.accessor("uv", uv, componentType=FLOATS, type="VEC2")
    kind = {"componentType": SHORTS if short else INTS, "type": "SCALAR"}
    indices = writing.accessor("short faces" if short else "faces", faces, **kind)
    return {"attributes": attributes, "indices": indices, "material": material}


def _material(role: str, look: PartLook, images: Sequence[str]) -> dict[str, Any]:
    base: dict[str, Any] = {"metallicFactor": look.metallic, "roughnessFactor": look.roughness}
    if role in images:
        base["baseColorTexture"] = {"index": images.index(role)}
    else:
        base["baseColorFactor"] = [*_linear(look.colour), 1.0]
    material: dict[str, Any] = {"name": look.name, "pbrMetallicRoughness": base}
    if look.coat:
        coat = {"clearcoatFactor": look.coat, "clearcoatRoughnessFactor": look.coat_roughness}
        material["extensions"] = {COAT: coat}
    return material


def _linear(colour: str) -> list[float]:
    """Of "#rrggbb", IEC 61966-2-1."""
    shown = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    return [
        round(one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4, 6) for one in shown
    ]


def _written(said: dict[str, Any], writing: _Writing, pictures: Mapping[str, bytes]) -> bytes:
    """The two chunks of a GLB behind its head."""
    views: list[dict[str, Any]] = []
    places: dict[str, int] = {}
    whole = bytearray()
    strides = {"points": 12, "normals": 12, "uv": 8}
    for part, pieces in writing.parts.items():
        places[part] = len(views)
        view = {"buffer": 0, "byteOffset": len(whole), "byteLength": writing.lengths[part]}
        stride = strides.get(part)
        kind = {"byteStride": stride, "target": VERTICES} if stride else {"target": INDICES}
        views.append({**view, **kind})
        whole += b"".join(pieces)
    for jpeg in pictures.values():
        views.append({"buffer": 0, "byteOffset": len(whole), "byteLength": len(jpeg)})
        whole += jpeg + bytes(-len(jpeg) % 4)
    if pictures:
        first = len(views) - len(pictures)
        said["images"] = [
            {"name": role, "mimeType": "image/jpeg", "bufferView": first + at}
            for at, role in enumerate(pictures)
        ]
    said["accessors"] = [
        {**one, "bufferView": places[one["bufferView"]]} for one in writing.accessors
    ]
    said["bufferViews"], said["buffers"] = views, [{"byteLength": len(whole)}]
    text = json.dumps(said, separators=(",", ":"), ensure_ascii=False).encode()
    text += b" " * (-len(text) % 4)
    length = 12 + 8 + len(text) + 8 + len(whole)
    return b"".join(
        (
            struct.pack("<4sII", b"glTF", 2, length),
            struct.pack("<I4s", len(text), b"JSON"),
            text,
            struct.pack("<I4s", len(whole), b"BIN\0"),
            bytes(whole),
        )
    )
