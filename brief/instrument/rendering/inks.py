"""The colours of what is drawn without a material, and of every line."""

from __future__ import annotations

INK = "#3b2f25"
HAIRLINE = {"stroke": INK, "stroke-width": "0.7", "vector-effect": "non-scaling-stroke"}
PAPER = "#fbf9f4"
METAL = "#bdb7a9"
BONE = "#e6dfce"
DARK = "#1c1612"
