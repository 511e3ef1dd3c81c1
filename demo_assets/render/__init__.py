"""Renders every picture of the invented demo: `python -m demo_assets.render`.

Nothing here was photographed. Each picture is computed from a fixed seed, so the same scripts
always give the same boards and the same morning.
"""
