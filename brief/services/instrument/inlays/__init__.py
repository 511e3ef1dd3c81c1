"""Inlays: draft → settling → noun → view, with what is measured in words."""
