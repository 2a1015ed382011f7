from __future__ import annotations

import sys
from pathlib import Path

SAMPLES = Path(__file__).parents[2] / "sample_scans"
sys.path.insert(0, str(SAMPLES))
