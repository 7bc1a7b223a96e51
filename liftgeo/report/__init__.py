"""The write-up: one page that tells a mechanism's whole story, as HTML or as Markdown."""

from __future__ import annotations

from liftgeo.report.written import WriteUp, write_up

__all__ = ["WriteUp", "write_up"]
