"""Where things stand in the checkout."""

from pathlib import Path

ROOT = Path(__file__).parents[2]
SUPPORT = ROOT / "tests" / "support"
DATA = ROOT / "tests" / "data"
CATALOG_DATA = ROOT / "catalog" / "data"
