"""The builder of the documentation, loaded from docs/build.py."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from typing import Any

CHECKOUT = Path(__file__).resolve().parents[2]


def _load() -> Any:
    spec = importlib.util.spec_from_file_location("docs_build", CHECKOUT / "docs" / "build.py")
    if spec is None or spec.loader is None:
        raise ImportError("docs/build.py cannot be loaded")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


build = _load()
