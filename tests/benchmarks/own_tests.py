"""Imported first by scripts run by hand: `tests` is the folder of this project.

Also where an installed package brings a folder of that name.
"""

import sys
import types
from pathlib import Path

TOP = Path(__file__).parents[2]
sys.path.insert(0, str(TOP))
sys.modules["tests"] = types.ModuleType("tests")
sys.modules["tests"].__path__ = [str(TOP / "tests")]
