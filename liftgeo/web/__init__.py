"""What pages in a browser share: the mechanism as moving SVG, its script, and the look."""

from __future__ import annotations

from liftgeo.web.scene import Scene, SceneShape, SceneView, scene
from liftgeo.web.templates import environment

__all__ = ["Scene", "SceneShape", "SceneView", "environment", "scene"]
