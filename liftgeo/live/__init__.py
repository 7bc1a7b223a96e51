"""The what-if page: a server on this machine for somebody who will never open a terminal twice."""

from __future__ import annotations

from liftgeo.live.app import application
from liftgeo.live.desk import Desk
from liftgeo.live.serving import serve

__all__ = ["Desk", "application", "serve"]
