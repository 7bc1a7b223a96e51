"""Let the tests here import the second method (point_equilibrium.py), which stands beside them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
